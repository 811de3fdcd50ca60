//! What a centre can do tonight: crews, arrivals of the day, how fresh its report is.

use chrono::{DateTime, FixedOffset, TimeDelta};
use haulout_schemas::profile::TaxonOrder;
use haulout_schemas::records::standing::{CrewSkill, VetLevel};

use super::set;
use crate::answer::Change;
use crate::case::{AtCentre, Candidate, InUnit, told};
use crate::view::Crew;
use crate::word::{Word, say};

/// What one species needs of a crew, and who could serve.
struct Wanted {
    people: u16,
    skill: CrewSkill,
    /// Where the length is not stated.
    assumed: bool,
    length_m: f64,
}

/// The receiving centre has the trained people that an animal of this length needs.
pub(super) fn crew(here: &AtCentre<'_>) -> Word {
    if here.asked.eggs() {
        return on_call_for_eggs(here);
    }
    let words = here.asked.candidates.iter().map(|candidate| {
        let name = &candidate.profile.scientific_name;
        match wanted(candidate) {
            Ok(wanted) => crew_for(here, name, &wanted),
            Err(reason) => Word::cannot_check(reason),
        }
    });
    words.reduce(Word::or_worse).unwrap_or_else(|| Word::cannot_check("the species is not known"))
}

/// Eggs injure nobody; hands that do not know them kill them.
fn on_call_for_eggs(here: &AtCentre<'_>) -> Word {
    let word = Word::pass("eggs injure nobody");
    if on_call(here, CrewSkill::Eggs) > 0 {
        return word;
    }
    word.noting(say!(
        here,
        "{} has nobody trained for eggs on call: have somebody come",
        here.centre.called()
    ))
}

fn crew_for(here: &AtCentre<'_>, name: &str, wanted: &Wanted) -> Word {
    let called = here.centre.called();
    let people = on_call(here, wanted.skill);
    let needs = || {
        let size = if wanted.assumed { "of a size not stated, at most" } else { "of" };
        format!("{name} {size} {} m needs {} trained people", told(wanted.length_m), wanted.people)
    };
    let word = if wanted.people <= 1 {
        return Word::pass(say!(here, "{name}: one keeper is enough"));
    } else if people >= wanted.people {
        Word::pass(say!(here, "{}; {called} has {people} on call", needs()))
    } else if wanted.assumed {
        Word::cannot_check(say!(here, "{}; {called} has {people} on call", needs()))
    } else if people == 0 {
        Word::fail(say!(here, "{}; {called} has no such crew tonight", needs()))
    } else {
        Word::fail(say!(here, "{}; {called} has only {people} tonight", needs()))
    };
    word.comparing("trained people", Some(f64::from(wanted.people)), Some(f64::from(people)), "people")
}

fn wanted(candidate: &Candidate<'_>) -> Result<Wanted, String> {
    let Candidate { profile, size, .. } = candidate;
    let hazard = &profile.hazard.value;
    let length_m = size
        .high_in(profile, hazard.measure)
        .ok_or_else(|| size.no_relation(profile, hazard.measure).to_string())?;
    let last_step = hazard.crew.iter().map(|step| step.over_m).reduce(f64::max);
    let skill = match profile.order {
        TaxonOrder::Testudines => CrewSkill::Chelonian,
        // Beyond the profile's last step a crew trained for the large ones is needed.
        TaxonOrder::Crocodylia if last_step.is_some_and(|step| length_m > step) => {
            CrewSkill::LargeCrocodilian
        }
        TaxonOrder::Crocodylia => CrewSkill::Crocodilian,
    };
    Ok(Wanted {
        people: u16::from(hazard.minimum_crew(length_m)),
        skill,
        assumed: candidate.size.assumed,
        length_m,
    })
}

/// People on call who may serve for a skill: those trained for large crocodilians serve for all.
fn on_call(here: &AtCentre<'_>, skill: CrewSkill) -> u16 {
    let serves = |has: CrewSkill| {
        has == skill || (has == CrewSkill::LargeCrocodilian && skill == CrewSkill::Crocodilian)
    };
    here.centre
        .crews
        .iter()
        .filter(|crew| serves(crew.skill))
        .fold(0, |sum, crew| sum.saturating_add(crew.people))
}

pub(super) fn mend_crew(here: &AtCentre<'_>) -> Vec<Change> {
    for candidate in &here.asked.candidates {
        let Ok(wanted) = wanted(candidate) else {
            // Without a relation nothing but another measure helps.
            let measure = candidate.profile.hazard.value.measure;
            return super::size::measured_as(candidate.profile, measure);
        };
        let people = on_call(here, wanted.skill);
        if wanted.people > 1 && people < wanted.people {
            let mut crews = here.centre.crews.clone();
            crews.push(Crew { skill: wanted.skill, people: wanted.people - people });
            return set(format!("/centres/{}/crews", here.centre_at), crews);
        }
    }
    Vec::new()
}

/// The centre still takes so many arrivals on the day.
pub(super) fn arrivals(here: &AtCentre<'_>) -> Word {
    if here.asked.eggs() {
        return Word::pass("the arrivals of a day are of animals");
    }
    let called = here.centre.called();
    let after = arrivals_after(here);
    let Some(limit) = here.centre.arrivals_per_day else {
        return Word::pass(say!(here, "{called} states no limit of arrivals"));
    };
    let word = if after <= limit {
        Word::pass(say!(here, "{called} would take in {after} of {limit} today"))
    } else {
        Word::fail(say!(here, "{called} would take in {after} today, its limit is {limit}"))
    };
    word.comparing("arrivals of the day", Some(f64::from(after)), Some(f64::from(limit)), "animals")
}

/// Arrivals of the day with this request. On another day than today nobody has told what is due, so
/// what is due today is reckoned with then too.
fn arrivals_after(here: &AtCentre<'_>) -> u32 {
    let today = here.arrival_day() == here.asked.at.date_naive();
    let arrived = if today { here.centre.arrived_today } else { 0 };
    arrived.saturating_add(here.centre.due_today).saturating_add(here.asked.request.individual_count)
}

pub(super) fn mend_arrivals(here: &AtCentre<'_>) -> Vec<Change> {
    set(format!("/centres/{}/arrivalsPerDay", here.centre_at), arrivals_after(here))
}

/// A vet's hands reach as far as the triage asks for.
pub(super) fn vet_level(here: &AtCentre<'_>) -> Word {
    let request = here.asked.request;
    if here.asked.eggs() {
        return Word::pass("eggs need no veterinarian");
    }
    let wanted = here.asked.view.settings.vet_levels.of(request.triage);
    let called = here.centre.called();
    let needs = || format!("a {} animal needs {}", request.triage, hands(wanted));
    match here.centre.vet_level {
        _ if wanted == VetLevel::None => Word::pass("a veterinarian is not asked for by its triage"),
        None => {
            Word::cannot_check(say!(here, "{}; nobody said how far a vet's hands reach at {called}", needs()))
        }
        Some(level) if level >= wanted => {
            Word::pass(say!(here, "{}; {called} has {}", needs(), hands(level)))
        }
        Some(level) => Word::fail(say!(here, "{}; {called} has {} tonight", needs(), hands(level))),
    }
}

fn hands(level: VetLevel) -> &'static str {
    match level {
        VetLevel::None => "no vet",
        VetLevel::FirstAid => "first aid",
        VetLevel::Clinic => "a clinic",
        VetLevel::Surgery => "surgery",
    }
}

pub(super) fn mend_vet_level(here: &AtCentre<'_>) -> Vec<Change> {
    let wanted = here.asked.view.settings.vet_levels.of(here.asked.request.triage);
    set(format!("/centres/{}/vetLevel", here.centre_at), wanted)
}

/// The centre's report of tonight and of the unit is fresh; otherwise somebody calls first.
pub(super) fn report_current(case: &InUnit<'_>) -> Word {
    let settings = &case.asked().view.settings;
    let called = case.here.centre.called();
    let hours = TimeDelta::hours(i64::from(settings.status_stale_hours));
    let days = TimeDelta::days(i64::from(settings.capacity_stale_days));
    let tonight = report(case, called, case.here.centre.status_as_of, hours);
    let capacity = report(case, &case.unit.unit_id, case.unit.capacity_as_of, days);
    tonight.or_worse(capacity)
}

fn report(case: &InUnit<'_>, of: &str, as_of: Option<DateTime<FixedOffset>>, lasts: TimeDelta) -> Word {
    let Some(as_of) = as_of else {
        return Word::cannot_check(say!(case, "nobody said how old the report of {of} is: call first"));
    };
    let told = || as_of.format("%Y-%m-%d at %H:%M");
    if case.asked().at - as_of > lasts {
        return Word::fail(say!(case, "the report of {of} is of {}: call first", told()));
    }
    Word::pass(say!(case, "the report of {of} is of {}", told()))
}

/// Advice needs no mending.
pub(super) fn leave_report(_: &InUnit<'_>) -> Vec<Change> {
    Vec::new()
}

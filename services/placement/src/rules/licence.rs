//! What a centre may keep, and how many.

use chrono::{Days, NaiveDate};
use haulout_schemas::profile::Profile;
use haulout_schemas::records::authority::LicenceStatus;
use haulout_schemas::vocabulary::{LifeStage, Stay};

use super::set;
use crate::answer::Change;
use crate::case::{AtCentre, Candidate};
use crate::view::LicenceLine;
use crate::word::{Word, say};

/// Every species the animal may be is in the scope of a licence in force for such a stay.
pub(super) fn licence(here: &AtCentre<'_>) -> Word {
    let candidates = here.asked.candidates.iter();
    let words = candidates.map(|candidate| licence_for(here, candidate));
    words.reduce(Word::or_worse).unwrap_or_else(|| Word::cannot_check("the species is not known"))
}

fn licence_for(here: &AtCentre<'_>, candidate: &Candidate<'_>) -> Word {
    let name = &candidate.profile.scientific_name;
    let called = here.centre.called();
    let mut covering = lines_for(here, candidate.profile).peekable();
    if covering.peek().is_none() {
        let kept: Vec<&str> =
            here.centre.licences.iter().flat_map(|line| line.scope.iter().map(String::as_str)).collect();
        return Word::fail(if kept.is_empty() {
            say!(here, "{called} holds no licence")
        } else {
            say!(here, "{called} may keep {} only, not {name}", kept.join(", "))
        });
    }
    let Some((_, line)) = covering.find(|(_, line)| usable(here, line)) else {
        return Word::fail(say!(
            here,
            "{called}'s licence for {name} is not in force for this stay on {}",
            here.arrival_day()
        ));
    };
    let word = Word::pass(say!(here, "{called} is licensed for {name}"));
    if line.status == LicenceStatus::UnderRenewal {
        return word.noting(say!(
            here,
            "{called}'s licence is under renewal and continues meanwhile: ask the authority"
        ));
    }
    word
}

/// Lines whose scope holds the species, in force or not, with their positions.
fn lines_for<'a>(
    here: &'a AtCentre<'_>,
    profile: &'a Profile,
) -> impl Iterator<Item = (usize, &'a LicenceLine)> {
    let lines = here.centre.licences.iter().enumerate();
    lines.filter(move |(_, line)| here.asked.is_within_any(profile, &line.scope))
}

/// In force on the day of arrival, and for the stay.
fn usable(here: &AtCentre<'_>, line: &LicenceLine) -> bool {
    let in_force = match line.status {
        LicenceStatus::InForce => line.valid_through.is_none_or(|last| here.arrival_day() <= last),
        LicenceStatus::UnderRenewal => true,
        LicenceStatus::Suspended | LicenceStatus::Ended => false,
    };
    let stay = here.asked.request.stay;
    in_force && (line.activities.is_empty() || line.activities.contains(&stay))
}

pub(super) fn mend_licence(here: &AtCentre<'_>) -> Vec<Change> {
    let Some(candidate) = here
        .asked
        .candidates
        .iter()
        .find(|candidate| !lines_for(here, candidate.profile).any(|(_, line)| usable(here, line)))
    else {
        return Vec::new();
    };
    let base = format!("/centres/{}/licences", here.centre_at);
    let stay = here.asked.request.stay;
    // A line that covers the species but is not in force: in force again, and for the stay.
    if let Some((at, line)) = lines_for(here, candidate.profile).next() {
        let mut line = line.clone();
        line.status = LicenceStatus::InForce;
        line.valid_through = line.valid_through.map(|last| last.max(here.arrival_day()));
        if !line.activities.is_empty() && !line.activities.contains(&stay) {
            line.activities.push(stay);
        }
        return set(format!("{base}/{at}"), line);
    }
    let wanted = scope_wanted(here);
    let mut lines = here.centre.licences.iter().enumerate();
    if let Some((at, line)) = lines.find(|(_, line)| usable(here, line)) {
        let mut scope = line.scope.clone();
        scope.extend(wanted);
        return set(format!("{base}/{at}/scope"), scope);
    }
    let mut licences = here.centre.licences.clone();
    licences.push(LicenceLine {
        licence_number: None,
        scope: wanted,
        activities: Vec::new(),
        heads_limit: None,
        valid_through: None,
        status: LicenceStatus::InForce,
    });
    set(base, licences)
}

/// The name asked for where it is a taxon that holds every candidate, else each candidate's own.
pub(super) fn scope_wanted(here: &AtCentre<'_>) -> Vec<String> {
    let asked = here.asked;
    let name = &asked.request.scientific_name;
    let holds = |candidate: &Candidate<'_>| asked.species.is_within(candidate.profile, name);
    if asked.candidates.iter().all(holds) {
        return vec![name.clone()];
    }
    let names = asked.candidates.iter();
    names.map(|candidate| candidate.profile.scientific_name.clone()).collect()
}

/// The heads of every licence line that covers the animal are kept to.
pub(super) fn heads(here: &AtCentre<'_>) -> Word {
    if here.asked.eggs() {
        return Word::pass("a licence counts animals, not eggs");
    }
    let words = limits(here).into_iter().map(|(_, after, limit)| {
        let called = here.centre.called();
        let word = if after <= limit {
            Word::pass(say!(here, "{called} would keep {after} of {limit} under its licence"))
        } else {
            Word::fail(say!(here, "{called} would keep {after}, its licence allows {limit}"))
        };
        word.comparing("heads under the licence", Some(f64::from(after)), Some(f64::from(limit)), "heads")
    });
    words
        .reduce(Word::or_worse)
        .unwrap_or_else(|| Word::pass("no licence line that covers it states a number"))
}

/// For every line in force that covers a candidate and states a number: its position, the heads it
/// would cover afterwards, its limit.
fn limits(here: &AtCentre<'_>) -> Vec<(usize, u32, u32)> {
    let lines = here.centre.licences.iter().enumerate();
    lines
        .filter_map(|(at, line)| {
            let limit = line.heads_limit?;
            let mut candidates = here.asked.candidates.iter();
            let covers = usable(here, line)
                && candidates.any(|candidate| here.asked.is_within_any(candidate.profile, &line.scope));
            let after = || here.asked.request.individual_count.saturating_add(kept(here, line));
            covers.then(|| (at, after(), limit))
        })
        .collect()
}

/// Heads, eggs apart, that the centre has, expects or has promised a place that may fall under the line. An animal
/// whose name may mean a species of the scope counts, and so does one whose name is not known.
fn kept(here: &AtCentre<'_>, line: &LicenceLine) -> u32 {
    let may_fall = |meant: &[&Profile]| {
        meant.is_empty() || meant.iter().any(|profile| here.asked.is_within_any(profile, &line.scope))
    };
    if let Some(heads) = here.heads_by_meaning() {
        let falling = heads.filter(|(meant, _)| may_fall(meant));
        return falling.fold(0, |sum, (_, heads)| sum.saturating_add(heads));
    }
    here.everyone()
        .filter(|one| one.life_stage != Some(LifeStage::Egg))
        .filter(|one| may_fall(&here.asked.meant(&one.scientific_name)))
        .fold(0, |sum, one| sum.saturating_add(one.individual_count))
}

/// The licence lasts as long as the stay; otherwise somebody renews it in time.
pub(super) fn lasts(here: &AtCentre<'_>) -> Word {
    let words = here.asked.candidates.iter().map(|candidate| {
        let lines = lines_for(here, candidate.profile).filter(|(_, line)| usable(here, line));
        // A licence without a last day, or under renewal, ends at no day known.
        let last = |line: &LicenceLine| match line.status {
            LicenceStatus::UnderRenewal => NaiveDate::MAX,
            _ => line.valid_through.unwrap_or(NaiveDate::MAX),
        };
        match lines.map(|(_, line)| last(line)).max() {
            None => Word::pass("no licence covers it, of which its own rule speaks"),
            Some(NaiveDate::MAX) => Word::pass("the licence has no last day, or is under renewal"),
            Some(last) => lasts_until(here, candidate.profile, last),
        }
    });
    words.reduce(Word::or_worse).unwrap_or_else(|| Word::pass("no licence covers it"))
}

fn lasts_until(here: &AtCentre<'_>, profile: &Profile, last: NaiveDate) -> Word {
    let called = here.centre.called();
    match stays_until(here, profile) {
        Some(end) if end <= last => Word::pass(say!(here, "{called}'s licence lasts through {last}")),
        Some(end) => Word::fail(say!(
            here,
            "{called}'s licence ends on {last}, before the stay does on {end}: renew it"
        )),
        None => Word::cannot_check(say!(
            here,
            "{called}'s licence ends on {last}, and nobody knows how long the stay is: renew it in time"
        )),
    }
}

/// Last day of the stay, where it is set or follows from its kind.
fn stays_until(here: &AtCentre<'_>, profile: &Profile) -> Option<NaiveDate> {
    let asked = here.asked;
    if let Some(until) = asked.request.stay_until {
        return Some(until.with_timezone(asked.at.offset()).date_naive());
    }
    let days = match asked.request.stay {
        Stay::Stabilise => u64::from(asked.view.settings.stabilise_hours.div_ceil(24)),
        Stay::Quarantine if !asked.eggs() => u64::from(profile.quarantine_days.value),
        Stay::Quarantine | Stay::Long | Stay::Lifelong => return None,
    };
    here.arrival_day().checked_add_days(Days::new(days))
}

/// Advice needs no mending.
pub(super) fn leave_licence(_: &AtCentre<'_>) -> Vec<Change> {
    Vec::new()
}

pub(super) fn mend_heads(here: &AtCentre<'_>) -> Vec<Change> {
    limits(here)
        .into_iter()
        .filter(|(_, after, limit)| after > limit)
        .flat_map(|(at, after, _)| {
            set(format!("/centres/{}/licences/{at}/headsLimit", here.centre_at), after)
        })
        .collect()
}

//! The season: warmth for those that need it in the cool months, none for those that rest.

use chrono::{Datelike, NaiveDate};
use haulout_schemas::profile::{Profile, SeasonalRest};
use haulout_schemas::records::standing::WaterType;
use haulout_schemas::vocabulary::Triage;
use haulout_welfare::space::within;

use super::set;
use crate::answer::Change;
use crate::case::{AtCentre, Candidate, InUnit, told};
use crate::word::{Word, say};

/// In the cool months the unit is warm enough for an animal that does not rest through them, or is
/// too sick to.
pub(super) fn heat(case: &InUnit<'_>) -> Word {
    if case.asked().eggs() || !is_cool(case.here) {
        return Word::pass("not the season in which an animal needs heat");
    }
    let words = case.asked().candidates.iter().map(|candidate| {
        if rests(case.here, candidate.profile) {
            return Word::pass(say!(case, "{} rests in this season", candidate.profile.scientific_name));
        }
        heat_for(case, candidate)
    });
    words.reduce(Word::or_worse).unwrap_or_else(|| Word::cannot_check("the species is not known"))
}

fn heat_for(case: &InUnit<'_>, candidate: &Candidate<'_>) -> Word {
    let unit = &case.unit.unit_id;
    let name = &candidate.profile.scientific_name;
    let low = candidate.profile.keeping_temperature.value.low_c;
    if case.unit.heated == Some(true) && is_open(case) {
        return Word::fail(say!(case, "{unit} is heated, and flowing or open water holds no heat"));
    }
    let Some(lowest) = case.unit.lowest_celsius else {
        return Word::cannot_check(say!(
            case,
            "{name} needs {} C in the cool season, and nobody said what {unit} holds",
            told(low)
        ));
    };
    let word = if within(low, lowest) {
        Word::pass(say!(case, "{unit} holds {} C, {name} needs {} C", told(lowest), told(low)))
    } else {
        Word::fail(say!(case, "{unit} holds only {} C, {name} needs {} C", told(lowest), told(low)))
    };
    word.comparing("temperature in the cool season", Some(low), Some(lowest), "C")
}

/// Water in which no heat is held.
fn is_open(case: &InUnit<'_>) -> bool {
    matches!(
        case.unit.water_type,
        Some(WaterType::FlowThrough | WaterType::EarthenPond | WaterType::RiverPen)
    )
}

pub(super) fn mend_heat(case: &InUnit<'_>) -> Vec<Change> {
    let needing = case.asked().candidates.iter();
    let needing = needing.filter(|candidate| !rests(case.here, candidate.profile));
    let warmest = needing.map(|one| one.profile.keeping_temperature.value.low_c).reduce(f64::max);
    let base = format!("/units/{}", case.unit_at);
    let mut changes = Vec::new();
    if case.unit.heated == Some(true) && is_open(case) {
        changes.extend(set(format!("{base}/waterType"), WaterType::Static));
    }
    if let Some(warmest) = warmest
        && case.unit.lowest_celsius.is_none_or(|lowest| !within(warmest, lowest))
    {
        changes.extend(set(format!("{base}/lowestCelsius"), warmest));
    }
    changes
}

/// A healthy animal that rests in the season is not kept warm through it.
pub(super) fn rest(case: &InUnit<'_>) -> Word {
    if case.asked().eggs() {
        return Word::pass("eggs do not rest so");
    }
    let words = case.asked().candidates.iter().map(|candidate| rest_for(case, candidate));
    words.reduce(Word::or_worse).unwrap_or_else(|| Word::cannot_check("the species is not known"))
}

fn rest_for(case: &InUnit<'_>, candidate: &Candidate<'_>) -> Word {
    let name = &candidate.profile.scientific_name;
    let unit = &case.unit.unit_id;
    if !rests(case.here, candidate.profile) {
        return Word::pass("not its season of rest, or it is too sick to rest");
    }
    if candidate.profile.seasonal_rest.value == SeasonalRest::DrySeason {
        return Word::pass(say!(case, "{name} rests in this season")).noting(say!(
            case,
            "{name} rests buried in the dry season: give it ground to dig in, and move it only if it must be"
        ));
    }
    let low = candidate.profile.keeping_temperature.value.low_c;
    match (case.unit.heated, case.unit.lowest_celsius) {
        (Some(true), _) => Word::fail(say!(case, "{unit} is heated, and {name} rests in the cool season")),
        (_, Some(lowest)) if within(low, lowest) => {
            Word::fail(say!(case, "{unit} holds {} C, and {name} rests in the cool season", told(lowest)))
        }
        (None, None) => Word::cannot_check(say!(
            case,
            "{name} rests in the cool season, and nobody said whether {unit} is heated"
        )),
        (Some(false), _) | (None, Some(_)) => {
            Word::pass(say!(case, "{unit} is not heated, and {name} rests")).noting(say!(
                case,
                "{name} rests in the cool season: do not feed it, and move it only if it must be"
            ))
        }
    }
}

/// A unit without heat where all of them rest, else waiting until the cool season is over.
pub(super) fn mend_rest(case: &InUnit<'_>) -> Vec<Change> {
    if case.asked().candidates.iter().all(|candidate| rests(case.here, candidate.profile)) {
        let base = format!("/units/{}", case.unit_at);
        let mut changes = set(format!("{base}/heated"), false);
        if case.unit.lowest_celsius.is_some() {
            changes.push(Change::Remove { path: format!("{base}/lowestCelsius") });
        }
        return changes;
    }
    let offset = case.here.window.departure.offset();
    let months = case.here.asked.view.settings.cool_months.clone();
    let later = case.here.arrival_day().iter_days().take(366).find(|day| !months.contains(&day.month()));
    let dawn = later.and_then(|day: NaiveDate| day.and_hms_opt(6, 0, 0));
    let dawn = dawn.and_then(|dawn| dawn.and_local_timezone(*offset).single());
    dawn.map_or_else(Vec::new, |dawn| set("/requests/0/earliestDeparture".to_owned(), dawn))
}

fn is_cool(here: &AtCentre<'_>) -> bool {
    here.asked.view.settings.cool_months.contains(&here.arrival_day().month())
}

/// True when a healthy animal of the species rests on the day of arrival; a sick one does not.
fn rests(here: &AtCentre<'_>, profile: &Profile) -> bool {
    let season = match profile.seasonal_rest.value {
        SeasonalRest::None => false,
        SeasonalRest::CoolSeason => is_cool(here),
        SeasonalRest::DrySeason => here.asked.view.settings.dry_months.contains(&here.arrival_day().month()),
    };
    season && here.asked.request.triage == Triage::Green
}

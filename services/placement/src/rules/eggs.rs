//! Eggs: an incubator that keeps them as they lay, and warm; and animals nowhere near one.

use haulout_schemas::profile::Profile;
use haulout_schemas::records::standing::UnitKind;
use haulout_welfare::space::within;

use super::{set, suiting};
use crate::answer::Change;
use crate::case::{Asked, AtCentre, InUnit, told};
use crate::view::Celsius;
use crate::word::{Word, say};

/// True when the unit is for animals and eggs are asked for, or the other way about.
pub(crate) fn is_of_other_kind(asked: &Asked<'_>, unit_kind: UnitKind) -> bool {
    asked.eggs() != (unit_kind == UnitKind::Incubator)
}

/// Eggs go into an incubator that keeps their orientation and temperature; animals into none.
pub(super) fn incubator(case: &InUnit<'_>) -> Word {
    let asked = case.asked();
    let name = &case.unit.unit_id;
    match (asked.eggs(), case.unit.unit_kind == UnitKind::Incubator) {
        (false, false) => return Word::pass("an animal, and no incubator"),
        (false, true) => return Word::fail(say!(case, "{name} is an incubator, for eggs only")),
        (true, false) => return Word::fail(say!(case, "{name} is no incubator, and eggs go into one only")),
        (true, true) => {}
    }
    match case.unit.keeps_orientation {
        None => {
            return Word::cannot_check(say!(case, "nobody said whether eggs keep their position in {name}"));
        }
        Some(false) => {
            return Word::fail(say!(case, "eggs do not keep their position in {name}, and turning kills"));
        }
        Some(true) => {}
    }
    let word = warmth(case);
    let pauses =
        |profile: &Profile| profile.incubation.as_ref().is_some_and(|incubation| incubation.value.diapause);
    if asked.candidates.iter().any(|candidate| pauses(candidate.profile)) {
        return word.noting(
            "such eggs may pause for months in a cool phase: ask who knows them before warming, and open none for being late",
        );
    }
    word.noting("mark the top of every egg, keep it on top, and put each at the depth it lay")
}

fn warmth(case: &InUnit<'_>) -> Word {
    let name = &case.unit.unit_id;
    let band = band(case.asked());
    let Some(lowest) = case.unit.lowest_celsius else {
        return Word::cannot_check(say!(case, "nobody said what temperature {name} holds"));
    };
    let highest = case.unit.highest_celsius.unwrap_or(lowest);
    let needs = || format!("the eggs need {} to {} C", told(band.low), told(band.high));
    let word = if within(band.low, lowest) && within(highest, band.high) && within(lowest, band.high) {
        Word::pass(say!(case, "{}, {name} holds {} C at least", needs(), told(lowest)))
    } else {
        Word::fail(say!(
            case,
            "{}, {name} holds {} to {} C",
            needs(),
            told(lowest),
            told(highest.max(lowest))
        ))
    };
    word.comparing("lowest temperature", Some(band.low), Some(lowest), "C").comparing(
        "highest temperature",
        Some(highest),
        Some(band.high),
        "C",
    )
}

/// Temperatures at which the eggs of every species they may be are known to develop: of the
/// profiles where they state any, else the region's own.
pub(super) fn band(asked: &Asked<'_>) -> Celsius {
    let usual = asked.view.settings.egg_celsius;
    let bands = asked.candidates.iter().filter_map(|candidate| {
        let points = &candidate.profile.incubation.as_ref()?.value.at;
        Some(Celsius { low: points.first()?.temperature_c, high: points.last()?.temperature_c })
    });
    let narrower = |one: Celsius, other: Celsius| Celsius {
        low: one.low.max(other.low),
        high: one.high.min(other.high),
    };
    bands.reduce(narrower).unwrap_or(usual)
}

pub(super) fn mend_incubator(case: &InUnit<'_>) -> Vec<Change> {
    let base = format!("/units/{}", case.unit_at);
    if !case.asked().eggs() {
        return set(format!("{base}/unitKind"), suiting::kind_wanted(case.asked()));
    }
    let mut changes = Vec::new();
    if case.unit.unit_kind != UnitKind::Incubator {
        changes.extend(set(format!("{base}/unitKind"), UnitKind::Incubator));
    }
    if case.unit.keeps_orientation != Some(true) {
        changes.extend(set(format!("{base}/keepsOrientation"), true));
    }
    let band = band(case.asked());
    let lowest = case.unit.lowest_celsius;
    if lowest.is_none_or(|lowest| !within(band.low, lowest) || !within(lowest, band.high)) {
        changes.extend(set(format!("{base}/lowestCelsius"), band.low));
    }
    if case.unit.highest_celsius.is_some_and(|highest| !within(highest, band.high)) {
        changes.extend(set(format!("{base}/highestCelsius"), band.high));
    }
    changes
}

/// Eggs arrive within their hours.
pub(super) fn hours(here: &AtCentre<'_>) -> Word {
    if !here.asked.eggs() {
        return Word::pass("no eggs");
    }
    let most = here.asked.view.settings.egg_hours;
    let Ok(journey) = &here.journey else {
        return Word::cannot_check("nobody knows how long the eggs would be on the road");
    };
    let limit = most.saturating_mul(60);
    let word = if journey.minutes <= limit {
        Word::pass(say!(here, "{} minutes on the road, and eggs bear {most} hours", journey.minutes))
    } else {
        Word::fail(say!(here, "{} minutes on the road, and eggs bear {most} hours", journey.minutes))
    };
    word.comparing("minutes on the road", Some(f64::from(journey.minutes)), Some(f64::from(limit)), "min")
}

pub(super) fn mend_hours(here: &AtCentre<'_>) -> Vec<Change> {
    let limit = here.asked.view.settings.egg_hours.saturating_mul(60);
    super::way::in_time(here, limit)
}

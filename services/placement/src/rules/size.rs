//! Whether the animal is short enough for the unit, by the unit's own measure.

use haulout_schemas::envelope::Length as StatedLength;
use haulout_schemas::profile::Profile;
use haulout_schemas::vocabulary::{LengthMeasure, LengthMethod};
use haulout_welfare::measures::words;
use haulout_welfare::space::within;

use super::{PlacementRule, set};
use crate::answer::{Change, Verdict};
use crate::case::{AtCentre, Candidate, InUnit, told};
use crate::room;
use crate::view::LengthLimit;
use crate::word::{Word, say};

/// The upper end of the length is within the unit's limit, in the limit's measure.
pub(super) fn length(case: &InUnit<'_>) -> Word {
    if case.asked().eggs() {
        return Word::pass("a limit of length is one of animals");
    }
    let Some(limit) = &case.unit.length_limit else {
        return Word::pass(say!(case, "{} states no limit of length", case.unit.unit_id));
    };
    let words = case.asked().candidates.iter();
    words
        .map(|candidate| length_of(case, candidate, limit))
        .reduce(Word::or_worse)
        .unwrap_or_else(|| Word::cannot_check("the species is not known"))
}

fn length_of(case: &InUnit<'_>, candidate: &Candidate<'_>, limit: &LengthLimit) -> Word {
    let unit = &case.unit.unit_id;
    let name = &candidate.profile.scientific_name;
    let wanted = limit.measure;
    let Candidate { profile, size, .. } = candidate;
    let Some(needed) = size.high_in(profile, wanted) else {
        return Word::cannot_check(say!(case, "{}", size.no_relation(profile, wanted)));
    };
    let stops = || format!("{unit} stops at {} m {}", told(limit.metre), words(wanted));
    let figure = || told(needed);
    let word = if within(needed, limit.metre) {
        Word::pass(say!(case, "{}; {name} has {} m at most", stops(), figure()))
    } else if candidate.size.assumed {
        Word::cannot_check(say!(
            case,
            "{}; the size is not stated, and {name} grows to {} m",
            stops(),
            figure()
        ))
    } else {
        Word::fail(say!(case, "{}; {name} may have {} m", stops(), figure()))
    };
    word.comparing(words(wanted), Some(needed), Some(limit.metre), "m")
}

pub(super) fn mend_length(case: &InUnit<'_>) -> Vec<Change> {
    let Some(limit) = &case.unit.length_limit else {
        return Vec::new();
    };
    let candidates = &case.asked().candidates;
    if candidates.iter().any(|candidate| candidate.size.assumed)
        && let Some(change) = measured(case)
    {
        return vec![change];
    }
    let mut longest = LengthLimit { metre: limit.metre, measure: limit.measure };
    for candidate in candidates {
        let profile = candidate.profile;
        let own = profile.space_measure.value;
        match (candidate.size.in_measure(profile, limit.measure), candidate.size.in_measure(profile, own)) {
            (Ok(converted), _) => longest.metre = longest.metre.max(converted.length.high_m),
            // A limit in a measure that says nothing of such an animal: one in its own measure.
            (Err(_), Ok(converted)) => {
                longest = LengthLimit { metre: converted.length.high_m, measure: own };
            }
            (Err(_), Err(_)) => return measured_or_largest(case, profile, own),
        }
    }
    longest.metre = room::up(longest.metre);
    set(format!("/units/{}/lengthLimit", case.unit_at), longest)
}

/// The longest that would do, else the largest grown animal in a measure that says something.
pub(super) fn measured_or_largest(
    case: &InUnit<'_>,
    profile: &Profile,
    wanted: LengthMeasure,
) -> Vec<Change> {
    measured(case).map_or_else(|| measured_as(profile, wanted), |change| vec![change])
}

/// Rules that a length decides.
const DECIDED_BY_LENGTH: [&str; 4] = ["crew", "length-limit", "room-least", "room"];

/// The longest animal, to the centimetre, against which no rule of length would speak here: what
/// its taped length must not exceed. None where not even the shortest fits.
pub(super) fn measured(case: &InUnit<'_>) -> Option<Change> {
    let asked = case.asked();
    let profile = asked.candidates.first()?.profile;
    let wanted = [profile.field_measure.value, profile.space_measure.value, profile.hazard.value.measure];
    wanted.into_iter().find_map(|wanted| {
        let passes = |centimetres: u32| {
            let mut request = asked.request.clone();
            request.length = Some(taped(wanted, centimetres));
            let asked = asked.with(asked.view, &request);
            // A length changes nothing of the way there.
            let units = case.here.units.clone();
            let here = AtCentre::again(case.here, &asked, case.here.centre, units, true, true);
            let unit = InUnit::new(&here, case.unit_at, case.unit);
            DECIDED_BY_LENGTH
                .into_iter()
                .filter_map(PlacementRule::of)
                .filter_map(|rule| rule.word(&here, Some(&unit)))
                .all(|word| word.verdict == Verdict::Pass)
        };
        if !passes(1) {
            return None;
        }
        let (mut fitting, mut beyond) = (1, 1000);
        while beyond - fitting > 1 {
            let middle = (fitting + beyond) / 2;
            if passes(middle) {
                fitting = middle;
            } else {
                beyond = middle;
            }
        }
        set("/requests/0/length".to_owned(), taped(wanted, fitting)).pop()
    })
}

/// The largest grown animal's length, stated in a measure that a rule can use.
pub(super) fn measured_as(profile: &Profile, wanted: LengthMeasure) -> Vec<Change> {
    let adult = profile.adult_size.value;
    let metres = if adult.measure == wanted {
        adult.largest_m
    } else {
        profile
            .relation(adult.measure, wanted)
            .map_or(adult.largest_m, |relation| relation.apply(adult.largest_m))
    };
    let length = StatedLength { value: room::up(metres), ..taped(wanted, 0) };
    set("/requests/0/length".to_owned(), length)
}

fn taped(wanted: LengthMeasure, centimetres: u32) -> StatedLength {
    StatedLength {
        value: f64::from(centimetres) / 100.0,
        measure: wanted,
        method: LengthMethod::Taped,
        low: None,
        high: None,
    }
}

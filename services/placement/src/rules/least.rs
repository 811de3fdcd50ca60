//! The floor under the space rule: a body that cannot lie down in a unit is not put there by any order.

use haulout_welfare::space::within;

use super::{set, size};
use crate::answer::{Change, Verdict};
use crate::case::{Candidate, InUnit, told};
use crate::room;
use crate::word::{Word, say};

/// One body on the floor: a square of the shell's or the snout-vent length (from memory), far less
/// than any space rule asks for. How many may lie beside each other is for the rule of room.
fn body(case: &InUnit<'_>) -> Option<f64> {
    let mut largest: f64 = 0.0;
    for (_, length) in case.asked().space_lengths() {
        let length = length.ok()?;
        largest = largest.max(length * length);
    }
    Some(largest)
}

fn is_assumed(case: &InUnit<'_>) -> bool {
    case.asked().candidates.iter().any(|candidate| candidate.size.assumed)
}

/// The unit can hold the animal at all: it is no longer than the longest side, and the floor no
/// smaller than its body.
pub(super) fn room_least(case: &InUnit<'_>) -> Word {
    if case.asked().eggs() {
        return Word::pass("eggs take places, no floor");
    }
    let sides = case.asked().candidates.iter().map(|candidate| side(case, candidate));
    let side = sides.reduce(Word::or_worse).unwrap_or_else(|| Word::cannot_check("the species is not known"));
    floor(case).or_worse(side)
}

fn floor(case: &InUnit<'_>) -> Word {
    let unit = &case.unit.unit_id;
    let Some(needed) = body(case) else {
        return Word::cannot_check("its length does not convert to the measure of its space");
    };
    let offered = room::offered(case.unit);
    let there = offered.land_m2.unwrap_or(0.0) + offered.water_m2.unwrap_or(0.0);
    let verdict = if within(needed, there) {
        Verdict::Pass
    } else if is_assumed(case) || offered.land_m2.is_none() || offered.water_m2.is_none() {
        Verdict::CannotCheck
    } else {
        Verdict::Fail
    };
    let sentence = if verdict == Verdict::Pass {
        say!(case, "the body can lie on the floor of {unit}")
    } else {
        say!(case, "{unit} has {} m2 of floor, and the body alone takes {} m2", told(there), told(needed))
    };
    Word::of(verdict, sentence).comparing("floor", Some(needed), Some(there), "m2")
}

/// The candidate against the longest side, in the measure people estimate.
fn side(case: &InUnit<'_>, candidate: &Candidate<'_>) -> Word {
    let Some(longest) = case.unit.longest_side_metre else {
        return Word::pass("no side is stated");
    };
    let Candidate { profile, size, field_length } = candidate;
    let Some(length) = *field_length else {
        return Word::cannot_check(say!(case, "{}", size.no_relation(profile, profile.field_measure.value)));
    };
    let unit = &case.unit.unit_id;
    let word = if within(length, longest) {
        Word::pass(say!(case, "{unit} is {} m long", told(longest)))
    } else if candidate.size.assumed {
        Word::cannot_check(say!(
            case,
            "{unit} is {} m long; the size is not stated, and {} grows to {} m",
            told(longest),
            profile.scientific_name,
            told(length)
        ))
    } else {
        Word::fail(say!(case, "{unit} is {} m long, the animal {} m", told(longest), told(length)))
    };
    word.comparing("longest side", Some(length), Some(longest), "m")
}

pub(super) fn mend_room_least(case: &InUnit<'_>) -> Vec<Change> {
    let candidates = &case.asked().candidates;
    if is_assumed(case)
        && let Some(change) = size::measured(case)
    {
        return vec![change];
    }
    let base = format!("/units/{}", case.unit_at);
    let mut changes = Vec::new();
    if let Some(longest) = case.unit.longest_side_metre {
        let mut most = longest;
        for candidate in candidates {
            let profile = candidate.profile;
            match candidate.size.in_measure(profile, profile.field_measure.value) {
                Ok(length) => most = most.max(length.length.high_m),
                Err(missing) => return size::measured_or_largest(case, profile, missing.to),
            }
        }
        if !within(most, longest) {
            changes.extend(set(format!("{base}/longestSideMetre"), room::up(most)));
        }
    }
    let Some(needed) = body(case) else {
        let unmeasured =
            case.asked().space_lengths().find_map(|(candidate, length)| Some((candidate, length.err()?)));
        return unmeasured.map_or(changes, |(candidate, missing)| {
            size::measured_or_largest(case, candidate.profile, missing.to)
        });
    };
    let offered = room::offered(case.unit);
    let land = offered.land_m2.unwrap_or(0.0);
    if !within(needed, land + offered.water_m2.unwrap_or(0.0)) {
        let missing = room::up(needed - offered.water_m2.unwrap_or(0.0));
        changes.extend(set(format!("{base}/landSquareMetre"), missing));
        if offered.water_m2.is_none() {
            changes.extend(set(format!("{base}/waterSquareMetre"), 0.0));
        }
    }
    changes
}

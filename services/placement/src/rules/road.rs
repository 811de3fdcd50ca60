//! Whether the animal may travel, and whether there is a way: fitness, road, standstills.

use haulout_schemas::vocabulary::{Direction, Known};

use super::{set, take_out};
use crate::answer::Change;
use crate::case::{AtCentre, InUnit};
use crate::journey::NoJourney;
use crate::request::FitToTravel;
use crate::view::{Closure, Standstill};
use crate::word::{Word, say};

/// Fit to travel, or a veterinarian's word that it travels nevertheless.
pub(super) fn fit_to_travel(here: &AtCentre<'_>) -> Word {
    let FitToTravel { fit, vets_word } = &here.asked.request.fit_to_travel;
    match (fit, vets_word) {
        (Known::Yes, _) => Word::pass("fit to travel"),
        (_, Some(word)) => Word::pass(say!(here, "it travels on a veterinarian's word ({word})"))
            .noting("it travels on a veterinarian's word: look again before it is loaded"),
        (Known::No, None) => Word::fail("not fit to travel"),
        (Known::Unknown, None) => {
            Word::cannot_check("nobody has said whether it may travel: a veterinarian's word is needed")
        }
    }
}

pub(super) fn mend_fit_to_travel(_: &AtCentre<'_>) -> Vec<Change> {
    let fit = FitToTravel { fit: Known::Yes, vets_word: None };
    set("/requests/0/fitToTravel".to_owned(), fit)
}

/// There is a known journey, and no road of it is closed.
pub(super) fn road(here: &AtCentre<'_>) -> Word {
    let journey = match &here.journey {
        Ok(journey) => journey,
        Err(reason) => return Word::cannot_check(reason.words()),
    };
    if let Some((_, closure)) = closures(here).next() {
        let called = here.centre.called();
        let why = closure.reason.as_deref().unwrap_or("no reason reported");
        return Word::fail(say!(here, "the road to {called} is closed ({why})"));
    }
    let minutes = f64::from(journey.minutes);
    Word::pass(say!(here, "{} minutes on the road", journey.minutes)).comparing(
        "minutes on the road",
        Some(minutes),
        None,
        "min",
    )
}

/// Closures of the road to the centre that meet the journey, with their positions.
fn closures<'a>(here: &'a AtCentre<'_>) -> impl Iterator<Item = (usize, &'a Closure)> {
    let centre = here.centre.centre_id.as_str();
    let origin = here.asked.request.from.place_id.as_deref();
    let is_way = move |closure: &Closure| match closure.other_place_id.as_deref() {
        None => closure.place_id == centre || Some(closure.place_id.as_str()) == origin,
        Some(other) => {
            (closure.place_id == centre && Some(other) == origin)
                || (other == centre && Some(closure.place_id.as_str()) == origin)
        }
    };
    here.asked
        .view
        .roads
        .closures
        .iter()
        .enumerate()
        .filter(move |(_, closure)| is_way(closure) && here.window.meets(closure.from, closure.until))
}

pub(super) fn mend_road(here: &AtCentre<'_>) -> Vec<Change> {
    if here.journey == Err(NoJourney::NoWayOfTeam) {
        return set("/requests/0/team/minutesOut".to_owned(), 0);
    }
    if here.journey.is_err() {
        let mut minutes = here.asked.request.minutes.clone();
        minutes.insert(here.centre.centre_id.clone(), 0);
        return set("/requests/0/minutes".to_owned(), minutes);
    }
    take_out("/roads/closures", closures(here).map(|(at, _)| at).collect())
}

/// No standstill binds the animal where it is or the unit where it would go.
pub(super) fn standstill(case: &InUnit<'_>) -> Word {
    let Some((_, standstill)) = binding(case).next() else {
        return Word::pass("no standstill is known");
    };
    let agent = standstill.agent.as_deref().unwrap_or("no agent stated");
    let way = if standstill.place_id == case.here.centre.centre_id { "into" } else { "out of" };
    let place = if standstill.place_id == case.here.centre.centre_id {
        case.here.centre.called()
    } else {
        &standstill.place_id
    };
    Word::fail(say!(case, "a standstill ({agent}) forbids moving {way} {place}"))
}

/// Standstills that bind this move, with their positions.
fn binding<'a>(case: &'a InUnit<'_>) -> impl Iterator<Item = (usize, &'a Standstill)> {
    let here = case.here;
    let origin = here.asked.request.from.place_id.as_deref();
    let concerned = move |standstill: &Standstill| {
        standstill.taxa.is_empty()
            || here
                .asked
                .candidates
                .iter()
                .any(|candidate| here.asked.is_within_any(candidate.profile, &standstill.taxa))
    };
    let inward = move |standstill: &Standstill| {
        let here_too = match (&standstill.water_circuit, standstill.unit_ids.as_slice()) {
            (None, []) => true,
            (circuit, units) => {
                (circuit.is_some() && *circuit == case.unit.water_circuit)
                    || units.contains(&case.unit.unit_id)
            }
        };
        standstill.place_id == here.centre.centre_id && standstill.direction != Direction::Out && here_too
    };
    // In which unit it stands now is not part of a request, so any standstill of its place binds it.
    let outward = move |standstill: &Standstill| {
        Some(standstill.place_id.as_str()) == origin && standstill.direction != Direction::In
    };
    here.standstills.iter().copied().filter(move |(_, standstill)| {
        (inward(standstill) || outward(standstill))
            && concerned(standstill)
            && here.window.meets(standstill.from, standstill.until)
    })
}

pub(super) fn mend_standstill(case: &InUnit<'_>) -> Vec<Change> {
    take_out("/standstills", binding(case).map(|(at, _)| at).collect())
}

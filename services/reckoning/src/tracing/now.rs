//! Where a carrier is now, as far as records tell.

use super::carrier::Carrier;
use super::lookup::Lookup;
use crate::findings::RecordName;
use crate::subject::Subject;
use haulout_schemas::records::ending::{LossEvent, MortalityEvent};
use haulout_schemas::records::transfer::{Arrived, Destination};
use haulout_schemas::text::{ConsignmentId, PartyId};
use haulout_schemas::vocabulary::Vitality;
use haulout_schemas::{Body, Record};
use serde::Serialize;
use std::collections::BTreeMap;

/// How some are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum State {
    /// In a unit.
    Housed,
    /// In the stock, in no unit that a record names.
    NoUnit,
    /// On a journey that nobody received.
    InTransit,
    /// Dead.
    Dead,
    /// In the wild.
    Released,
    /// Escaped, stolen or missing.
    Lost,
    /// Out of the region, with the owner, placed out or with the authority.
    Left,
    /// A crate, empty or full.
    Crate,
}

impl State {
    /// The code as it is written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Housed => "housed",
            Self::NoUnit => "noUnit",
            Self::InTransit => "inTransit",
            Self::Dead => "dead",
            Self::Released => "released",
            Self::Lost => "lost",
            Self::Left => "left",
            Self::Crate => "crate",
        }
    }
}

/// So many are in one state at one place.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Now {
    /// How they are.
    pub state: State,
    /// The centre or point; for the dead, freed and lost where that was.
    #[serde(rename = "placeID", skip_serializing_if = "Option::is_none")]
    pub place_id: Option<PartyId>,
    /// The unit.
    #[serde(rename = "unitID", skip_serializing_if = "Option::is_none")]
    pub unit_id: Option<String>,
    /// The journey.
    #[serde(rename = "consignmentID", skip_serializing_if = "Option::is_none")]
    pub consignment_id: Option<ConsignmentId>,
    /// How many.
    pub count: u32,
}

type Slot = (State, Option<PartyId>, Option<String>, Option<ConsignmentId>);

/// Where a carrier is. Empty where nothing is left under its number: it was counted out, split or merged.
pub(super) fn now(lookup: &mut Lookup<'_>, carrier: &Carrier) -> Vec<Now> {
    let mut slots: BTreeMap<Slot, i64> = BTreeMap::new();
    let numbers = lookup.numbers(carrier);
    for place in lookup.places(carrier) {
        let house = lookup.house(&place);
        for stands in numbers.iter().filter_map(|number| house.standing.get(number)).flatten() {
            let state = if stands.unit.is_some() { State::Housed } else { State::NoUnit };
            let slot = (state, Some(place.clone()), stands.unit.clone(), None);
            *slots.entry(slot).or_default() += i64::from(stands.count);
        }
    }
    for journey in lookup.journeys_of(carrier).iter().filter(|journey| journey.within && !journey.received) {
        let sent = numbers.iter().filter_map(|number| journey.travellers.get(number));
        let sent: u32 = sent.map(|traveller| traveller.sent).sum();
        let slot = (State::InTransit, journey.to.clone(), None, Some(journey.id.clone()));
        *slots.entry(slot).or_default() += i64::from(sent);
    }
    let subjects = lookup.subjects(carrier);
    // A record filed under two numbers of one animal tells its end once.
    let mut told: BTreeMap<RecordName, Vec<(Slot, i64)>> = BTreeMap::new();
    for one in lookup.filed(carrier) {
        told.insert(RecordName::from(&one.record), ends(&one.record, &subjects));
    }
    for (slot, count) in told.into_values().flatten() {
        *slots.entry(slot).or_default() += count;
    }
    let left = slots.into_iter().filter_map(|((state, place_id, unit_id, consignment_id), count)| {
        let count = u32::try_from(count).ok().filter(|count| *count > 0)?;
        Some(Now { state, place_id, unit_id, consignment_id, count })
    });
    let left: Vec<Now> = left.collect();
    let present = |now: &Now| matches!(now.state, State::Housed | State::NoUnit | State::InTransit);
    if matches!(carrier, Carrier::Animal { .. }) && left.iter().any(present) {
        // It was found again, or came back from the wild.
        return left.into_iter().filter(present).collect();
    }
    left
}

/// What a record says of the ends of some subjects.
fn ends(record: &Record, subjects: &[Subject]) -> Vec<(Slot, i64)> {
    let frame = &record.envelope;
    let own = Subject::of_frame(frame).is_some_and(|subject| subjects.contains(&subject));
    let place = crate::keys::place_of(frame).cloned();
    let end = |state: State, count: u32| ((state, place.clone(), None, None), i64::from(count));
    match &record.body {
        Some(Body::Rescue(rescue)) if own && rescue.vitality == Some(Vitality::Dead) => {
            vec![end(State::Dead, rescue.individual_count)]
        }
        Some(Body::Mortality(mortality)) if own && mortality.event == MortalityEvent::Death => {
            vec![end(State::Dead, mortality.individual_count)]
        }
        Some(Body::Release(release)) if own => vec![end(State::Released, release.individual_count)],
        Some(Body::Loss(loss)) if own => {
            let (slot, count) = end(State::Lost, loss.individual_count);
            vec![(slot, if loss.event == LossEvent::Found { -count } else { count })]
        }
        Some(Body::Tally(tally)) => {
            let lines = tally.lines.iter().filter(|line| match &line.lot_id {
                Some(lot) => subjects.contains(&Subject::Lot(lot.clone())),
                None => own,
            });
            lines.map(|line| end(State::Dead, line.dead)).collect()
        }
        Some(Body::Receipt(receipt)) => {
            let lines = receipt.lines.iter().filter(|line| {
                line.arrived == Arrived::Dead
                    && Subject::received(line).is_some_and(|subject| subjects.contains(&subject))
            });
            lines.map(|line| end(State::Dead, line.individual_count)).collect()
        }
        Some(Body::Dispatch(dispatch)) if dispatch.destination != Destination::Region => {
            let lines = dispatch
                .lines
                .iter()
                .filter(|line| Subject::travelling(line).is_some_and(|subject| subjects.contains(&subject)));
            lines.map(|line| end(State::Left, line.individual_count)).collect()
        }
        _ => Vec::new(),
    }
}

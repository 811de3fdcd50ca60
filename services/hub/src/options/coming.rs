//! Who is coming to a centre: kept places and animals on the road count in the unit that was named for
//! them, or else as unhoused of the centre; each animal once.

use chrono::DateTime;
use haulout_placement::view::{Centre, Occupant, Unit};
use haulout_schemas::Body;
use haulout_store::{Reservation, RoomState, Weighs};
use std::collections::HashMap;

/// What is coming to one centre.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Coming {
    /// Animals that are due today.
    due_today: u32,
    heads: Vec<Head>,
}

#[derive(Debug, Clone, PartialEq)]
struct Head {
    unit: Option<String>,
    occupant: Occupant,
    /// A place is kept, and nobody on the road for it yet.
    reserved: bool,
}

/// What is coming, by centre.
pub(super) fn coming(state: &RoomState) -> HashMap<String, Coming> {
    let mut coming: HashMap<String, Coming> = HashMap::new();
    let mut on_the_road: HashMap<&str, Vec<&Reservation>> = HashMap::new();
    for one in &state.reservations {
        let reservation = &one.reservation;
        match one.weighs() {
            Weighs::Reserved => {
                coming.entry(reservation.centre_id.to_string()).or_default().keep(state, reservation)
            }
            Weighs::Expected => {
                if let Some(consignment) = &reservation.consignment_id {
                    on_the_road.entry(consignment.as_str()).or_default().push(reservation);
                }
            }
            Weighs::Nothing => {}
        }
    }
    let destinations = destinations(state);
    for journey in state.journeys.iter().filter(|journey| journey.count > 0) {
        let Some(centre) = destinations.get(journey.consignment_id.as_str()) else { continue };
        let coming = coming.entry((*centre).to_owned()).or_default();
        let mut left = u32::try_from(journey.count).unwrap_or(u32::MAX);
        coming.due_today = coming.due_today.saturating_add(left);
        let kept = on_the_road.get(journey.consignment_id.as_str()).map(Vec::as_slice).unwrap_or_default();
        for one in kept.iter().filter(|one| one.scientific_name.as_str() == journey.scientific_name) {
            let count = left.min(one.individual_count);
            left -= count;
            let unit = one.unit_id.as_ref().map(ToString::to_string);
            coming.add(unit, animals(&journey.scientific_name, count), false);
        }
        // More set out than a place was kept for.
        coming.add(None, animals(&journey.scientific_name, left), false);
    }
    coming
}

/// By consignment, where it goes.
fn destinations(state: &RoomState) -> HashMap<&str, &str> {
    let mut destinations = HashMap::new();
    for one in state.journey_records.iter() {
        if let Some(Body::Dispatch(dispatch)) = &one.record.body
            && let Some(destination) = &dispatch.destination_id
        {
            destinations.entry(dispatch.consignment_id.as_str()).or_insert(destination.as_str());
        }
    }
    destinations
}

impl Coming {
    fn keep(&mut self, state: &RoomState, reservation: &Reservation) {
        let request: Option<haulout_placement::Request> =
            serde_json::from_value(reservation.request.clone()).ok();
        let mut occupant = animals(reservation.scientific_name.as_str(), reservation.individual_count);
        occupant.reservation_id = Some(reservation.reservation_id.clone());
        if let Some(request) = request {
            occupant.length = request.length;
            occupant.sex = request.sex;
            occupant.life_stage = request.life_stage;
            occupant.batch_id = request.batch_id;
        }
        if is_due_today(state, reservation.expected_at.as_deref()) {
            self.due_today = self.due_today.saturating_add(reservation.individual_count);
        }
        self.add(reservation.unit_id.as_ref().map(ToString::to_string), occupant, true);
    }

    fn add(&mut self, unit: Option<String>, occupant: Occupant, reserved: bool) {
        if occupant.individual_count > 0 {
            self.heads.push(Head { unit, occupant, reserved });
        }
    }

    /// Counts everyone where they are coming to.
    pub(super) fn settle(&self, mut centre: Option<&mut Centre>, units: &mut [Unit]) {
        if let Some(centre) = &mut centre {
            centre.due_today = self.due_today;
        }
        for Head { unit, occupant, reserved } in &self.heads {
            let named = units.iter_mut().find(|one| Some(&one.unit_id) == unit.as_ref());
            match (named, reserved) {
                (Some(unit), true) => unit.reserved.push(occupant.clone()),
                (Some(unit), false) => unit.expected.push(occupant.clone()),
                (None, _) => {
                    if let Some(centre) = &mut centre {
                        centre.unhoused.push(occupant.clone());
                    }
                }
            }
        }
    }
}

/// True when a kept place is for today; one without a day may be.
fn is_due_today(state: &RoomState, expected_at: Option<&str>) -> bool {
    let expected = expected_at.and_then(|text| DateTime::parse_from_rfc3339(text).ok());
    expected.is_none_or(|at| at.with_timezone(&state.configuration.zone()).date_naive() <= state.today)
}

fn animals(name: &str, count: u32) -> Occupant {
    Occupant {
        organism_id: None,
        lot_id: None,
        reservation_id: None,
        scientific_name: name.to_owned(),
        individual_count: count,
        length: None,
        sex: None,
        life_stage: None,
        batch_id: None,
    }
}

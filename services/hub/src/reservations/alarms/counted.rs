//! The nightly count, and what was reported as housed, against the promised places.

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_placement::view::{Occupant, RegionView};
use haulout_placement::{Request, RoomLeft, room_left};
use haulout_reckoning::Effective;
use haulout_reckoning::occupancy::occupancy;
use haulout_schemas::Body;
use haulout_schemas::envelope::RecordRef;
use haulout_schemas::records::count::Census;
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::LifeStage;
use haulout_store::{ReservationNow, RoomState, Weighs};
use std::collections::BTreeMap;
use std::sync::Arc;

use crate::reservations::free::{Water, narrowed};

/// Why a promised place is no longer there.
#[derive(Debug)]
pub struct Full {
    /// What decided it, in one sentence.
    pub because: String,
    /// Room that is left, heads.
    pub left: u32,
    /// The count that left no room: its record, its day, and how many more it found than the books.
    /// `None`: what was reported as housed left none.
    pub counted: Option<(RecordRef, NaiveDate, u32)>,
}

/// Whether a place is still there for the reservation that keeps it, by the books and by the count.
pub fn full(
    view: &RegionView,
    state: &RoomState,
    at: DateTime<FixedOffset>,
    censuses: &[Arc<Effective>],
    one: &ReservationNow,
) -> Option<Full> {
    let reservation = &one.reservation;
    let (centre, unit_id) = (&reservation.centre_id, reservation.unit_id.as_ref()?.as_str());
    let request: Request = serde_json::from_value(reservation.request.clone()).ok()?;
    let mut narrow = narrowed(view, centre.as_str(), unit_id, Water::Apart);
    let unit = narrow.units.first_mut()?;
    unit.reserved.retain(|kept| kept.reservation_id.as_deref() != Some(&reservation.reservation_id));
    if one.weighs() == Weighs::Expected {
        // Its own animals on the road, which the view knows by name and number only.
        let own = unit.expected.iter().position(|coming| {
            coming.scientific_name == reservation.scientific_name.as_str()
                && coming.individual_count >= reservation.individual_count
        });
        if let Some(own) = own {
            unit.expected.remove(own);
        }
    }
    let room = |view: &RegionView| -> Option<RoomLeft> {
        let configuration = &state.configuration;
        let place = (centre.as_str(), unit_id);
        room_left(view, &request, &configuration.profiles, &configuration.names, at, place)
    };
    let by_books = room(&narrow)?;
    if by_books.heads < request.individual_count {
        return Some(Full { because: by_books.because, left: by_books.heads, counted: None });
    }
    let (record, day, counted) = newest_count(censuses, state, centre, unit_id)?;
    let surplus = surplus(counted, state, centre, unit_id, day);
    let more: u32 = surplus.iter().map(|one| one.individual_count).sum();
    if more == 0 {
        return None;
    }
    narrow.units.first_mut()?.occupants.extend(surplus);
    let by_count = room(&narrow)?;
    (by_count.heads < request.individual_count).then_some(Full {
        because: by_count.because,
        left: by_count.heads,
        counted: Some((record, day, more)),
    })
}

/// The newest census of a centre that tells of a unit, and what it counted there by name.
fn newest_count(
    censuses: &[Arc<Effective>],
    state: &RoomState,
    centre: &PartyId,
    unit: &str,
) -> Option<(RecordRef, NaiveDate, BTreeMap<String, u32>)> {
    censuses.iter().rev().find_map(|one| {
        let frame = &one.record.envelope;
        let Some(Body::Census(census)) = &one.record.body else { return None };
        let own = frame.author_id == *centre && frame.centre_id.as_ref() == Some(centre);
        if !own || frame.event_date.day() > state.today || !tells_of(census, unit) {
            return None;
        }
        let record = RecordRef { author_id: frame.author_id.clone(), record_id: frame.record_id.clone() };
        Some((record, frame.event_date.day(), counted_in(census, unit, state)))
    })
}

fn tells_of(census: &Census, unit: &str) -> bool {
    let by_units = census.lines.iter().any(|line| line.unit_id.is_some());
    census.unit_id.as_ref().is_some_and(|one| one.as_str() == unit)
        || census.lines.iter().any(|line| line.unit_id.as_ref().is_some_and(|one| one.as_str() == unit))
        || (census.complete && census.unit_id.is_none() && by_units)
}

fn counted_in(census: &Census, unit: &str, state: &RoomState) -> BTreeMap<String, u32> {
    let mut counted: BTreeMap<String, u32> = BTreeMap::new();
    for line in &census.lines {
        let there = line.unit_id.as_ref().or(census.unit_id.as_ref()).is_some_and(|one| one.as_str() == unit);
        // Eggs are no heads, and a line that cannot be counted states no number.
        let states = line.not_countable != Some(true) && line.life_stage != Some(LifeStage::Egg);
        if there && states {
            let name = state.configuration.names.commodity(line.scientific_name.as_str()).into_owned();
            let so_far = counted.entry(name).or_default();
            *so_far = so_far.saturating_add(line.individual_count);
        }
    }
    counted
}

/// How many more of each name were counted than the books had in the unit at the close of that day.
/// What moved since is in the books of today, so the difference is what today must be mended by.
fn surplus(
    counted: BTreeMap<String, u32>,
    state: &RoomState,
    centre: &PartyId,
    unit: &str,
    day: NaiveDate,
) -> Vec<Occupant> {
    let floor = state.floors.get(centre.as_str()).cloned().unwrap_or_default();
    let books = occupancy(&floor, centre, &state.configuration.names, day);
    let mut booked: BTreeMap<&str, u32> = BTreeMap::new();
    for one in books.of_unit(unit).iter().filter(|one| one.life_stage != Some(LifeStage::Egg)) {
        *booked.entry(one.scientific_name.as_str()).or_default() += one.count;
    }
    counted
        .into_iter()
        .filter_map(|(name, count)| {
            let more = count.saturating_sub(booked.get(name.as_str()).copied().unwrap_or_default());
            (more > 0).then_some(Occupant {
                organism_id: None,
                lot_id: None,
                reservation_id: None,
                scientific_name: name,
                individual_count: more,
                length: None,
                sex: None,
                life_stage: None,
                batch_id: None,
            })
        })
        .collect()
}

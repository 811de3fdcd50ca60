//! One centre's floor, read once: who is where, how long and of what sex they are, which batches run.

use chrono::NaiveDate;
use haulout_placement::view::{Occupant, Quarantine};
use haulout_reckoning::occupancy::{self, Occupancy, occupancy};
use haulout_reckoning::region::Party;
use haulout_schemas::Body;
use haulout_schemas::envelope::{Envelope, Length};
use haulout_schemas::records::health::QuarantineEvent;
use haulout_schemas::vocabulary::Sex;
use haulout_store::RoomState;
use std::collections::HashMap;

use super::view::told;

/// An animal or a lot.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Subject<'a> {
    Animal(&'a str),
    Lot(&'a str),
}

/// What a centre's records tell of those who are in it.
pub(super) struct Floor<'a> {
    there: Occupancy,
    lengths: HashMap<Subject<'a>, &'a Length>,
    sexes: HashMap<Subject<'a>, Sex>,
    batches: HashMap<&'a str, Quarantine>,
    /// Animals that arrived today.
    pub arrived_today: u32,
}

impl<'a> Floor<'a> {
    pub fn of(state: &'a RoomState, party: &Party) -> Self {
        let records = state.floors.get(party.party_id.as_str()).map(Vec::as_slice).unwrap_or_default();
        let there = occupancy(records, &party.party_id, &state.configuration.names, state.today);
        let mut floor = Self {
            there,
            lengths: HashMap::new(),
            sexes: HashMap::new(),
            batches: HashMap::new(),
            arrived_today: 0,
        };
        // In the order of their days: the last word on an animal comes last.
        for (frame, body) in records.iter().filter_map(|one| told(one)) {
            floor.hear(state, frame, body);
        }
        floor
    }

    fn hear(&mut self, state: &RoomState, frame: &'a Envelope, body: &'a Body) {
        let today = frame.event_date.day() == state.today;
        match body {
            Body::Rescue(rescue) => {
                self.arrived_today += if today { rescue.individual_count } else { 0 };
                for subject in subjects(frame) {
                    if let Some(length) = rescue.lengths_metre.last() {
                        self.lengths.insert(subject, length);
                    }
                    if let Some(sex) = rescue.sex {
                        self.sexes.insert(subject, sex);
                    }
                }
            }
            Body::Receipt(receipt) if today => {
                self.arrived_today += receipt.lines.iter().map(|line| line.individual_count).sum::<u32>();
            }
            Body::Census(census) if census.opening == Some(true) => {
                for line in &census.lines {
                    if let (Some(animal), Some(sex)) = (&line.organism_id, line.sex) {
                        self.sexes.insert(Subject::Animal(animal.as_str()), sex);
                    }
                }
            }
            Body::Quarantine(step) if step.event != QuarantineEvent::Ended => {
                let profile = frame
                    .scientific_name
                    .as_ref()
                    .and_then(|name| state.configuration.names.profile(name.as_str()));
                let days = step.days.or_else(|| profile.map(|profile| profile.quarantine_days.value));
                let days = chrono::Days::new(u64::from(days.unwrap_or_default()));
                let clear = frame.event_date.day().checked_add_days(days).unwrap_or(NaiveDate::MAX);
                let batch = self.batches.entry(step.batch_id.as_str()).or_insert_with(|| Quarantine {
                    batch_id: step.batch_id.to_string(),
                    order: None,
                    clear_day: clear,
                });
                batch.clear_day = batch.clear_day.max(clear);
                batch.order = profile.map(|profile| profile.order).or(batch.order);
            }
            _ => {}
        }
    }

    /// Those in a unit.
    pub fn in_unit(&self, unit: &str) -> Vec<Occupant> {
        self.there.of_unit(unit).iter().map(|one| self.occupant(one)).collect()
    }

    /// Those in the centre's stock and in none of its units.
    pub fn unhoused(&self) -> Vec<Occupant> {
        self.there.unhoused.iter().map(|one| self.occupant(one)).collect()
    }

    /// The batch in a unit that is clear last.
    pub fn quarantine(&self, unit: &str) -> Option<Quarantine> {
        let batches = self.there.of_unit(unit).iter().filter_map(|one| one.batch_id.as_deref());
        batches.filter_map(|batch| self.batches.get(batch)).max_by_key(|batch| batch.clear_day).cloned()
    }

    /// An occupant with the size and sex that its records tell.
    fn occupant(&self, one: &occupancy::Occupant) -> Occupant {
        let animal = one.organism_id.as_ref().map(|id| Subject::Animal(id.as_str()));
        let lot = one.lot_id.as_ref().map(|id| Subject::Lot(id.as_str()));
        let subjects = || animal.iter().chain(&lot);
        Occupant {
            organism_id: one.organism_id.as_ref().map(ToString::to_string),
            lot_id: one.lot_id.as_ref().map(ToString::to_string),
            reservation_id: None,
            scientific_name: one.scientific_name.clone(),
            individual_count: one.count,
            length: subjects().find_map(|subject| self.lengths.get(subject)).map(|length| (*length).clone()),
            sex: subjects().find_map(|subject| self.sexes.get(subject)).copied(),
            life_stage: one.life_stage,
            batch_id: one.batch_id.clone(),
        }
    }
}

fn subjects(frame: &Envelope) -> impl Iterator<Item = Subject<'_>> {
    let animal = frame.organism_id.as_ref().map(|id| Subject::Animal(id.as_str()));
    let lot = frame.lot_id.as_ref().map(|id| Subject::Lot(id.as_str()));
    animal.into_iter().chain(lot)
}

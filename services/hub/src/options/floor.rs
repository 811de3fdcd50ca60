//! One centre's floor, read once: who is where, how long and of what sex they are, which batches run.

use chrono::NaiveDate;
use haulout_placement::view::{Occupant, Quarantine};
use haulout_reckoning::Effective;
use haulout_reckoning::occupancy::{self, occupancy};
use haulout_reckoning::region::Party;
use haulout_schemas::Body;
use haulout_schemas::envelope::{Envelope, Length};
use haulout_schemas::records::health::QuarantineEvent;
use haulout_schemas::vocabulary::Sex;
use haulout_store::RoomState;
use std::collections::HashMap;
use std::sync::Arc;

use super::view::told;

/// An animal or a lot.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Subject<'a> {
    Animal(&'a str),
    Lot(&'a str),
}

/// Those who are in a centre, with what its records tell of them.
#[derive(Debug, Default)]
pub struct Floor {
    units: HashMap<String, Vec<Occupant>>,
    /// In the centre's stock and in none of its units.
    pub unhoused: Vec<Occupant>,
    batches: HashMap<String, Quarantine>,
    /// Animals that arrived today.
    pub arrived_today: u32,
}

impl Floor {
    /// The floor as the records of a centre tell it.
    pub fn of(records: &[Arc<Effective>], state: &RoomState, party: &Party) -> Self {
        let mut heard = Heard::default();
        // In the order of their days: the last word on an animal comes last.
        for (frame, body) in records.iter().filter_map(|one| told(one)) {
            heard.hear(state, frame, body);
        }
        let there = occupancy(records, &party.party_id, &state.configuration.names, state.today);
        Self {
            units: there
                .units
                .iter()
                .map(|unit| {
                    (unit.unit_id.clone(), unit.occupants.iter().map(|one| heard.occupant(one)).collect())
                })
                .collect(),
            unhoused: there.unhoused.iter().map(|one| heard.occupant(one)).collect(),
            batches: heard.batches.into_iter().map(|(id, batch)| (id.to_owned(), batch)).collect(),
            arrived_today: heard.arrived_today,
        }
    }

    /// Those in a unit.
    pub fn in_unit(&self, unit: &str) -> &[Occupant] {
        self.units.get(unit).map_or(&[], Vec::as_slice)
    }

    /// The batch in a unit that is clear last.
    pub fn quarantine(&self, unit: &str) -> Option<&Quarantine> {
        let batches = self.in_unit(unit).iter().filter_map(|one| one.batch_id.as_deref());
        batches.filter_map(|batch| self.batches.get(batch)).max_by_key(|batch| batch.clear_day)
    }
}

/// What the records of a centre tell of animals, lots and batches.
#[derive(Default)]
struct Heard<'a> {
    lengths: HashMap<Subject<'a>, &'a Length>,
    sexes: HashMap<Subject<'a>, Sex>,
    batches: HashMap<&'a str, Quarantine>,
    arrived_today: u32,
}

impl<'a> Heard<'a> {
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

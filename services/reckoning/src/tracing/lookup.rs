//! What is looked up while a chain is followed: places, journeys and crates, each worked out once.

use super::carrier::Carrier;
use super::contact::{Meeting, Shared, Whereabouts};
use super::days::Days;
use super::house::{House, Stay};
use super::journey::{CrateLife, Journey, crate_lives};
use crate::effective::Effective;
use crate::findings::descent::{edges, same_animal};
use crate::findings::{RecordName, Records};
use crate::keys::{Key, place_of};
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::text::{ConsignmentId, PartyId};
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::Arc;

/// Everything that was looked up so far.
pub(super) struct Lookup<'r> {
    records: &'r dyn Records,
    names: &'r Names,
    houses: BTreeMap<PartyId, House>,
    journeys: BTreeMap<ConsignmentId, Option<Journey>>,
    crates: BTreeMap<String, Vec<CrateLife>>,
    met: BTreeMap<Carrier, Rc<[Meeting]>>,
}

impl<'r> Lookup<'r> {
    pub(super) fn new(records: &'r dyn Records, names: &'r Names) -> Self {
        Self {
            records,
            names,
            houses: BTreeMap::new(),
            journeys: BTreeMap::new(),
            crates: BTreeMap::new(),
            met: BTreeMap::new(),
        }
    }

    pub(super) fn of(&self, key: &Key) -> Vec<Arc<Effective>> {
        self.records.of(key)
    }

    pub(super) fn house(&mut self, place: &PartyId) -> &House {
        let (records, names) = (self.records, self.names);
        self.houses
            .entry(place.clone())
            .or_insert_with(|| House::of(place, &records.of(&Key::units(place)), names))
    }

    pub(super) fn journey(&mut self, id: &ConsignmentId) -> Option<&Journey> {
        let records = self.records;
        let journey = self
            .journeys
            .entry(id.clone())
            .or_insert_with(|| Journey::of(id, &records.of(&Key::consignment(id))));
        journey.as_ref()
    }

    /// The lives of the crates of a number.
    pub(super) fn lives(&mut self, number: &str) -> &[CrateLife] {
        if !self.crates.contains_key(number) {
            let named = self.records.of(&Key::crate_number(number));
            let ids: BTreeSet<ConsignmentId> =
                named.iter().filter_map(|one| consignment(&one.record)).cloned().collect();
            let journeys: Vec<Journey> = ids.iter().filter_map(|id| self.journey(id).cloned()).collect();
            let lives = crate_lives(number, &journeys.iter().collect::<Vec<_>>());
            self.crates.insert(number.to_owned(), lives);
        }
        self.crates.get(number).map_or(&[], Vec::as_slice)
    }

    /// The one name of a carrier: an animal with several numbers goes by the first of them.
    pub(super) fn canonical(&self, carrier: &Carrier) -> Carrier {
        match carrier {
            Carrier::Animal { organism_id } => same_animal(organism_id, self.records)
                .into_iter()
                .next()
                .map_or_else(|| carrier.clone(), |organism_id| Carrier::Animal { organism_id }),
            other => other.clone(),
        }
    }

    /// The subjects that a carrier is; none for a crate or what has no number.
    pub(super) fn subjects(&self, carrier: &Carrier) -> Vec<Subject> {
        match carrier {
            Carrier::Animal { organism_id } => {
                same_animal(organism_id, self.records).into_iter().map(Subject::Animal).collect()
            }
            Carrier::Lot { lot_id } => vec![Subject::Lot(lot_id.clone())],
            Carrier::Unnumbered { .. } | Carrier::Crate { .. } => Vec::new(),
        }
    }

    /// The records about a carrier.
    pub(super) fn filed(&self, carrier: &Carrier) -> Vec<Arc<Effective>> {
        self.subjects(carrier).iter().flat_map(|subject| self.records.of(&subject.key())).collect()
    }

    /// The centres and points at which a carrier was, as far as records about it tell.
    pub(super) fn places(&self, carrier: &Carrier) -> BTreeSet<PartyId> {
        if let Carrier::Unnumbered { place_id, .. } = carrier {
            return BTreeSet::from([place_id.clone()]);
        }
        self.filed(carrier).iter().filter_map(|one| place_of(&one.record.envelope).cloned()).collect()
    }

    /// The stays of a carrier, each with its place, under any of its numbers.
    pub(super) fn stays(&mut self, carrier: &Carrier) -> Vec<(PartyId, Stay)> {
        let numbers = self.numbers(carrier);
        let mut stays = Vec::new();
        for place in self.places(carrier) {
            let house = self.house(&place);
            for number in &numbers {
                stays.extend(house.stays_of(number).map(|stay| (place.clone(), stay.clone())));
            }
        }
        stays
    }

    /// The carrier under each of its numbers.
    pub(super) fn numbers(&self, carrier: &Carrier) -> Vec<Carrier> {
        let subjects = self.subjects(carrier);
        if subjects.is_empty() {
            vec![carrier.clone()]
        } else {
            subjects.into_iter().map(Carrier::from).collect()
        }
    }

    /// The journeys of a carrier.
    pub(super) fn journeys_of(&mut self, carrier: &Carrier) -> Vec<Journey> {
        let numbers = self.numbers(carrier);
        let ids: BTreeSet<ConsignmentId> =
            self.filed(carrier).iter().filter_map(|one| consignment(&one.record)).cloned().collect();
        let journeys = ids.iter().filter_map(|id| self.journey(id).cloned());
        journeys
            .filter(|journey| numbers.iter().any(|number| journey.travellers.contains_key(number)))
            .collect()
    }

    /// Everything that a carrier ever shared with others, sorted, each once.
    pub(super) fn meetings(&mut self, carrier: &Carrier) -> Rc<[Meeting]> {
        if let Some(known) = self.met.get(carrier) {
            return Rc::clone(known);
        }
        let mut met: BTreeSet<Meeting> = BTreeSet::new();
        match carrier {
            Carrier::Crate { crate_id, .. } => self.in_crate(carrier, crate_id.as_str(), &mut met),
            _ => {
                self.in_units(carrier, &mut met);
                self.on_journeys(carrier, &mut met);
                self.by_descent(carrier, &mut met);
            }
        }
        let named = met.into_iter().map(|mut one| {
            one.other = self.canonical(&one.other);
            one
        });
        let apart: BTreeSet<Meeting> = named.filter(|one| one.other != *carrier).collect();
        let met: Rc<[Meeting]> = apart.into_iter().collect();
        self.met.insert(carrier.clone(), Rc::clone(&met));
        met
    }

    fn in_units(&mut self, carrier: &Carrier, met: &mut BTreeSet<Meeting>) {
        for (place, stay) in self.stays(carrier) {
            let house = self.house(&place);
            let shared = match (&stay.unit, house.point) {
                (Some(_), _) => Shared::Unit,
                (None, true) => Shared::Point,
                (None, false) => Shared::NoUnit,
            };
            let here = Whereabouts {
                place_id: Some(place.clone()),
                unit_id: stay.unit.clone(),
                ..Whereabouts::default()
            };
            for other in house.stays_in(stay.unit.as_deref()) {
                let days = stay.days.meet(other.days);
                met.extend(days.map(|days| meeting(&stay, other, days, shared, here.clone(), None)));
            }
            let Some(unit) = &stay.unit else { continue };
            for (other_unit, water, shared_days) in house.sharing(unit) {
                for other in house.stays_in(Some(other_unit)) {
                    let at = Whereabouts {
                        other_unit_id: Some(other_unit.to_owned()),
                        water_circuit: Some(water.circuit.clone()),
                        ..here.clone()
                    };
                    let days = stay.days.meet(other.days).and_then(|days| days.meet(shared_days));
                    met.extend(days.map(|days| {
                        meeting(&stay, other, days, Shared::WaterCircuit, at, Some(&water.record))
                    }));
                }
            }
        }
    }

    fn on_journeys(&mut self, carrier: &Carrier, met: &mut BTreeSet<Meeting>) {
        let numbers = self.numbers(carrier);
        for journey in self.journeys_of(carrier) {
            let own = numbers.iter().filter_map(|number| journey.travellers.get(number));
            for traveller in own {
                let at = |crate_id: Option<String>| Whereabouts {
                    consignment_id: Some(journey.id.clone()),
                    crate_id,
                    ..Whereabouts::default()
                };
                let mut share = |other: Carrier, shared: Shared, at: Whereabouts| {
                    let records = journey.records.clone();
                    met.insert(Meeting { days: journey.days, other, shared, at, records });
                };
                for (other, second) in &journey.travellers {
                    if traveller.crates.is_empty() || second.crates.is_empty() {
                        share(other.clone(), Shared::Consignment, at(None));
                    }
                    for common in traveller.crates.intersection(&second.crates) {
                        share(other.clone(), Shared::Crate, at(Some(common.clone())));
                    }
                }
                for number in journey.crates_of(traveller) {
                    let lives = self.lives(&number);
                    for life in lives.iter().filter(|life| life.uses.contains(&journey.id)) {
                        share(life.carrier.clone(), Shared::Crate, at(Some(number.clone())));
                    }
                }
            }
        }
    }

    /// All that travelled in a crate between two disinfections.
    fn in_crate(&mut self, carrier: &Carrier, number: &str, met: &mut BTreeSet<Meeting>) {
        let lives = self.lives(number).to_vec();
        let uses = lives.into_iter().filter(|life| life.carrier == *carrier).flat_map(|life| life.uses);
        for id in uses.collect::<Vec<_>>() {
            let Some(journey) = self.journey(&id) else { continue };
            for (other, traveller) in &journey.travellers {
                if journey.crates_of(traveller).contains(number) {
                    met.insert(Meeting {
                        days: journey.days,
                        other: other.clone(),
                        shared: Shared::Crate,
                        at: Whereabouts {
                            consignment_id: Some(id.clone()),
                            crate_id: Some(number.to_owned()),
                            ..Whereabouts::default()
                        },
                        records: journey.records.clone(),
                    });
                }
            }
        }
    }

    /// What a lot was part of, and what came of it: until the day on which they were parted, the part
    /// was in the whole; on that day it came out of it.
    fn by_descent(&self, carrier: &Carrier, met: &mut BTreeSet<Meeting>) {
        let own: BTreeSet<Subject> = self.subjects(carrier).into_iter().collect();
        for one in self.filed(carrier) {
            let day = one.record.envelope.event_date.day();
            for (whole, part) in edges(&one.record) {
                let (other, days) = match (own.contains(&whole), own.contains(&part)) {
                    (true, false) => (part, Days::one(day)),
                    (false, true) => {
                        let from = self.first_day(&whole).map_or(day, |first| first.min(day));
                        (whole, Days::of(from, Some(day)))
                    }
                    _ => continue,
                };
                let at = Whereabouts {
                    place_id: place_of(&one.record.envelope).cloned(),
                    ..Whereabouts::default()
                };
                let records = vec![RecordName::from(&one.record)];
                met.insert(Meeting { days, other: other.into(), shared: Shared::Lot, at, records });
            }
        }
    }

    fn first_day(&self, subject: &Subject) -> Option<NaiveDate> {
        self.records.of(&subject.key()).iter().map(|one| one.record.envelope.event_date.day()).min()
    }
}

fn meeting(
    own: &Stay,
    other: &Stay,
    days: Days,
    shared: Shared,
    at: Whereabouts,
    water: Option<&RecordName>,
) -> Meeting {
    let mut records: Vec<RecordName> =
        own.records.iter().chain(&other.records).chain(water).cloned().collect();
    records.sort();
    records.dedup();
    Meeting { days, other: other.who.clone(), shared, at, records }
}

/// The journey of a dispatch or receipt.
pub(super) fn consignment(record: &Record) -> Option<&ConsignmentId> {
    match &record.body {
        Some(Body::Dispatch(dispatch)) => Some(&dispatch.consignment_id),
        Some(Body::Receipt(receipt)) => Some(&receipt.consignment_id),
        _ => None,
    }
}

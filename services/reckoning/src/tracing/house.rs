//! Who stood in which unit of one place, from which day to which, and which units share water.

use super::carrier::Carrier;
use super::days::Days;
use crate::effective::Effective;
use crate::findings::RecordName;
use crate::keys::place_of;
use crate::occupancy::{Floor, Who, in_order};
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// One carrier in one unit, or in the stock and in no unit.
#[derive(Clone, Debug)]
pub(super) struct Stay {
    pub(super) who: Carrier,
    /// `None`: in no unit that a record names.
    pub(super) unit: Option<String>,
    pub(super) days: Days,
    /// What brought it there, and what took it away.
    pub(super) records: Vec<RecordName>,
}

/// Where a number of a carrier stands when everything was applied.
#[derive(Clone, Debug)]
pub(super) struct Stands {
    pub(super) unit: Option<String>,
    pub(super) count: u32,
}

/// The water circuit of a unit over some days.
#[derive(Clone, Debug)]
pub(super) struct Water {
    pub(super) circuit: String,
    pub(super) days: Days,
    pub(super) record: RecordName,
}

/// One place over time.
#[derive(Debug, Default)]
pub(super) struct House {
    pub(super) point: bool,
    pub(super) stays: Vec<Stay>,
    by_who: BTreeMap<Carrier, Vec<usize>>,
    by_unit: BTreeMap<Option<String>, Vec<usize>>,
    pub(super) waters: BTreeMap<String, Vec<Water>>,
    pub(super) standing: BTreeMap<Carrier, Vec<Stands>>,
    pub(super) species: BTreeMap<Carrier, String>,
}

impl House {
    /// `records` are those filed under [`crate::keys::Key::units`] of the place, in any order.
    pub(super) fn of(place: &PartyId, records: &[Arc<Effective>], names: &Names) -> Self {
        let mut house = Self {
            point: records.iter().any(|one| one.record.envelope.point_id.as_ref() == Some(place)),
            ..Self::default()
        };
        let mut floor = Floor::new(place, names, records);
        let mut open: BTreeMap<(Who, Option<String>), Stay> = BTreeMap::new();
        for one in in_order(records) {
            let record = &one.record;
            if place_of(&record.envelope) != Some(place) {
                continue;
            }
            floor.apply(record);
            for who in named(&floor, record) {
                house.follow(place, &floor, &who, record, &mut open);
            }
        }
        house.stays.extend(open.into_values());
        house.stays.sort_by(|one, other| {
            (one.days, &one.unit, &one.who, &one.records).cmp(&(
                other.days,
                &other.unit,
                &other.who,
                &other.records,
            ))
        });
        for (at, stay) in house.stays.iter().enumerate() {
            house.by_who.entry(stay.who.clone()).or_default().push(at);
            house.by_unit.entry(stay.unit.clone()).or_default().push(at);
        }
        for (who, standing) in floor.standings() {
            let carrier = Carrier::of(who, place);
            house.species.insert(carrier.clone(), standing.name.clone());
            let mut stands: Vec<Stands> = standing
                .units
                .iter()
                .map(|(unit, housed)| Stands { unit: Some(unit.clone()), count: number(housed.count) })
                .collect();
            let rest = standing.animals + standing.eggs - standing.housed();
            if rest > 0 {
                stands.push(Stands { unit: None, count: number(rest) });
            }
            if !stands.is_empty() {
                house.standing.insert(carrier, stands);
            }
        }
        house.waters = waters(records, place);
        house
    }

    /// Opens and closes the stays of one carrier after a record that names it.
    fn follow(
        &mut self,
        place: &PartyId,
        floor: &Floor<'_>,
        who: &Who,
        record: &Record,
        open: &mut BTreeMap<(Who, Option<String>), Stay>,
    ) {
        let day = record.envelope.event_date.day();
        let mut rooms: BTreeSet<Option<String>> = BTreeSet::new();
        if let Some(standing) = floor.standings().get(who) {
            rooms.extend(standing.units.keys().cloned().map(Some));
            if standing.animals + standing.eggs > standing.housed() {
                rooms.insert(None);
            }
        }
        let left: Vec<(Who, Option<String>)> =
            open.keys().filter(|(other, room)| other == who && !rooms.contains(room)).cloned().collect();
        for key in left {
            let Some(mut stay) = open.remove(&key) else { continue };
            stay.days.to = Some(day.max(stay.days.from));
            stay.records.push(RecordName::from(record));
            stay.records.sort();
            stay.records.dedup();
            // In a centre, whoever is housed on the day of arrival was never without a unit; a point has none.
            if stay.unit.is_some() || self.point || stay.days.to != Some(stay.days.from) {
                self.stays.push(stay);
            }
        }
        for room in rooms {
            open.entry((who.clone(), room.clone())).or_insert_with(|| Stay {
                who: Carrier::of(who, place),
                unit: room,
                days: Days::of(day, None),
                records: vec![RecordName::from(record)],
            });
        }
    }

    pub(super) fn stays_of(&self, who: &Carrier) -> impl Iterator<Item = &Stay> {
        self.by_who.get(who).into_iter().flatten().filter_map(|at| self.stays.get(*at))
    }

    /// The stays in a unit; of `None`, those in no unit.
    pub(super) fn stays_in(&self, unit: Option<&str>) -> impl Iterator<Item = &Stay> {
        let key = unit.map(str::to_owned);
        self.by_unit.get(&key).into_iter().flatten().filter_map(|at| self.stays.get(*at))
    }

    /// The other units that had the same water as a unit, and when.
    pub(super) fn sharing(&self, unit: &str) -> Vec<(&str, &Water, Days)> {
        let own = self.waters.get(unit).into_iter().flatten();
        let mut sharing = Vec::new();
        for water in own {
            for (other, waters) in self.waters.iter().filter(|(other, _)| other.as_str() != unit) {
                for second in waters.iter().filter(|second| second.circuit == water.circuit) {
                    sharing.extend(water.days.meet(second.days).map(|days| (other.as_str(), second, days)));
                }
            }
        }
        sharing
    }

    /// The circuit of a unit on a day.
    pub(super) fn circuit_on(&self, unit: &str, day: NaiveDate) -> Option<&str> {
        let waters = self.waters.get(unit)?;
        waters.iter().rev().find(|water| water.days.holds(day)).map(|water| water.circuit.as_str())
    }
}

fn number(count: i64) -> u32 {
    u32::try_from(count.max(0)).unwrap_or(u32::MAX)
}

/// Whoever a record names, by whatever number.
fn named(floor: &Floor<'_>, record: &Record) -> BTreeSet<Who> {
    let frame = &record.envelope;
    let mut named: BTreeSet<Who> = BTreeSet::new();
    let mut add = |subject: Option<Subject>, name: &str| {
        named.insert(floor.who(subject, name));
    };
    if let Some(name) = &frame.scientific_name {
        add(Subject::of_frame(frame), name.as_str());
    }
    match &record.body {
        Some(Body::Tally(tally)) => {
            for line in &tally.lines {
                add(line.lot_id.clone().map(Subject::Lot), line.scientific_name.as_str());
            }
        }
        Some(Body::Dispatch(dispatch)) => {
            dispatch.lines.iter().for_each(|line| add(Subject::taken(line), line.scientific_name.as_str()));
        }
        Some(Body::Receipt(receipt)) => {
            receipt.lines.iter().for_each(|line| add(Subject::received(line), line.scientific_name.as_str()));
        }
        Some(Body::Regrouping(regrouping)) => {
            let lines = regrouping.from.iter().chain(&regrouping.to);
            lines.for_each(|line| add(Subject::of_line(line), line.scientific_name.as_str()));
        }
        Some(Body::Census(census)) => {
            for line in &census.lines {
                let animal = line.organism_id.clone().map(Subject::Animal);
                let subject = animal.or_else(|| line.lot_id.clone().map(Subject::Lot));
                add(subject, line.scientific_name.as_str());
            }
        }
        Some(Body::Determination(determination)) => {
            if let (Some(lot), Some(name)) = (&determination.to_lot_id, &determination.to_scientific_name) {
                add(Some(Subject::Lot(lot.clone())), name.as_str());
            }
        }
        Some(Body::Clutch(clutch)) => {
            if let (Some(lot), Some(name)) = (&clutch.hatchlings_lot_id, &frame.scientific_name) {
                add(Some(Subject::Lot(lot.clone())), name.as_str());
            }
        }
        _ => {}
    }
    named
}

/// The water of each unit as capacity and quarantine records state it, each until the next word. The
/// first word is taken to hold from before: pipes are older than the record that tells of them.
fn waters(records: &[Arc<Effective>], place: &PartyId) -> BTreeMap<String, Vec<Water>> {
    let mut words: BTreeMap<String, Vec<(NaiveDate, Option<String>, RecordName)>> = BTreeMap::new();
    for one in in_order(records) {
        let record = &one.record;
        if place_of(&record.envelope) != Some(place) {
            continue;
        }
        let word = match &record.body {
            Some(Body::Capacity(capacity)) => Some((&capacity.unit_id, capacity.water_circuit.as_ref())),
            Some(Body::Quarantine(quarantine)) => match (&quarantine.unit_id, &quarantine.water_circuit) {
                (Some(unit), Some(circuit)) => Some((unit, Some(circuit))),
                _ => None,
            },
            _ => None,
        };
        if let Some((unit, circuit)) = word {
            let day = record.envelope.event_date.day();
            let told = (day, circuit.map(ToString::to_string), RecordName::from(record));
            words.entry(unit.to_string()).or_default().push(told);
        }
    }
    let spans = |words: Vec<(NaiveDate, Option<String>, RecordName)>| {
        let ends: Vec<Option<NaiveDate>> =
            words.iter().skip(1).map(|(day, ..)| Some(*day)).chain([None]).collect();
        let spans = words.into_iter().zip(ends).enumerate();
        spans
            .filter_map(|(at, ((day, circuit, record), to))| {
                let from = if at == 0 { NaiveDate::MIN } else { day };
                Some(Water { circuit: circuit?, days: Days::of(from, to), record })
            })
            .collect::<Vec<_>>()
    };
    words.into_iter().map(|(unit, words)| (unit, spans(words))).collect()
}

//! One consignment: who travelled in which crate, from which day to which.

use super::carrier::Carrier;
use super::days::Days;
use crate::effective::Effective;
use crate::findings::{RecordName, by_order};
use crate::keys::place_of;
use crate::subject::Subject;
use haulout_schemas::records::transfer::{Arrived, Crate, Destination};
use haulout_schemas::text::{ConsignmentId, PartyId};
use haulout_schemas::vocabulary::Known;
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A journey as both ends tell it.
#[derive(Clone, Debug)]
pub(super) struct Journey {
    pub(super) id: ConsignmentId,
    pub(super) from: Option<PartyId>,
    pub(super) to: Option<PartyId>,
    /// From setting out to arriving; without an end while nobody received it.
    pub(super) days: Days,
    /// Whether the receiving end has written.
    pub(super) received: bool,
    /// Whether it stays within the region.
    pub(super) within: bool,
    /// Who travelled, each with the crate that a line names.
    pub(super) travellers: BTreeMap<Carrier, Traveller>,
    /// All crates, with the worse of what both ends say about their disinfection before this journey.
    pub(super) crates: BTreeMap<String, Known>,
    pub(super) records: Vec<RecordName>,
    /// What the ends say of crates; a crate that only a line names is of unknown state.
    said: BTreeMap<String, Known>,
}

/// One that travelled.
#[derive(Clone, Debug, Default)]
pub(super) struct Traveller {
    pub(super) crates: BTreeSet<String>,
    pub(super) sent: u32,
    pub(super) name: String,
}

impl Journey {
    /// `records` are those filed under the consignment's key. `None` where neither end tells of a journey.
    pub(super) fn of(id: &ConsignmentId, records: &[Arc<Effective>]) -> Option<Self> {
        let mut told: Vec<&Record> = records
            .iter()
            .map(|one| &one.record)
            .filter(|record| matches!(&record.body, Some(Body::Dispatch(_) | Body::Receipt(_))))
            .collect();
        told.sort_by(|one, other| by_order(one, other));
        let first = told.first()?.envelope.event_date.day();
        let mut journey = Self {
            id: id.clone(),
            from: None,
            to: None,
            days: Days::of(first, None),
            received: false,
            within: true,
            travellers: BTreeMap::new(),
            crates: BTreeMap::new(),
            records: told.iter().map(|record| RecordName::from(*record)).collect(),
            said: BTreeMap::new(),
        };
        journey.records.sort();
        for record in told {
            journey.add(record);
        }
        Some(journey)
    }

    fn add(&mut self, record: &Record) {
        let place = place_of(&record.envelope).cloned();
        match &record.body {
            Some(Body::Dispatch(dispatch)) => {
                self.within &= dispatch.destination == Destination::Region;
                self.from = self.from.take().or(place);
                self.to = self.to.take().or_else(|| dispatch.destination_id.clone());
                for line in &dispatch.lines {
                    let subject = Subject::travelling(line);
                    let crate_id = line.crate_id.as_ref().map(|id| id.as_str());
                    self.travels(subject, crate_id, line.individual_count, line.scientific_name.as_str());
                }
                self.crates(&dispatch.crates);
            }
            Some(Body::Receipt(receipt)) => {
                self.received = true;
                self.from = self.from.take().or_else(|| receipt.origin_id.clone());
                self.to = place.or_else(|| self.to.take());
                let day = record.envelope.event_date.day();
                self.days.to = Some(self.days.to.map_or(day, |known| known.max(day)));
                // Whoever was found in a crate was on the journey, on a list or not.
                for line in receipt.lines.iter().filter(|line| line.arrived != Arrived::NotInCrate) {
                    self.travels(Subject::received(line), None, 0, line.scientific_name.as_str());
                }
                self.crates(&receipt.crates);
            }
            _ => {}
        }
    }

    fn travels(&mut self, subject: Option<Subject>, crate_id: Option<&str>, sent: u32, name: &str) {
        if let Some(subject) = subject {
            let traveller = self.travellers.entry(subject.into()).or_default();
            if let Some(id) = crate_id {
                traveller.crates.insert(id.to_owned());
                self.crates.entry(id.to_owned()).or_insert(Known::Unknown);
            }
            traveller.sent += sent;
            name.clone_into(&mut traveller.name);
        }
    }

    fn crates(&mut self, crates: &[Crate]) {
        for one in crates {
            let said = self.said.entry(one.crate_id.to_string()).or_insert(one.disinfected);
            *said = worse(*said, one.disinfected);
            self.crates.insert(one.crate_id.to_string(), *said);
        }
    }

    /// The crates in which a traveller may have been: those that its lines name, else all.
    pub(super) fn crates_of(&self, traveller: &Traveller) -> BTreeSet<String> {
        if traveller.crates.is_empty() {
            self.crates.keys().cloned().collect()
        } else {
            traveller.crates.clone()
        }
    }
}

/// Of two words about one crate the one that promises less.
fn worse(one: Known, other: Known) -> Known {
    match (one, other) {
        (Known::No, _) | (_, Known::No) => Known::No,
        (Known::Yes, Known::Yes) => Known::Yes,
        _ => Known::Unknown,
    }
}

/// A crate from one disinfection to the next.
#[derive(Clone, Debug)]
pub(super) struct CrateLife {
    pub(super) carrier: Carrier,
    /// Its journeys in the order of time.
    pub(super) uses: Vec<ConsignmentId>,
    /// Where it was last known to be.
    pub(super) at: Option<PartyId>,
    places: BTreeSet<PartyId>,
}

/// The lives of all crates of one number. Two parties may use the same number: a journey is a crate's
/// next one only where it sets out from a place at which that crate was before.
pub(super) fn crate_lives(number: &str, journeys: &[&Journey]) -> Vec<CrateLife> {
    let mut in_time: Vec<&&Journey> =
        journeys.iter().filter(|journey| journey.crates.contains_key(number)).collect();
    in_time.sort_by(|one, other| (one.days, &one.id).cmp(&(other.days, &other.id)));
    let mut lives: Vec<CrateLife> = Vec::new();
    for journey in in_time {
        let from = journey.from.clone().unwrap_or_else(|| PartyId::from(""));
        let clean = journey.crates.get(number) == Some(&Known::Yes);
        let before = lives.iter_mut().rev().find(|life| life.places.contains(&from));
        let ends = [Some(from.clone()), journey.to.clone()].into_iter().flatten();
        match before {
            Some(life) if !clean => {
                life.uses.push(journey.id.clone());
                life.places.extend(ends);
                life.at = journey.to.clone();
            }
            before => {
                let known = before.map(|life| std::mem::take(&mut life.places)).unwrap_or_default();
                lives.push(CrateLife {
                    carrier: Carrier::Crate {
                        crate_id: number.into(),
                        since: journey.days.from,
                        place_id: from,
                    },
                    uses: vec![journey.id.clone()],
                    at: journey.to.clone(),
                    places: known.into_iter().chain(ends).collect(),
                });
            }
        }
    }
    lives
}

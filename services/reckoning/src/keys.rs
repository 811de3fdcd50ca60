//! Keys: under what a record must be found again when another record about the same thing comes.
//!
//! A finding is judged for one key, from the records filed under it and under the keys it leads to.
//! So a submission re-judges the keys it touches and those that they wake, and nothing else.

mod filing;

use chrono::NaiveDate;
use haulout_schemas::envelope::{Envelope, RecordRef};
use haulout_schemas::text::{ConsignmentId, LotId, OrganismId, PartyId};
use std::fmt;

pub(crate) use filing::meanwhile_ids;
pub use filing::{FILING_VERSION, keys};

/// A family and an identifier, `animal/meruva.kolvani:17`. Sorted by code point.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key(String);

/// What a key is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// One animal: `animal/ORGANISM`.
    Animal,
    /// One batch in quarantine: `batch/PLACE/BATCH`.
    Batch,
    /// Case property: `case/NUMBER`.
    Case,
    /// One water circuit of a place: `circuit/PLACE/CIRCUIT`.
    Circuit,
    /// One journey: `consignment/ID`.
    Consignment,
    /// Crates of one number: `crate/ID`. Two parties may use the same number.
    Crate,
    /// Every confirmed case of disease: `disease/confirmed`.
    Disease,
    /// One incident that several agencies may report: `incident/REFERENCE`.
    Incident,
    /// Arrivals of single animals in one month, which may be one animal told twice: `likeness/2026-07`;
    /// and what tells animals apart by their pattern: `likeness/pattern`.
    Likeness,
    /// One lot or clutch: `lot/LOT`.
    Lot,
    /// One mark: `mark/NUMBER`.
    Mark,
    /// One order: `order/NUMBER`.
    Order,
    /// One permit: `permit/NUMBER`.
    Permit,
    /// The stock of a centre or point: `place/PLACE`.
    Place,
    /// One record and those that name it: `record/AUTHOR/RECORD`.
    Record,
    /// One unit of a place: `unit/PLACE/UNIT`.
    Unit,
    /// Who is where in a centre or point: `units/PLACE`.
    Units,
}

impl Family {
    /// Every family.
    pub const ALL: [Self; 17] = [
        Self::Animal,
        Self::Batch,
        Self::Case,
        Self::Circuit,
        Self::Consignment,
        Self::Crate,
        Self::Disease,
        Self::Incident,
        Self::Likeness,
        Self::Lot,
        Self::Mark,
        Self::Order,
        Self::Permit,
        Self::Place,
        Self::Record,
        Self::Unit,
        Self::Units,
    ];

    /// The word before the first slash of a key.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Animal => "animal",
            Self::Batch => "batch",
            Self::Case => "case",
            Self::Circuit => "circuit",
            Self::Consignment => "consignment",
            Self::Crate => "crate",
            Self::Disease => "disease",
            Self::Incident => "incident",
            Self::Likeness => "likeness",
            Self::Lot => "lot",
            Self::Mark => "mark",
            Self::Order => "order",
            Self::Permit => "permit",
            Self::Place => "place",
            Self::Record => "record",
            Self::Unit => "unit",
            Self::Units => "units",
        }
    }
}

impl Key {
    fn of(family: Family, id: impl fmt::Display) -> Self {
        Self(format!("{}/{id}", family.as_str()))
    }

    /// The key of a text as stored; `None` where its family is not known.
    pub fn from_text(text: impl Into<String>) -> Option<Self> {
        let key = Self(text.into());
        key.family().is_some().then_some(key)
    }

    /// One animal.
    pub fn animal(id: &OrganismId) -> Self {
        Self::of(Family::Animal, id)
    }

    /// One lot or clutch.
    pub fn lot(id: &LotId) -> Self {
        Self::of(Family::Lot, id)
    }

    /// One journey.
    pub fn consignment(id: &ConsignmentId) -> Self {
        Self::of(Family::Consignment, id)
    }

    /// Crates of one number.
    pub fn crate_number(number: &str) -> Self {
        Self::of(Family::Crate, number)
    }

    /// Every confirmed case of disease.
    pub fn disease() -> Self {
        Self::of(Family::Disease, "confirmed")
    }

    /// Arrivals of single animals in the month of a day.
    pub fn likeness(day: NaiveDate) -> Self {
        Self::of(Family::Likeness, day.format("%Y-%m"))
    }

    /// Every natural pattern that was told of.
    pub fn patterns() -> Self {
        Self::of(Family::Likeness, "pattern")
    }

    /// One mark, by what it reads.
    pub fn mark(number: &str) -> Self {
        Self::of(Family::Mark, number)
    }

    /// One permit, by its number.
    pub fn permit(number: &str) -> Self {
        Self::of(Family::Permit, number)
    }

    /// One order, by its number.
    pub fn order(number: &str) -> Self {
        Self::of(Family::Order, number)
    }

    /// One case, by its number.
    pub fn case(number: &str) -> Self {
        Self::of(Family::Case, number)
    }

    /// One incident, by the number that several agencies share.
    pub fn incident(reference: &str) -> Self {
        Self::of(Family::Incident, reference)
    }

    /// One record and those that name it.
    pub fn record(author: &PartyId, record: &str) -> Self {
        Self::of(Family::Record, format_args!("{author}/{record}"))
    }

    /// The record that a reference names.
    pub fn referred(reference: &RecordRef) -> Self {
        Self::record(&reference.author_id, reference.record_id.as_str())
    }

    /// The stock of a centre or point.
    pub fn place(id: &PartyId) -> Self {
        Self::of(Family::Place, id)
    }

    /// Who is where in a centre or point.
    pub fn units(place: &PartyId) -> Self {
        Self::of(Family::Units, place)
    }

    /// One unit of a place.
    pub fn unit(place: &PartyId, unit: &str) -> Self {
        Self::of(Family::Unit, format_args!("{place}/{unit}"))
    }

    /// One water circuit of a place.
    pub fn circuit(place: &PartyId, circuit: &str) -> Self {
        Self::of(Family::Circuit, format_args!("{place}/{circuit}"))
    }

    /// One batch in quarantine at a place.
    pub fn batch(place: &PartyId, batch: &str) -> Self {
        Self::of(Family::Batch, format_args!("{place}/{batch}"))
    }

    /// The text as stored.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// What it is of.
    pub fn family(&self) -> Option<Family> {
        let word = self.0.split_once('/')?.0;
        Family::ALL.into_iter().find(|family| family.as_str() == word)
    }

    /// What stands after the family's word.
    pub fn id(&self) -> &str {
        self.0.split_once('/').map_or("", |(_, id)| id)
    }

    /// The place and the identifier within it, for batches, units and circuits.
    pub fn within(&self) -> Option<(PartyId, &str)> {
        let (place, id) = self.id().split_once('/')?;
        Some((PartyId::from(place), id))
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// The centre or point of a record.
pub fn place_of(frame: &Envelope) -> Option<&PartyId> {
    frame.centre_id.as_ref().or(frame.point_id.as_ref())
}

#[cfg(test)]
mod tests;

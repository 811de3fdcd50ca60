//! What a record is about: one animal, or one lot.

use crate::keys::Key;
use crate::occupancy::Occupant;
use haulout_schemas::envelope::{Envelope, SubjectLine};
use haulout_schemas::records::transfer::{DispatchLine, ReceiptLine};
use haulout_schemas::text::{LotId, OrganismId};
use serde::{Deserialize, Serialize};

/// One animal, or one lot or clutch.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub(crate) enum Subject {
    /// One animal.
    Animal(OrganismId),
    /// A lot.
    Lot(LotId),
}

impl Subject {
    fn of(organism: Option<&OrganismId>, lot: Option<&LotId>) -> Option<Self> {
        organism.cloned().map(Self::Animal).or_else(|| lot.cloned().map(Self::Lot))
    }

    /// The subject of a frame.
    pub(crate) fn of_frame(frame: &Envelope) -> Option<Self> {
        Self::of(frame.organism_id.as_ref(), frame.lot_id.as_ref())
    }

    /// The subject of a line of a regrouping.
    pub(crate) fn of_line(line: &SubjectLine) -> Option<Self> {
        Self::of(line.organism_id.as_ref(), line.lot_id.as_ref())
    }

    /// An occupant of a unit; `None` for what was counted without a number of its own.
    pub(crate) fn of_occupant(one: &Occupant) -> Option<Self> {
        Self::of(one.organism_id.as_ref(), one.lot_id.as_ref())
    }

    /// What travels.
    pub(crate) fn travelling(line: &DispatchLine) -> Option<Self> {
        Self::of(line.organism_id.as_ref(), line.lot_id.as_ref())
    }

    /// What a line of a dispatch takes away from the stock: the lot that it is a part of, else what travels.
    pub(crate) fn taken(line: &DispatchLine) -> Option<Self> {
        line.from_lot.clone().map(Self::Lot).or_else(|| Self::travelling(line))
    }

    /// What was found.
    pub(crate) fn received(line: &ReceiptLine) -> Option<Self> {
        Self::of(line.organism_id.as_ref(), line.lot_id.as_ref())
    }

    /// The key under which all that concerns it is filed.
    pub(crate) fn key(&self) -> Key {
        match self {
            Self::Animal(id) => Key::animal(id),
            Self::Lot(id) => Key::lot(id),
        }
    }

    /// The subject of a key; `None` where the key is of something else.
    pub(crate) fn of_key(key: &Key) -> Option<Self> {
        match key.family()? {
            crate::keys::Family::Animal => Some(Self::Animal(OrganismId::from(key.id()))),
            crate::keys::Family::Lot => Some(Self::Lot(LotId::from(key.id()))),
            _ => None,
        }
    }

    /// The name of the member that holds its identifier.
    pub(crate) fn member(&self) -> &'static str {
        match self {
            Self::Animal(_) => "organismID",
            Self::Lot(_) => "lotID",
        }
    }

    /// The identifier.
    pub(crate) fn id(&self) -> &str {
        match self {
            Self::Animal(id) => id.as_str(),
            Self::Lot(id) => id.as_str(),
        }
    }
}

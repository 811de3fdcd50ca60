//! What may carry an agent from place to place.

use crate::occupancy::Who;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::text::{LocalId, LotId, OrganismId, PartyId};
use serde::Serialize;
use std::fmt;

/// An animal, a lot, a number of a species that stands at a place under no number, or a crate from one
/// disinfection to the next.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(untagged)]
pub enum Carrier {
    /// One animal; where it has several numbers, the first of them by code point.
    Animal {
        /// Its number.
        #[serde(rename = "organismID")]
        organism_id: OrganismId,
    },
    /// A lot. Which of its members met whom is not told: it counts as one.
    Lot {
        /// Its number.
        #[serde(rename = "lotID")]
        lot_id: LotId,
    },
    /// Counted at a place without a number of its own.
    #[serde(rename_all = "camelCase")]
    Unnumbered {
        /// The centre or point.
        #[serde(rename = "placeID")]
        place_id: PartyId,
        /// Accepted name.
        scientific_name: String,
    },
    /// A crate, as long as nobody says that it was disinfected.
    Crate {
        /// Its number.
        #[serde(rename = "crateID")]
        crate_id: LocalId,
        /// The day of its first journey since it was last disinfected.
        since: NaiveDate,
        /// Where it then set out.
        #[serde(rename = "placeID")]
        place_id: PartyId,
    },
}

impl Carrier {
    pub(super) fn of(who: &Who, place: &PartyId) -> Self {
        match who {
            Who::Named(subject) => subject.clone().into(),
            Who::Unnamed(name) => Self::Unnumbered { place_id: place.clone(), scientific_name: name.clone() },
        }
    }

    /// Whether it is a crate.
    pub fn is_crate(&self) -> bool {
        matches!(self, Self::Crate { .. })
    }
}

impl From<Subject> for Carrier {
    fn from(subject: Subject) -> Self {
        match subject {
            Subject::Animal(organism_id) => Self::Animal { organism_id },
            Subject::Lot(lot_id) => Self::Lot { lot_id },
        }
    }
}

impl fmt::Display for Carrier {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Animal { organism_id } => write!(f, "animal {organism_id}"),
            Self::Lot { lot_id } => write!(f, "lot {lot_id}"),
            Self::Unnumbered { place_id, scientific_name } => {
                write!(f, "{scientific_name} without a number at {place_id}")
            }
            Self::Crate { crate_id, .. } => write!(f, "crate {crate_id}"),
        }
    }
}

//! A contact: by which two carriers may have passed an agent on.

use super::carrier::Carrier;
use super::days::Days;
use crate::findings::RecordName;
use chrono::NaiveDate;
use haulout_schemas::text::{ConsignmentId, PartyId};
use serde::Serialize;

/// What two carriers shared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Shared {
    /// One is a part of the other, or came of it.
    Lot,
    /// A unit.
    Unit,
    /// The water of two units.
    WaterCircuit,
    /// A crate on one journey.
    Crate,
    /// A journey on which it is not told who sat in which crate.
    Consignment,
    /// A holding point, which has no units.
    Point,
    /// A centre in which both were in no unit that a record names.
    NoUnit,
}

impl Shared {
    /// The code as it is written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Lot => "lot",
            Self::Unit => "unit",
            Self::WaterCircuit => "waterCircuit",
            Self::Crate => "crate",
            Self::Consignment => "consignment",
            Self::Point => "point",
            Self::NoUnit => "noUnit",
        }
    }
}

/// Where a contact was.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Whereabouts {
    /// The centre or point.
    #[serde(rename = "placeID", skip_serializing_if = "Option::is_none")]
    pub place_id: Option<PartyId>,
    /// The unit of the one that passed it on.
    #[serde(rename = "unitID", skip_serializing_if = "Option::is_none")]
    pub unit_id: Option<String>,
    /// The unit of the other, where they shared water only.
    #[serde(rename = "otherUnitID", skip_serializing_if = "Option::is_none")]
    pub other_unit_id: Option<String>,
    /// The water that they shared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_circuit: Option<String>,
    /// The journey.
    #[serde(rename = "consignmentID", skip_serializing_if = "Option::is_none")]
    pub consignment_id: Option<ConsignmentId>,
    /// The crate.
    #[serde(rename = "crateID", skip_serializing_if = "Option::is_none")]
    pub crate_id: Option<String>,
}

/// One link of a chain.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Contact {
    /// The first day on which it may have been passed on: the first that both shared, and not before
    /// the one that passed it on may have had it.
    pub day: NaiveDate,
    /// The one that may have passed it on.
    pub from: Carrier,
    /// The one that may have got it.
    pub to: Carrier,
    /// What they shared.
    pub shared: Shared,
    /// Where.
    #[serde(flatten)]
    pub at: Whereabouts,
    /// The last day on which both shared it; none while they still do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub through: Option<NaiveDate>,
    /// The records that say so.
    pub records: Vec<RecordName>,
}

/// What a carrier shared with another, seen from the first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Meeting {
    pub(super) days: Days,
    pub(super) other: Carrier,
    pub(super) shared: Shared,
    pub(super) at: Whereabouts,
    pub(super) records: Vec<RecordName>,
}

impl Meeting {
    /// The contact on the first day on which `from`, which may carry since `since`, can have passed it on.
    pub(super) fn since(&self, from: &Carrier, since: NaiveDate) -> Option<Contact> {
        let days = self.days.since(since)?;
        Some(Contact {
            day: days.from,
            from: from.clone(),
            to: self.other.clone(),
            shared: self.shared,
            at: self.at.clone(),
            through: days.to,
            records: self.records.clone(),
        })
    }
}

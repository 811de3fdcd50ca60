//! What the rules of a place carry from day to day, so that they need not begin at the first record.
//!
//! A milestone is made at the close of a day out of all records dated through it. It holds for as long
//! as no record dated through that day comes, is revised or withdrawn, and the configuration stays:
//! whoever keeps milestones sees to that. What reaches back whatever its date ([`reaches_back`], the
//! first opening of a place, orders that housings name) is compared here, and where it differs the
//! key is judged from its first record.

use super::RecordName;
use super::floors::FloorSoFar;
use super::place::PlaceSoFar;
use crate::effective::Effective;
use crate::keys::{Family, Key};
use chrono::NaiveDate;
use haulout_schemas::{Kind, Record};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The version of what milestones carry: raised when a rule of [`goes_on`] keys changes.
pub const MILESTONE_VERSION: &str = "1";

/// How far the rules of one key had come at the close of a day.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Milestone {
    /// Every record dated through it is in.
    pub through: NaiveDate,
    pub(super) carried: Carried,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) enum Carried {
    Place(PlaceSoFar),
    Floor(FloorSoFar),
}

/// Days from the one after `after`, or from the first, through `through`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    pub(super) after: Option<NaiveDate>,
    pub(super) through: NaiveDate,
}

impl Span {
    pub(super) fn holds(self, day: NaiveDate) -> bool {
        day <= self.through && self.after.is_none_or(|after| after < day)
    }
}

/// Whether the rules of a key go on from milestones: the stock of a place, and who is where in it,
/// which are told by every record of the place.
pub fn goes_on(key: &Key) -> bool {
    matches!(key.family(), Some(Family::Place | Family::Units))
}

/// Whether a record may change what stood before its date: a link holds from the beginning, a licence
/// from the day it names.
pub fn reaches_back(record: &Record) -> bool {
    matches!(record.kind(), Kind::Link | Kind::Licence)
}

/// The records that reach back, by name and revision.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Grounds(BTreeSet<(RecordName, u16)>);

impl Grounds {
    pub(super) fn of(records: &[Arc<Effective>]) -> Self {
        let reach = records.iter().map(|one| &one.record).filter(|record| reaches_back(record));
        Self(reach.map(|record| (record.into(), record.envelope.revision)).collect())
    }
}

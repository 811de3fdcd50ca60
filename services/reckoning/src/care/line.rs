//! One line of what is due.

use crate::occupancy::Occupant;
use chrono::NaiveDate;
use haulout_welfare::grounds::Grounds;
use serde::Serialize;

/// What kind of thing is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Task {
    /// A binding that is on.
    Binding,
    /// A batch in quarantine.
    Quarantine,
    /// Eggs in hand.
    Eggs,
    /// Heat of the water.
    Heat,
    /// A change of water.
    Water,
    /// A scrub of the pool.
    Scrub,
    /// The night's census.
    Census,
}

/// When it is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum When {
    /// Before the day asked about, and not done.
    Overdue,
    /// On the day.
    Due,
    /// On the day after.
    Tomorrow,
    /// Not now.
    NotDue,
}

impl When {
    /// By the first day on which a thing is due, seen from another.
    pub fn of(due: NaiveDate, at: NaiveDate) -> Self {
        match (due - at).num_days() {
            ..0 => Self::Overdue,
            0 => Self::Due,
            1 => Self::Tomorrow,
            2.. => Self::NotDue,
        }
    }
}

/// One thing: what, where, since when, why, and what it rests on.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Line {
    /// What kind of thing it is.
    pub task: Task,
    /// What is to be done, or how it stands.
    pub what: String,
    /// The unit.
    #[serde(rename = "unitID", skip_serializing_if = "Option::is_none")]
    pub unit_id: Option<String>,
    /// The animal.
    #[serde(rename = "organismID", skip_serializing_if = "Option::is_none")]
    pub organism_id: Option<String>,
    /// The lot or clutch.
    #[serde(rename = "lotID", skip_serializing_if = "Option::is_none")]
    pub lot_id: Option<String>,
    /// The batch.
    #[serde(rename = "batchID", skip_serializing_if = "Option::is_none")]
    pub batch_id: Option<String>,
    /// The species.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scientific_name: Option<String>,
    /// How many animals or eggs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub individual_count: Option<u32>,
    /// Since when it is due, or since when what it tells of lasts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since: Option<NaiveDate>,
    /// First day on which it is due, where that is still to come.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<NaiveDate>,
    /// Why it is due, why it is not, what is wanting.
    pub why: Vec<String>,
    /// What must not be done, or be taken for granted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// What it rests on.
    pub grounds: Grounds,
}

impl Line {
    /// A line without place and subject.
    pub(super) fn new(task: Task, what: impl Into<String>, grounds: Grounds) -> Self {
        Self {
            task,
            what: what.into(),
            unit_id: None,
            organism_id: None,
            lot_id: None,
            batch_id: None,
            scientific_name: None,
            individual_count: None,
            since: None,
            from: None,
            why: Vec::new(),
            caution: None,
            grounds,
        }
    }

    pub(super) fn in_unit(mut self, unit: Option<&str>) -> Self {
        self.unit_id = unit.map(str::to_owned);
        self
    }

    /// About one occupant.
    pub(super) fn about(mut self, one: &Occupant) -> Self {
        self.organism_id = one.organism_id.as_ref().map(ToString::to_string);
        self.lot_id = one.lot_id.as_ref().map(ToString::to_string);
        self.scientific_name = Some(one.scientific_name.clone());
        self.individual_count = Some(one.count);
        self
    }

    /// Due from a day on: past days are since when, others from when.
    pub(super) fn due_from(mut self, due: NaiveDate, at: NaiveDate) -> Self {
        if due <= at {
            self.since = Some(due)
        } else {
            self.from = Some(due)
        }
        self
    }

    pub(super) fn because(mut self, why: impl Into<String>) -> Self {
        self.why.push(why.into());
        self
    }

    pub(super) fn caution(mut self, caution: impl Into<String>) -> Self {
        self.caution = Some(caution.into());
        self
    }
}

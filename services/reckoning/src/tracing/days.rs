//! Days from one through another.

use chrono::NaiveDate;

/// Both ends belong to it; without an end it goes on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Days {
    pub(super) from: NaiveDate,
    pub(super) to: Option<NaiveDate>,
}

impl Days {
    pub(super) fn of(from: NaiveDate, to: Option<NaiveDate>) -> Self {
        Self { from, to }
    }

    pub(super) fn one(day: NaiveDate) -> Self {
        Self { from: day, to: Some(day) }
    }

    /// The days that both have.
    pub(super) fn meet(self, other: Self) -> Option<Self> {
        let from = self.from.max(other.from);
        let to = match (self.to, other.to) {
            (Some(one), Some(other)) => Some(one.min(other)),
            (one, other) => one.or(other),
        };
        to.is_none_or(|to| from <= to).then_some(Self { from, to })
    }

    pub(super) fn holds(self, day: NaiveDate) -> bool {
        self.meet(Self::one(day)).is_some()
    }

    /// What is left of it from a day on.
    pub(super) fn since(self, day: NaiveDate) -> Option<Self> {
        self.meet(Self { from: day, to: None })
    }
}

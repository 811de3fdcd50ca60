//! What a reader must know before any figure: a period that is not over, or of which nothing is known.

use super::Basis;
use crate::period::Period;
use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A remark on a statement as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Remark {
    /// No record was known at the instant: zeros are no counts.
    NothingKnown,
    /// The period begins after the last day that is judged: its figures only carry over what was there.
    PeriodNotBegun,
    /// The period ends after the last day that is judged: more may still happen in it.
    PeriodNotOver,
}

impl Remark {
    /// The remark as a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NothingKnown => "No record was known at this instant: a zero here is no count.",
            Self::PeriodNotBegun => {
                "The period had not begun: its figures only carry over what was there before, and foretell nothing."
            }
            Self::PeriodNotOver => "The period was not over: its closing is not the closing of the period.",
        }
    }
}

/// The remarks on a period, judged through a day.
pub(super) fn remarks(period: &Period, through: NaiveDate, basis: &Basis) -> Vec<Remark> {
    let mut remarks = Vec::new();
    if basis.chain_heads.is_empty() {
        remarks.push(Remark::NothingKnown);
    }
    if period.first > through {
        remarks.push(Remark::PeriodNotBegun);
    } else if period.last > through {
        remarks.push(Remark::PeriodNotOver);
    }
    remarks
}

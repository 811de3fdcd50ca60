//! How a plan can fail.

use std::fmt;

use crate::faults::Fault;
use crate::plan::feasible::Breach;

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanFault {
    /// The file contradicts itself or cannot be meant: every fault found.
    File(Vec<Fault>),
    /// The solver failed; its own words.
    Solver(String),
    /// The plan found breaks a rule when it is checked against the file: it is not handed out.
    Unsound(Vec<Breach>),
}

impl fmt::Display for PlanFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File(faults) => {
                write!(out, "the request file has {} faults", faults.len())?;
                faults.iter().try_for_each(|fault| write!(out, "; {}: {}", fault.pointer, fault.why))
            }
            Self::Solver(words) => write!(out, "the solver failed: {words}"),
            Self::Unsound(breaches) => {
                write!(out, "the plan found breaks a rule and is not handed out")?;
                breaches.iter().try_for_each(|breach| write!(out, "; {}", breach.sentence))
            }
        }
    }
}

impl std::error::Error for PlanFault {}

//! What can be wrong with a region file.

use haulout_schemas::misfit::Misfit;
use haulout_schemas::profile::ProfileError;
use std::fmt;

/// One thing wrong with a region file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RegionFault {
    /// JSON Pointer (RFC 6901) into the file; empty for the whole.
    pub pointer: String,
    /// What is wrong, and how to mend it.
    pub problem: String,
}

/// Why a region file could not be taken: every fault found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RegionError {
    /// The faults, in the order of the file's members.
    pub faults: Vec<RegionFault>,
}

impl RegionError {
    pub(super) fn one(pointer: impl Into<String>, problem: impl Into<String>) -> Self {
        Self { faults: vec![RegionFault { pointer: pointer.into(), problem: problem.into() }] }
    }

    pub(super) fn of_shape(misfit: Misfit) -> Self {
        Self::one(misfit.pointer, misfit.problem)
    }

    /// Faults of profiles or names, under the member of the region file that holds them.
    pub(super) fn of_profiles(member: &str, error: ProfileError) -> Self {
        let faults = error.faults.into_iter().map(|fault| RegionFault {
            pointer: format!("{member}{}", fault.pointer),
            problem: fault.problem,
        });
        Self { faults: faults.collect() }
    }
}

impl fmt::Display for RegionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, fault) in self.faults.iter().enumerate() {
            let between = if at == 0 { "" } else { "; " };
            let place = if fault.pointer.is_empty() { "the whole" } else { &fault.pointer };
            write!(f, "{between}{place}: {}", fault.problem)?;
        }
        Ok(())
    }
}

impl std::error::Error for RegionError {}

//! What can be wrong with a profile file or an override.

use std::fmt;

/// One thing wrong with a profile file or an override.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProfileFault {
    /// JSON Pointer (RFC 6901) into the file or the override.
    pub pointer: String,
    /// What is wrong and how to mend it.
    pub problem: String,
}

/// Why profiles could not be taken: every fault found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProfileError {
    /// The faults, in the order of the species.
    pub faults: Vec<ProfileFault>,
}

impl ProfileError {
    pub(crate) fn one(pointer: impl Into<String>, problem: impl Into<String>) -> ProfileError {
        let fault = ProfileFault { pointer: pointer.into(), problem: problem.into() };
        ProfileError { faults: vec![fault] }
    }
}

impl fmt::Display for ProfileError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.faults.iter().enumerate() {
            let between = if index == 0 { "" } else { "; " };
            let place = if fault.pointer.is_empty() { "the whole" } else { &fault.pointer };
            write!(out, "{between}{place}: {}", fault.problem)?;
        }
        Ok(())
    }
}

impl std::error::Error for ProfileError {}

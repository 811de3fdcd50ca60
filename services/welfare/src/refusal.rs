//! What could not be computed, and why.
//!
//! A refusal is an answer: it says what was asked, why there is none, and what
//! would mend it. Partial answers carry refusals beside their figures.

use std::fmt;

use serde::Serialize;

/// One thing that could not be computed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Refusal {
    /// Stable key of the reason, for programs.
    pub code: &'static str,
    /// What was asked or looked at.
    pub what: String,
    /// Why there is no answer.
    pub why: String,
    /// How to mend it.
    pub mend: String,
}

impl Refusal {
    /// A refusal from its parts.
    #[must_use]
    pub fn new(
        code: &'static str,
        what: impl Into<String>,
        why: impl Into<String>,
        mend: impl Into<String>,
    ) -> Self {
        Self { code, what: what.into(), why: why.into(), mend: mend.into() }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; {}", self.what, self.why, self.mend)
    }
}

impl std::error::Error for Refusal {}

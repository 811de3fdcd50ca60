//! Rebuilding: every projection made anew from the journal.

use crate::database::Store;
use crate::error::Result;

/// The versions of the rules by which projections are made; kept beside them.
pub(crate) fn projection_rules() -> String {
    format!("postings {}; names {}", haulout_reckoning::POSTING_RULES, haulout_schemas::names::Names::standard().version())
}

impl Store {
    pub async fn rebuild(&self) -> Result<()> {
        Ok(())
    }
}

//! A record as it is shown.

use haulout_store::StoredRecord;
use haulout_store::clock::instant_text;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::value::RawValue;

use crate::web::{Problem, codes};

/// A revision of a record, with its place in the journal.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
#[schemars(rename = "StoredRecord")]
pub struct RecordView {
    /// Order of arrival over all parties.
    pub feed: i64,
    /// Place in the author's chain.
    pub sequence: i64,
    /// Since when the hub knows it: RFC 3339 in UTC with microseconds.
    pub known_from: String,
    /// SHA-256 of the record's canonical JSON (RFC 8785).
    pub record_hash: String,
    /// SHA-256 of the link of the author's chain.
    pub link: String,
    /// Whether it is the revision that counts now.
    pub counts: bool,
    /// Whether listed free text was blanked; `recordHash` is then of the text before.
    pub redacted: bool,
    /// The record as it was sent, in canonical form.
    #[schemars(with = "serde_json::Value")]
    pub record: Box<RawValue>,
}

impl RecordView {
    /// The view of a stored revision.
    ///
    /// # Errors
    /// A problem where the journal's text is no JSON: the hub's own fault.
    pub fn of(stored: StoredRecord) -> Result<Self, Problem> {
        let record = RawValue::from_string(stored.canonical)
            .map_err(|error| Problem::new(&codes::INTERNAL, "a record could not be shown").because(error))?;
        Ok(Self {
            feed: stored.feed,
            sequence: stored.sequence,
            known_from: instant_text(stored.known_from),
            record_hash: hex::encode(stored.record_hash),
            link: hex::encode(stored.link),
            counts: stored.counts,
            redacted: stored.redacted,
            record,
        })
    }

    /// The views of several.
    ///
    /// # Errors
    /// As [`RecordView::of`].
    pub fn all(stored: Vec<StoredRecord>) -> Result<Vec<Self>, Problem> {
        stored.into_iter().map(Self::of).collect()
    }
}

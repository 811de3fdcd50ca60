//! What the offices said of a statement: who signed it off, and which findings the authority accepted.
//!
//! Words stand outside both digests and change no figure. A statement as known at an instant holds
//! the words known by then; what is said of it afterwards is asked for apart, so that its bytes stay.

use crate::findings::RecordName;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// An office of a party, never a person.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Office {
    /// Its role: `centre`, `coordinator` or `authority`.
    pub role: String,
    /// Its party, where it acts for one.
    #[serde(rename = "partyID", skip_serializing_if = "Option::is_none")]
    pub party_id: Option<String>,
}

/// A statement of the same question was signed off.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct SignOff {
    /// Who signed.
    pub by: Office,
    /// When, RFC 3339 in UTC.
    pub signed_at: String,
    /// As known at which instant the figures were that were signed.
    pub as_known_at: String,
    /// Their digest.
    pub account_digest: String,
    /// The digest of the findings that were signed.
    pub findings_digest: String,
    /// Whether the figures that were signed are those of this statement.
    pub same_figures: bool,
    /// Whether the findings that were signed are those of this statement.
    pub same_findings: bool,
    /// Remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// The authority accepted a finding, with a reason. It stays a finding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Acceptance {
    /// The finding's rule.
    pub code: String,
    /// The records that the finding rests on; a finding that comes to rest on others is open again.
    pub records: Vec<RecordName>,
    /// Who accepted it.
    pub by: Office,
    /// When, RFC 3339 in UTC.
    pub accepted_at: String,
    /// Why.
    pub reason: String,
}

/// The word that stands for a finding, as a statement or a list writes it: the last one with its code
/// and exactly its records.
pub fn acceptance_of<'a>(
    acceptances: &'a [Acceptance],
    code: &str,
    records: &[RecordName],
) -> Option<&'a Acceptance> {
    acceptances.iter().rfind(|word| word.code == code && word.records == records)
}

/// The acceptances that speak of findings told in a statement, each finding's last word once.
pub(super) fn told(acceptances: &[Acceptance], findings: &[Value]) -> Vec<Acceptance> {
    findings
        .iter()
        .filter_map(|finding| {
            let code = finding.get("code")?.as_str()?;
            let records: Vec<RecordName> = serde_json::from_value(finding.get("records")?.clone()).ok()?;
            acceptance_of(acceptances, code, &records).cloned()
        })
        .collect()
}

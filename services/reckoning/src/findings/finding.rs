//! A finding, as statements and the API write it.

use chrono::NaiveDate;
use haulout_schemas::Record;
use haulout_schemas::rule::Severity;
use haulout_schemas::text::{PartyId, RecordId};
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize, de::Error as _};
use std::collections::BTreeMap;

/// Something that does not add up, is missing or overdue. Codes, whole numbers and texts only, for it
/// stands under a digest. Sorted by its members in the order written here.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Finding {
    /// The rule's code.
    pub code: String,
    /// `critical`, `major`, `minor` or `info`, local code applied.
    #[serde(deserialize_with = "severity")]
    pub severity: Severity,
    /// The centres and points that it concerns, sorted.
    #[serde(rename = "centreIDs")]
    pub centre_ids: Vec<PartyId>,
    /// The records that it rests on, sorted.
    pub records: Vec<RecordName>,
    /// The day by which it should have been done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due_day: Option<NaiveDate>,
    /// What a sentence about it needs, by name; each rule documents its own.
    pub parameters: BTreeMap<String, Parameter>,
}

/// The name of a record: author and identifier, for the revision that is effective.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct RecordName {
    /// The party that wrote it.
    #[serde(rename = "authorID")]
    pub author_id: PartyId,
    /// The writer's identifier.
    #[serde(rename = "recordID")]
    pub record_id: RecordId,
}

/// A whole number or a text.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Parameter {
    /// A whole number.
    Number(i64),
    /// A code, name, identifier or day.
    Text(String),
}

impl From<&Record> for RecordName {
    fn from(record: &Record) -> Self {
        Self { author_id: record.envelope.author_id.clone(), record_id: record.envelope.record_id.clone() }
    }
}

impl From<i64> for Parameter {
    fn from(number: i64) -> Self {
        Self::Number(number)
    }
}

impl From<u32> for Parameter {
    fn from(number: u32) -> Self {
        Self::Number(i64::from(number))
    }
}

impl From<&str> for Parameter {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Parameter {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<NaiveDate> for Parameter {
    fn from(day: NaiveDate) -> Self {
        Self::Text(day.to_string())
    }
}

fn severity<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Severity, D::Error> {
    const GRADES: [Severity; 4] = [Severity::Critical, Severity::Major, Severity::Minor, Severity::Info];
    let word = String::deserialize(deserializer)?;
    GRADES
        .into_iter()
        .find(|grade| grade.as_str() == word)
        .ok_or_else(|| D::Error::custom(format!("`{word}` is no severity of a finding")))
}

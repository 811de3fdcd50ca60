//! What became of every line of a submission, and of the whole.

use actix_web::http::StatusCode;
use haulout_checking::{Identity, Problem};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What became of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Became {
    /// It is in the journal now.
    Accepted,
    /// It was there already, with the same content.
    Known,
    /// It was refused; its problems say why.
    Rejected,
}

impl Became {
    /// The word as answers write it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Accepted => "accepted",
            Self::Known => "known",
            Self::Rejected => "rejected",
        }
    }
}

/// The outcome of one line.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Outcome {
    /// 1-based line of the body, or place in the array.
    pub line: u64,
    /// What became of it.
    pub outcome: Became,
    /// The record's author, as far as it could be read.
    #[serde(rename = "authorID", skip_serializing_if = "Option::is_none")]
    pub author_id: Option<String>,
    /// The author's identifier of the record, as far as it could be read.
    #[serde(rename = "recordID", skip_serializing_if = "Option::is_none")]
    pub record_id: Option<String>,
    /// The revision, as far as it could be read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub revision: Option<u16>,
    /// Place in the author's chain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sequence: Option<i64>,
    /// Since when the hub knows it: RFC 3339 in UTC with microseconds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub known_from: Option<String>,
    /// SHA-256 of the record's canonical JSON (RFC 8785).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub record_hash: Option<String>,
    /// Problems; those of an accepted record are warnings and remarks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub problems: Vec<Problem>,
}

impl Outcome {
    /// A line that was refused.
    pub fn rejected(line: u64, identity: Identity, problems: Vec<Problem>) -> Self {
        Self {
            line,
            outcome: Became::Rejected,
            author_id: identity.author_id,
            record_id: identity.record_id,
            revision: identity.revision,
            sequence: None,
            known_from: None,
            record_hash: None,
            problems,
        }
    }
}

/// How many lines fared how.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Counts {
    /// Lines that should hold a record.
    pub lines: u64,
    /// Lines without anything on them.
    pub blank: u64,
    /// Now in the journal.
    pub accepted: u64,
    /// There already.
    pub known: u64,
    /// Refused.
    pub rejected: u64,
}

impl Counts {
    /// Counts one outcome.
    pub fn add(&mut self, became: Became) {
        self.lines += 1;
        match became {
            Became::Accepted => self.accepted += 1,
            Became::Known => self.known += 1,
            Became::Rejected => self.rejected += 1,
        }
    }

    /// Adds what an earlier run of the same submission counted; its blank lines are counted anew.
    pub fn include(&mut self, before: &Self) {
        self.lines += before.lines;
        self.accepted += before.accepted;
        self.known += before.known;
        self.rejected += before.rejected;
    }

    /// The status of the whole; a fault of the body itself counts as a refusal.
    pub fn status(&self, faults: usize) -> StatusCode {
        let good = self.accepted + self.known;
        if good == 0 {
            StatusCode::UNPROCESSABLE_ENTITY
        } else if self.rejected > 0 || faults > 0 {
            StatusCode::MULTI_STATUS
        } else {
            StatusCode::OK
        }
    }
}

/// Where a chain stands after a submission.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ChainHead {
    /// Place of its newest record.
    pub sequence: i64,
    /// SHA-256 of its newest link.
    pub link: String,
}

/// The receipt: where the chains of the submission's authors stand. Keep it: later chains continue
/// this one.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Receipt {
    /// The chain of each author, by party id.
    pub chains: BTreeMap<String, ChainHead>,
}

/// What is known of a whole submission beside its lines.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Summary {
    /// How the lines fared.
    pub counts: Counts,
    /// Faults of the body itself, such as damaged compression; what came before it counts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub problems: Vec<Problem>,
    /// Where the chains stand.
    pub receipt: Receipt,
}

impl Summary {
    /// Faults of the body that would refuse it; a remark, such as a byte order mark, is none.
    pub fn faults(&self) -> usize {
        self.problems.iter().filter(|problem| problem.refuses()).count()
    }
}

/// A submission as it is shown.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Submission {
    /// Its identifier; `GET /v1/submissions/{id}` shows it again.
    #[serde(rename = "submissionID")]
    pub submission_id: String,
    /// `waiting`, `running`, `done` or `failed`.
    pub state: String,
    /// Counts, faults of the body, receipt.
    #[serde(flatten)]
    pub summary: Summary,
    /// Outcomes in the order of the lines.
    pub lines: Vec<Outcome>,
    /// Address of the next page of outcomes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<String>,
}

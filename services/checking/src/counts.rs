//! What was read and how it fared.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::checker::CheckedLine;
use crate::problem::{Problem, Severity};

/// Exact counts of one file or of several together.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Counts {
    /// Files read, or bodies posted.
    pub files: u64,
    /// Lines read, blank ones included; for a JSON array its elements.
    pub lines: u64,
    /// Lines with nothing on them.
    pub blank: u64,
    /// Lines that should hold a record: `lines` less `blank`. Each is answered once.
    pub records: u64,
    /// Records without an error.
    pub valid: u64,
    /// Valid records of each kind.
    pub by_kind: BTreeMap<String, u64>,
    /// All problems by severity.
    pub problems: BySeverity,
    /// All problems by code.
    pub by_code: BTreeMap<String, u64>,
}

/// Problems by severity.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BySeverity {
    /// They refuse.
    pub error: u64,
    /// Very likely slips.
    pub warning: u64,
    /// Worth knowing.
    pub info: u64,
}

impl Counts {
    /// Whether nothing was refused.
    #[must_use]
    pub fn is_valid(&self) -> bool {
        self.problems.error == 0
    }

    /// Counts one answered line and its problems.
    pub fn add_line(&mut self, line: &CheckedLine) {
        self.lines += 1;
        self.records += 1;
        if let CheckedLine::Accepted(accepted) = line {
            self.valid += 1;
            count(&mut self.by_kind, accepted.record.kind().as_str(), 1);
        }
        for problem in line.problems() {
            self.add_problem(problem);
        }
    }

    /// Counts blank lines.
    pub fn add_blank(&mut self, blank: u64) {
        self.lines += blank;
        self.blank += blank;
    }

    /// Counts one problem.
    pub fn add_problem(&mut self, problem: &Problem) {
        match problem.severity {
            Severity::Error => self.problems.error += 1,
            Severity::Warning => self.problems.warning += 1,
            Severity::Info => self.problems.info += 1,
        }
        count(&mut self.by_code, &problem.code, 1);
    }

    /// Adds the counts of another file.
    pub fn add(&mut self, other: &Self) {
        self.files += other.files;
        self.lines += other.lines;
        self.blank += other.blank;
        self.records += other.records;
        self.valid += other.valid;
        self.problems.error += other.problems.error;
        self.problems.warning += other.problems.warning;
        self.problems.info += other.problems.info;
        for (kind, more) in &other.by_kind {
            count(&mut self.by_kind, kind, *more);
        }
        for (code, more) in &other.by_code {
            count(&mut self.by_code, code, *more);
        }
    }
}

/// Nearly every name is there already and need not be copied.
fn count(map: &mut BTreeMap<String, u64>, name: &str, more: u64) {
    match map.get_mut(name) {
        Some(number) => *number += more,
        None => {
            map.insert(name.to_owned(), more);
        }
    }
}

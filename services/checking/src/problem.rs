//! One problem with one line or one file: what, where, why, how to mend.

use std::borrow::Cow;
use std::fmt;

use haulout_schemas::rule::{self, Rule};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How much a problem weighs.
///
/// `error` means that a hub refuses the line; the two others never refuse anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The line is refused.
    Error,
    /// Accepted, but very likely a slip.
    Warning,
    /// Accepted; worth knowing.
    Info,
}

impl Severity {
    /// The word used in answers and reports.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Info => "info",
        }
    }
}

/// Grades of findings have no place in a problem of a file; they weigh as warnings.
impl From<rule::Severity> for Severity {
    fn from(grade: rule::Severity) -> Self {
        match grade {
            rule::Severity::Error => Self::Error,
            rule::Severity::Info => Self::Info,
            rule::Severity::Warning
            | rule::Severity::Critical
            | rule::Severity::Major
            | rule::Severity::Minor => Self::Warning,
        }
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// Which step met the problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Layer {
    /// Reading bytes and JSON.
    Read,
    /// The published schema, which any validator applies alike.
    Schema,
    /// What needs a day, a name list or experience; never refuses.
    Rule,
    /// What only a hub can know: whose the record is, what it already holds.
    Hub,
}

impl Layer {
    /// The word used in answers and reports.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Schema => "schema",
            Self::Rule => "rule",
            Self::Hub => "hub",
        }
    }
}

/// What is judged with the region's records at hand is a hub's.
impl From<rule::Layer> for Layer {
    fn from(layer: rule::Layer) -> Self {
        match layer {
            rule::Layer::Read => Self::Read,
            rule::Layer::Schema => Self::Schema,
            rule::Layer::Rule => Self::Rule,
            rule::Layer::Hub | rule::Layer::Finding | rule::Layer::Placement => Self::Hub,
        }
    }
}

impl fmt::Display for Layer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// One problem. Every member is always written and `null` where it is not known, but for
/// `fileLine`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Problem {
    /// The file as it was named to the checker; none for a posted body.
    pub file: Option<String>,
    /// 1-based line of the file, or 1-based place in a JSON array.
    pub line: Option<u64>,
    /// 1-based byte column in the line of the file.
    pub column: Option<u64>,
    /// 1-based line of the file, only where `line` counts something else: elements of an array.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file_line: Option<u64>,
    /// RFC 6901 pointer to the field inside the record; `""` is the record itself.
    pub pointer: Option<String>,
    /// Stable kebab-case code; the catalogue explains it.
    pub code: Cow<'static, str>,
    /// Whether it refuses the line.
    pub severity: Severity,
    /// The step that met it.
    pub layer: Layer,
    /// What is wrong in this case.
    pub message: String,
    /// How to mend it.
    pub help: Option<String>,
}

impl Problem {
    /// A problem that a rule of a catalogue finds, without a place yet. Weight, step and the way
    /// out are the rule's; a case may word its own help.
    #[must_use]
    pub fn of(rule: &'static Rule, message: impl Into<String>) -> Self {
        Self {
            file: None,
            line: None,
            column: None,
            file_line: None,
            pointer: None,
            code: rule.code.into(),
            severity: rule.severity.into(),
            layer: rule.layer.into(),
            message: message.into(),
            help: Some(rule.mend.to_owned()),
        }
    }

    /// The same problem with a sentence on how to mend it.
    #[must_use]
    pub fn with_help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// The same problem at a field (RFC 6901 pointer).
    #[must_use]
    pub fn at(mut self, pointer: impl Into<String>) -> Self {
        self.pointer = Some(pointer.into());
        self
    }

    /// The same problem on a 1-based line.
    #[must_use]
    pub fn on_line(mut self, line: u64) -> Self {
        self.line = Some(line);
        self
    }

    /// The same problem in a named file.
    #[must_use]
    pub fn in_file(mut self, file: &str) -> Self {
        self.file = Some(file.to_owned());
        self
    }

    /// Whether a hub would refuse the line for it.
    #[must_use]
    pub fn refuses(&self) -> bool {
        self.severity == Severity::Error
    }
}

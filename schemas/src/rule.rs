//! What a rule is. Each rule exists once, as a static of the crate that judges it; pages, reports,
//! the catalogue and the API read it from there.

use schemars::JsonSchema;
use serde::Serialize;

/// How grave a problem or finding is. Problems of a file use `error`, `warning`, `info`; findings of
/// the region use `critical`, `major`, `minor`, `info`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Severity {
    /// The hub would refuse the record.
    Error,
    /// Accepted, and probably wrong.
    Warning,
    /// A danger, or a breach of law.
    Critical,
    /// A figure or paper that must be mended.
    Major,
    /// A lapse of routine.
    Minor,
    /// Worth knowing.
    Info,
}

impl Severity {
    /// The word as reports write it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Critical => "critical",
            Self::Major => "major",
            Self::Minor => "minor",
            Self::Info => "info",
        }
    }
}

/// Where a rule is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Layer {
    /// Reading bytes as JSON.
    Read,
    /// The published schema.
    Schema,
    /// One record with a clock and a catalogue.
    Rule,
    /// The hub: whose record it is, what it already holds.
    Hub,
    /// The region's records together.
    Finding,
    /// A place for an animal.
    Placement,
}

/// A figure that a rule compares with; local code may set another.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Threshold {
    /// Its name, as configuration writes it.
    pub name: &'static str,
    /// Whole units, so that it can stand under a digest.
    pub value: i64,
    /// The unit.
    pub unit: &'static str,
    /// Where the figure is from, `common practice` or `from memory`.
    pub source: &'static str,
}

/// A rule of the catalogue.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Rule {
    /// Stable code in kebab case, never used again for anything else.
    pub code: &'static str,
    /// Where it is judged.
    pub layer: Layer,
    /// How grave, unless local code says otherwise.
    pub severity: Severity,
    /// A few words.
    pub title: &'static str,
    /// What it means when it fires.
    pub meaning: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// How to mend it.
    pub mend: &'static str,
    /// Where it comes from, `common practice` or `from memory`.
    pub source: &'static str,
    /// Figures that it compares with.
    pub thresholds: &'static [Threshold],
}

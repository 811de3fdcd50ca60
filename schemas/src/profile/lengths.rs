//! Lengths: how one measure follows from another, and adult sizes.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::vocabulary::LengthMeasure;

/// Whether a length relation gives the expected length or a bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum RelationKind {
    /// The length expected on average; single animals scatter around it.
    Mean,
    /// The length can be no more than this: good for "does it fit", not for weights.
    AtMost,
}

/// A straight line from one measure to another: `to = slope x from + intercept`, in metres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct LengthRelation {
    /// The measure one has.
    pub from: LengthMeasure,
    /// The measure one wants.
    pub to: LengthMeasure,
    /// Mean or bound.
    pub kind: RelationKind,
    /// Metres of `to` per metre of `from`.
    pub slope: f64,
    /// Metres of `to` at `from` = 0.
    #[serde(default)]
    pub intercept_m: f64,
    /// Lengths of `from` (metres; low, high) the relation was fitted on, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fitted_on_m: Option<(f64, f64)>,
    /// Key of the `sources` table or a marker: the basis an option shows.
    pub source: String,
    /// What a reader must know before relying on the relation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl LengthRelation {
    /// The wanted length in metres for a length of `from` in metres.
    pub fn apply(&self, from_m: f64) -> f64 {
        self.line().apply(from_m)
    }

    /// Its figures alone.
    pub fn line(&self) -> Line {
        Line { slope: self.slope, intercept_m: self.intercept_m }
    }

    /// The same line read backwards. A bound or a flat line has no inverse.
    pub fn backwards(&self) -> Option<Line> {
        let has_inverse = self.kind == RelationKind::Mean && self.slope > 0.0;
        has_inverse.then(|| Line { slope: 1.0 / self.slope, intercept_m: -self.intercept_m / self.slope })
    }

    /// The relation of the line read backwards.
    pub fn inverted(&self) -> Option<LengthRelation> {
        let Line { slope, intercept_m } = self.backwards()?;
        Some(LengthRelation {
            from: self.to,
            to: self.from,
            kind: RelationKind::Mean,
            slope,
            intercept_m,
            fitted_on_m: self.fitted_on_m.map(|(low, high)| (self.apply(low), self.apply(high))),
            source: self.source.clone(),
            note: self.note.clone(),
        })
    }
}

/// A straight line from one length to another, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Metres wanted per metre had.
    pub slope: f64,
    /// Metres wanted at none had.
    pub intercept_m: f64,
}

impl Line {
    /// The wanted length for the one had.
    pub fn apply(self, had_m: f64) -> f64 {
        self.slope * had_m + self.intercept_m
    }
}

/// Size of adults, in metres of `measure`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct AdultSize {
    /// What the two lengths measure.
    pub measure: LengthMeasure,
    /// A usual grown animal, metres.
    pub typical_m: f64,
    /// The largest to plan for, metres.
    pub largest_m: f64,
}

//! Lengths and what they may be turned into.
//!
//! A length is worth nothing without what was measured: a crocodile's total
//! length is about twice its snout-vent length, and pools are limited by the
//! one and sized by the other. A conversion is made only by a relation that the
//! species profile states with its source; without one the answer is that it
//! cannot be checked.

use std::fmt;

use haulout_schemas::profile::{LengthRelation, Profile, RelationKind};
use haulout_schemas::vocabulary::LengthMeasure;

/// A length with the bounds it may lie in, metres of `measure`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    /// What was measured.
    pub measure: LengthMeasure,
    /// Least it may be, metres.
    pub low_m: f64,
    /// Most it may be, metres: what "does it fit" uses.
    pub high_m: f64,
}

/// The relation a conversion rests on, to be shown with the result.
#[derive(Debug, Clone, PartialEq)]
pub struct Basis {
    /// The measure one had.
    pub from: LengthMeasure,
    /// The measure one wanted.
    pub to: LengthMeasure,
    /// Metres of `to` per metre of `from`.
    pub slope: f64,
    /// Metres of `to` at `from` = 0.
    pub intercept_m: f64,
    /// Expected length or bound.
    pub kind: RelationKind,
    /// Key of the profile file's sources, or its markers for common practice and memory.
    pub source: String,
    /// What to know before relying on it.
    pub note: Option<String>,
    /// True when the length lies outside the lengths the relation was fitted on.
    pub beyond_fit: bool,
}

/// A converted length; `basis` is absent where nothing had to be converted.
#[derive(Debug, Clone, PartialEq)]
pub struct Converted {
    /// The length in the wanted measure.
    pub length: Length,
    /// What the conversion rests on.
    pub basis: Option<Basis>,
}

/// Why a length could not be converted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoRelation {
    /// Species whose profile states no relation.
    pub scientific_name: String,
    /// The measure one has.
    pub from: LengthMeasure,
    /// The measure one wants.
    pub to: LengthMeasure,
}

impl fmt::Display for NoRelation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "the profile of {} states no relation from {} to {}; measure the {}, or state the relation with its source in the region file",
            self.scientific_name,
            words(self.from),
            words(self.to),
            words(self.to)
        )
    }
}

impl std::error::Error for NoRelation {}

/// The measure in words, for sentences.
#[must_use]
pub fn words(measure: LengthMeasure) -> &'static str {
    match measure {
        LengthMeasure::TotalLength => "total length",
        LengthMeasure::SnoutVentLength => "snout-vent length",
        LengthMeasure::StraightCarapaceLength => "straight carapace length",
        LengthMeasure::CurvedCarapaceLength => "curved carapace length",
        LengthMeasure::PlastronLength => "plastron length",
        LengthMeasure::HeadLength => "head length",
    }
}

/// Turns a length into another measure by the relation the profile states.
///
/// # Errors
/// [`NoRelation`] where the profile states none: the caller must then say that
/// the rule cannot be checked.
pub fn convert(
    profile: &Profile,
    length: Length,
    to: LengthMeasure,
) -> Result<Converted, NoRelation> {
    if length.measure == to {
        return Ok(Converted {
            length,
            basis: None,
        });
    }
    let relation = profile
        .relation(length.measure, to)
        .ok_or_else(|| NoRelation {
            scientific_name: profile.scientific_name.clone(),
            from: length.measure,
            to,
        })?;
    Ok(Converted {
        length: Length {
            measure: to,
            low_m: relation.apply(length.low_m).max(0.0),
            high_m: relation.apply(length.high_m).max(0.0),
        },
        basis: Some(basis(relation, length)),
    })
}

fn basis(relation: LengthRelation, length: Length) -> Basis {
    let beyond_fit = relation
        .fitted_on_m
        .is_some_and(|(low, high)| length.low_m < low || length.high_m > high);
    Basis {
        from: relation.from,
        to: relation.to,
        slope: relation.slope,
        intercept_m: relation.intercept_m,
        kind: relation.kind,
        source: relation.source,
        note: relation.note,
        beyond_fit,
    }
}

//! Lengths and what they may be turned into.
//!
//! A length is worth nothing without what was measured: a crocodile's total
//! length is about twice its snout-vent length, and pools are limited by the
//! one and sized by the other. A conversion is made only by a relation that the
//! species profile states with its source; without one the answer is that it
//! cannot be checked.

use std::fmt;

use haulout_schemas::envelope;
use haulout_schemas::profile::{LengthRelation, Line, Profile, RelationKind};
use haulout_schemas::vocabulary::LengthMeasure;

use crate::refusal::Refusal;

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

/// A length as a record tells it, with the bounds of an estimate.
///
/// # Errors
/// A length of zero, below zero or no number, or bounds upside down.
pub fn of_record(length: &envelope::Length) -> Result<Length, Refusal> {
    let (low, high) = (length.low.unwrap_or(length.value), length.high.unwrap_or(length.value));
    let (low_m, high_m) = (low.min(length.value), high.max(length.value));
    if low > 0.0 && low <= high && high_m.is_finite() && low_m > 0.0 {
        return Ok(Length { measure: length.measure, low_m, high_m });
    }
    Err(Refusal::new(
        "length",
        format!("{} of {} m ({low} to {high})", words(length.measure), length.value),
        "a length is above zero, and its lower end not above its upper end",
        "measure again, or leave the length out where it is not known",
    ))
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
pub fn convert(profile: &Profile, length: Length, to: LengthMeasure) -> Result<Converted, NoRelation> {
    if length.measure == to {
        return Ok(Converted { length, basis: None });
    }
    let relation = profile.relation(length.measure, to).ok_or_else(|| NoRelation {
        scientific_name: profile.scientific_name.clone(),
        from: length.measure,
        to,
    })?;
    Ok(Converted { length: along(relation.line(), length, to), basis: Some(basis(relation, length)) })
}

/// The length of [`convert`] alone, for those who show nobody what it rests on; `None` where the
/// profile states no relation.
#[must_use]
pub fn length_in(profile: &Profile, length: Length, to: LengthMeasure) -> Option<Length> {
    if length.measure == to {
        return Some(length);
    }
    profile.line(length.measure, to).map(|line| along(line, length, to))
}

fn along(line: Line, length: Length, to: LengthMeasure) -> Length {
    Length {
        measure: to,
        low_m: line.apply(length.low_m).max(0.0),
        high_m: line.apply(length.high_m).max(0.0),
    }
}

fn basis(relation: LengthRelation, length: Length) -> Basis {
    let beyond_fit =
        relation.fitted_on_m.is_some_and(|(low, high)| length.low_m < low || length.high_m > high);
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use LengthMeasure::{HeadLength, PlastronLength, SnoutVentLength, TotalLength};
    use haulout_schemas::profile::{FROM_MEMORY, Profiles};

    fn mugger() -> &'static Profile {
        Profiles::standard().get("Crocodylus palustris").unwrap()
    }

    fn exactly(metres: f64, measure: LengthMeasure) -> Length {
        Length { measure, low_m: metres, high_m: metres }
    }

    /// Two to one, from memory; the basis comes along.
    #[test]
    fn total_length_to_snout_vent() {
        let torch = Length { measure: TotalLength, low_m: 3.0, high_m: 3.5 };
        let converted = convert(mugger(), torch, SnoutVentLength).unwrap();
        assert_eq!((converted.length.low_m, converted.length.high_m), (1.5, 1.75));
        let basis = converted.basis.unwrap();
        assert_eq!((basis.slope, basis.source.as_str()), (0.5, FROM_MEMORY));
    }

    /// Mobaraki et al. (J. Threatened Taxa), TL = 15.52 + 6.283 HL in centimetres: a head of 30 cm
    /// is 204.01 cm, of 20 cm 141.18 cm; backwards, 200 cm is a head of 29.3618 cm.
    #[test]
    fn head_length_of_the_mugger() {
        let total = |head: f64| {
            let converted = convert(mugger(), exactly(head, HeadLength), TotalLength).unwrap();
            assert_eq!(converted.basis.unwrap().source, "mobaraki-mugger");
            converted.length.high_m
        };
        assert!((total(0.30) - 2.0401).abs() < 1e-9);
        assert!((total(0.20) - 1.4118).abs() < 1e-9);
        let head = convert(mugger(), exactly(2.0, TotalLength), HeadLength).unwrap();
        assert!((head.length.high_m - 0.293_618).abs() < 1e-6);
    }

    #[test]
    fn a_length_beyond_the_fit_is_told() {
        let beyond = |head: f64| {
            let converted = convert(mugger(), exactly(head, HeadLength), TotalLength).unwrap();
            converted.basis.unwrap().beyond_fit
        };
        assert!(!beyond(0.40));
        assert!(beyond(0.50));
    }

    #[test]
    fn nothing_to_convert_has_no_basis() {
        let same = convert(mugger(), exactly(2.0, TotalLength), TotalLength).unwrap();
        assert_eq!((same.length, same.basis), (exactly(2.0, TotalLength), None));
    }

    #[test]
    fn without_a_relation_it_cannot_be_checked() {
        let missing = convert(mugger(), exactly(0.4, PlastronLength), TotalLength).unwrap_err();
        assert_eq!((missing.from, missing.to), (PlastronLength, TotalLength));
        assert!(missing.to_string().contains("states no relation from plastron length to total length"));
    }
}

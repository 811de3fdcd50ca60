//! Slips of unit: recognised and named, never silently mended.

use serde::Serialize;

use super::fit::Fit;
use super::measured;
use crate::units::Ratio;

/// A slip that would explain a pair of numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Slip {
    /// Grams were written as kilograms.
    GramsAsKilograms,
    /// Pounds were written as kilograms.
    PoundsAsKilograms,
    /// Millimetres were written as metres.
    MillimetresAsMetres,
    /// Centimetres were written as metres.
    CentimetresAsMetres,
    /// Inches were written as metres.
    InchesAsMetres,
    /// Mass and length changed places.
    SwappedColumns,
}

/// Kilograms of a pound (by definition of 1959).
const KG_PER_POUND: f64 = 0.453_592_37;

/// How far from the expected mass a pair may lie before a slip is looked for: threefold either way
/// (a proposal; no living animal of a length differs so much from its kind). Pounds are 2.2 times
/// the number of kilograms, so they are looked for by the reference's own interval instead.
pub const FAR: Ratio = Ratio::of(3.0);

/// What would make sense of a pair that makes none as written: each slip under which the mass
/// comes within a third and threefold of the expected. A mass above the interval of a further animal
/// that falls into it as pounds is named too. Empty where the pair makes sense, or where no single
/// slip explains it (then it may be another species' length).
#[must_use]
pub fn slips(fit: &Fit, mass_kg: f64, length_m: f64) -> Vec<Slip> {
    let sensible = |mass: f64, length: f64| {
        let Ok(animal) = measured(mass, length) else { return false };
        fit.expected(animal.length).is_ok_and(|expected| {
            let ratio = animal.mass.kg() / expected.value.kg();
            ratio < FAR.value() && ratio > 1.0 / FAR.value()
        })
    };
    if sensible(mass_kg, length_m) {
        return if pounds(fit, mass_kg, length_m) { vec![Slip::PoundsAsKilograms] } else { Vec::new() };
    }
    [
        (Slip::GramsAsKilograms, mass_kg / 1000.0, length_m),
        (Slip::PoundsAsKilograms, mass_kg * KG_PER_POUND, length_m),
        (Slip::MillimetresAsMetres, mass_kg, length_m / 1000.0),
        (Slip::CentimetresAsMetres, mass_kg, length_m / 100.0),
        (Slip::InchesAsMetres, mass_kg, length_m * 0.0254),
        (Slip::SwappedColumns, length_m, mass_kg),
    ]
    .into_iter()
    .filter(|(_, mass, length)| sensible(*mass, *length))
    .map(|(slip, _, _)| slip)
    .collect()
}

/// True where the mass is above what a further animal is expected to weigh, and would be expected in pounds.
fn pounds(fit: &Fit, mass_kg: f64, length_m: f64) -> bool {
    let expected = measured(mass_kg, length_m).and_then(|animal| fit.expected(animal.length));
    expected.is_ok_and(|expected| {
        let (low, high) = (expected.low.kg(), expected.high.kg());
        mass_kg > high && (low..=high).contains(&(mass_kg * KG_PER_POUND))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::condition::{fit::least_squares, tests::made_up};
    use crate::units::LEVEL;

    /// The animal of the sample with 27 cm and 2.6 kg.
    #[test]
    fn each_slip_is_named() {
        let fit = least_squares(&made_up(), LEVEL).unwrap();
        assert_eq!(slips(&fit, 2.6, 0.27), []);
        assert_eq!(slips(&fit, 2600.0, 0.27), [Slip::GramsAsKilograms]);
        assert_eq!(slips(&fit, 2.6, 270.0), [Slip::MillimetresAsMetres]);
        assert_eq!(slips(&fit, 2.6, 27.0), [Slip::CentimetresAsMetres]);
        assert_eq!(slips(&fit, 2.6, 10.63), [Slip::InchesAsMetres]);
        assert_eq!(slips(&fit, 0.27, 2.6), [Slip::SwappedColumns]);
        assert_eq!(slips(&fit, 90.0, 0.27), [], "no slip explains it");
        assert_eq!(slips(&fit, 0.0, -1.0), []);
    }

    /// 2.6 kg are 5.732 lb, 2.2 times the number: within threefold, yet far above the interval of the
    /// sample (about a tenth either way). A fat animal is none, and neither is one that fits as written.
    #[test]
    fn pounds_are_recognised_though_they_differ_by_little() {
        let fit = least_squares(&made_up(), LEVEL).unwrap();
        assert_eq!(slips(&fit, 5.732, 0.27), [Slip::PoundsAsKilograms]);
        assert_eq!(slips(&fit, 3.3, 0.27), [], "a quarter too heavy is fat, not pounds");
        assert_eq!(slips(&fit, 1.2, 0.27), [], "too light is never pounds");
    }
}

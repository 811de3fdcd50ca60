//! Body condition from length and mass, against animals of the same species and stage.
//!
//! Relations are straight lines of ln mass against ln length. There is no
//! published relation for these taxa that could be confirmed, so none is
//! shipped: the reference is the region's pooled records, or what an authority
//! registers, or none. A condition figure supports the veterinarian's eye and
//! hands; it does not replace them.

pub mod fit;
pub mod slips;

use serde::Serialize;

use crate::refusal::Refusal;
use crate::units::{Kilograms, Metres, Ratio};
use fit::{Fit, Measured};

/// Relative condition, M / (a L^b): 1 is what the reference expects (Le Cren 1951, from memory).
///
/// # Errors
/// A length outside the lengths of the reference: it is never drawn out beyond them.
pub fn relative(fit: &Fit, animal: Measured) -> Result<Ratio, Refusal> {
    Ratio::new(animal.mass.kg() / fit.expected(animal.length)?.value.kg())
}

/// Scaled mass index (Peig and Green 2009): the mass the animal would have at the mean length of
/// the reference, M (L0 / L)^bSMA.
///
/// # Errors
/// As [`relative`].
pub fn scaled_mass(fit: &Fit, animal: Measured) -> Result<Kilograms, Refusal> {
    fit.within(animal.length)?;
    Kilograms::new(animal.mass.kg() * (fit.mean_length.m() / animal.length.m()).powf(fit.sma_slope.value()))
}

/// Fulton's factor 100 M / L^3 with M in grams, L in centimetres (from memory); only comparable
/// within one species, one length measure and like lengths.
///
/// # Errors
/// Never for quantities of this crate; the result must be finite.
pub fn fulton(animal: Measured) -> Result<Ratio, Refusal> {
    Ratio::new(100.0 * animal.mass.grams() / animal.length.cm().powi(3))
}

/// Where an animal stands among the reference sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Class {
    /// Below the 5th percentile.
    FarBelow,
    /// From the 5th to below the 25th.
    Below,
    /// From the 25th to the 75th.
    Middle,
    /// Above the 75th to the 95th.
    Above,
    /// Above the 95th.
    FarAbove,
}

/// Fewest animals of a reference from whose percentiles classes are told (a proposal: the 5th
/// percentile of fewer than twenty is a single animal's).
pub const FEWEST_FOR_CLASSES: usize = 20;

/// Class of an animal by the percentiles of the reference sample's own relative conditions.
///
/// # Errors
/// Too small a reference, or a length outside it.
pub fn class(fit: &Fit, sample: &[Measured], animal: Measured) -> Result<Class, Refusal> {
    if sample.len() < FEWEST_FOR_CLASSES {
        return Err(Refusal::new(
            "reference-too-small",
            format!("class among {} animals", sample.len()),
            format!("percentiles need at least {FEWEST_FOR_CLASSES} of the same species and stage"),
            "show the relative condition alone, and let the veterinarian judge",
        ));
    }
    let own = relative(fit, animal)?;
    let mut all: Vec<f64> = sample.iter().filter_map(|one| Some(relative(fit, *one).ok()?.value())).collect();
    all.sort_unstable_by(f64::total_cmp);
    let at = |share: f64| percentile(&all, share);
    Ok(match own.value() {
        value if value < at(0.05) => Class::FarBelow,
        value if value < at(0.25) => Class::Below,
        value if value <= at(0.75) => Class::Middle,
        value if value <= at(0.95) => Class::Above,
        _ => Class::FarAbove,
    })
}

/// Linear between order statistics (the default of common statistics libraries).
fn percentile(sorted: &[f64], share: f64) -> f64 {
    let place = share * sorted.len().saturating_sub(1) as f64;
    let at = |index: f64| sorted.get(index as usize).copied().unwrap_or(f64::NAN);
    let (low, high) = (at(place.floor()), at(place.ceil()));
    low + (high - low) * place.fract()
}

/// A measured animal from plain numbers of a record: kilograms and metres.
///
/// # Errors
/// A mass or length of zero, below zero, or no number.
pub fn measured(mass_kg: f64, length_m: f64) -> Result<Measured, Refusal> {
    Ok(Measured { mass: Kilograms::new(mass_kg)?, length: Metres::new(length_m)? })
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::units::LEVEL;
    use proptest::prelude::*;

    /// The made-up sample of the reference facts, centimetres and grams.
    pub(crate) fn made_up() -> Vec<Measured> {
        [
            (20., 1050.),
            (22., 1500.),
            (24., 1840.),
            (25., 2250.),
            (27., 2600.),
            (30., 3900.),
            (33., 4900.),
            (36., 6900.),
        ]
        .map(|(cm, g)| measured(g / 1000.0, cm / 100.0).unwrap())
        .to_vec()
    }

    /// Computed with scipy 1.17.1 and numpy 2.4.6.
    #[test]
    fn the_made_up_sample() {
        let sample = made_up();
        let fit = fit::least_squares(&sample, LEVEL).unwrap();
        let smi = [2723.27, 2887.58, 2698.20, 2903.97, 2637.83, 2845.96, 2654.00, 2846.87];
        let kn = [0.9804, 1.0402, 0.9725, 1.0469, 0.9514, 1.0271, 0.9584, 1.0285];
        let k = [13.1250, 14.0872, 13.3102, 14.4000, 13.2094, 14.4444, 13.6350, 14.7891];
        for (at, animal) in sample.iter().enumerate() {
            assert!((scaled_mass(&fit, *animal).unwrap().grams() - smi[at]).abs() < 0.005);
            assert!((relative(&fit, *animal).unwrap().value() - kn[at]).abs() < 5e-5);
            assert!((fulton(*animal).unwrap().value() - k[at]).abs() < 5e-5);
        }
        let logs: f64 = sample.iter().map(|one| relative(&fit, *one).unwrap().value().ln()).sum();
        assert!(logs.abs() < 1e-9, "the geometric mean is 1");
    }

    #[test]
    fn small_references_have_no_classes_and_none_is_drawn_out() {
        let sample = made_up();
        let fit = fit::least_squares(&sample, LEVEL).unwrap();
        let animal = measured(2.0, 0.25).unwrap();
        assert_eq!(class(&fit, &sample, animal).unwrap_err().code, "reference-too-small");
        let large = sample.repeat(3);
        let fit = fit::least_squares(&large, LEVEL).unwrap();
        assert_eq!(class(&fit, &large, measured(1.0, 0.25).unwrap()), Ok(Class::FarBelow));
        assert_eq!(class(&fit, &large, measured(4.0, 0.25).unwrap()), Ok(Class::FarAbove));
        assert_eq!(class(&fit, &large, measured(2.1, 0.25).unwrap()), Ok(Class::Middle));
        assert_eq!(relative(&fit, measured(2.0, 0.5).unwrap()).unwrap_err().code, "beyond-reference");
        assert!(measured(0.0, 0.3).is_err() && measured(1.0, -0.3).is_err());
    }

    proptest! {
        /// At the mean length the index is the mass; k times the mass is k times the index.
        #[test]
        fn the_index_scales(kg in 0.5_f64..9.0, cm in 20.0_f64..36.0, k in 1.0_f64..5.0) {
            let fit = fit::least_squares(&made_up(), LEVEL).unwrap();
            let index = |kg, m| scaled_mass(&fit, measured(kg, m).unwrap()).unwrap().kg();
            prop_assert!((index(kg, fit.mean_length.m()) / kg - 1.0).abs() < 1e-9);
            prop_assert!((index(kg * k, cm / 100.0) / index(kg, cm / 100.0) - k).abs() < 1e-9);
        }
    }
}

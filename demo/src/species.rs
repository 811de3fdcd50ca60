//! The animals of the invented basin: real species, and what the simulation needs to know of them.
//!
//! Sizes, incubation days and quarantine days repeat the project's species data (`schemas/data`);
//! nesting months, clutch sizes and weights of arrival are from memory and steer nothing but the demo.

use haulout_schemas::envelope::Length;
use haulout_schemas::vocabulary::{LengthMeasure, LengthMethod, LifeStage};

use crate::luck::{hundredth, thousandth};

/// Index into [`ALL`].
pub(crate) type SpeciesIx = usize;

/// Eggs: when they are laid, how many, how long they take.
pub(crate) struct Nesting {
    /// Months of laying, 1 to 12.
    pub months: &'static [u32],
    /// Eggs of one clutch, from and to.
    pub eggs: (u32, u32),
    /// Days until they hatch, from and to.
    pub days: (u32, u32),
}

/// One species.
pub(crate) struct Species {
    pub name: &'static str,
    pub family: &'static str,
    pub crocodilian: bool,
    /// May ever be released in the basin.
    pub native: bool,
    /// A grown animal, metre, in the measure that the species' profile uses.
    pub typical_m: f64,
    /// The largest, metre.
    pub largest_m: f64,
    /// How it is fed.
    pub food: &'static str,
    /// Weight among the arrivals.
    pub common: u32,
    pub nesting: Option<Nesting>,
}

impl Species {
    /// Days of quarantine: the standard's 30 for crocodilians, common practice's 90 for chelonians.
    pub(crate) fn quarantine_days(&self) -> u16 {
        if self.crocodilian { 30 } else { 90 }
    }

    /// What is measured on it.
    pub(crate) fn measure(&self) -> LengthMeasure {
        if self.crocodilian { LengthMeasure::TotalLength } else { LengthMeasure::StraightCarapaceLength }
    }

    /// Length of an average animal of this stage, metre.
    pub(crate) fn length_at(&self, stage: LifeStage) -> f64 {
        let share = match stage {
            LifeStage::Egg | LifeStage::Hatchling => 0.11,
            LifeStage::Juvenile => 0.35,
            LifeStage::Subadult => 0.65,
            LifeStage::Adult => 0.95,
        };
        thousandth((self.typical_m * share).max(0.03))
    }

    /// A taped length.
    pub(crate) fn taped(&self, metre: f64) -> Length {
        Length {
            value: thousandth(metre),
            measure: self.measure(),
            method: LengthMethod::Taped,
            low: None,
            high: None,
        }
    }

    /// Mass of an animal so long, kilogram: a cube law with a round factor, from memory.
    pub(crate) fn mass_kg(&self, metre: f64) -> f64 {
        let factor = if self.crocodilian { 3.6 } else { 160.0 };
        hundredth((factor * metre * metre * metre).max(0.01))
    }

    /// Land, water (square metre) and depth (metre) that surely hold `heads` of the largest, by the
    /// space rules of the species data.
    pub(crate) fn room_for(&self, heads: u32) -> (f64, f64, f64) {
        let further = f64::from(heads.saturating_sub(1));
        let square = self.largest_m * self.largest_m;
        let up = |area: f64| (area / 10.0).ceil() * 10.0;
        if self.crocodilian {
            // The rule reckons with the snout-vent length, about half of the total.
            let square = square / 4.0;
            (up(12.0 * square * (1.0 + 0.1 * further)), up(20.0 * square * (1.0 + 0.2 * further)), 2.0)
        } else if self.family == "Testudinidae" {
            (up(6.0 + 2.0 * further), 10.0, 2.0)
        } else {
            (up(4.0 + 0.5 * further), up(12.5 * square * (1.0 + 0.2 * further)), 2.0)
        }
    }
}

const fn nesting(months: &'static [u32], eggs: (u32, u32), days: (u32, u32)) -> Option<Nesting> {
    Some(Nesting { months, eggs, days })
}

macro_rules! species {
    ($($name:literal, $family:literal, $croc:literal, $native:literal, $typical:literal, $largest:literal, $food:literal, $common:literal, $nesting:expr;)+) => {
        /// Every species that the basin knows. Those with weight 0 among the arrivals are left to planted faults.
        pub(crate) const ALL: &[Species] = &[$(Species {
            name: $name, family: $family, crocodilian: $croc, native: $native, typical_m: $typical,
            largest_m: $largest, food: $food, common: $common, nesting: $nesting,
        }),+];
    };
}

species! {
    "Gavialis gangeticus", "Gavialidae", true, true, 4.0, 6.0, "fish", 2, nesting(&[3, 4], (28, 46), (56, 66));
    "Crocodylus palustris", "Crocodylidae", true, true, 2.8, 4.5, "fish and fowl", 6, nesting(&[3, 4, 5], (18, 32), (56, 70));
    "Crocodylus porosus", "Crocodylidae", true, true, 4.0, 6.3, "fish and fowl", 2, nesting(&[6, 7, 8, 9], (38, 60), (78, 90));
    "Batagur dhongoka", "Geoemydidae", false, true, 0.4, 0.48, "water plants", 4, nesting(&[3, 4], (16, 30), (62, 80));
    "Hardella thurjii", "Geoemydidae", false, true, 0.4, 0.61, "water plants", 5, None;
    "Pangshura tecta", "Geoemydidae", false, true, 0.18, 0.23, "leaf and shrimp", 8, None;
    "Pangshura tentoria", "Geoemydidae", false, true, 0.2, 0.27, "leaf and shrimp", 7, None;
    "Geoclemys hamiltonii", "Geoemydidae", false, true, 0.28, 0.41, "snails", 5, None;
    "Nilssonia gangetica", "Trionychidae", false, true, 0.55, 0.94, "fish", 8, nesting(&[8, 9, 10], (13, 30), (245, 320));
    "Nilssonia hurum", "Trionychidae", false, true, 0.45, 0.6, "fish", 4, nesting(&[8, 9, 10], (12, 26), (245, 320));
    "Lissemys punctata", "Trionychidae", false, true, 0.25, 0.37, "fish and snails", 9, nesting(&[8, 9, 10, 11], (4, 12), (245, 320));
    "Indotestudo elongata", "Testudinidae", false, true, 0.28, 0.36, "leaf and fruit", 7, None;
    "Manouria emys", "Testudinidae", false, true, 0.5, 0.6, "leaf and fruit", 2, None;
    "Trachemys scripta", "Emydidae", false, false, 0.2, 0.28, "leaf and pellet", 2, None;
    "Pangshura smithii", "Geoemydidae", false, true, 0.18, 0.23, "leaf and shrimp", 0, None;
    "Pangshura sylhetensis", "Geoemydidae", false, true, 0.17, 0.2, "leaf and shrimp", 0, None;
    "Melanochelys trijuga", "Geoemydidae", false, true, 0.22, 0.38, "leaf and snails", 0, None;
    "Melanochelys tricarinata", "Geoemydidae", false, true, 0.14, 0.17, "leaf and insects", 0, None;
    "Morenia petersi", "Geoemydidae", false, true, 0.18, 0.22, "water plants", 0, None;
    "Cyclemys gemeli", "Geoemydidae", false, true, 0.2, 0.24, "leaf and fruit", 0, None;
    "Batagur kachuga", "Geoemydidae", false, true, 0.45, 0.56, "water plants", 0, None;
    "Batagur baska", "Geoemydidae", false, true, 0.5, 0.6, "water plants", 0, None;
    "Nilssonia nigricans", "Trionychidae", false, true, 0.6, 0.91, "fish", 0, None;
    "Chitra indica", "Trionychidae", false, true, 0.8, 1.1, "fish", 0, None;
}

/// The species of that name.
pub(crate) fn named(name: &str) -> Option<SpeciesIx> {
    ALL.iter().position(|species| species.name == name)
}

//! Keeping and handling: food, warmth, quarantine, space, company, danger.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::vocabulary::LengthMeasure;

/// What a species eats when grown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Diet {
    /// Fish, flesh, invertebrates.
    Carnivore,
    /// Plants and fruit.
    Herbivore,
    /// Both.
    Omnivore,
}

/// A band of temperatures, degrees Celsius.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct TemperatureBand {
    /// Lower end, degrees Celsius.
    pub low_c: f64,
    /// Upper end, degrees Celsius.
    pub high_c: f64,
}

/// The season in which a healthy animal rests and is neither fed nor heated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum SeasonalRest {
    /// No seasonal rest to reckon with.
    None,
    /// Slows down or rests in the cool season.
    CoolSeason,
    /// Rests in the dry or hottest season, often buried.
    DrySeason,
}

/// Which newcomer in the same unit or water circuit starts a quarantine again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum QuarantineRestart {
    /// Any newcomer of the same order (chelonian for chelonian).
    Order,
    /// Any newcomer that is a reptile.
    Class,
}

/// Least space for a number of animals, as data; sized by the largest animal.
/// Lengths are multiples of the species' `spaceMeasure`, areas square metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", rename_all_fields = "camelCase", tag = "rule", deny_unknown_fields)]
pub enum SpaceRule {
    /// Land and water in multiples of snout-vent length K.
    Crocodilian {
        /// Land side one, multiples of K.
        land_length: f64,
        /// Land side two, multiples of K.
        land_width: f64,
        /// Water side one, multiples of K.
        water_length: f64,
        /// Water side two, multiples of K.
        water_width: f64,
        /// Water depth, multiples of K.
        depth: f64,
        /// Share of the base land for each animal beyond the first (0.10 = 10 %).
        land_per_further: f64,
        /// Share of the base water for each animal beyond the first.
        water_per_further: f64,
        /// A computed height or depth need not exceed this, metres.
        height_limit_m: f64,
    },
    /// Water in multiples of shell length.
    Aquatic {
        /// Water side one, multiples of shell length.
        water_length: f64,
        /// Water side two, multiples of shell length.
        water_width: f64,
        /// Water depth, multiples of shell length.
        depth: f64,
        /// Share of the base water for each animal beyond the first.
        water_per_further: f64,
        /// A computed depth need not exceed this, metres.
        height_limit_m: f64,
    },
    /// Floor area by the size class of the species, for animals on land.
    Floor {
        /// Size class of the grown species.
        class: FloorClass,
        /// Animals the base area is for.
        base_animals: u32,
        /// Base area, square metres.
        base_m2: f64,
        /// Area for each animal beyond `baseAnimals`, square metres; absent where the
        /// source gives none, and then more animals cannot be checked.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        further_m2: Option<f64>,
        /// Depth of substrate, metres.
        substrate_depth_m: f64,
    },
}

/// Size class of land animals in the floor-area rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum FloorClass {
    /// Small tortoises.
    Small,
    /// Middle-sized tortoises.
    Medium,
    /// Large tortoises.
    Large,
    /// Giant tortoises.
    Giant,
}

/// Who may share a unit, outside the batch an animal came in with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Company {
    /// Alone.
    Solitary,
    /// With its own species.
    SameSpecies,
    /// With species of the same keeping group.
    SameGroup,
}

/// Who may live with whom.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct LivingTogether {
    /// The company allowed.
    pub company: Company,
    /// Largest length over smallest length in one unit, at most.
    pub max_size_ratio: f64,
    /// Whether adult males are kept apart from each other.
    pub adult_males_apart: bool,
}

/// Danger to people.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum HazardClass {
    /// Scratches and small bites.
    Low,
    /// A bite that wounds: never within reach of the head.
    Biting,
    /// A bite that maims; handled by trained people with equipment only.
    Severe,
    /// Can kill when grown.
    Deadly,
}

/// Least crew above a length.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct CrewStep {
    /// Applies to animals longer than this, metres of the hazard's `measure`.
    pub over_m: f64,
    /// Trained people needed at least.
    pub people: u8,
}

/// Danger to people and the crew it asks for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Hazard {
    /// How dangerous a grown animal is.
    pub class: HazardClass,
    /// What `overM` of the crew steps measures.
    pub measure: LengthMeasure,
    /// Crew by length, ascending; below the first step one person.
    pub crew: Vec<CrewStep>,
}

impl Hazard {
    /// Trained people needed at least for an animal of this length (metres of `measure`).
    pub fn minimum_crew(&self, length_m: f64) -> u8 {
        let steps = self.crew.iter().filter(|step| length_m > step.over_m);
        steps.map(|step| step.people).max().unwrap_or(1)
    }
}

//! Back to the river: `release`, `relocation`, `sighting`.

use super::body;
use crate::envelope::{Length, Locality, RecordRef};
use crate::text::LocalId;
use crate::vocabulary::{LifeStage, Sex, Vitality, vocabulary};

vocabulary! {
    /// How it was released.
    pub enum ReleaseMethod {
        /// Straight into the water.
        Direct = "direct",
        /// After a stay in an enclosure on the site.
        AfterEnclosure = "afterEnclosure",
    }
}

body! {
    /// Animals go back to the wild, with permit, certificate and mark.
    pub struct Release {
        /// How many animals were released.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Age class. Darwin Core: `dwc:lifeStage`.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// Number of the authority's permit that is used.
        pub permit_number: Option<LocalId>,
        /// The health certificate: an `assessment`, event `certificate`, by a veterinarian.
        pub certificate: Option<RecordRef>,
        /// The mark that the animal carries, as it reads.
        pub mark_number: Option<LocalId>,
        /// How it was released.
        pub method: Option<ReleaseMethod>,
        /// Where it was released. Shown to few.
        pub site: Option<Locality>,
    }
}

body! {
    /// Caught and freed the same day, never held.
    pub struct Relocation {
        /// How many animals were moved.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Age class. Darwin Core: `dwc:lifeStage`.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// Lengths in metre, taken or guessed.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 20))]
        pub lengths_metre: Vec<Length>,
        /// Where it was. Shown to few.
        pub from: Option<Locality>,
        /// Where it was freed. Shown to few.
        pub to: Option<Locality>,
        /// Distance between the two places, kilometre.
        #[schemars(range(min = 0.0, max = 2000.0))]
        pub distance_kilometre: Option<f64>,
        /// Why it was moved.
        #[schemars(length(min = 1, max = 1000))]
        pub reason: Option<String>,
    }
}

body! {
    /// An animal seen, caught or read in the wild.
    pub struct Sighting {
        /// How many animals were seen.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Alive or dead.
        pub vitality: Vitality,
        /// The mark that was read.
        pub mark_number: Option<LocalId>,
        /// Age class. Darwin Core: `dwc:lifeStage`.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// Lengths in metre, taken or guessed.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 20))]
        pub lengths_metre: Vec<Length>,
        /// Where it was seen. Shown to few.
        pub place: Option<Locality>,
    }
}

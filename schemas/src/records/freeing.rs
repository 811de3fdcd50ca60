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
        /// How many.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Age class.
        pub life_stage: Option<LifeStage>,
        /// Sex.
        pub sex: Option<Sex>,
        /// The authority's permit.
        pub permit_number: Option<LocalId>,
        /// The health certificate: an `assessment`, event `certificate`, by a veterinarian.
        pub certificate: Option<RecordRef>,
        /// The mark it carries.
        pub mark_number: Option<LocalId>,
        /// How.
        pub method: Option<ReleaseMethod>,
        /// Where. Shown to few.
        pub site: Option<Locality>,
    }
}

body! {
    /// Caught and freed the same day, never held.
    pub struct Relocation {
        /// How many.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Age class.
        pub life_stage: Option<LifeStage>,
        /// Sex.
        pub sex: Option<Sex>,
        /// Lengths in metre, taken or guessed.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 20))]
        pub lengths_metre: Vec<Length>,
        /// Where it was. Shown to few.
        pub from: Option<Locality>,
        /// Where it was freed. Shown to few.
        pub to: Option<Locality>,
        /// Distance, kilometre.
        #[schemars(range(min = 0.0, max = 2000.0))]
        pub distance_kilometre: Option<f64>,
        /// Why.
        #[schemars(length(min = 1, max = 1000))]
        pub reason: Option<String>,
    }
}

body! {
    /// An animal seen, caught or read in the wild.
    pub struct Sighting {
        /// How many.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: u32,
        /// Alive or dead.
        pub vitality: Vitality,
        /// The mark read.
        pub mark_number: Option<LocalId>,
        /// Age class.
        pub life_stage: Option<LifeStage>,
        /// Sex.
        pub sex: Option<Sex>,
        /// Lengths in metre, taken or guessed.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        #[schemars(length(max = 20))]
        pub lengths_metre: Vec<Length>,
        /// Where. Shown to few.
        pub place: Option<Locality>,
    }
}

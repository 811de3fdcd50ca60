//! What a party counted, `census`, and what it cannot explain, `adjustment`.

use super::body;
use crate::text::{LocalId, LotId, OrganismId, ScientificName};
use crate::vocabulary::{LifeStage, Sex, vocabulary};

vocabulary! {
    /// How a census was taken.
    pub enum CensusMethod {
        /// Each animal seen.
        HeadCount = "headCount",
        /// Part counted, the rest inferred.
        PartialCount = "partialCount",
        /// From the books.
        Books = "books",
    }
}

body! {
    /// What was there at the close of its day, whatever hour it was taken.
    pub struct Census {
        /// True for the first one, which opens the account; dated the day before the first night.
        pub opening: Option<bool>,
        /// How the census was taken.
        pub method: CensusMethod,
        /// True where everything was counted: only then does a missing line mean zero.
        pub complete: bool,
        /// The unit, where it is a census of one unit.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// What was counted, one line for each group.
        #[schemars(length(max = 5000))]
        pub lines: Vec<CensusLine>,
    }
}

body! {
    /// A number of one species.
    pub struct CensusLine {
        /// Species, or genus, family or order while nobody knows better.
        pub scientific_name: ScientificName,
        /// Age class; `egg` is of commodity eggs.
        pub life_stage: Option<LifeStage>,
        /// Sex. Darwin Core: `dwc:sex`.
        pub sex: Option<Sex>,
        /// The animal, where the line is of one animal known by its number.
        #[serde(rename = "organismID")]
        pub organism_id: Option<OrganismId>,
        /// The lot, where the line is of one lot.
        #[serde(rename = "lotID")]
        pub lot_id: Option<LotId>,
        /// How many were counted; 0 says that none was there.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub individual_count: u32,
        /// The unit in which they were counted.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// True where the line cannot be counted now (buried, resting, under ice or mud); it is then no statement of a number.
        pub not_countable: Option<bool>,
    }
}

body! {
    /// A difference that the party cannot explain, put into its books.
    pub struct Adjustment {
        /// More (positive) or fewer (negative) than the books.
        #[schemars(range(min = -1_000_000, max = 1_000_000))]
        pub individual_count: i32,
        /// Age class; `egg` is of commodity eggs.
        pub life_stage: Option<LifeStage>,
        /// What was tried to explain it.
        #[schemars(length(min = 1, max = 1000))]
        pub reason: String,
    }
}

//! Eggs: a `clutch` in hand, a `nest` left in place.

use super::body;
use crate::envelope::Locality;
use crate::event_date::EventDate;
use crate::text::{ConsignmentId, LocalId, LotId, OrganismId};
use crate::vocabulary::vocabulary;

vocabulary! {
    /// A step of a clutch.
    pub enum ClutchEvent {
        /// Taken from the wild by a centre's crew.
        Collected = "collected",
        /// Laid in care, on a journey, or taken from a carcass.
        Laid = "laid",
        /// Looked through with a light.
        Candled = "candled",
        /// Hatched: eggs become animals.
        Hatched = "hatched",
        /// Failed: eggs are dead.
        Failed = "failed",
        /// Hatchlings found of a clutch that nobody knew of.
        FoundHatched = "foundHatched",
    }

    /// How eggs are kept.
    pub enum Incubation {
        /// In a box indoors.
        Box = "box",
        /// In a dug burrow outdoors.
        Burrow = "burrow",
        /// In an incubator.
        Incubator = "incubator",
    }

    /// A step of a nest in place.
    pub enum NestEvent {
        /// Fenced or watched.
        Protected = "protected",
        /// Moved to another bank.
        Moved = "moved",
        /// Lost.
        Lost = "lost",
        /// Hatched in place.
        Hatched = "hatched",
    }
}

body! {
    /// A clutch of eggs: collected, laid, candled, hatched, failed. Eggs keep position and direction: turning kills.
    pub struct Clutch {
        /// The step of the clutch's life that this record tells of.
        pub event: ClutchEvent,
        /// Eggs of this step; for `foundHatched`, hatchlings.
        #[schemars(range(min = 1, max = 1_000_000))]
        pub individual_count: Option<u32>,
        /// The lot that the hatchlings are.
        #[serde(rename = "hatchlingsLotID")]
        pub hatchlings_lot_id: Option<LotId>,
        /// The female that laid it.
        #[serde(rename = "motherID")]
        pub mother_id: Option<OrganismId>,
        /// Whether the eggs were taken from a dead mother.
        pub from_carcass: Option<bool>,
        /// The journey on which it happened.
        #[serde(rename = "consignmentID")]
        pub consignment_id: Option<ConsignmentId>,
        /// When the eggs were laid, as far as anyone knows; the hatching window is reckoned from it.
        pub laid_on: Option<EventDate>,
        /// Whether the tops were marked before the eggs were lifted.
        pub tops_marked: Option<bool>,
        /// Eggs seen to be fertile when candled.
        #[schemars(range(min = 0, max = 1_000_000))]
        pub fertile_count: Option<u32>,
        /// Where the nest was. Shown to few.
        pub place: Option<Locality>,
        /// Depth of the nest, metre.
        #[schemars(range(min = 0.0, max = 3.0))]
        pub nest_depth_metre: Option<f64>,
        /// How the eggs are kept.
        pub incubation: Option<Incubation>,
        /// The box, burrow or incubator.
        #[serde(rename = "unitID")]
        pub unit_id: Option<LocalId>,
        /// Temperature of the eggs, degree Celsius.
        #[schemars(range(min = 0.0, max = 50.0))]
        pub celsius: Option<f64>,
        /// Humidity of the air around the eggs, share of saturation, 0 to 1.
        #[schemars(range(min = 0.0, max = 1.0))]
        pub humidity_share: Option<f64>,
        /// Why eggs failed, as far as seen.
        #[schemars(length(min = 1, max = 1000))]
        pub reason: Option<String>,
    }
}

body! {
    /// A nest left in place: no animal enters a stock.
    pub struct Nest {
        /// What happened to the nest.
        pub event: NestEvent,
        /// The number that the party gave the nest.
        #[serde(rename = "nestID")]
        pub nest_id: LocalId,
        /// Eggs, or hatchlings for `hatched`, as far as counted.
        #[schemars(range(min = 0, max = 10_000))]
        pub individual_count: Option<u32>,
        /// Where the nest is. Shown to few.
        pub place: Option<Locality>,
        /// Where it was moved to. Shown to few.
        pub moved_to: Option<Locality>,
        /// What was done for it, in words.
        #[schemars(length(min = 1, max = 1000))]
        pub measure: Option<String>,
    }
}

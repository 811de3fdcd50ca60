//! Species profiles: what is known about a species that decides where it may
//! be placed, how it is handled and how long it is watched.
//!
//! Every value is a [`Sourced`] one: it names a key of the file's `sources`
//! table or one of two markers, [`COMMON_PRACTICE`] and [`FROM_MEMORY`]. A
//! profile holds data only; the computations (space, transport, incubation)
//! live elsewhere and read it. Nothing here knows a record, a centre or a day.
//!
//! The shipped figures are defaults under which local code and licensed
//! practice decide: see [`Profiles::with_overrides`].

mod checks;
mod faults;
mod keeping;
mod layers;
mod lengths;
mod overrides;
mod standard;
mod wild;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::vocabulary::LengthMeasure;

pub use faults::{ProfileError, ProfileFault};
pub use keeping::{
    Company, CrewStep, Diet, FloorClass, Hazard, HazardClass, LivingTogether, QuarantineRestart,
    SeasonalRest, SpaceRule, TemperatureBand,
};
pub use layers::merge_patch;
pub use lengths::{AdultSize, LengthRelation, Line, RelationKind};
pub use standard::{Profiles, SourceEntry};
pub use wild::{
    Appendix, BasinStatus, Incubation, IncubationPoint, Occurrence, SexDetermination, TreatyListing,
};

/// Source marker: a rule of thumb practitioners work by, without a published source.
pub const COMMON_PRACTICE: &str = "common practice";

/// Source marker: believed correct, not seen in a source; never a published check value.
pub const FROM_MEMORY: &str = "from memory";

/// A value together with where it comes from.
///
/// In files a sourced value is one unit: a layer or an override replaces it
/// whole, so that a figure never ends up beside another figure's source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Sourced<T> {
    /// The value itself.
    pub value: T,
    /// Key of the `sources` table, or `common practice`, or `from memory`.
    pub source: String,
    /// What a reader must know before relying on the value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// The two orders Haulout deals with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub enum TaxonOrder {
    /// Turtles and tortoises.
    Testudines,
    /// Crocodiles, alligators, caimans and gharials.
    Crocodylia,
}

impl TaxonOrder {
    /// The order's scientific name, as records write it.
    pub fn name(self) -> &'static str {
        match self {
            TaxonOrder::Testudines => "Testudines",
            TaxonOrder::Crocodylia => "Crocodylia",
        }
    }
}

/// Keeping group: Haulout's own sorting by how an animal is kept and handled.
/// It decides which defaults a species inherits and who counts as "same group".
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Group {
    /// Crocodiles, alligators, caimans, gharials.
    Crocodilian,
    /// Softshell and flapshell turtles: swift biters with a long neck.
    Softshell,
    /// Large hard-shelled turtles of rivers and estuaries.
    RiverTurtle,
    /// Small and middle-sized hard-shelled turtles of ponds, marshes and backwaters.
    PondTurtle,
    /// Hard-shelled turtles that live half or mostly on land in wet forest and hills.
    ForestTurtle,
    /// Snapping turtles and other hard-shelled turtles with a dangerous bite.
    SnappingTurtle,
    /// Land tortoises.
    Tortoise,
}

impl Group {
    /// The key of this group in `defaults`.
    pub fn key(self) -> &'static str {
        match self {
            Group::Crocodilian => "crocodilian",
            Group::Softshell => "softshell",
            Group::RiverTurtle => "riverTurtle",
            Group::PondTurtle => "pondTurtle",
            Group::ForestTurtle => "forestTurtle",
            Group::SnappingTurtle => "snappingTurtle",
            Group::Tortoise => "tortoise",
        }
    }

    /// Every group, in the order of the enum.
    pub const ALL: [Group; 7] = [
        Group::Crocodilian,
        Group::Softshell,
        Group::RiverTurtle,
        Group::PondTurtle,
        Group::ForestTurtle,
        Group::SnappingTurtle,
        Group::Tortoise,
    ];
}

/// Everything Haulout knows about one species, its group's defaults already filled in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Profile {
    /// Accepted name by the file's name list.
    pub scientific_name: String,
    /// Order by the file's name list.
    pub order: TaxonOrder,
    /// Family by the file's name list.
    pub family: String,
    /// Keeping group: Haulout's own sorting.
    pub group: Group,
    /// Names in everyday use, English unless noted.
    pub common_names: Sourced<Vec<String>>,
    /// Other scientific names that mean this species.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub synonyms: Vec<Sourced<String>>,
    /// Subspecies records may name; they count as the species.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub subspecies: Option<Sourced<Vec<String>>>,
    /// The measure space is computed from.
    pub space_measure: Sourced<LengthMeasure>,
    /// The measure people estimate and units are limited by.
    pub field_measure: Sourced<LengthMeasure>,
    /// Known relations between measures; without one a conversion cannot be checked.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub length_relations: Vec<LengthRelation>,
    /// Size of adults.
    pub adult_size: Sourced<AdultSize>,
    /// Treaty listing.
    pub treaty: Sourced<TreatyListing>,
    /// What it eats.
    pub diet: Sourced<Diet>,
    /// Day temperature in the active season.
    pub keeping_temperature: Sourced<TemperatureBand>,
    /// Comfort band on the road.
    pub transport_temperature: Sourced<TemperatureBand>,
    /// Outside this band on the road: alarm.
    pub transport_alarm: Sourced<TemperatureBand>,
    /// Outside this band for long: possibly lethal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lethal_outside: Option<Sourced<TemperatureBand>>,
    /// Season of rest.
    pub seasonal_rest: Sourced<SeasonalRest>,
    /// Days of quarantine, counted from the batch's last entry.
    pub quarantine_days: Sourced<u16>,
    /// Which newcomer starts the quarantine again.
    pub quarantine_restart: Sourced<QuarantineRestart>,
    /// Least space.
    pub space: Sourced<SpaceRule>,
    /// Who may live with whom.
    pub living: Sourced<LivingTogether>,
    /// Danger to people.
    pub hazard: Sourced<Hazard>,
    /// Disease people may catch, and what to do about it.
    pub zoonosis: Sourced<String>,
    /// Whether it must never be set free, whatever the permit says.
    pub never_release: Sourced<bool>,
    /// What it is in each basin, by region id.
    #[serde(default)]
    pub basins: BTreeMap<String, BasinStatus>,
    /// How long its eggs take, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub incubation: Option<Sourced<Incubation>>,
    /// What decides the sex of its hatchlings, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sex_determination: Option<Sourced<SexDetermination>>,
}

impl Profile {
    /// The relation from one measure to another: as stated, else a stated mean read backwards.
    pub fn relation(&self, from: LengthMeasure, to: LengthMeasure) -> Option<LengthRelation> {
        let stated = self.length_relations.iter().find(|line| line.from == from && line.to == to);
        stated.cloned().or_else(|| {
            let back = self.length_relations.iter().filter(|line| line.from == to && line.to == from);
            back.into_iter().find_map(LengthRelation::inverted)
        })
    }

    /// The figures of [`Profile::relation`] alone.
    pub fn line(&self, from: LengthMeasure, to: LengthMeasure) -> Option<Line> {
        let stated = self.length_relations.iter().find(|line| line.from == from && line.to == to);
        stated.map(LengthRelation::line).or_else(|| {
            let back = self.length_relations.iter().filter(|line| line.from == to && line.to == from);
            back.into_iter().find_map(LengthRelation::backwards)
        })
    }

    /// What the species is in a basin; `None` where nobody has said.
    pub fn basin(&self, region: &str) -> Option<&BasinStatus> {
        self.basins.get(region)
    }
}

//! What the region looks like at one instant: the first half of a request file.
//!
//! Whoever assembles it (the hub from its journal, or a person by hand) states
//! what is known; what is left out is unknown, and what is unknown is never
//! counted in an animal's favour. Two kinds of member differ in what leaving
//! them out means, and each member says which it is: a *limit* left out is no
//! limit, a *claim* (an area, what a pool suits, a crew) left out is a claim not
//! made, so the rule that needs it cannot be checked.

mod centre;
mod roads;
mod settings;
mod unit;

pub use centre::{Centre, Crew, LicenceLine, Point};
pub use roads::{Closure, Ferry, NightBan, Roads, TravelLine};
pub use settings::{ByStay, ByTriage, Celsius, Settings};
pub use unit::{LengthLimit, Occupant, Quarantine, Unit};

use chrono::{DateTime, FixedOffset};
use haulout_schemas::vocabulary::Direction;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The centres, units, roads and standstills of a region at one instant.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct RegionView {
    /// Centres that may receive animals.
    pub centres: Vec<Centre>,
    /// Units of all centres; a row of identical ones is one entry.
    pub units: Vec<Unit>,
    /// Temporary holding points: animals leave them, none is placed there.
    #[serde(default)]
    pub points: Vec<Point>,
    /// Roads between places.
    pub roads: Roads,
    /// Standstills in force or announced.
    #[serde(default)]
    pub standstills: Vec<Standstill>,
    /// The region's own thresholds.
    #[serde(default)]
    pub settings: Settings,
}

/// A standstill: animals may not move into or out of a place, or a part of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Standstill {
    /// Centre or point it binds.
    #[serde(rename = "placeID")]
    pub place_id: String,
    /// Water circuit it is confined to; left out, the whole place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_circuit: Option<String>,
    /// Units it is confined to; empty, all of them.
    #[serde(default, rename = "unitIDs", skip_serializing_if = "Vec::is_empty")]
    pub unit_ids: Vec<String>,
    /// Species, genera, families or orders it is confined to; empty, every animal.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub taxa: Vec<String>,
    /// Which way animals may not move.
    pub direction: Direction,
    /// Agent of disease it was declared for, as declared.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub agent: Option<String>,
    /// Instant from which it binds.
    pub from: DateTime<FixedOffset>,
    /// Instant of lifting; left out, not lifted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<DateTime<FixedOffset>>,
}

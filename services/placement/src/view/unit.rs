//! Units, and who is in them, on the way to them or promised a place in them.

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_schemas::envelope::Length;
use haulout_schemas::profile::TaxonOrder;
use haulout_schemas::records::standing::{Arrangement, UnitKind, WaterType};
use haulout_schemas::vocabulary::{LengthMeasure, LifeStage, Sex, Stay};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One pool, pen, tank, ward, isolation room or incubator, or a row of identical ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Unit {
    /// Identifier, unique within its centre.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// Centre it belongs to.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// What it is.
    pub unit_kind: UnitKind,
    /// How many identical ones stand in the row.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 10_000))]
    pub units: u32,
    /// Whether it takes one batch at a time or several together.
    pub arrangement: Arrangement,
    /// Land of one unit, square metres: a claim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub land_square_metre: Option<f64>,
    /// Water surface of one unit, square metres: a claim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_square_metre: Option<f64>,
    /// Depth of the water, metres: a claim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_metre: Option<f64>,
    /// Longest animal it may hold: a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_limit: Option<LengthLimit>,
    /// Most heads in one unit, whatever the space: a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heads_limit: Option<u32>,
    /// Species, genera, families or orders it is meant for: a claim.
    #[serde(default)]
    pub suits: Vec<String>,
    /// Stays it is meant for: a limit; empty, every stay.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stays: Vec<Stay>,
    /// Longest side of its floor, metres: a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub longest_side_metre: Option<f64>,
    /// Whether heat is held: a claim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heated: Option<bool>,
    /// Lowest temperature held, in the water or, in an incubator, among the eggs, degrees Celsius: a
    /// claim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lowest_celsius: Option<f64>,
    /// Highest temperature held, degrees Celsius: a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub highest_celsius: Option<f64>,
    /// What its water is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_type: Option<WaterType>,
    /// Whether eggs keep position and direction in it: a claim of an incubator.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub keeps_orientation: Option<bool>,
    /// The water it shares with other units of its centre.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_circuit: Option<String>,
    /// Animals in it now.
    #[serde(default)]
    pub occupants: Vec<Occupant>,
    /// Animals on the way to it.
    #[serde(default)]
    pub expected: Vec<Occupant>,
    /// Animals a place in it is kept for.
    #[serde(default)]
    pub reserved: Vec<Occupant>,
    /// Quarantine running in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub quarantine: Option<Quarantine>,
    /// Units of the row in which nothing stands, is expected or reserved. Left out, every entry of
    /// occupants, expected and reserved counts as a unit of its own, and a lot as one for each head.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_units: Option<u32>,
    /// When its capacity was last reported.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_as_of: Option<DateTime<FixedOffset>>,
}

fn one() -> u32 {
    1
}

impl Unit {
    /// Everyone who stands in it, is on the way to it or has a place kept in it, each once.
    pub fn everyone(&self) -> impl Iterator<Item = &Occupant> {
        self.occupants.iter().chain(&self.expected).chain(&self.reserved)
    }

    /// Heads of [`Unit::everyone`].
    #[must_use]
    pub fn heads(&self) -> u32 {
        self.everyone().fold(0, |sum, one| sum.saturating_add(one.individual_count))
    }

    /// Units of the row in which nothing stands, is expected or reserved; by the worst case where
    /// nobody has said. A single unit with anyone in it is not empty, whatever `freeUnits` says.
    #[must_use]
    pub fn standing_empty(&self) -> u32 {
        let heads = self.heads();
        let stated = self.free_units.unwrap_or(self.units).min(self.units);
        match (self.units, self.free_units) {
            (0 | 1, _) if heads > 0 => 0,
            (_, None) => stated.saturating_sub(heads),
            _ => stated,
        }
    }
}

/// The longest animal a unit may hold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct LengthLimit {
    /// Metres.
    pub metre: f64,
    /// What is measured.
    pub measure: LengthMeasure,
}

/// An animal or a lot in a unit, on the way to it or promised a place in it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Occupant {
    /// The animal, where it is known by itself.
    #[serde(default, rename = "organismID", skip_serializing_if = "Option::is_none")]
    pub organism_id: Option<String>,
    /// The lot.
    #[serde(default, rename = "lotID", skip_serializing_if = "Option::is_none")]
    pub lot_id: Option<String>,
    /// Reservation that keeps the place, or the request it answers.
    #[serde(default, rename = "reservationID", skip_serializing_if = "Option::is_none")]
    pub reservation_id: Option<String>,
    /// Species, or genus, family or order while nobody knows better.
    pub scientific_name: String,
    /// How many.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 1_000_000))]
    pub individual_count: u32,
    /// Length of the largest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Length>,
    /// Sex; left out, not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sex: Option<Sex>,
    /// Age class; left out, not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub life_stage: Option<LifeStage>,
    /// Batch it came in with.
    #[serde(default, rename = "batchID", skip_serializing_if = "Option::is_none")]
    pub batch_id: Option<String>,
}

/// A quarantine running in a unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Quarantine {
    /// The batch.
    #[serde(rename = "batchID")]
    pub batch_id: String,
    /// Order of its animals; left out, an arrival of any order counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub order: Option<TaxonOrder>,
    /// First day on which it may leave.
    pub clear_day: NaiveDate,
}

//! Centres and points: licences, crews, arrivals of the day.

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_schemas::records::authority::LicenceStatus;
use haulout_schemas::records::standing::{CrewSkill, VetLevel};
use haulout_schemas::vocabulary::Stay;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Occupant;

/// One licensed rescue centre as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Centre {
    /// Identifier of the centre, such as `meruva.kolvani`.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Name to print; left out, the identifier is printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Latitude of the gate, decimal degrees, WGS 84.
    pub latitude: f64,
    /// Longitude of the gate, decimal degrees, WGS 84.
    pub longitude: f64,
    /// What the centre may keep: a claim, none means nothing may be kept.
    pub licences: Vec<LicenceLine>,
    /// Crews on call tonight: a claim, none means no crew.
    #[serde(default)]
    pub crews: Vec<Crew>,
    /// How far a vet's hands reach tonight: a claim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vet_level: Option<VetLevel>,
    /// Most animals the centre takes in on one day: a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrivals_per_day: Option<u32>,
    /// Animals already arrived today.
    #[serde(default)]
    pub arrived_today: u32,
    /// Animals under way to the centre, or promised to it, that come today.
    #[serde(default)]
    pub due_today: u32,
    /// Animals in the centre's stock that stand in none of its units.
    #[serde(default)]
    pub unhoused: Vec<Occupant>,
    /// Animals the whole centre may hold; left out, the sum of its units' own limits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heads: Option<u32>,
    /// Basin it lies in, for animals that must stay in theirs: a claim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basin: Option<String>,
    /// When crews and tonight's places were last reported.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub status_as_of: Option<DateTime<FixedOffset>>,
}

impl Centre {
    /// What to call the centre in a sentence.
    #[must_use]
    pub fn called(&self) -> &str {
        self.name.as_deref().unwrap_or(&self.centre_id)
    }
}

/// One line of a licence: what may be kept, how many, until when.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct LicenceLine {
    /// Number of the licence, as issued.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub licence_number: Option<String>,
    /// Species, genera, families or orders it covers.
    pub scope: Vec<String>,
    /// Stays it covers; empty, every stay.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub activities: Vec<Stay>,
    /// Most animals of the scope kept at one time: a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heads_limit: Option<u32>,
    /// Last day on which it is valid: a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub valid_through: Option<NaiveDate>,
    /// Where it stands. Under renewal it continues by law past its last day, and the option says so.
    pub status: LicenceStatus,
}

/// A crew on call tonight.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Crew {
    /// What it is trained for.
    pub skill: CrewSkill,
    /// Trained people on call.
    pub people: u16,
}

/// A temporary holding point: a police yard, a range office.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Point {
    /// Identifier of the point.
    #[serde(rename = "pointID")]
    pub point_id: String,
    /// Latitude, decimal degrees, WGS 84.
    pub latitude: f64,
    /// Longitude, decimal degrees, WGS 84.
    pub longitude: f64,
}

//! Roads: a table of minutes where one is known, otherwise distance times a stated factor.

use chrono::{DateTime, FixedOffset, NaiveTime};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How long it takes from place to place.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Roads {
    /// Known journeys; a line holds for both ways unless the other way has its own.
    #[serde(default)]
    pub travel: Vec<TravelLine>,
    /// Road length over straight-line length, used where the table has no line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub road_factor: Option<f64>,
    /// Mean speed on such roads, kilometres an hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed_kmh: Option<f64>,
    /// Roads closed, with their dates.
    #[serde(default)]
    pub closures: Vec<Closure>,
    /// Roads closed every night.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub night_bans: Vec<NightBan>,
    /// Ferries on the way.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ferries: Vec<Ferry>,
}

/// One known journey.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct TravelLine {
    /// Centre or point of departure.
    pub from: String,
    /// Centre or point of arrival.
    pub to: String,
    /// Minutes on the road.
    pub minutes: u32,
    /// Kilometres by road.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kilometres: Option<f64>,
}

/// A road that is closed for a time, both ways.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Closure {
    /// Centre or point at one end.
    #[serde(rename = "placeID")]
    pub place_id: String,
    /// Centre or point at the other end; left out, every road to the first is closed.
    #[serde(default, rename = "otherPlaceID", skip_serializing_if = "Option::is_none")]
    pub other_place_id: Option<String>,
    /// Instant from which it is closed.
    pub from: DateTime<FixedOffset>,
    /// Instant of reopening; left out, not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<DateTime<FixedOffset>>,
    /// What closed it, as reported.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// A road that is closed every night between two hours, both ways.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct NightBan {
    /// Centre or point at one end.
    #[serde(rename = "placeID")]
    pub place_id: String,
    /// Centre or point at the other end; left out, every road to the first.
    #[serde(default, rename = "otherPlaceID", skip_serializing_if = "Option::is_none")]
    pub other_place_id: Option<String>,
    /// Hour at which it begins each night, by the region's clock, such as `21:00`.
    pub begins: NaiveTime,
    /// Hour at which the road opens again; at or before `begins`, on the day after.
    pub ends: NaiveTime,
    /// Instant from which it is in force; left out, it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<DateTime<FixedOffset>>,
    /// Instant of lifting; left out, not lifted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<DateTime<FixedOffset>>,
    /// Why, as reported.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// A ferry on a road, both ways.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Ferry {
    /// Centre or point at one end of the road.
    #[serde(rename = "placeID")]
    pub place_id: String,
    /// Centre or point at the other end; left out, every road to the first.
    #[serde(default, rename = "otherPlaceID", skip_serializing_if = "Option::is_none")]
    pub other_place_id: Option<String>,
    /// Minutes on the road from `placeID` to the landing.
    #[serde(default)]
    pub minutes_to_landing: u32,
    /// First crossing of the day, by the region's clock, such as `06:00`.
    pub first_crossing: NaiveTime,
    /// Last crossing of the day; before `firstCrossing`, after midnight.
    pub last_crossing: NaiveTime,
    /// Minutes of waiting and crossing that come on top of the minutes on the road.
    pub wait_minutes: u32,
}

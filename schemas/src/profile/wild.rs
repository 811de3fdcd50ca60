//! The species at large: treaty listing, basins, eggs.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Sourced;

/// Listing in the wildlife-trade convention (CITES).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Appendix {
    /// Appendix I: trade in wild animals barred, with narrow exceptions.
    I,
    /// Appendix II: trade under permit.
    II,
    /// Appendix III: listed by one country.
    III,
    /// Appendix I or II by population or subspecies; the note says which.
    #[serde(rename = "I/II")]
    ByPopulation,
    /// Not listed.
    #[serde(rename = "notListed")]
    NotListed,
}

/// A treaty listing and the day it is known for: amendments make it stale.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct TreatyListing {
    /// The Appendix.
    pub appendix: Appendix,
    /// Known to hold at this date (`YYYY`, `YYYY-MM` or `YYYY-MM-DD`); later changes unchecked.
    pub as_of: String,
    /// Whether the listing carries a zero quota for wild animals in commercial trade.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub zero_quota_wild: bool,
}

/// How a species came to be in a basin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Occurrence {
    /// Lives there by nature.
    Native,
    /// Brought there by people.
    Introduced,
    /// Does not live there.
    Absent,
}

/// What a species is in one basin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct BasinStatus {
    /// Native, introduced or absent.
    pub occurrence: Sourced<Occurrence>,
    /// Sensitivity category of its places, 1 (extreme) to 4 (low); absent = not sensitive.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 4))]
    pub sensitivity: Option<Sourced<u8>>,
}

/// Days of incubation seen at one steady temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct IncubationPoint {
    /// Egg temperature, degrees Celsius.
    pub temperature_c: f64,
    /// Mean days from laying to hatching.
    pub days: f64,
}

/// How long eggs take: a window, never a date.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Incubation {
    /// Earliest day after laying.
    pub days_low: f64,
    /// Latest day after laying.
    pub days_high: f64,
    /// Days at known temperatures, ascending by temperature; empty where none are known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub at: Vec<IncubationPoint>,
    /// Whether eggs pause (diapause): live eggs look overdue, so none is opened on the calendar alone.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub diapause: bool,
}

/// What decides the sex of hatchlings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum SexDetermination {
    /// The nest's temperature.
    TemperatureDependent,
    /// The genes.
    Genotypic,
    /// Not settled.
    Unsettled,
}

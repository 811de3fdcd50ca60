//! Thresholds that a region may set.

use haulout_schemas::records::standing::VetLevel;
use haulout_schemas::vocabulary::{Stay, Triage};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Thresholds that a region may set; the defaults are common practice unless a member says
/// otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", default, deny_unknown_fields)]
pub struct Settings {
    /// Hours after which a centre's report of tonight (crews, places) is called stale.
    pub status_stale_hours: u32,
    /// Days after which a unit's reported capacity is called stale.
    pub capacity_stale_days: u32,
    /// Longest journey an animal of each triage colour bears, hours (from memory).
    pub bearable_hours: ByTriage<u32>,
    /// Longest journey of eggs, hours (from memory).
    pub egg_hours: u32,
    /// Least vet level for each triage colour.
    pub vet_levels: ByTriage<VetLevel>,
    /// Months of the cool season, 1 to 12; the default is that of the northern subtropics.
    #[schemars(inner(range(min = 1, max = 12)))]
    pub cool_months: Vec<u32>,
    /// Months of the dry and hottest season, 1 to 12; the default is that of the northern subtropics.
    #[schemars(inner(range(min = 1, max = 12)))]
    pub dry_months: Vec<u32>,
    /// Egg temperatures where a species' profile states none (from memory).
    pub egg_celsius: Celsius,
    /// Share of the profile's land and water that each stay asks for; the default is all of it.
    pub space_shares: ByStay,
    /// Hours that a stay to stabilise may last.
    pub stabilise_hours: u32,
    /// Kilometres from the nearest place of the region beyond which a position counts as a slip: in
    /// the sea, or outside the region.
    pub farthest_kilometre: u32,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            status_stale_hours: 24,
            capacity_stale_days: 31,
            bearable_hours: ByTriage { red: 6, yellow: 12, green: 24 },
            egg_hours: 12,
            vet_levels: ByTriage { red: VetLevel::Clinic, yellow: VetLevel::FirstAid, green: VetLevel::None },
            cool_months: vec![11, 12, 1, 2],
            dry_months: vec![3, 4, 5],
            egg_celsius: Celsius { low: 28.0, high: 34.0 },
            space_shares: ByStay { stabilise: 1.0, quarantine: 1.0, long: 1.0, lifelong: 1.0 },
            stabilise_hours: 72,
            farthest_kilometre: 500,
        }
    }
}

/// One value for each triage colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct ByTriage<T> {
    /// For a red animal.
    pub red: T,
    /// For a yellow animal.
    pub yellow: T,
    /// For a green animal.
    pub green: T,
}

impl<T: Copy> ByTriage<T> {
    /// The value of a colour.
    #[must_use]
    pub fn of(&self, triage: Triage) -> T {
        match triage {
            Triage::Red => self.red,
            Triage::Yellow => self.yellow,
            Triage::Green => self.green,
        }
    }
}

/// A share for each stay, above 0; 1 is the profile's own figure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct ByStay {
    /// To stabilise.
    pub stabilise: f64,
    /// Through the quarantine.
    pub quarantine: f64,
    /// For months.
    pub long: f64,
    /// For life.
    pub lifelong: f64,
}

impl ByStay {
    /// The share of a stay; one that is no positive number counts as 1.
    #[must_use]
    pub fn of(&self, stay: Stay) -> f64 {
        let share = match stay {
            Stay::Stabilise => self.stabilise,
            Stay::Quarantine => self.quarantine,
            Stay::Long => self.long,
            Stay::Lifelong => self.lifelong,
        };
        if share.is_finite() && share > 0.0 { share } else { 1.0 }
    }
}

/// A band of temperatures, degrees Celsius.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Celsius {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

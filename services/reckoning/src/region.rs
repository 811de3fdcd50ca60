//! The region file: who takes part, where the holding points are, how long the roads are, and what
//! local code says differently.
//!
//! Text in, types out. Every fault is named with its JSON Pointer, as many at once as can be told.

mod checks;
mod faults;

use chrono::NaiveTime;
use chrono_tz::Tz;
use haulout_schemas::misfit::fitting;
use haulout_schemas::names::{NameEntry, Names};
use haulout_schemas::profile::Profiles;
use haulout_schemas::text::PartyId;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

pub use faults::{RegionError, RegionFault};

/// One region: what one hub serves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Region {
    /// The region's id, first part of every party's id: lower-case letters and digits, `meruva`.
    pub region: String,
    /// Its name for people.
    pub name: String,
    /// The time zone in which a bare date ends, by its IANA name, `Asia/Kolkata`.
    pub time_zone: String,
    /// Whoever may write: centres, agencies, the coordination, the authority, laboratories, partners.
    pub parties: Vec<Party>,
    /// Unlicensed temporary holding points.
    #[serde(default)]
    pub points: Vec<Point>,
    /// Length of the road over the length of the straight line between two places; 1 or more.
    /// Without it and without a known travel time nobody can say how long a journey takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1.0, max = 10.0))]
    pub road_factor: Option<f64>,
    /// Mean speed on the road, kilometre per hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1.0, max = 150.0))]
    pub speed_kilometre_per_hour: Option<f64>,
    /// Known travel times; they stand before the road factor, in both directions unless the way
    /// back has a line of its own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub travel_minutes: Vec<TravelTime>,
    /// Ferries on the roads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ferries: Vec<Ferry>,
    /// Local code over the species profiles: JSON merge patches by scientific name, as
    /// [`Profiles::with_overrides`] takes them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overrides: Option<Value>,
    /// Local code over the rules of the findings: severities and thresholds.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rule_overrides: Vec<RuleOverride>,
    /// Accepted names beyond those that have a profile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name_list: Option<NameList>,
}

/// What a party is, which decides what it may write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Role {
    /// A licensed rescue centre.
    Centre,
    /// Police, a range office: keeps a holding point.
    Agency,
    /// The regional coordination: places animals, links records, closes roads.
    Coordination,
    /// The licensing authority: licences, permits, orders.
    Authority,
    /// A laboratory: results.
    Laboratory,
    /// Reads the schema and public counts.
    Partner,
}

impl Role {
    /// The word as the region file writes it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Centre => "centre",
            Self::Agency => "agency",
            Self::Coordination => "coordination",
            Self::Authority => "authority",
            Self::Laboratory => "laboratory",
            Self::Partner => "partner",
        }
    }
}

/// Whoever may write.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Party {
    /// Its id, `meruva.kolvani`.
    #[serde(rename = "partyID")]
    pub party_id: PartyId,
    /// What it is.
    pub role: Role,
    /// Its name for people: an office or a house, never a person.
    pub name: String,
    /// Degrees north, WGS 84; a centre must have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -90.0, max = 90.0))]
    pub latitude: Option<f64>,
    /// Degrees east, WGS 84; a centre must have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -180.0, max = 180.0))]
    pub longitude: Option<f64>,
    /// The river basin in which it lies; animals that are to be set free stay in theirs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 100))]
    pub basin: Option<String>,
}

/// An unlicensed temporary holding point: a police yard, a range office.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Point {
    /// Its id, `meruva.yard`.
    #[serde(rename = "pointID")]
    pub point_id: PartyId,
    /// Its name for people.
    pub name: String,
    /// The party that writes for it and is its end of a consignment.
    #[serde(rename = "keeperID")]
    pub keeper_id: PartyId,
    /// Degrees north, WGS 84.
    #[schemars(range(min = -90.0, max = 90.0))]
    pub latitude: f64,
    /// Degrees east, WGS 84.
    #[schemars(range(min = -180.0, max = 180.0))]
    pub longitude: f64,
    /// Longest stay of an animal, hours.
    #[schemars(range(min = 1, max = 2000))]
    pub longest_hours: u32,
}

/// How long the road takes between two places.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct TravelTime {
    /// A centre or point.
    #[serde(rename = "fromID")]
    pub from_id: PartyId,
    /// Another one.
    #[serde(rename = "toID")]
    pub to_id: PartyId,
    /// Minutes.
    #[schemars(range(min = 1, max = 10_000))]
    pub minutes: u32,
}

/// A ferry on a road, both ways.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Ferry {
    /// A centre or point at one end of the road.
    #[serde(rename = "fromID")]
    pub from_id: PartyId,
    /// The one at the other end; without it, every road to the first takes the ferry.
    #[serde(default, rename = "toID", skip_serializing_if = "Option::is_none")]
    pub to_id: Option<PartyId>,
    /// Minutes on the road from `fromID` to the landing.
    #[serde(default)]
    #[schemars(range(min = 0, max = 10_000))]
    pub minutes_to_landing: u32,
    /// First crossing of the day by the region's clock, `06:00`.
    pub first_crossing: NaiveTime,
    /// Last crossing of the day; before `firstCrossing` it is after midnight.
    pub last_crossing: NaiveTime,
    /// Minutes of waiting and crossing, on top of the minutes on the road.
    #[schemars(range(min = 0, max = 1_440))]
    pub wait_minutes: u32,
}

/// What local code says differently about one rule.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct RuleOverride {
    /// The rule's code.
    pub code: String,
    /// `critical`, `major`, `minor` or `info`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub severity: Option<FindingSeverity>,
    /// Figures by the names of the rule's thresholds.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub thresholds: BTreeMap<String, i64>,
}

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum FindingSeverity {
    /// A danger, or a breach of law.
    Critical,
    /// A figure or paper that must be mended.
    Major,
    /// A lapse of routine.
    Minor,
    /// Worth knowing.
    Info,
}

/// Accepted names beyond those that have a profile.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct NameList {
    /// The list's version; it becomes part of the version of the names.
    pub version: String,
    /// The names.
    pub names: Vec<NameEntry>,
}

impl Region {
    /// Reads a region file.
    ///
    /// # Errors
    /// Where the text is no region: each fault with its JSON Pointer, what is wrong and how to mend
    /// it. A fault of shape (a missing or unknown field, a wrong type) is told alone; contradictions
    /// (an id given twice, a point without keeper, an unknown rule) are told all at once.
    pub fn parse(text: &str) -> Result<Self, RegionError> {
        let mut reader = serde_json::Deserializer::from_str(text);
        let region: Self = fitting(&mut reader).map_err(RegionError::of_shape)?;
        reader
            .end()
            .map_err(|problem| RegionError::one("", format!("after the region's object: {problem}")))?;
        let faults = checks::faults(&region);
        if faults.is_empty() { Ok(region) } else { Err(RegionError { faults }) }
    }

    /// The party of an id.
    pub fn party(&self, id: &PartyId) -> Option<&Party> {
        self.parties.iter().find(|party| party.party_id == *id)
    }

    /// The holding point of an id.
    pub fn point(&self, id: &PartyId) -> Option<&Point> {
        self.points.iter().find(|point| point.point_id == *id)
    }

    /// The party that writes for a holding point; `None` where there is no such point.
    pub fn keeper(&self, point: &PartyId) -> Option<&PartyId> {
        self.point(point).map(|point| &point.keeper_id)
    }

    /// What a party is; `None` where the region does not know it.
    pub fn role(&self, party: &PartyId) -> Option<Role> {
        self.party(party).map(|party| party.role)
    }

    /// The centres, in the order of the file.
    pub fn centres(&self) -> impl Iterator<Item = &Party> {
        self.parties.iter().filter(|party| party.role == Role::Centre)
    }

    /// The time zone in which a bare date ends; UTC where the name is none ([`Region::parse`]
    /// refuses such a file).
    pub fn zone(&self) -> Tz {
        self.time_zone.parse().unwrap_or(Tz::UTC)
    }

    /// The species profiles with this region's overrides.
    ///
    /// # Errors
    /// Overrides that cannot be laid over the profiles; [`Region::parse`] refuses such a file.
    pub fn profiles(&self) -> Result<Profiles, RegionError> {
        match &self.overrides {
            None => Ok(Profiles::standard().clone()),
            Some(patch) => Profiles::standard()
                .with_overrides(patch)
                .map_err(|error| RegionError::of_profiles("/overrides", error)),
        }
    }

    /// The names of these profiles and of the region's own list.
    ///
    /// # Errors
    /// Entries that give a name another meaning than it has; [`Region::parse`] refuses such a file.
    pub fn names(&self, profiles: &Profiles) -> Result<Names, RegionError> {
        match &self.name_list {
            None => Ok(Names::new(profiles)),
            Some(list) => Names::with_list(profiles, &list.version, &list.names)
                .map_err(|error| RegionError::of_profiles("/nameList/names", error)),
        }
    }
}

#[cfg(test)]
mod tests;

//! What a plan says: who goes where, who stays and why, how good it is proven to be, what would help.

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_schemas::vocabulary::Triage;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::answer::{Change, JourneyBasis};

/// The best places for many animals at once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Plan {
    /// Instant the plan holds for.
    pub at: DateTime<FixedOffset>,
    /// Who goes where, in the sequence of the requests, then of the units in the file.
    pub assignments: Vec<Assignment>,
    /// Who stays, in the sequence of the requests.
    pub unplaced: Vec<Unplaced>,
    /// What was minimised, in order, each fixed before the next.
    pub stages: Vec<Stage>,
    /// What would help most, the best first: each found by solving again.
    pub helps: Vec<Help>,
    /// Helps that were not tried for want of time.
    pub helps_untried: u32,
    /// True when the solver stopped at its time limit: then a gap shows how far the plan may be from
    /// the best.
    pub time_limit_reached: bool,
    /// What the reader must know whatever is done.
    pub cautions: Vec<String>,
}

/// Animals of one request in one unit, or one row of units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Assignment {
    /// The request; for an animal of a centre that is emptied, `evacuate/` and where it stands.
    #[serde(rename = "requestID")]
    pub request_id: String,
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Its unit, or row.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// How many animals.
    pub individual_count: u32,
    /// Units of the row they take, the animals divided as evenly as they go.
    pub units: u32,
    /// Which of the row's empty units, counted from one; empty for a unit that stands alone. Two
    /// requests with the same number share that unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unit_numbers: Vec<u32>,
    /// As the request has it.
    pub scientific_name: String,
    /// As the request has it.
    pub triage: Triage,
    /// Minutes on the road.
    pub minutes: u32,
    /// Kilometres by road, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kilometres: Option<f64>,
    /// Where the minutes come from.
    pub journey_basis: JourneyBasis,
    /// Rules that an order sets aside for this place.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub waived_by: Vec<WaivedRule>,
    /// What to do or know before the animals leave.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

/// A rule set aside, and the order that does it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct WaivedRule {
    /// Code of the rule.
    pub rule: String,
    /// Number of the order.
    pub order_number: String,
    /// Its last day, inclusive.
    pub end_date: NaiveDate,
}

/// Animals of a request without a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Unplaced {
    /// The request.
    #[serde(rename = "requestID")]
    pub request_id: String,
    /// How many of it stay.
    pub individual_count: u32,
    /// As the request has it.
    pub scientific_name: String,
    /// As the request has it.
    pub triage: Triage,
    /// Every centre once, with what stands against it, in the sequence of the file.
    pub reasons: Vec<Reason>,
    /// The smallest changes of the request file (RFC 6902) found that place some of them beside the
    /// plan as it is; with any one left out none is placed. A pin or a forbid
    /// is lifted only where nothing else was found. Empty where none were found.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<Change>,
    /// Where those changes place how many; absent without changes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub changes_place: Option<ChangesPlace>,
    /// Why there are no changes, in one sentence; absent where there are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub no_changes_because: Option<String>,
}

/// Where changes make room.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct ChangesPlace {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Its unit.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// How many more are placed there.
    pub individual_count: u32,
}

/// Why no more of a request go to a centre.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Reason {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Codes of the rules that fail or cannot be checked there, in the best unit; or, where all are
    /// passed, what the rest of the plan uses up: `room`, `licence-heads`, `arrivals`, `crews-tonight`,
    /// `vehicle-minutes`, `water-circuit`, `living-together`, `indivisible`, `pinned`, `forbidden`,
    /// `evacuated`, `fewer-minutes` (it would displace animals whose place is worth more).
    pub codes: Vec<String>,
    /// True when the centre would do if the rest of the plan did not need it.
    pub taken_by_plan: bool,
    /// The same in one sentence.
    pub sentence: String,
}

/// One stage of the plan: an objective, and what is proven about it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Stage {
    /// What is minimised.
    pub name: StageName,
    /// What the plan reaches.
    pub objective: u64,
    /// What no plan can go below, given what the stages before it reached.
    pub bound: u64,
    /// What lies between, as a share of the objective; 0 is proven best.
    pub gap: f64,
}

/// What a stage minimises.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum StageName {
    /// Red animals without a place.
    UnplacedRed,
    /// Yellow animals without a place.
    UnplacedYellow,
    /// Green animals without a place.
    UnplacedGreen,
    /// Frailty weight times minutes on the road of every animal placed, and the fixed minutes of every
    /// pair of request and centre.
    Minutes,
    /// The highest load of a centre afterwards, per mille of its heads, rounded up.
    LoadPerMille,
}

/// One thing that would help.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Help {
    /// What kind of thing it is.
    pub kind: HelpKind,
    /// What, in one sentence.
    pub sentence: String,
    /// The centre that would have it; absent for a road between other places.
    #[serde(default, rename = "centreID", skip_serializing_if = "Option::is_none")]
    pub centre_id: Option<String>,
    /// The change of the request file that was solved (RFC 6902).
    pub changes: Vec<Change>,
    /// How many more animals it places, by triage colour; more red may mean fewer green.
    pub places: ByColour,
    /// How much less the stage `minutes` comes to; negative where more animals travel.
    pub minutes_saved: i64,
    /// True when both plans are proven best in what is compared.
    pub proven: bool,
}

/// Animals by triage colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct ByColour {
    /// Red animals.
    pub red: i64,
    /// Yellow animals.
    pub yellow: i64,
    /// Green animals.
    pub green: i64,
}

/// What kind of thing would help.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum HelpKind {
    /// One more unit like those of a row.
    Unit,
    /// A licence line lifted, or one more line.
    LicenceLine,
    /// One more crew.
    Crew,
    /// A vehicle for one more journey.
    Vehicle,
    /// More arrivals on the day.
    Arrivals,
    /// A veterinary level one step up.
    VetLevel,
    /// A road reopened.
    Road,
}

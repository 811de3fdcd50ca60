//! What is answered: every centre once, as an option or as an exclusion.

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_schemas::profile::RelationKind;
use haulout_schemas::records::standing::VetLevel;
use haulout_schemas::vocabulary::{LengthMeasure, Stay};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::request::RequestFile;

/// The answer to one request.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Options {
    /// The request answered.
    #[serde(rename = "requestID")]
    pub request_id: String,
    /// Instant the answer holds for.
    pub at: DateTime<FixedOffset>,
    /// Species reckoned with: the one asked for, or every one it may be.
    pub species: Vec<String>,
    /// Centres against which no reason was found, best first: fewest minutes on the road, then the
    /// lowest load after, then the smallest sufficient unit, then the identifier.
    pub options: Vec<PlacementOption>,
    /// Centres that are possible only under an order in force, in the same sequence.
    pub waived: Vec<PlacementOption>,
    /// The other centres, fewest reasons first, then the identifier.
    pub excluded: Vec<Exclusion>,
    /// Stays in two legs, where no single place is an option or a nearer one opens later; the soonest
    /// first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub chains: Vec<Chain>,
    /// What the reader must know whatever is chosen.
    pub cautions: Vec<String>,
    /// The document that `changes` lead into, where whoever asked wants it beside them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub request_file: Option<Box<RequestFile>>,
}

/// A stay in legs: one place first, another from the day on which it is free.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Chain {
    /// The legs in their order; each was judged by every rule for its own time.
    pub legs: Vec<Leg>,
}

/// One leg of a stay.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Leg {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Its unit.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// What the stay there is for.
    pub stay: Stay,
    /// Minutes on the road to it.
    pub minutes: u32,
    /// When the animal sets out for it.
    pub departure: DateTime<FixedOffset>,
    /// When it arrives.
    pub arrival: DateTime<FixedOffset>,
    /// When it leaves again; left out where that is open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<DateTime<FixedOffset>>,
}

/// One place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct PlacementOption {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Its unit.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// Minutes on the road.
    pub minutes: u32,
    /// Of these, waiting and crossing at ferries.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub waiting_minutes: u32,
    /// Of these, at earlier drops of the same vehicle.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub stops_minutes: u32,
    /// When the animal is loaded: after the team's way out and the catch, not before it may leave.
    pub departure: DateTime<FixedOffset>,
    /// When it arrives.
    pub arrival: DateTime<FixedOffset>,
    /// Kilometres by road, where known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kilometres: Option<f64>,
    /// Where the minutes come from.
    pub journey_basis: JourneyBasis,
    /// Animals at the centre afterwards over the heads it has, per mille, rounded up; absent where
    /// the centre states no heads.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_after_per_mille: Option<u32>,
    /// Heads of this request's kind that the unit may take besides what is there and promised.
    pub room_left: u32,
    /// Units of the region that could take such an animal once more with this place taken, by every
    /// rule; the empty units of a row count each.
    #[serde(default)]
    pub units_left: u32,
    /// How far a vet's hands reach there tonight, where reported.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vet_level: Option<VetLevel>,
    /// Every rule, with the figures it compared. Under an order, the waived ones name it.
    pub checks: Vec<Check>,
    /// Conversions of length that the answer rests on.
    pub conversions: Vec<Conversion>,
    /// What to do or know before the animal leaves.
    pub notes: Vec<String>,
}

// Serde hands over a reference.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_zero(figure: &u32) -> bool {
    *figure == 0
}

/// A centre that is no option, with every reason.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Exclusion {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// The unit that comes nearest; absent where the centre has none.
    #[serde(default, rename = "unitID", skip_serializing_if = "Option::is_none")]
    pub unit_id: Option<String>,
    /// The first reason, in one sentence.
    pub reason: String,
    /// Every rule that failed or could not be checked, of the centre and of that unit.
    pub failed: Vec<Check>,
    /// What would have to change: operations on the request file (RFC 6902). All of them make the
    /// centre an option; with any one left out it is none. Figures in them are the least that
    /// would do, not a recommendation. Empty where no single set of changes was found, or where
    /// none was looked for.
    pub changes: Vec<Change>,
    /// True where no changes were looked for: they are worked out for the nearest centres only.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub changes_left_out: bool,
}

/// What one rule says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Check {
    /// Code of the rule.
    pub code: String,
    /// What came out.
    pub verdict: Verdict,
    /// Figures that were compared.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<Figure>,
    /// What is left over, in the unit of the first figure; negative is what is wanting.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub margin: Option<f64>,
    /// The same in one sentence.
    pub sentence: String,
    /// What to do or know before the animal leaves, although the rule is passed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The order that waives the failure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waived_by: Option<WaivedBy>,
}

/// What came out of a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Verdict {
    /// No reason was found against.
    Pass,
    /// Something needed for the answer is not known: as good as failed.
    CannotCheck,
    /// There is a reason against.
    Fail,
}

/// Two figures compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Figure {
    /// What is compared.
    pub name: String,
    /// What is needed, or would be there afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needed: Option<f64>,
    /// What there is, or the limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub available: Option<f64>,
    /// Unit of both.
    pub unit: String,
}

/// The order that waives a rule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct WaivedBy {
    /// Its number.
    pub order_number: String,
    /// Its last day, inclusive.
    pub end_date: NaiveDate,
}

/// A conversion of length, with what it rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Conversion {
    /// Species whose profile states the relation.
    pub scientific_name: String,
    /// The measure one had.
    pub from: LengthMeasure,
    /// The measure one wanted.
    pub to: LengthMeasure,
    /// Metres had.
    pub from_metre: f64,
    /// Metres got.
    pub to_metre: f64,
    /// Metres of `to` per metre of `from`.
    pub slope: f64,
    /// Metres of `to` at `from` = 0.
    pub intercept_metre: f64,
    /// Expected length or bound.
    pub kind: RelationKind,
    /// The basis: a source of the species profiles, `common practice` or `from memory`.
    pub source: String,
    /// What to know before relying on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// True when the length lies outside those the relation was fitted on.
    #[serde(default)]
    pub beyond_fit: bool,
}

/// Where the minutes of a journey come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum JourneyBasis {
    /// The request states them.
    Stated,
    /// The region's table of travel minutes.
    Table,
    /// Geodesic distance, road factor and mean speed.
    Geodesic,
}

/// One operation of RFC 6902 on the request file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", tag = "op")]
pub enum Change {
    /// Sets a member, or replaces it where there is one.
    Add {
        /// Pointer (RFC 6901) into the request file.
        path: String,
        /// New value.
        value: Value,
    },
    /// Takes a member or an element away.
    Remove {
        /// Pointer (RFC 6901) into the request file.
        path: String,
    },
}

impl Change {
    /// The pointer.
    #[must_use]
    pub fn path(&self) -> &str {
        match self {
            Self::Add { path, .. } | Self::Remove { path } => path,
        }
    }
}

//! What is asked for: the second half of a request file.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_schemas::envelope::Length;
use haulout_schemas::vocabulary::{Known, LifeStage, Sex, Stay, Triage};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::view::RegionView;

/// A request file: the region as it stands, and what is asked of it.
///
/// The pointers of [`crate::answer::Exclusion::changes`] lead into a document of this shape.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct RequestFile {
    /// Centres, units, points, roads, standstills, settings.
    #[serde(flatten)]
    pub view: RegionView,
    /// Requests, one for each batch: one species, one arrival event.
    pub requests: Vec<Request>,
    /// What a plan for many animals weighs.
    #[serde(default)]
    pub costs: Costs,
    /// Where a plan may put a request, and nowhere else; one animal's options do not read it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pins: Vec<Bound>,
    /// Where a plan may not put a request; one animal's options do not read it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub forbids: Vec<Bound>,
    /// Centres to be emptied: whoever is there becomes a request of the plan, and nobody is placed
    /// there; one animal's options do not read it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub evacuate: Vec<Evacuation>,
}

/// A request bound to a centre, or to one unit of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Bound {
    /// The request.
    #[serde(rename = "requestID")]
    pub request_id: String,
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// One of its units; left out, any of them.
    #[serde(default, rename = "unitID", skip_serializing_if = "Option::is_none")]
    pub unit_id: Option<String>,
}

/// A centre to be emptied, and what holds for everyone who stands there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Evacuation {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// How urgently its animals need a place.
    pub triage: Triage,
    /// How long they are to stay elsewhere.
    pub stay: Stay,
    /// Whether they may travel, and on whose word.
    pub fit_to_travel: FitToTravel,
}

/// What a plan for many animals weighs; one animal's options do not read it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", default, deny_unknown_fields)]
pub struct Costs {
    /// Weight of a minute on the road for a red, a yellow and a green animal.
    pub frailty: Frailty,
    /// Minutes that every further pair of request and centre costs.
    pub fixed_minutes: u32,
}

impl Default for Costs {
    fn default() -> Self {
        Self { frailty: Frailty { red: 3, yellow: 2, green: 1 }, fixed_minutes: 0 }
    }
}

/// Weight of a minute on the road by triage colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Frailty {
    /// For a red animal.
    pub red: u32,
    /// For a yellow animal.
    pub yellow: u32,
    /// For a green animal.
    pub green: u32,
}

/// A place asked for one animal, or for one batch of one species.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Request {
    /// Identifier of the request.
    #[serde(rename = "requestID")]
    pub request_id: String,
    /// The animal, where it has an identifier already.
    #[serde(default, rename = "organismID", skip_serializing_if = "Option::is_none")]
    pub organism_id: Option<String>,
    /// The lot, where it has an identifier already.
    #[serde(default, rename = "lotID", skip_serializing_if = "Option::is_none")]
    pub lot_id: Option<String>,
    /// Batch it belongs to, where one has begun.
    #[serde(default, rename = "batchID", skip_serializing_if = "Option::is_none")]
    pub batch_id: Option<String>,
    /// How many animals; an option takes all to one unit, a plan may divide them.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 1_000_000))]
    pub individual_count: u32,
    /// Species; or genus, family or order, and then placed as the most demanding species in it.
    pub scientific_name: String,
    /// Length of the largest; its upper end decides what fits. Left out, the largest grown animal of
    /// the species is reckoned with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Length>,
    /// Sex; left out, not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sex: Option<Sex>,
    /// Age class; left out, not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub life_stage: Option<LifeStage>,
    /// How urgently it needs a place.
    pub triage: Triage,
    /// How long it is to stay.
    pub stay: Stay,
    /// End of the stay, where it is set: a limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stay_until: Option<DateTime<FixedOffset>>,
    /// Where it is.
    pub from: Origin,
    /// Whether it may travel.
    pub fit_to_travel: FitToTravel,
    /// Set where the animal is or may be evidence in a case.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub custody: Option<Custody>,
    /// Basin it comes from and must stay in: a limit, but for a programme that sets animals free,
    /// which must know it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basin: Option<String>,
    /// True when the place is wanted for a programme that sets animals free.
    #[serde(default)]
    pub release_programme: bool,
    /// Not before this instant; left out, at once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub earliest_departure: Option<DateTime<FixedOffset>>,
    /// The team that goes out and catches it first; left out, it is loaded at once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub team: Option<Team>,
    /// Earlier drops of the same vehicle, in their order; at a centre of the list it is unloaded.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stops: Vec<Stop>,
    /// Quarantine batches that a vet agrees to put off by this arrival.
    #[serde(default, rename = "mayRedateBatchIDs", skip_serializing_if = "Vec::is_empty")]
    pub may_redate_batch_ids: Vec<String>,
    /// Minutes on the road by centre, where they are known better than the region's roads say.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub minutes: BTreeMap<String, u32>,
    /// Orders that waive a rule for this request.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub waivers: Vec<Waiver>,
    /// True when a plan may not divide it: all of it goes into one unit, or into one row of
    /// isolating ones, or nowhere.
    #[serde(default, skip_serializing_if = "is_false")]
    pub indivisible: bool,
    /// Crews of the receiving centre that a plan reckons with for taking it in.
    #[serde(default, skip_serializing_if = "is_zero")]
    #[schemars(range(max = 1_000_000))]
    pub crew: u32,
    /// Minutes, there and back, that a vehicle of the receiving centre is away for it, by centre; left
    /// out, twice the minutes on the road.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub trip_minutes: BTreeMap<String, u32>,
    /// Most animals of it that one empty unit may hold, where they are known better than the space
    /// rule says: in a plan they stand instead of it and of the unit's own limit of heads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub caps: Vec<Cap>,
    /// What one animal of it takes up of a unit's `freeSize`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sizes: Vec<TakesUp>,
}

/// Most animals of a request in one empty unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Cap {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Its unit, or row.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// Animals in one unit; zero, it does not go there.
    #[schemars(range(max = 1_000_000))]
    pub cap: u32,
}

/// What one animal takes up of a unit that is measured by size.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct TakesUp {
    /// The centre.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Its unit.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// Of the measure in which the unit's `freeSize` is stated.
    #[schemars(range(max = 1_000_000_000))]
    pub size: u32,
}

// Serde hands the member by reference.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_false(flag: &bool) -> bool {
    !*flag
}

#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_zero(figure: &u32) -> bool {
    *figure == 0
}

fn one() -> u32 {
    1
}

/// Where the animal is: a place of the region, or a position.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Origin {
    /// Centre or point.
    #[serde(default, rename = "placeID", skip_serializing_if = "Option::is_none")]
    pub place_id: Option<String>,
    /// Latitude, decimal degrees, WGS 84.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub latitude: Option<f64>,
    /// Longitude, decimal degrees, WGS 84.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub longitude: Option<f64>,
}

impl Request {
    /// True where the animal stands at the place, or its team sets out from there.
    pub(crate) fn departs_from(&self, place: &str) -> bool {
        let team = self.team.as_ref().and_then(|team| team.place_id.as_deref());
        self.from.place_id.as_deref() == Some(place) || team == Some(place)
    }
}

/// The team that fetches an animal.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Team {
    /// Centre from which it sets out; left out, the receiving centre.
    #[serde(default, rename = "placeID", skip_serializing_if = "Option::is_none")]
    pub place_id: Option<String>,
    /// Minutes of its way to the animal; left out, by the region's roads.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes_out: Option<u32>,
    /// Minutes that catching and loading take.
    #[serde(default)]
    pub capture_minutes: u32,
}

/// A drop of the same vehicle on its way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Stop {
    /// Centre of the drop.
    #[serde(rename = "placeID")]
    pub place_id: String,
    /// Minutes that it adds for those who stay on the vehicle: the detour and the unloading.
    pub minutes: u32,
}

/// Whether the animal may travel, and on whose word.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct FitToTravel {
    /// Yes, no, or nobody knows (an animal not yet caught).
    pub fit: Known,
    /// Record or office of the veterinarian by whose word it travels although the answer is not yes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vets_word: Option<String>,
}

/// The animal as evidence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Custody {
    /// Whether it is case property.
    pub case_property: Known,
    /// Leave of the court or authority to move it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leave: Option<Leave>,
}

/// Leave to move case property.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Leave {
    /// Number of the order.
    pub order_number: String,
    /// Last day in force, inclusive; left out, none is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub end_date: Option<NaiveDate>,
    /// Centres it may go to; empty, anywhere in the region.
    #[serde(default, rename = "partyIDs", skip_serializing_if = "Vec::is_empty")]
    pub party_ids: Vec<String>,
}

/// An order that waives one rule for a time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Waiver {
    /// Code of the rule.
    pub rule: String,
    /// Number of the order.
    pub order_number: String,
    /// Last day in force, inclusive.
    pub end_date: NaiveDate,
    /// Centres it speaks of; empty, every centre.
    #[serde(default, rename = "partyIDs", skip_serializing_if = "Vec::is_empty")]
    pub party_ids: Vec<String>,
}

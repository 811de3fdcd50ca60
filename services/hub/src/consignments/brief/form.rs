//! The driver's page as a value.

use haulout_schemas::records::transfer::Crate;
use haulout_schemas::vocabulary::{Stay, Triage};
use schemars::JsonSchema;
use serde::Serialize;
use serde_with::skip_serializing_none;

use super::super::Stage;
use super::super::carrying::Said;
use super::{Binding, Paper};

/// The driver's page of a journey.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Brief {
    /// The consignment.
    #[serde(rename = "consignmentID")]
    pub consignment_id: String,
    /// The region.
    pub region: String,
    /// When it was made, in the region's time: what came later is not in it.
    pub made_at: String,
    /// True on a demonstration's calendar: nobody may drive by it.
    pub demonstration: bool,
    /// Where the journey stands.
    pub stage: Stage,
    /// What can hurt somebody, and what forbids the journey: first.
    pub hazards: Vec<Said>,
    /// Where from.
    pub from: End,
    /// Where to.
    pub to: End,
    /// When to leave.
    pub departure: Departure,
    /// What travels.
    pub travels: Vec<Travelling>,
    /// The crates that the dispatch lists.
    pub crates: Vec<Crate>,
    /// Jaws, limbs and eyes bound, and since when.
    pub bindings: Vec<Binding>,
    /// What to take along.
    pub carry: Vec<Said>,
    /// Papers that travel.
    pub papers: Vec<Paper>,
    /// What was settled by telephone.
    pub by_telephone: Vec<PhoneStep>,
    /// What else to know.
    pub cautions: Vec<Said>,
}

/// One end of a journey.
#[skip_serializing_none]
#[derive(Debug, Default, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct End {
    /// The centre or point.
    #[serde(rename = "placeID")]
    pub place_id: Option<String>,
    /// Its name.
    pub name: String,
    /// The office that keeps the point.
    pub kept_by: Option<String>,
    /// Degrees north, WGS 84.
    pub latitude: Option<f64>,
    /// Degrees east, WGS 84.
    pub longitude: Option<f64>,
    /// The units that are kept there.
    #[serde(rename = "unitIDs")]
    pub unit_ids: Vec<String>,
}

/// When to leave.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Departure {
    /// Whether hours were worked out from heat, cold and closed roads.
    pub computed: bool,
    /// The hours, or that there are none.
    pub words: String,
    /// When they did set out, where they have.
    pub set_out: Option<String>,
    /// When they are expected.
    pub expected: Option<String>,
    /// Minutes on the road by the region's table.
    pub minutes: Option<u32>,
}

/// A group that travels.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Travelling {
    /// How many.
    pub individual_count: u32,
    /// Species, or what is known of it.
    pub scientific_name: String,
    /// An everyday name.
    pub common_name: Option<String>,
    /// The animal or lot.
    pub subject: Option<String>,
    /// Its length in words.
    pub length: Option<String>,
    /// The crate.
    #[serde(rename = "crateID")]
    pub crate_id: Option<String>,
    /// The units that are kept for it.
    #[serde(rename = "unitIDs")]
    pub unit_ids: Vec<String>,
    /// How urgently it needs a place.
    pub triage: Option<Triage>,
    /// How long it is to stay.
    pub stay: Option<Stay>,
}

/// A step that was told by telephone.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct PhoneStep {
    /// What was settled.
    pub what: String,
    /// For which centre.
    pub for_centre: String,
    /// On the word of which office.
    pub office: String,
    /// How it was told.
    pub channel: String,
    /// When it was recorded.
    pub recorded: String,
    /// Whether the centre has confirmed it since; absent where nothing is left to confirm.
    pub confirmed: Option<bool>,
}

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
    /// Before anybody touches them: what to look for and report first, and what is never done.
    pub handling: Vec<Said>,
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
    /// The crate that each group needs.
    pub crating: Vec<Crating>,
    /// How any of them is built and filled.
    pub packing: Vec<Said>,
    /// Looks, stops and water on the way.
    pub stops: Stops,
    /// Drugs that may not have worn off.
    pub drugs: Vec<DrugGiven>,
    /// Jaws, limbs and eyes bound, and since when.
    pub bindings: Vec<Binding>,
    /// What to take along.
    pub carry: Vec<Said>,
    /// Papers that travel.
    pub papers: Vec<Paper>,
    /// Papers to ask for, with who gives them: a list to ask with, no statement of law.
    pub papers_to_ask_for: Vec<PaperAsked>,
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
    /// The hours, or what is missing.
    #[serde(flatten)]
    pub timed: Timed,
    /// When they did set out, where they have.
    pub set_out: Option<String>,
    /// When they are expected.
    pub expected: Option<String>,
    /// Minutes from loading to unloading.
    pub minutes: Option<u32>,
    /// Where the minutes are from.
    pub minutes_from: Option<&'static str>,
}

/// Hours of departure, in the region's time.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Timed {
    /// Whether hours were worked out.
    pub computed: bool,
    /// The answer in a sentence: hours against which no reason was found, never hours that are safe.
    pub words: String,
    /// Every hour of the forecast, open or closed.
    pub windows: Vec<DepartureWindow>,
    /// Where none is open: what would open one.
    pub would_open: Vec<String>,
    /// What is not known and would have to be.
    pub missing: Vec<String>,
    /// What the hours rest on.
    pub rests_on: Vec<Said>,
    /// The sun at the place of departure.
    pub sun: Option<SunTimes>,
}

/// A run of departures with one answer.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct DepartureWindow {
    /// First departure.
    pub from: String,
    /// Last departure.
    pub to: String,
    /// True where no reason was found against.
    pub open: bool,
    /// Why it is closed.
    pub because: Option<String>,
    /// The hottest moment on any of these journeys.
    pub hottest_at: Option<String>,
    /// How hot it is then at the animals, degrees Celsius.
    pub hottest_celsius: Option<f64>,
    /// Most heat above the limit on any of these journeys, kelvin times hours.
    pub above_kelvin_hour: Option<f64>,
}

/// The sun on the first day, in the region's time.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct SunTimes {
    /// The day.
    #[schemars(with = "String")]
    pub day: chrono::NaiveDate,
    /// Sunrise.
    pub rise: String,
    /// Warmest hour.
    pub warmest: String,
    /// Sunset.
    pub set: String,
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

/// The crate that a group needs.
#[skip_serializing_none]
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Crating {
    /// The animal or lot, or its species.
    pub subject: String,
    /// The length reckoned with, in words.
    pub length: Option<String>,
    /// Least inner size in metres: length, width, height; a side that is not known is left out.
    pub inner_metre: InnerSize,
    /// What is known of it in a sentence.
    pub words: String,
    /// People who lift the animal alone, at least; absent where no mass is known. The crate comes on top.
    pub lifters: Option<u32>,
    /// Mass of the animal, kilograms.
    pub kilogram: Option<f64>,
    /// What could not be told, and how to mend it.
    pub unknown: Vec<String>,
    /// What the size rests on.
    pub source: String,
}

/// Inner size of a crate, metres.
#[skip_serializing_none]
#[derive(Debug, Default, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct InnerSize {
    /// Along the animal.
    pub length: Option<f64>,
    /// Across it.
    pub width: Option<f64>,
    /// Upright.
    pub height: Option<f64>,
}

/// Looks on the way.
#[derive(Debug, Default, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Stops {
    /// Minutes after leaving at which to stop; empty on a short way, and where its length is not known.
    pub after_minutes: Vec<u32>,
    /// When to stop, in a sentence.
    pub words: String,
    /// What is done at each.
    pub advice: Vec<Said>,
}

/// A drug that may not have worn off.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct DrugGiven {
    /// The animal or lot, or its species.
    pub subject: String,
    /// Its generic name, as written.
    pub drug: String,
    /// When it was given, in the region's time.
    pub given: String,
    /// True where it is known to dull: the road is closed until a veterinarian has spoken.
    pub dulls: bool,
}

/// A paper to ask for.
#[derive(Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct PaperAsked {
    /// What it is.
    pub what: String,
    /// Who gives it.
    pub giver: &'static str,
    /// What the demand rests on.
    pub source: String,
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

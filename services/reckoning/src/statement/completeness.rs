//! Who posted which night. Arrival shows here and in the basis, nowhere else.

use super::reading::{self, Word};
use crate::effective::Micros;
use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A night's census that came late.
pub static NIGHT_LATE: Rule = Rule {
    code: "night-late",
    layer: Layer::Finding,
    severity: Severity::Info,
    title: "Night posted late",
    meaning: "The first census for the day reached the hub later than the hours allowed after the close of that day.",
    why: "Until a night is posted, the region's figures for it rest on the books alone.",
    mend: "Nothing to mend in the records; look at the line, the machine or the habit.",
    source: "common practice",
    thresholds: &[Threshold { name: "hours", value: 36, unit: "hour", source: "common practice" }],
};

/// A night for which a party's census is effective, and when the first one of that day arrived.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Night {
    /// The centre or point.
    pub place: String,
    /// The day.
    pub day: NaiveDate,
    /// When the hub first knew a census of that day.
    pub first_known: Micros,
}

/// Which nights a place posted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct PartyNights {
    /// The centre or point.
    #[serde(rename = "placeID")]
    pub place_id: String,
    /// Days of the period through the evaluated day.
    pub nights: i64,
    /// Of these, with a census.
    pub posted: usize,
    /// The days without.
    pub missing: Vec<String>,
}

/// Something about arrival that is worth knowing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Notice {
    /// `night-late`.
    #[serde(deserialize_with = "reading::notice")]
    pub code: Word,
    /// The place.
    #[serde(rename = "placeID")]
    pub place_id: String,
    /// The day.
    pub day: String,
    /// When the hub knew, RFC 3339 in UTC.
    pub known_from: String,
}

/// Who posted which night of the period.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Completeness {
    /// Each centre and point that is asked to post.
    pub parties: Vec<PartyNights>,
    /// What came late.
    pub notices: Vec<Notice>,
}

/// Who posted which night. `asked` are the places that post every night; `through` is the last day
/// that can be asked for.
pub fn completeness(
    asked: &[String],
    first: NaiveDate,
    through: NaiveDate,
    nights: &[Night],
    zone: Tz,
    late_after_hours: i64,
) -> Completeness {
    let mut posted: BTreeMap<&str, BTreeMap<NaiveDate, Micros>> = BTreeMap::new();
    for night in nights.iter().filter(|night| (first..=through).contains(&night.day)) {
        let known = posted.entry(&night.place).or_default().entry(night.day).or_insert(night.first_known);
        *known = night.first_known.min(*known);
    }
    let none = BTreeMap::new();
    let parties = asked
        .iter()
        .map(|place| {
            let days = posted.get(place.as_str()).unwrap_or(&none);
            PartyNights {
                place_id: place.clone(),
                nights: (through - first).num_days().max(-1) + 1,
                posted: days.len(),
                missing: first
                    .iter_days()
                    .take_while(|day| *day <= through)
                    .filter(|day| !days.contains_key(day))
                    .map(|day| day.to_string())
                    .collect(),
            }
        })
        .collect();
    let mut notices = Vec::new();
    for (place, days) in &posted {
        for (day, known) in days {
            if hours_after_close(*day, *known, zone).is_some_and(|hours| hours > late_after_hours) {
                notices.push(Notice {
                    code: NIGHT_LATE.code,
                    place_id: (*place).to_owned(),
                    day: day.to_string(),
                    known_from: stamp(*known),
                });
            }
        }
    }
    notices.sort();
    Completeness { parties, notices }
}

/// Whole hours from the close of a day in the region's zone to an instant.
fn hours_after_close(day: NaiveDate, known: Micros, zone: Tz) -> Option<i64> {
    let local = DateTime::from_timestamp_micros(known)?.with_timezone(&zone).naive_local();
    let close = day.succ_opt()?.and_hms_opt(0, 0, 0)?;
    Some((local - close).num_hours())
}

/// A stamp as text: RFC 3339 in UTC with microseconds.
pub fn stamp(micros: Micros) -> String {
    DateTime::from_timestamp_micros(micros)
        .map(|instant| instant.format("%Y-%m-%dT%H:%M:%S%.6fZ").to_string())
        .unwrap_or_default()
}

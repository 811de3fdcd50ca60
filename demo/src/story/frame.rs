//! The frame of the story's records: parties, times, and the few lines that every record shares.

use super::Post;
use chrono::{DateTime, FixedOffset};
use serde_json::{Value, json};

/// The gorge, with the large-crocodile crew.
pub const KOLVANI: &str = "meruva.kolvani";
/// Surgery and isolation rooms.
pub const DESHARU: &str = "meruva.desharu";
/// The hatchery.
pub const OMBARI: &str = "meruva.ombari";
/// River turtles.
pub const VELITHA: &str = "meruva.velitha";
/// Hill tortoises.
pub const THULMAR: &str = "meruva.thulmar";
/// The estuary.
pub const SAIVERA: &str = "meruva.saivera";
/// The licensing authority.
pub const AUTHORITY: &str = "meruva.authority";
/// The regional coordination.
pub const COORDINATION: &str = "meruva.coordination";
/// The police, keeper of the yard.
pub const POLICE: &str = "meruva.police";
/// The range office, keeper of its own point.
pub const RANGE_OFFICE: &str = "meruva.rangeoffice";
/// The laboratory.
pub const LABORATORY: &str = "meruva.laboratory";
/// The police yard, a holding point.
pub const YARD: &str = "meruva.yard";
/// The range office's point.
pub const RANGE: &str = "meruva.range";

/// A moment in the basin's time, written without its offset: `2026-07-02T06:10`.
#[allow(clippy::expect_used, reason = "the story's moments are constants")]
pub fn moment(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_str(&format!("{text}:00+05:30"), "%Y-%m-%dT%H:%M:%S%:z")
        .expect("the story's moments are written out in full")
}

/// A date-time as records write it.
pub fn when(text: &str) -> String {
    format!("{text}+05:30")
}

/// A record or a part of one with more fields.
pub fn with(base: &Value, fields: Value) -> Value {
    let mut whole = base.clone();
    merge(&mut whole, fields);
    whole
}

/// What `party` posts at a moment.
pub fn post(at: &str, party: &'static str, records: Vec<Value>) -> Post {
    Post { at: moment(at), party, records }
}

/// A record of a centre about its own stock.
pub fn of_centre(centre: &str, id: &str, kind: &str, date: &str, fields: Value) -> Value {
    record(centre, json!({ "centreID": centre }), id, kind, date, fields)
}

/// A record of a keeper about its holding point.
pub fn of_point(keeper: &str, point: &str, id: &str, kind: &str, date: &str, fields: Value) -> Value {
    record(keeper, json!({ "pointID": point }), id, kind, date, fields)
}

/// A record that concerns no stock of its writer.
pub fn of_office(author: &str, id: &str, kind: &str, date: &str, fields: Value) -> Value {
    record(author, json!({}), id, kind, date, fields)
}

/// The next revision of a record, with the fields that changed.
pub fn revised(record: &Value, revision: u16, changes: Value) -> Value {
    let mut next = record.clone();
    next["revision"] = json!(revision);
    merge(&mut next, changes);
    next
}

fn record(author: &str, place: Value, id: &str, kind: &str, date: &str, fields: Value) -> Value {
    let mut record = json!({
        "recordID": id,
        "revision": 1,
        "kind": kind,
        "schemaVersion": "1.0",
        "authorID": author,
        "eventDate": date,
    });
    merge(&mut record, place);
    merge(&mut record, fields);
    record
}

fn merge(into: &mut Value, fields: Value) {
    if let (Some(into), Value::Object(fields)) = (into.as_object_mut(), fields) {
        into.extend(fields);
    }
}

//! What the records of a centre say of the days in care, through the real hub: what is due, how an animal
//! grows, what is wanting before it goes free.

mod due;
mod dying;
mod freeing;
mod growing;

use crate::basin::Posting;
use haulout_demo::story;
use haulout_tests::{Answer, Hub};
use serde_json::{Value, json};

pub const DESHARU: &str = "meruva.desharu";

pub fn posting() -> Posting {
    Posting::new(Hub::on_sqlite(&story::region()), &story::region(), "2026-07-20T18:00:00+05:30")
}

/// A record of Desharu; `subject` is `animal:7` or `lot:L1`, or nothing.
pub fn told(id: &str, kind: &str, day: &str, subject: &str, name: &str, fields: &Value) -> Value {
    let mut record = json!({
        "recordID": id, "revision": 1, "kind": kind, "schemaVersion": "1.0", "authorID": DESHARU,
        "eventDate": day, "centreID": DESHARU,
    });
    if let Some((what, number)) = subject.split_once(':') {
        let member = if what == "animal" { "organismID" } else { "lotID" };
        record[member] = json!(format!("{DESHARU}:{number}"));
    }
    if !name.is_empty() {
        record["scientificName"] = json!(name);
    }
    record.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    record
}

pub fn accepted(answer: &Answer) {
    assert_eq!(answer.status, 200, "{}", answer.text());
}

//! Records as a hub hands them over: checked, canonical, hashed.

use haulout_checking::{CheckedLine, Checker, Settings};
use haulout_demo::{Options, generate_in_memory};
use haulout_schemas::text::PartyId;
use haulout_store::{By, Role, ToSeal};
use serde_json::{Value, json};
use std::sync::LazyLock;

static CHECKER: LazyLock<Checker> = LazyLock::new(|| Checker::new(Settings::standard(None)).unwrap());

/// A line, checked.
pub fn line(text: &[u8]) -> ToSeal {
    match CHECKER.check_line(text, 1) {
        CheckedLine::Accepted(accepted) => {
            let kept = accepted.kept.unwrap();
            ToSeal {
                line: accepted.line,
                record: accepted.record,
                canonical: kept.canonical,
                record_hash: *kept.record_hash.as_bytes(),
                content_hash: *kept.content_hash.as_bytes(),
            }
        }
        CheckedLine::Refused(refused) => {
            panic!("refused: {}\n{:#?}", String::from_utf8_lossy(text), refused.problems)
        }
    }
}

/// A record, checked.
pub fn record(value: &Value) -> ToSeal {
    line(value.to_string().as_bytes())
}

/// What the kinds share; `more` is laid over it.
pub fn frame(kind: &str, author: &str, id: &str, day: &str, more: Value) -> ToSeal {
    record(&value(kind, author, id, day, more))
}

/// The same before it is checked.
pub fn value(kind: &str, author: &str, id: &str, day: &str, more: Value) -> Value {
    let mut value = json!({
        "recordID": id, "revision": 1, "kind": kind, "schemaVersion": "1.0", "authorID": author,
        "centreID": author, "eventDate": day, "recordedBy": "duty.keeper",
    });
    for (name, member) in more.as_object().unwrap() {
        if member.is_null() {
            value.as_object_mut().unwrap().remove(name);
        } else {
            value[name] = member.clone();
        }
    }
    value
}

/// One animal or lot comes in.
pub fn rescue(centre: &str, id: &str, day: &str, name: &str, count: u32, more: Value) -> ToSeal {
    let mut members = json!({
        "event": "fromWild", "source": "wild", "individualCount": count, "countMethod": "counted",
        "scientificName": name,
    });
    if count == 1 {
        members["organismID"] = json!(format!("{centre}:{id}"));
    } else {
        members["lotID"] = json!(format!("{centre}:{id}"));
    }
    for (name, member) in more.as_object().unwrap() {
        members[name] = member.clone();
    }
    frame("rescue", centre, id, day, members)
}

/// An opening census.
pub fn opening(centre: &str, day: &str, name: &str, count: u32) -> ToSeal {
    let lines = json!([{ "scientificName": name, "individualCount": count }]);
    let more = json!({ "opening": true, "method": "headCount", "complete": true, "lines": lines });
    frame("census", centre, &format!("opening-{name}").replace(' ', "-"), day, more)
}

/// Animals leave for another centre.
pub fn dispatch(from: &str, to: &str, consignment: &str, day: &str, name: &str, count: u32) -> ToSeal {
    let more = json!({
        "consignmentID": consignment, "destination": "region", "destinationID": to,
        "lines": [{ "lotID": format!("{from}:lot"), "scientificName": name, "individualCount": count }],
    });
    frame("dispatch", from, &format!("d-{}", consignment.replace([':', '.'], "-")), day, more)
}

/// They arrive.
pub fn receipt(at: &str, from: &str, consignment: &str, day: &str, name: &str, count: u32) -> ToSeal {
    let more = json!({
        "consignmentID": consignment, "origin": "transit", "originID": from,
        "lines": [{ "arrived": "alive", "lotID": format!("{from}:lot"), "scientificName": name, "individualCount": count }],
    });
    frame("receipt", at, &format!("r-{}", consignment.replace([':', '.'], "-")), day, more)
}

/// The office that takes a step.
pub fn by(role: Role, party: &str) -> By {
    By { role, party_id: Some(PartyId::from(party)), recorded_by: Some("desk".into()) }
}

/// The invented basin: its region file and all its lines, faults and slips among them.
pub fn basin(nights: u32, animals: u32) -> (String, Vec<ToSeal>) {
    let options =
        Options { centres: 3, nights, animals_per_centre: animals, faults: true, ..Options::default() };
    let made = generate_in_memory(&options).unwrap();
    let region = String::from_utf8(made.files["region.json"].clone()).unwrap();
    let nights = made.files.iter().filter(|(path, _)| path.starts_with("nights/"));
    let lines = nights
        .flat_map(|(_, bytes)| bytes.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()).map(line))
        .collect();
    (region, lines)
}

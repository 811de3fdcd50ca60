use super::*;
use haulout_checking::{CheckedLine, Checker, Settings};
use serde_json::{Value, json};

const REGION: &str = r#"{ "region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata", "parties": [
    { "partyID": "meruva.kolvani", "role": "centre", "name": "Kolvani", "latitude": 26.1, "longitude": 79.2 },
    { "partyID": "meruva.desharu", "role": "centre", "name": "Desharu", "latitude": 26.3, "longitude": 79.5 },
    { "partyID": "meruva.police", "role": "agency", "name": "Police" },
    { "partyID": "meruva.laboratory", "role": "laboratory", "name": "Laboratory" },
    { "partyID": "meruva.coordination", "role": "coordination", "name": "Coordination" },
    { "partyID": "meruva.authority", "role": "authority", "name": "Authority" } ],
  "points": [ { "pointID": "meruva.yard", "name": "Yard", "keeperID": "meruva.police", "latitude": 26.2, "longitude": 79.3, "longestHours": 72 } ] }"#;

/// A record of a kind with what its schema needs.
fn record(kind: &str, author: &str, place: Value, more: Value) -> Record {
    let mut whole = json!({ "recordID": "r1", "revision": 1, "kind": kind, "schemaVersion": "1.0", "authorID": author, "eventDate": "2026-07-02" });
    for part in [place, more] {
        if let (Some(whole), Value::Object(part)) = (whole.as_object_mut(), part) {
            whole.extend(part);
        }
    }
    let checker = Checker::new(Settings::default()).unwrap();
    match checker.check_line(whole.to_string().as_bytes(), 1) {
        CheckedLine::Accepted(accepted) => accepted.record,
        CheckedLine::Refused(refused) => panic!("{whole}: {:?}", refused.problems),
    }
}

fn code(record: &Record, writer: &str) -> Option<String> {
    let region = Region::parse(REGION).unwrap();
    refusal(record, &PartyId::from(writer), Some(&region)).map(|problem| problem.code.to_string())
}

fn census(author: &str, place: Value) -> Record {
    record("census", author, place, json!({ "method": "headCount", "complete": true, "lines": [] }))
}

fn death(author: &str, place: Value, more: Value) -> Record {
    let mut body = json!({ "event": "death", "individualCount": 1, "scientificName": "Lissemys punctata", "lotID": "meruva.kolvani:L1", "when": "inTransit" });
    if let (Some(body), Value::Object(more)) = (body.as_object_mut(), more) {
        body.extend(more);
    }
    record("mortality", author, place, body)
}

#[test]
fn each_writes_its_own() {
    let own = json!({ "centreID": "meruva.kolvani" });
    assert_eq!(code(&census("meruva.kolvani", own.clone()), "meruva.kolvani"), None);
    assert_eq!(
        code(&census("meruva.kolvani", own.clone()), "meruva.desharu").as_deref(),
        Some("foreign-author")
    );
    assert_eq!(code(&census("meruva.desharu", own), "meruva.desharu").as_deref(), Some("foreign-place"));
    let unknown = census("meruva.nobody", json!({ "centreID": "meruva.nobody" }));
    assert_eq!(code(&unknown, "meruva.nobody").as_deref(), Some("unknown-party"));
}

#[test]
fn a_keeper_writes_for_its_point_and_holds_no_centre() {
    let yard = json!({ "pointID": "meruva.yard" });
    assert_eq!(code(&census("meruva.police", yard.clone()), "meruva.police"), None);
    assert_eq!(code(&census("meruva.kolvani", yard), "meruva.kolvani").as_deref(), Some("not-the-keeper"));
    assert_eq!(
        code(&census("meruva.police", json!({ "pointID": "meruva.shed" })), "meruva.police").as_deref(),
        Some("unknown-point")
    );
    assert_eq!(
        code(&census("meruva.police", json!({ "centreID": "meruva.police" })), "meruva.police").as_deref(),
        Some("not-a-centre")
    );
    let freed = record(
        "relocation",
        "meruva.police",
        json!({ "centreID": "meruva.police" }),
        json!({ "individualCount": 1, "scientificName": "Crocodylus palustris" }),
    );
    assert_eq!(code(&freed, "meruva.police"), None);
}

#[test]
fn on_a_journey_either_end_may_tell_what_happened() {
    let journey = json!({ "takenFrom": "transit", "consignmentID": "meruva.kolvani:7" });
    let elsewhere = json!({ "centreID": "meruva.kolvani" });
    assert_eq!(code(&death("meruva.desharu", elsewhere.clone(), journey), "meruva.desharu"), None);
    assert_eq!(
        code(&death("meruva.desharu", elsewhere, json!({})), "meruva.desharu").as_deref(),
        Some("foreign-place")
    );
}

#[test]
fn the_words_of_offices_are_theirs() {
    let link = json!({ "event": "notSame", "organismIDs": ["meruva.kolvani:1", "meruva.desharu:1"] });
    assert_eq!(
        code(&record("link", "meruva.coordination", json!({}), link.clone()), "meruva.coordination"),
        None
    );
    assert_eq!(
        code(&record("link", "meruva.kolvani", json!({}), link), "meruva.kolvani").as_deref(),
        Some("not-your-kind")
    );
    let inspection = census("meruva.authority", json!({ "centreID": "meruva.kolvani" }));
    assert_eq!(code(&inspection, "meruva.authority"), None);
    let result = json!({ "sampleID": "S1", "sampleType": "water", "test": "culture", "outcome": "negative" });
    let at = json!({ "centreID": "meruva.kolvani" });
    assert_eq!(code(&record("result", "meruva.laboratory", at.clone(), result), "meruva.laboratory"), None);
    assert_eq!(code(&census("meruva.laboratory", at), "meruva.laboratory").as_deref(), Some("not-your-kind"));
}

#[test]
fn without_a_region_file_author_and_place_are_compared() {
    let of = |place: Value| {
        refusal(&census("meruva.kolvani", place), &PartyId::from("meruva.kolvani"), None)
            .map(|problem| problem.code.to_string())
    };
    assert_eq!(of(json!({ "centreID": "meruva.kolvani" })), None);
    assert_eq!(of(json!({ "centreID": "meruva.desharu" })).as_deref(), Some("foreign-place"));
    assert_eq!(of(json!({ "pointID": "meruva.yard" })).as_deref(), Some("unknown-point"));
}

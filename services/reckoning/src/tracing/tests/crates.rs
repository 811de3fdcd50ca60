//! Crates between two that were never together.

use super::*;

/// One turtle sent from Desharu to the yard and another sent on from there in the same crate.
fn two_journeys(state: Value) -> Vec<Arc<Effective>> {
    let turtle = |n: u32| json!({"organismID": format!("meruva.desharu:{n}"), "scientificName": "Lissemys punctata", "individualCount": 1, "crateID": "PC3"});
    let sent = |author: &str, id: &str, date: &str, place: Value, to: &str, n: u32, state: Value| {
        let mut rest = json!({"consignmentID": format!("meruva.{author}:{id}"), "destination": "region", "destinationID": format!("meruva.{to}"),
            "lines": [turtle(n)], "crates": [{"crateID": "PC3", "disinfected": state}]});
        if !place.is_null() {
            rest["pointID"] = place;
        }
        record("dispatch", author, id, date, rest)
    };
    let come = |author: &str, id: &str, date: &str, place: Value, of: &str, n: u32| {
        let mut line = turtle(n);
        line.as_object_mut().unwrap().remove("crateID");
        line["arrived"] = "alive".into();
        let mut rest = json!({"consignmentID": of, "origin": "transit", "lines": [line]});
        if !place.is_null() {
            rest["pointID"] = place;
        }
        record("receipt", author, id, date, rest)
    };
    vec![
        sent("desharu", "D1", "2026-07-12", Value::Null, "yard", 1, json!("yes")),
        come("police", "E1", "2026-07-12", json!("meruva.yard"), "meruva.desharu:D1", 1),
        sent("police", "D2", "2026-08-05", json!("meruva.yard"), "velitha", 2, state),
        come("velitha", "E2", "2026-08-06", Value::Null, "meruva.police:D2", 2),
    ]
}

fn question() -> Question {
    Question { sign_day: Some(day("2026-07-13")), ..ask(animal("meruva.desharu:1"), "2026-09-30") }
}

#[test]
fn a_crate_that_nobody_disinfected_joins_two_journeys() {
    for state in ["no", "unknown"] {
        let traced = traced(&two_journeys(json!(state)), &question());
        let second = of(&traced, "animal meruva.desharu:2");
        // One remove: the crate lies between them. It was dirtied on 12 July and used on 5 August.
        assert_eq!((second.remove, second.first_day), (1, day("2026-08-05")));
        assert_eq!(
            chain(second),
            [
                "2026-07-12 animal meruva.desharu:1 > crate > crate PC3",
                "2026-08-05 crate PC3 > crate > animal meruva.desharu:2",
            ]
        );
        assert_eq!(traced.crates[0].place_id.as_ref().unwrap().as_str(), "meruva.velitha");
    }
}

#[test]
fn a_disinfected_crate_ends_the_chain() {
    let traced = traced(&two_journeys(json!("yes")), &question());
    assert!(told(&traced).is_empty());
    // The crate as it was before it was disinfected is still told of; its life ended in the yard.
    assert_eq!(traced.crates.len(), 1);
    assert_eq!(traced.crates[0].consignment_ids.len(), 1);
}

/// The second turtle rode before the first one: nothing runs backward in time.
#[test]
fn whoever_rode_before_is_not_exposed() {
    let question = Question {
        sign_day: Some(day("2026-08-06")),
        window_days: 5,
        ..ask(animal("meruva.desharu:2"), "2026-09-30")
    };
    assert!(told(&traced(&two_journeys(json!("no")), &question)).is_empty());
}

/// Another party's crate of the same number, which never was where the first one was.
#[test]
fn a_number_alone_is_not_a_crate() {
    let mut records = two_journeys(json!("no"));
    records.truncate(2);
    records.push(record("dispatch", "saivera", "D9", "2026-08-05", json!({"consignmentID": "meruva.saivera:9", "destination": "region", "destinationID": "meruva.kolvani",
        "lines": [{"organismID": "meruva.saivera:9", "scientificName": "Lissemys punctata", "individualCount": 1}], "crates": [{"crateID": "PC3", "disinfected": "no"}]})));
    assert!(told(&traced(&records, &question())).is_empty());
}

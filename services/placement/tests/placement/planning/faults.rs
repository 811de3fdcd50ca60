//! Files that cannot be meant: named with place, reason and remedy.

use haulout_placement::plan::{self, Limits, PlanFault};
use serde_json::{Value, json};

use super::{centre, file, lot, read, room, try_plan};
use crate::basin::with;

fn sound() -> Value {
    file(&[centre("A")], &[room("A1", "A")], &[lot("R", 2)])
        .as_object()
        .map(|members| {
            let mut members = members.clone();
            members["requests"][0]["minutes"] = json!({ "A": 30 });
            Value::Object(members)
        })
        .unwrap()
}

#[test]
fn what_was_expected_is_told_in_plain_words() {
    for (change, value, told) in [
        (
            "/requests/0/individualCount",
            json!(-3),
            "integer `-3`, expected a whole number that is not below zero",
        ),
        ("/requests/0/individualCount", json!("three"), "expected a whole number that is not below zero"),
        ("/requests/0/length/value", json!("long"), "string \"long\", expected a number"),
        ("/requests/0/indivisible", json!("yes"), "expected true or false"),
        ("/units/0", json!(7), "integer `7`, expected an object"),
    ] {
        let fault = plan::read(&with(sound(), &[(change, value)]).to_string()).unwrap_err();
        assert_eq!(fault.pointer, change);
        assert!(fault.why.ends_with(told), "{change}: {}", fault.why);
    }
}

#[test]
fn every_fault_is_named_where_it_stands() {
    assert_eq!(read(&sound()).faults(), []);
    let line = |limit: u32| json!({ "licenceNumber": "L", "scope": ["Testudines"], "status": "inForce", "headsLimit": limit });
    for (changes, pointers) in [
        (vec![("/centres/-", centre("A"))], vec!["/centres/1/centreID"]),
        (vec![("/units/-", room("A1", "A"))], vec!["/units/1/unitID"]),
        (vec![("/requests/-", sound()["requests"][0].clone())], vec!["/requests/1/requestID"]),
        (vec![("/requests/0/requestID", json!(" "))], vec!["/requests/0/requestID"]),
        (vec![("/requests/0/individualCount", json!(0))], vec!["/requests/0/individualCount"]),
        (vec![("/requests/0/individualCount", json!(1_000_001))], vec!["/requests/0/individualCount"]),
        (vec![("/requests/0/length/value", json!(-0.2))], vec!["/requests/0/length/value"]),
        (vec![("/requests/0/length/value", json!(0.0))], vec!["/requests/0/length/value"]),
        (vec![("/requests/0/length/high", json!(40.0))], vec!["/requests/0/length/high"]),
        (
            vec![("/requests/0/length/low", json!(0.3)), ("/requests/0/length/high", json!(0.2))],
            vec!["/requests/0/length"],
        ),
        (vec![("/requests/0/minutes", json!({ "X/Y": 3 }))], vec!["/requests/0/minutes/X~1Y"]),
        (
            vec![("/requests/0/caps", json!([{ "centreID": "A", "unitID": "A9", "cap": 1 }]))],
            vec!["/requests/0/caps/0"],
        ),
        (vec![("/units/0/centreID", json!("X"))], vec!["/units/0/centreID"]),
        (vec![("/units/0/units", json!(0))], vec!["/units/0/units"]),
        (vec![("/units/0/freeUnits", json!(2))], vec!["/units/0/freeUnits"]),
        (vec![("/units/0/waterSquareMetre", json!(-1.0))], vec!["/units/0/waterSquareMetre"]),
        (
            vec![("/units/0/occupants", json!([{ "scientificName": "Testudines", "individualCount": 0 }]))],
            vec!["/units/0/occupants/0/individualCount"],
        ),
        (vec![("/centres/0/licences", json!([line(5), line(6)]))], vec!["/centres/0/licences/1"]),
        (vec![("/centres/0/licences/0/scope", json!([]))], vec!["/centres/0/licences/0/scope"]),
        (vec![("/centres/0/latitude", json!(91.0))], vec!["/centres/0/latitude"]),
        (vec![("/centres/0/longitude", json!(-181.0))], vec!["/centres/0/longitude"]),
        (
            vec![("/requests/0/from", json!({ "latitude": 78.0, "longitude": 22.0 }))],
            vec!["/requests/0/from"],
        ),
        (vec![("/requests/0/from", json!({ "latitude": 0.0, "longitude": 0.0 }))], vec!["/requests/0/from"]),
        (vec![("/requests/0/from", json!({ "latitude": 22.0 }))], vec!["/requests/0/from"]),
        (vec![("/requests", json!([]))], vec!["/requests"]),
        (
            vec![("/pins", json!([{ "requestID": "X", "centreID": "Y" }]))],
            vec!["/pins/0/requestID", "/pins/0/centreID"],
        ),
        (
            vec![("/forbids", json!([{ "requestID": "R", "centreID": "A", "unitID": "A9" }]))],
            vec!["/forbids/0/unitID"],
        ),
        (
            vec![(
                "/evacuate",
                json!([{ "centreID": "X", "triage": "red", "stay": "long", "fitToTravel": { "fit": "yes" } }]),
            )],
            vec!["/evacuate/0/centreID"],
        ),
    ] {
        let file = with(sound(), &changes);
        let found = read(&file).faults();
        let at: Vec<&str> = found.iter().map(|fault| fault.pointer.as_str()).collect();
        assert_eq!(at, pointers, "{changes:?}");
        assert!(found.iter().all(|fault| fault.why.len() > 5 && fault.mend.len() > 5));
        let refused = try_plan(&file, Limits::default());
        assert!(matches!(refused, Err(PlanFault::File(again)) if again == found));
    }
}

/// The published schemas hold what is read and written.
#[test]
fn files_and_plans_follow_their_schemas() {
    let [(file_name, of_file), (plan_name, of_plan)] = haulout_placement::plan::schemas();
    assert_eq!((file_name, plan_name), ("request-file", "plan"));
    let bound = json!([{ "requestID": "R", "centreID": "A" }]);
    let file = with(sound(), &[("/pins", bound.clone()), ("/requests/0/individualCount", json!(9))]);
    let validator = jsonschema::draft202012::new(&of_file).unwrap();
    assert!(validator.is_valid(&file) && validator.is_valid(&json!(read(&file))));
    assert!(!validator.is_valid(&with(sound(), &[("/pins", json!([{ "requestID": "R" }]))])));
    let plan = try_plan(&file, Limits { seconds: 5.0, helps_seconds: 5.0 }).unwrap();
    assert!(!plan.unplaced.is_empty() && !plan.assignments.is_empty() && !plan.helps.is_empty());
    let validator = jsonschema::draft202012::new(&of_plan).unwrap();
    let told: Vec<String> = validator.iter_errors(&json!(plan)).map(|fault| fault.to_string()).collect();
    assert_eq!(told, Vec::<String>::new());
    assert_eq!(serde_json::from_value::<haulout_placement::plan::Plan>(json!(plan)).unwrap(), plan);
}

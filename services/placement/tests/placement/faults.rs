//! Bad input: values that cannot be and contradictions, each named with where, why and how to mend.

use haulout_placement::{Fault, RequestFile};
use serde_json::{Value, json};

use crate::basin::{answer, first_night, plain, with};

fn faults(file: &Value) -> Vec<Fault> {
    serde_json::from_value::<RequestFile>(file.clone()).unwrap().faults()
}

#[test]
fn good_files_have_none() {
    assert_eq!(faults(&plain()), []);
    assert_eq!(faults(&first_night()), []);
}

/// What is changed, and where the fault must be found; every one says why and how to mend it.
fn slips() -> Vec<(&'static str, Value, &'static str)> {
    let length = |value: f64| json!({ "value": value, "measure": "totalLength", "method": "taped" });
    let shell =
        |value: f64| json!({ "value": value, "measure": "straightCarapaceLength", "method": "taped" });
    let twin = || plain()["units"][0].clone();
    let crocodile = || json!({ "organismID": "meruva.kolvani:4", "scientificName": "Crocodylus palustris" });
    vec![
        ("/requests/0/length", length(0.0), "/requests/0/length/value"),
        ("/requests/0/length", length(-2.0), "/requests/0/length/value"),
        ("/requests/0/length", length(200.0), "/requests/0/length/value"),
        ("/requests/0/length", shell(3.0), "/requests/0/length/value"),
        ("/requests/0/length/high", json!(1.5), "/requests/0/length"),
        ("/requests/0/length/low", json!(2.5), "/requests/0/length"),
        ("/requests/0/individualCount", json!(0), "/requests/0/individualCount"),
        ("/requests/0/individualCount", json!(2_000_000), "/requests/0/individualCount"),
        ("/requests/0/scientificName", json!("  "), "/requests/0/scientificName"),
        ("/requests/0/from", json!({ "latitude": 90.1, "longitude": 78.0 }), "/requests/0/from/latitude"),
        ("/requests/0/from", json!({ "latitude": 22.0, "longitude": -180.5 }), "/requests/0/from/longitude"),
        // Latitude and longitude changed places: possible, and far off in the sea.
        ("/requests/0/from", json!({ "latitude": 78.12, "longitude": 22.41 }), "/requests/0/from"),
        ("/requests/0/from", json!({ "latitude": 0.0, "longitude": 0.0 }), "/requests/0/from"),
        ("/requests/0/from", json!({ "latitude": 22.0 }), "/requests/0/from"),
        ("/requests/0/from", json!({ "placeID": "meruva.nowhere" }), "/requests/0/from/placeID"),
        ("/requests/0/minutes", json!({ "meruva.nowhere": 10 }), "/requests/0/minutes/meruva.nowhere"),
        ("/requests/0/minutes", json!({ "meruva.kolvani": 36000 }), "/requests/0/minutes/meruva.kolvani"),
        ("/requests/0/team", json!({ "placeID": "meruva.nowhere" }), "/requests/0/team/placeID"),
        (
            "/requests/0/stops",
            json!([{ "placeID": "meruva.nowhere", "minutes": 5 }]),
            "/requests/0/stops/0/placeID",
        ),
        (
            "/requests/0/waivers",
            json!([{ "rule": "rooms", "orderNumber": "O-1", "endDate": "2026-07-30" }]),
            "/requests/0/waivers/0/rule",
        ),
        (
            "/requests/0/waivers",
            json!([{ "rule": "crew", "orderNumber": "O-1", "endDate": "2026-07-30" }]),
            "/requests/0/waivers/0/rule",
        ),
        ("/requests/-", plain()["requests"][0].clone(), "/requests/1/requestID"),
        ("/centres/0/latitude", json!(-91.0), "/centres/0/latitude"),
        ("/centres/0/licences/0/scope", json!([]), "/centres/0/licences/0/scope"),
        ("/centres/-", plain()["centres"][0].clone(), "/centres/1/centreID"),
        (
            "/points",
            json!([{ "pointID": "meruva.kolvani", "latitude": 22.0, "longitude": 78.0 }]),
            "/points/0/pointID",
        ),
        ("/units/0/centreID", json!("meruva.nowhere"), "/units/0/centreID"),
        ("/units/-", twin(), "/units/2/unitID"),
        ("/units/0/units", json!(0), "/units/0/units"),
        ("/units/0/freeUnits", json!(2), "/units/0/freeUnits"),
        ("/units/0/landSquareMetre", json!(-1.0), "/units/0/landSquareMetre"),
        ("/units/0/waterSquareMetre", json!(1.0e9), "/units/0/waterSquareMetre"),
        ("/units/0/depthMetre", json!(150.0), "/units/0/depthMetre"),
        ("/units/0/longestSideMetre", json!(0.0), "/units/0/longestSideMetre"),
        ("/units/0/lengthLimit/metre", json!(400.0), "/units/0/lengthLimit/metre"),
        ("/units/0/lowestCelsius", json!(85.0), "/units/0/lowestCelsius"),
        (
            "/units/0/occupants",
            json!([{ "scientificName": "Crocodylus palustris", "individualCount": 0 }]),
            "/units/0/occupants/0/individualCount",
        ),
        (
            "/units/0/occupants",
            json!([{ "organismID": "a:1", "scientificName": "Crocodylus palustris", "individualCount": 3 }]),
            "/units/0/occupants/0/individualCount",
        ),
        (
            "/units/0/reserved",
            json!([{ "scientificName": "Crocodylus palustris", "length": length(0.0) }]),
            "/units/0/reserved/0/length/value",
        ),
        ("/units/0/occupants", json!([crocodile(), crocodile()]), "/units/0/occupants/1/organismID"),
        ("/roads/roadFactor", json!(0.5), "/roads/roadFactor"),
        ("/roads/speedKmh", json!(0.0), "/roads/speedKmh"),
        (
            "/roads/travel/-",
            json!({ "from": "meruva.yard", "to": "meruva.yard", "minutes": 5 }),
            "/roads/travel/1",
        ),
        (
            "/roads/travel/-",
            json!({ "from": "meruva.yard", "to": "meruva.kolvani", "minutes": 70 }),
            "/roads/travel/1/minutes",
        ),
        ("/roads/travel/0/minutes", json!(90_000), "/roads/travel/0/minutes"),
        (
            "/roads/closures",
            json!([{ "placeID": "meruva.nowhere", "from": "2026-07-02T00:00:00+05:30" }]),
            "/roads/closures/0/placeID",
        ),
        (
            "/roads/closures",
            json!([{ "placeID": "meruva.kolvani", "from": "2026-07-02T00:00:00+05:30", "until": "2026-07-01T00:00:00+05:30" }]),
            "/roads/closures/0/until",
        ),
        (
            "/roads/nightBans",
            json!([{ "placeID": "meruva.nowhere", "begins": "21:00", "ends": "05:00" }]),
            "/roads/nightBans/0/placeID",
        ),
        (
            "/roads/ferries",
            json!([{ "placeID": "meruva.kolvani", "otherPlaceID": "meruva.nowhere", "firstCrossing": "06:00", "lastCrossing": "18:00", "waitMinutes": 5 }]),
            "/roads/ferries/0/otherPlaceID",
        ),
        (
            "/standstills",
            json!([{ "placeID": "meruva.nowhere", "direction": "in", "from": "2026-07-02T00:00:00+05:30" }]),
            "/standstills/0/placeID",
        ),
        (
            "/standstills",
            json!([{ "placeID": "meruva.kolvani", "direction": "in", "from": "2026-07-02T00:00:00+05:30", "until": "2026-07-02T00:00:00+05:30" }]),
            "/standstills/0/until",
        ),
        ("/settings", json!({ "coolMonths": [0, 12, 13] }), "/settings/coolMonths/0"),
        (
            "/settings",
            json!({ "spaceShares": { "stabilise": 0.0, "quarantine": 1.0, "long": 1.0, "lifelong": 1.0 } }),
            "/settings/spaceShares/stabilise",
        ),
        ("/settings", json!({ "eggCelsius": { "low": 34.0, "high": 28.0 } }), "/settings/eggCelsius"),
    ]
}

#[test]
fn every_slip_is_named_where_it_is() {
    let mut wrong = Vec::new();
    for (path, value, pointer) in slips() {
        let found = faults(&with(plain(), &[(path, value.clone())]));
        let named =
            found.iter().any(|fault| fault.pointer == pointer && fault.why.len() > 5 && fault.mend.len() > 5);
        if !named {
            wrong.push(format!("{path} = {value}: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A slip never makes a place: what is wrong is not counted in the animal's favour.
#[test]
fn a_length_that_cannot_be_is_reckoned_as_not_stated() {
    for value in [0.0, -2.0] {
        let answer = answer(&with(plain(), &[("/requests/0/length/value", json!(value))]));
        assert!(answer.options.is_empty());
    }
}

/// A name without a profile is accepted; the answer names what could not be checked.
#[test]
fn a_species_without_a_profile_is_accepted_and_offered_nothing() {
    let answer = answer(&with(plain(), &[("/requests/0/scientificName", json!("Crocodylus ignotus"))]));
    assert!(answer.options.is_empty() && answer.waived.is_empty());
    assert_eq!(answer.excluded[0].failed[0].code, "species-known");
    let told = answer.cautions.iter().find(|caution| caution.contains("No profile is known")).unwrap();
    for code in ["licence", "crew", "room", "length-limit", "living-together"] {
        assert!(told.contains(code), "{told}");
    }
}

#[test]
fn no_feasible_centre_is_an_answer() {
    let answer = answer(&with(plain(), &[("/requests/0/individualCount", json!(190))]));
    assert!(answer.options.is_empty());
    assert!(!answer.excluded[0].changes.is_empty());
}

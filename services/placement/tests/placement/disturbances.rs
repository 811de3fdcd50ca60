//! The first night's file with something in it made otherwise.

use proptest::prelude::*;
use serde_json::{Value, json};

fn one_of(values: Value) -> impl Strategy<Value = Value> {
    proptest::sample::select(values.as_array().unwrap().clone())
}

/// Something in the file made otherwise: pointers and new values; null leaves the member out.
pub fn disturbance() -> impl Strategy<Value = Vec<(String, Value)>> {
    prop_oneof![30 => single().prop_map(|one| vec![one]), 1 => shared_water(), 1 => winter(), 1 => eggs(), 1 => short()]
}

/// A stay to stabilise that ends in time, or does not.
fn short() -> impl Strategy<Value = Vec<(String, Value)>> {
    one_of(json!(["2026-07-03T02:00:00+05:30", "2026-07-09T02:00:00+05:30"])).prop_map(|until| {
        vec![("/requests/0/stay".to_owned(), json!("stabilise")), ("/requests/0/stayUntil".to_owned(), until)]
    })
}

/// A healthy animal in the cool season, in a pool that is warm, cool or nobody knows.
fn winter() -> impl Strategy<Value = Vec<(String, Value)>> {
    let pools = one_of(json!([null, true, false]));
    let held = one_of(json!([null, 20.0, 26.0]));
    let triage = one_of(json!(["green", "yellow"]));
    (pools, held, triage).prop_map(|(heated, held, triage)| {
        vec![
            ("/requests/0/earliestDeparture".to_owned(), json!("2026-12-10T06:10:00+05:30")),
            ("/requests/0/triage".to_owned(), triage),
            ("/units/1/heated".to_owned(), heated),
            ("/units/1/lowestCelsius".to_owned(), held),
        ]
    })
}

/// Eggs of the gharial, and an incubator that nearly keeps them.
fn eggs() -> impl Strategy<Value = Vec<(String, Value)>> {
    let lowest = one_of(json!([null, 27.9, 28.0, 30.0]));
    let minutes = one_of(json!([100, 720, 721]));
    (lowest, minutes).prop_map(|(lowest, minutes)| {
        vec![
            ("/requests/0/scientificName".to_owned(), json!("Gavialis gangeticus")),
            ("/requests/0/lifeStage".to_owned(), json!("egg")),
            ("/requests/0/individualCount".to_owned(), json!(17)),
            ("/requests/0/stay".to_owned(), json!("long")),
            ("/requests/0/minutes".to_owned(), json!({ "meruva.ombari": minutes })),
            ("/units/9/keepsOrientation".to_owned(), json!(true)),
            ("/units/9/lowestCelsius".to_owned(), lowest),
        ]
    })
}

/// Kolvani's pools on one water, with a batch running in the hatchlings' tank.
fn shared_water() -> impl Strategy<Value = Vec<(String, Value)>> {
    one_of(json!(["Crocodylia", "Testudines", null])).prop_map(|order| {
        let mut batch = json!({ "batchID": "B8", "clearDay": "2026-07-20" });
        if !order.is_null() {
            batch["order"] = order;
        }
        let water = (0..3).map(|at| (format!("/units/{at}/waterCircuit"), json!("KW")));
        water.chain([("/units/2/quarantine".to_owned(), batch)]).collect()
    })
}

fn single() -> impl Strategy<Value = (String, Value)> {
    let units = 14_usize;
    let animal = || {
        one_of(json!([
            { "scientificName": "Crocodylus palustris", "sex": "male", "lifeStage": "adult",
              "length": { "value": 2.8, "measure": "totalLength", "method": "taped" } },
            { "scientificName": "Crocodylus palustris", "individualCount": 3, "batchID": "B7",
              "length": { "value": 1.1, "measure": "totalLength", "method": "taped" } },
            { "scientificName": "Nilssonia", "individualCount": 4 },
            { "scientificName": "Ignota ignota" },
            { "scientificName": "Lissemys punctata", "individualCount": 12, "sex": "female", "lifeStage": "adult",
              "length": { "value": 0.2, "measure": "plastronLength", "method": "taped" } },
        ]))
    };
    let of_unit = move |member: &'static str, values: Value| {
        (0..units, one_of(values)).prop_map(move |(at, value)| (format!("/units/{at}/{member}"), value))
    };
    let of_centre = |member: &'static str, values: Value| {
        (0..6_usize, one_of(values)).prop_map(move |(at, value)| (format!("/centres/{at}/{member}"), value))
    };
    let of_request = |member: &'static str, values: Value| {
        one_of(values).prop_map(move |value| (format!("/requests/0/{member}"), value))
    };
    let night = "2026-07-02T00:00:00+05:30";
    prop_oneof![
        (0..units, prop_oneof![Just("occupants"), Just("expected"), Just("reserved")], proptest::collection::vec(animal(), 0..4))
            .prop_map(|(at, list, animals)| (format!("/units/{at}/{list}"), json!(animals))),
        of_unit("waterSquareMetre", json!([null, 0.0, 5.0, 61.25, 400.0])),
        of_unit("landSquareMetre", json!([null, 0.0, 2.0, 36.75, 400.0])),
        of_unit("depthMetre", json!([null, 0.1, 0.525, 2.0])),
        of_unit("headsLimit", json!([null, 0, 1, 5, 50])),
        of_unit("lengthLimit", json!([null, { "metre": 0.8, "measure": "snoutVentLength" }, { "metre": 0.5, "measure": "plastronLength" }])),
        of_unit("suits", json!([[], ["Testudines"], ["Crocodylia", "Testudines"], ["Crocodylus palustris"]])),
        of_unit("stays", json!([[], ["stabilise"], ["quarantine", "long"]])),
        of_unit("units", json!([1, 2, 5])),
        of_unit("freeUnits", json!([null, 0, 1, 3])),
        of_unit("arrangement", json!(["isolating", "communal"])),
        of_unit("waterCircuit", json!([null, "W1", "W2"])),
        of_unit("unitKind", json!(["pool", "pen", "incubator"])),
        of_unit("heated", json!([null, true, false])),
        of_unit("lowestCelsius", json!([null, 12.0, 24.9, 25.0, 28.0, 33.5])),
        of_unit("highestCelsius", json!([null, 33.0, 40.0])),
        of_unit("waterType", json!([null, "static", "flowThrough", "earthenPond"])),
        of_unit("keepsOrientation", json!([null, true, false])),
        of_unit("longestSideMetre", json!([null, 0.3, 3.4, 12.0])),
        of_unit("quarantine", json!([
            null,
            { "batchID": "B7", "order": "Crocodylia", "clearDay": "2026-07-20" },
            { "batchID": "B8", "clearDay": "2026-07-02" },
        ])),
        (0..units, 0..6_usize).prop_map(|(at, centre)| {
            let ids = ["kolvani", "desharu", "ombari", "velitha", "thulmar", "saivera"];
            (format!("/units/{at}/centreID"), json!(format!("meruva.{}", ids[centre])))
        }),
        of_centre("crews", json!([[], [{ "skill": "largeCrocodilian", "people": 4 }], [{ "skill": "chelonian", "people": 2 }, { "skill": "crocodilian", "people": 1 }]])),
        of_centre("arrivalsPerDay", json!([null, 0, 1, 10])),
        of_centre("vetLevel", json!([null, "none", "firstAid", "clinic", "surgery"])),
        of_centre("basin", json!([null, "meruva", "other"])),
        of_centre("arrivedToday", json!([0, 4])),
        of_centre("licences", json!([
            [],
            [{ "scope": ["Crocodylia"], "headsLimit": 1, "status": "inForce" }, { "scope": ["Crocodylus palustris"], "headsLimit": 0, "status": "inForce" }],
            [{ "scope": ["Crocodylia", "Testudines"], "status": "suspended", "activities": ["long"] }],
            [{ "scope": ["Testudines"], "validThrough": "2026-07-01", "status": "inForce" }, { "scope": ["Crocodylia"], "status": "ended" }],
        ])),
        of_request("scientificName", json!(["Crocodylus palustris", "Crocodylus", "Crocodylia", "Nilssonia gangetica", "Trionychidae", "Trachemys scripta", "Indotestudo elongata", "Aldabrachelys gigantea", "Ignota ignota"])),
        of_request("length", json!([
            null,
            { "value": 0.9, "measure": "totalLength", "method": "taped" },
            { "value": 0.4, "measure": "plastronLength", "method": "taped" },
            { "value": 0.3, "measure": "curvedCarapaceLength", "method": "byEye", "low": 0.2, "high": 0.35 },
            { "value": 0.4, "measure": "headLength", "method": "derived" },
        ])),
        of_request("individualCount", json!([1, 2, 7, 190])),
        of_request("stay", json!(["stabilise", "quarantine", "long", "lifelong"])),
        of_request("sex", json!([null, "male", "female", "undetermined"])),
        of_request("lifeStage", json!([null, "adult", "juvenile", "egg"])),
        of_request("batchID", json!([null, "B7", "B9"])),
        of_request("from", json!([{}, { "placeID": "meruva.yard" }, { "placeID": "meruva.kolvani" }, { "placeID": "meruva.elsewhere" }])),
        of_request("fitToTravel", json!([{ "fit": "yes" }, { "fit": "no" }, { "fit": "unknown" }])),
        of_request("custody", json!([null, { "caseProperty": "yes" }, { "caseProperty": "unknown" }, { "caseProperty": "yes", "leave": { "orderNumber": "O-2", "endDate": "2026-06-30", "partyIDs": ["meruva.desharu"] } }])),
        of_request("triage", json!(["red", "yellow", "green"])),
        of_request("basin", json!([null, "meruva", "other"])),
        of_request("stayUntil", json!([null, "2026-07-03T02:00:00+05:30", "2026-07-09T02:00:00+05:30"])),
        of_request("minutes", json!([{}, { "meruva.kolvani": 100, "meruva.desharu": 1500, "meruva.saivera": 700 }])),
        of_request("team", json!([null, { "captureMinutes": 90 }, { "placeID": "meruva.kolvani", "captureMinutes": 30 }, { "placeID": "meruva.nowhere" }, { "minutesOut": 600 }])),
        of_request("stops", json!([[], [{ "placeID": "meruva.ombari", "minutes": 800 }, { "placeID": "meruva.kolvani", "minutes": 900 }]])),
        of_request("releaseProgramme", json!([true, false])),
        of_request("earliestDeparture", json!([null, "2026-07-02T06:10:00+05:30", "2026-12-10T06:10:00+05:30", "2027-02-28T22:00:00+05:30", "2027-04-02T06:10:00+05:30"])),
        of_request("waivers", json!([[], [{ "rule": "room", "orderNumber": "O-1", "endDate": "2026-07-30" }], [{ "rule": "living-together", "orderNumber": "O-3", "endDate": "2026-07-30", "partyIDs": ["meruva.saivera"] }]])),
        one_of(json!([
            [],
            [{ "placeID": "meruva.saivera", "direction": "both", "from": night }, { "placeID": "meruva.yard", "direction": "out", "from": night }],
            [{ "placeID": "meruva.kolvani", "direction": "in", "unitIDs": ["K2"], "from": night }, { "placeID": "meruva.kolvani", "direction": "in", "taxa": ["Crocodylidae"], "from": night }],
        ])).prop_map(|value| ("/standstills".to_owned(), value)),
        one_of(json!([
            [],
            [{ "placeID": "meruva.kolvani", "from": night }, { "placeID": "meruva.desharu", "otherPlaceID": "meruva.yard", "from": night }],
        ])).prop_map(|value| ("/roads/closures".to_owned(), value)),
        one_of(json!([
            [],
            [{ "placeID": "meruva.kolvani", "begins": "18:00", "ends": "06:00", "reason": "elephants" }],
            [{ "placeID": "meruva.yard", "begins": "00:00", "ends": "00:00" }, { "placeID": "meruva.saivera", "begins": "10:00", "ends": "12:00", "from": night }],
        ])).prop_map(|value| ("/roads/nightBans".to_owned(), value)),
        one_of(json!([
            [],
            [{ "placeID": "meruva.kolvani", "minutesToLanding": 20, "firstCrossing": "06:00", "lastCrossing": "18:30", "waitMinutes": 40 }],
            [{ "placeID": "meruva.yard", "minutesToLanding": 15, "firstCrossing": "05:00", "lastCrossing": "01:50", "waitMinutes": 900 }, { "placeID": "meruva.saivera", "otherPlaceID": "meruva.yard", "firstCrossing": "08:00", "lastCrossing": "09:00", "waitMinutes": 10 }],
        ])).prop_map(|value| ("/roads/ferries".to_owned(), value)),
        one_of(json!([null, 1.4])).prop_map(|value| ("/roads/roadFactor".to_owned(), value)),
    ]
}

/// The file with a member set, or left out for a null.
pub fn disturbed(mut file: Value, (path, value): &(String, Value)) -> Value {
    let (parent, member) = path.rsplit_once('/').unwrap();
    let parent = file.pointer_mut(parent).unwrap().as_object_mut().unwrap();
    if value.is_null() {
        parent.remove(member);
    } else {
        parent.insert(member.to_owned(), value.clone());
    }
    file
}

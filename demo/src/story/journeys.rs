//! Points 4 to 6: the lots on the road after dark, what arrived, and the deaths at Desharu.

use super::arrivals::LEAVE;
use super::frame::{
    DESHARU, LABORATORY, OMBARI, POLICE, VELITHA, YARD, of_centre, of_office, of_point, post, when, with,
};
use super::{Consignments, Post};
use serde_json::{Value, json};

/// From the yard's gate to the lifted standstill.
pub fn posts(consignments: &Consignments) -> Vec<Post> {
    let mut posts = vec![post("2026-07-09T21:30", POLICE, dispatches(consignments))];
    posts.extend(receipts(consignments));
    posts.extend(settled(&consignments.to_velitha));
    posts.extend(deaths_at_desharu());
    posts
}

fn crates(prefix: &str, count: u32, disinfected: &str) -> Vec<Value> {
    (1..=count).map(|n| json!({ "crateID": format!("{prefix}{n}"), "disinfected": disinfected })).collect()
}

fn dispatches(consignments: &Consignments) -> Vec<Value> {
    let dispatch = |number: u32, consignment: &str, to: &str, lines: Value, crates: Vec<Value>| {
        of_point(
            POLICE,
            YARD,
            &format!("dispatch-{number}"),
            "dispatch",
            &when("2026-07-09T20:40"),
            json!({
                "consignmentID": consignment, "destination": "region", "destinationID": to,
                "lines": lines, "crates": crates, "expectedArrival": "2026-07-10", "orderNumber": LEAVE,
            }),
        )
    };
    let line = |lot: &str, from: Option<&str>, name: &str, count: u32| {
        let mut line = json!({ "lotID": format!("meruva.police:{lot}"), "scientificName": name, "individualCount": count });
        if let Some(from) = from {
            line["fromLot"] = json!(format!("meruva.police:{from}"));
        }
        line
    };
    vec![
        dispatch(
            1,
            &consignments.to_desharu,
            DESHARU,
            json!([
                line("77-L", None, "Lissemys punctata", 190),
                line("77-N2", Some("77-N"), "Nilssonia gangetica", 16),
            ]),
            crates("PC", 8, "yes"),
        ),
        dispatch(
            2,
            &consignments.to_velitha,
            VELITHA,
            json!([
                line("77-N1", Some("77-N"), "Nilssonia gangetica", 48),
                line("77-P", None, "Pangshura tecta", 31),
            ]),
            crates("VC", 4, "yes"),
        ),
        dispatch(
            3,
            &consignments.to_ombari,
            OMBARI,
            json!([
                line("77-H", None, "Hardella thurjii", 18),
                line("77-G", None, "Geoclemys hamiltonii", 9),
            ]),
            crates("OC", 2, "yes"),
        ),
    ]
}

/// A receipt from the yard.
fn receipt(centre: &'static str, number: u32, consignment: &str, at: &str, lines: Value) -> Value {
    of_centre(
        centre,
        &format!("receipt-{number}"),
        "receipt",
        &when(at),
        json!({
            "consignmentID": consignment, "origin": "transit", "originID": YARD, "lines": lines,
        }),
    )
}

/// A lot housed in units and entered into the quarantine of its batch.
fn taken_in(
    centre: &'static str,
    lot: &str,
    name: &str,
    units: &[(&str, u32)],
    order: Option<&str>,
) -> Vec<Value> {
    let subject = format!("meruva.police:{lot}");
    let unit_list: Vec<_> =
        units.iter().map(|(unit, count)| json!({ "unitID": unit, "individualCount": count })).collect();
    let mut housing = json!({ "lotID": subject, "scientificName": name, "event": "housed", "units": unit_list, "stay": "quarantine" });
    if let Some(order) = order {
        housing["orderNumber"] = json!(order);
    }
    vec![
        of_centre(centre, &format!("house-{lot}"), "housing", &when("2026-07-10T05:30"), housing),
        of_centre(
            centre,
            &format!("quarantine-{lot}"),
            "quarantine",
            &when("2026-07-10T05:30"),
            json!({
                "lotID": subject, "scientificName": name, "event": "entered", "batchID": format!("B-{lot}"), "unitID": units[0].0, "days": 90,
            }),
        ),
    ]
}

fn arrived(lot: &str, how: &str, name: &str, count: u32) -> Value {
    json!({ "arrived": how, "lotID": format!("meruva.police:{lot}"), "scientificName": name, "individualCount": count })
}

fn receipts(consignments: &Consignments) -> Vec<Post> {
    let mut desharu = vec![receipt(
        DESHARU,
        1,
        &consignments.to_desharu,
        "2026-07-10T00:20",
        json!([
            arrived("77-L", "alive", "Lissemys punctata", 190),
            arrived("77-N2", "alive", "Nilssonia gangetica", 16),
        ]),
    )];
    desharu.extend(taken_in(DESHARU, "77-L", "Lissemys punctata", &[("DR1", 95), ("DR2", 95)], None));
    desharu.extend(taken_in(DESHARU, "77-N2", "Nilssonia gangetica", &[("DTH", 16)], Some("O-26-32")));
    let mut velitha = vec![receipt(
        VELITHA,
        2,
        &consignments.to_velitha,
        "2026-07-10T00:50",
        json!([
            arrived("77-N1", "alive", "Nilssonia gangetica", 46),
            arrived("77-N1", "dead", "Nilssonia gangetica", 1),
            json!({ "arrived": "alive", "organismID": "meruva.velitha:12", "scientificName": "Nilssonia hurum", "individualCount": 1 }),
            arrived("77-P", "alive", "Pangshura tecta", 31),
        ]),
    )];
    velitha.extend(taken_in(VELITHA, "77-N1", "Nilssonia gangetica", &[("V1", 46)], None));
    velitha.extend(taken_in(VELITHA, "77-P", "Pangshura tecta", &[("V2", 31)], None));
    let hurum = json!({ "organismID": "meruva.velitha:12", "scientificName": "Nilssonia hurum" });
    let of_hurum = |fields: Value| with(&hurum, fields);
    velitha.extend([
        of_centre(VELITHA, "house-12", "housing", &when("2026-07-10T05:40"), of_hurum(json!({ "event": "housed", "units": [{ "unitID": "V3", "individualCount": 1 }], "stay": "quarantine" }))),
        of_centre(VELITHA, "quarantine-12", "quarantine", &when("2026-07-10T05:40"), of_hurum(json!({ "event": "entered", "batchID": "B-12", "unitID": "V3", "days": 90 }))),
        of_centre(VELITHA, "necropsy-2", "mortality", "2026-07-10", json!({
            "lotID": "meruva.police:77-N1", "scientificName": "Nilssonia gangetica", "event": "necropsy", "individualCount": 1,
            "deathOf": { "authorID": VELITHA, "recordID": "receipt-2" }, "necropsyDone": true, "findings": "Crushed under the load.",
        })),
    ]);
    let mut ombari = vec![receipt(
        OMBARI,
        3,
        &consignments.to_ombari,
        "2026-07-10T00:05",
        json!([
            arrived("77-H", "alive", "Hardella thurjii", 18),
            arrived("77-G", "alive", "Geoclemys hamiltonii", 9),
        ]),
    )];
    ombari.extend(taken_in(OMBARI, "77-H", "Hardella thurjii", &[("OT1", 18)], None));
    ombari.extend(taken_in(OMBARI, "77-G", "Geoclemys hamiltonii", &[("OT2", 9)], None));
    vec![
        post("2026-07-10T06:00", DESHARU, desharu),
        post("2026-07-10T06:10", VELITHA, velitha),
        post("2026-07-10T06:20", OMBARI, ombari),
    ]
}

fn settled(consignment: &str) -> Vec<Post> {
    vec![
        post(
            "2026-07-11T11:00",
            VELITHA,
            vec![of_centre(
                VELITHA,
                "settle-2",
                "settlement",
                &when("2026-07-11T10:30"),
                json!({
                    "event": "settled", "consignmentID": consignment,
                    "lines": [
                        { "scientificName": "Nilssonia gangetica", "settledAs": "redetermined", "individualCount": 1, "reason": "One of the 48 is really N. hurum." },
                        { "scientificName": "Nilssonia hurum", "settledAs": "redetermined", "individualCount": -1, "reason": "It was listed as N. gangetica." },
                    ],
                }),
            )],
        ),
        post(
            "2026-07-11T15:00",
            POLICE,
            vec![of_point(
                POLICE,
                YARD,
                "agree-2",
                "settlement",
                &when("2026-07-11T14:40"),
                json!({
                    "event": "agreed", "consignmentID": consignment,
                    "agreesTo": { "authorID": VELITHA, "recordID": "settle-2" },
                }),
            )],
        ),
        // The crates go back, eight of them as they came.
        post(
            "2026-07-12T18:00",
            DESHARU,
            vec![of_centre(
                DESHARU,
                "crates-back",
                "dispatch",
                &when("2026-07-12T17:00"),
                json!({
                    "consignmentID": "meruva.desharu:1", "destination": "region", "destinationID": YARD, "crates": crates("PC", 8, "no"),
                }),
            )],
        ),
        post(
            "2026-07-12T20:00",
            POLICE,
            vec![of_point(
                POLICE,
                YARD,
                "crates-home",
                "receipt",
                &when("2026-07-12T19:00"),
                json!({
                    "consignmentID": "meruva.desharu:1", "origin": "transit", "originID": DESHARU, "crates": crates("PC", 8, "unknown"),
                }),
            )],
        ),
    ]
}

fn deaths_at_desharu() -> Vec<Post> {
    let lissemys = |id: &str, date: &str, fields: Value| {
        let subject = json!({ "lotID": "meruva.police:77-L", "scientificName": "Lissemys punctata" });
        of_centre(DESHARU, id, "mortality", date, with(&subject, fields))
    };
    let death = |id: &str, date: &str, count: u32| {
        lissemys(
            id,
            date,
            json!({ "event": "death", "individualCount": count, "when": "inCare", "causeOfDeath": "unknown" }),
        )
    };
    let necropsy = |id: &str, date: &str, of: &str, count: u32| {
        lissemys(
            id,
            date,
            json!({
                "event": "necropsy", "individualCount": count, "deathOf": { "authorID": DESHARU, "recordID": of },
                "necropsyDone": true, "causeOfDeath": "infection", "findings": "Ulcerative lesions; samples sent.",
            }),
        )
    };
    let house = |id: &str, date: &str, units: Value| {
        of_centre(
            DESHARU,
            id,
            "housing",
            date,
            json!({
                "lotID": "meruva.police:77-L", "scientificName": "Lissemys punctata", "event": "housed", "units": units, "stay": "quarantine",
            }),
        )
    };
    let result = |id: &str, date: &str| {
        of_office(
            LABORATORY,
            id,
            "result",
            date,
            json!({
                "sampleID": id, "sampleType": "swab", "test": "PCR panel", "outcome": "negative", "waterCircuit": "DW1",
            }),
        )
    };
    let standstill = |id: &str, event: &str, date: &str, fields: Value| {
        let base = json!({ "event": event, "standstillID": "S-26-1" });
        of_centre(DESHARU, id, "biosecurity", date, with(&base, fields))
    };
    vec![
        post(
            "2026-07-20T20:30",
            DESHARU,
            vec![
                death("death-1", "2026-07-20", 2),
                house(
                    "house-77-L-2",
                    "2026-07-20",
                    json!([{ "unitID": "DR1", "individualCount": 93 }, { "unitID": "DR2", "individualCount": 95 }]),
                ),
            ],
        ),
        post(
            "2026-07-21T20:30",
            DESHARU,
            vec![
                death("death-2", "2026-07-21", 2),
                house(
                    "house-77-L-3",
                    "2026-07-21",
                    json!([{ "unitID": "DR1", "individualCount": 91 }, { "unitID": "DR2", "individualCount": 95 }]),
                ),
                standstill(
                    "standstill-1",
                    "declared",
                    &when("2026-07-21T18:00"),
                    json!({
                        "scope": "waterCircuit", "waterCircuit": "DW1", "direction": "both", "agent": "not yet known",
                        "reason": "Four deaths in two days in one row.",
                    }),
                ),
            ],
        ),
        post(
            "2026-07-23T20:30",
            DESHARU,
            vec![
                necropsy("necropsy-1", "2026-07-23", "death-1", 2),
                necropsy("necropsy-3", "2026-07-23", "death-2", 2),
            ],
        ),
        // The order for the triage hall ends on 30 July; the 16 move into a proper unit the day before.
        post(
            "2026-07-29T20:30",
            DESHARU,
            vec![of_centre(
                DESHARU,
                "house-77-N2-2",
                "housing",
                &when("2026-07-29T16:00"),
                json!({
                    "lotID": "meruva.police:77-N2", "scientificName": "Nilssonia gangetica", "event": "housed",
                    "units": [{ "unitID": "DN1", "individualCount": 16 }], "stay": "quarantine",
                }),
            )],
        ),
        post("2026-08-04T12:00", LABORATORY, vec![result("DW1-round-1", "2026-08-04")]),
        post("2026-08-17T12:00", LABORATORY, vec![result("DW1-round-2", "2026-08-17")]),
        post(
            "2026-08-18T20:30",
            DESHARU,
            vec![standstill(
                "standstill-1-lifted",
                "lifted",
                &when("2026-08-18T12:00"),
                json!({ "reason": "Two negative rounds." }),
            )],
        ),
    ]
}

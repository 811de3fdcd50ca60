//! What stands before the story begins: the region, licences, permits, units, crews, the opening counts.

use super::Post;
use super::frame::{
    AUTHORITY, COORDINATION, DESHARU, KOLVANI, LABORATORY, OMBARI, POLICE, RANGE, RANGE_OFFICE, SAIVERA,
    THULMAR, VELITHA, YARD, of_centre, of_office, post, when,
};
use serde_json::{Value, json};

/// The region file of the Meruva basin.
pub fn region() -> Value {
    let centre = |id: &str, name: &str, latitude: f64, longitude: f64| json!({ "partyID": id, "role": "centre", "name": name, "latitude": latitude, "longitude": longitude });
    let office = |id: &str, role: &str, name: &str| json!({ "partyID": id, "role": role, "name": name });
    let minutes =
        |from: &str, to: &str, minutes: u32| json!({ "fromID": from, "toID": to, "minutes": minutes });
    json!({
        "region": "meruva",
        "name": "Meruva basin",
        "timeZone": "Asia/Kolkata",
        "parties": [
            centre(KOLVANI, "Kolvani, at the gorge", 22.41, 78.12),
            centre(DESHARU, "Desharu, surgery and isolation", 22.18, 78.64),
            centre(OMBARI, "Ombari, the hatchery", 21.96, 79.05),
            centre(VELITHA, "Velitha, river turtles", 21.77, 79.41),
            centre(THULMAR, "Thulmar, hill tortoises", 22.63, 78.77),
            centre(SAIVERA, "Saivera, at the estuary", 21.12, 80.36),
            office(POLICE, "agency", "District police"),
            office(RANGE_OFFICE, "agency", "Range office"),
            office(COORDINATION, "coordination", "Basin coordination"),
            office(AUTHORITY, "authority", "Licensing authority"),
            office(LABORATORY, "laboratory", "Basin laboratory"),
        ],
        "points": [
            { "pointID": YARD, "name": "Police yard", "keeperID": POLICE, "latitude": 22.05, "longitude": 78.9, "longestHours": 24 },
            { "pointID": RANGE, "name": "Range office", "keeperID": RANGE_OFFICE, "latitude": 22.11, "longitude": 78.85, "longestHours": 24 },
        ],
        "roadFactor": 1.4,
        "speedKilometrePerHour": 40,
        "travelMinutes": [
            minutes(YARD, DESHARU, 55),
            minutes(YARD, OMBARI, 45),
            minutes(YARD, VELITHA, 95),
            minutes(OMBARI, KOLVANI, 250),
        ],
    })
}

/// Licences, the permit, units, crews, and what each centre counted on the evening before.
pub fn posts() -> Vec<Post> {
    let licence = |holder: &str, number: &str, lines: Value| {
        of_office(
            AUTHORITY,
            number,
            "licence",
            "2026-01-05",
            json!({
                "licenceNumber": number,
                "holderID": holder,
                "status": "inForce",
                "validFrom": "2026-01-01",
                "validThrough": "2026-12-31",
                "lines": lines,
            }),
        )
    };
    let mut posts = vec![post(
        "2026-06-30T12:00",
        AUTHORITY,
        vec![
            licence(KOLVANI, "L-KOL-26", json!([{ "scientificName": "Crocodylia", "headsLimit": 60 }])),
            licence(
                DESHARU,
                "L-DES-26",
                json!([
                    { "scientificName": "Testudines", "headsLimit": 400 },
                    { "scientificName": "Crocodylia", "headsLimit": 6 },
                ]),
            ),
            licence(
                OMBARI,
                "L-OMB-26",
                json!([
                    { "scientificName": "Testudines", "headsLimit": 400 },
                    { "scientificName": "Crocodylia", "headsLimit": 150 },
                ]),
            ),
            licence(VELITHA, "L-VEL-26", json!([{ "scientificName": "Testudines", "headsLimit": 160 }])),
            licence(THULMAR, "L-THU-26", json!([{ "scientificName": "Testudinidae", "headsLimit": 80 }])),
            licence(SAIVERA, "L-SAI-26", json!([{ "scientificName": "Crocodylia", "headsLimit": 8 }])),
            of_office(
                AUTHORITY,
                "P-REL-26-2",
                "permit",
                "2026-03-01",
                json!({
                    "permitNumber": "P-REL-26-2",
                    "permitType": "release",
                    "species": ["Crocodylus palustris"],
                    "holderIDs": [SAIVERA, KOLVANI],
                    "quantity": 6,
                    "usedBefore": 4,
                    "validFrom": "2026-03-01",
                    "validThrough": "2026-12-31",
                }),
            ),
        ],
    )];
    posts.extend([
        opening(KOLVANI, vec![
            unit(KOLVANI, "K1", "pool", json!({ "landSquareMetre": 30, "waterSquareMetre": 45, "depthMetre": 1.2, "headsLimit": 1, "lengthLimitMetre": length(2.8), "suits": ["Crocodylia"] })),
            unit(KOLVANI, "K2", "pool", json!({ "landSquareMetre": 45, "waterSquareMetre": 70, "depthMetre": 1.5, "headsLimit": 1, "lengthLimitMetre": length(4.0), "suits": ["Crocodylia"] })),
            unit(KOLVANI, "KH", "tank", json!({ "landSquareMetre": 10, "waterSquareMetre": 20, "depthMetre": 0.6, "headsLimit": 40, "lengthLimitMetre": length(0.6), "suits": ["Crocodylia"], "heated": true })),
            ready(KOLVANI, json!([{ "skill": "largeCrocodilian", "people": 5 }]), "clinic"),
        ], json!([])),
        opening(DESHARU, vec![
            unit(DESHARU, "D1", "pool", json!({ "landSquareMetre": 25, "waterSquareMetre": 40, "depthMetre": 1.0, "headsLimit": 2, "lengthLimitMetre": length(2.5), "suits": ["Crocodylia"] })),
            unit(DESHARU, "DR1", "isolation", json!({ "landSquareMetre": 20, "waterSquareMetre": 60, "depthMetre": 0.8, "headsLimit": 100, "suits": ["Testudines"], "waterCircuit": "DW1" })),
            unit(DESHARU, "DR2", "isolation", json!({ "landSquareMetre": 20, "waterSquareMetre": 60, "depthMetre": 0.8, "headsLimit": 100, "suits": ["Testudines"], "waterCircuit": "DW1" })),
            unit(DESHARU, "DN1", "isolation", json!({ "landSquareMetre": 12, "waterSquareMetre": 30, "depthMetre": 1.0, "headsLimit": 20, "suits": ["Testudines"], "waterCircuit": "DW2" })),
            unit(DESHARU, "DTH", "ward", json!({ "landSquareMetre": 40, "waterSquareMetre": 6, "depthMetre": 0.5, "headsLimit": 20, "suits": ["Testudines"] })),
            ready(DESHARU, json!([{ "skill": "crocodilian", "people": 4 }, { "skill": "chelonian", "people": 4 }]), "surgery"),
        ], json!([])),
        opening(OMBARI, vec![
            unit(OMBARI, "OG1", "tank", json!({ "landSquareMetre": 30, "waterSquareMetre": 60, "depthMetre": 0.8, "headsLimit": 120, "lengthLimitMetre": length(1.0), "suits": ["Gavialis gangeticus"] })),
            unit(OMBARI, "OT1", "pool", json!({ "landSquareMetre": 10, "waterSquareMetre": 40, "depthMetre": 1.0, "headsLimit": 30, "suits": ["Testudines"] })),
            unit(OMBARI, "OT2", "pool", json!({ "landSquareMetre": 10, "waterSquareMetre": 30, "depthMetre": 1.0, "headsLimit": 20, "suits": ["Testudines"] })),
            unit(OMBARI, "OP1", "pool", json!({ "landSquareMetre": 50, "waterSquareMetre": 90, "depthMetre": 1.5, "headsLimit": 2, "lengthLimitMetre": length(4.0), "suits": ["Crocodylia"] })),
            unit(OMBARI, "OE1", "incubator", json!({ "headsLimit": 200, "heated": true, "lowestCelsius": 30, "highestCelsius": 31, "keepsOrientation": true })),
            ready(OMBARI, json!([{ "skill": "eggs", "people": 3 }]), "firstAid"),
        ], json!([
            { "scientificName": "Gavialis gangeticus", "lifeStage": "hatchling", "lotID": "meruva.ombari:G1", "individualCount": 32, "unitID": "OG1" },
            { "scientificName": "Gavialis gangeticus", "lifeStage": "hatchling", "lotID": "meruva.ombari:G2", "individualCount": 32, "unitID": "OG1" },
            { "scientificName": "Gavialis gangeticus", "lifeStage": "hatchling", "lotID": "meruva.ombari:G3", "individualCount": 32, "unitID": "OG1" },
        ])),
        opening(VELITHA, vec![
            unit(VELITHA, "V1", "isolation", json!({ "landSquareMetre": 20, "waterSquareMetre": 80, "depthMetre": 1.2, "headsLimit": 48, "suits": ["Testudines"], "waterCircuit": "VW1" })),
            unit(VELITHA, "V2", "isolation", json!({ "landSquareMetre": 20, "waterSquareMetre": 50, "depthMetre": 1.0, "headsLimit": 40, "suits": ["Testudines"], "waterCircuit": "VW2" })),
            unit(VELITHA, "V3", "isolation", json!({ "landSquareMetre": 6, "waterSquareMetre": 12, "depthMetre": 1.0, "headsLimit": 4, "suits": ["Testudines"], "waterCircuit": "VW3" })),
            unit(VELITHA, "V4", "isolation", json!({ "landSquareMetre": 6, "waterSquareMetre": 12, "depthMetre": 0.8, "headsLimit": 4, "suits": ["Testudines"], "waterCircuit": "VW4" })),
            ready(VELITHA, json!([{ "skill": "chelonian", "people": 4 }]), "clinic"),
        ], json!([])),
        opening(THULMAR, vec![
            unit(THULMAR, "T1", "pen", json!({ "landSquareMetre": 400, "waterSquareMetre": 4, "depthMetre": 0.1, "headsLimit": 80, "suits": ["Testudinidae"] })),
            ready(THULMAR, json!([{ "skill": "chelonian", "people": 2 }]), "firstAid"),
        ], json!([
            { "scientificName": "Indotestudo elongata", "lifeStage": "adult", "lotID": "meruva.thulmar:E1", "individualCount": 42, "unitID": "T1" },
        ])),
        opening(SAIVERA, vec![
            unit(SAIVERA, "S1", "pool", json!({ "landSquareMetre": 60, "waterSquareMetre": 90, "depthMetre": 1.6, "headsLimit": 2, "lengthLimitMetre": length(4.5), "suits": ["Crocodylia"] })),
            unit(SAIVERA, "S2", "pool", json!({ "landSquareMetre": 30, "waterSquareMetre": 40, "depthMetre": 1.2, "headsLimit": 2, "lengthLimitMetre": length(2.6), "suits": ["Crocodylia"] })),
            ready(SAIVERA, json!([{ "skill": "largeCrocodilian", "people": 4 }]), "clinic"),
        ], json!([
            { "scientificName": "Crocodylus porosus", "lifeStage": "adult", "sex": "male", "organismID": "meruva.saivera:3", "individualCount": 1, "unitID": "S1" },
        ])),
    ]);
    posts.push(post(
        "2026-06-30T21:30",
        OMBARI,
        (1..=3)
            .map(|lot| {
                let subject = format!("meruva.ombari:G{lot}");
                of_centre(
                    OMBARI,
                    &format!("house-G{lot}"),
                    "housing",
                    "2026-06-30",
                    json!({
                        "lotID": subject, "scientificName": "Gavialis gangeticus", "event": "housed",
                        "units": [{ "unitID": "OG1", "individualCount": 32 }], "stay": "long",
                    }),
                )
            })
            .collect(),
    ));
    posts.push(post(
        "2026-06-30T21:30",
        THULMAR,
        vec![of_centre(
            THULMAR,
            "house-E1",
            "housing",
            "2026-06-30",
            json!({
                "lotID": "meruva.thulmar:E1", "scientificName": "Indotestudo elongata", "event": "housed",
                "units": [{ "unitID": "T1", "individualCount": 42 }], "stay": "long",
            }),
        )],
    ));
    posts.push(post("2026-06-30T21:30", SAIVERA, vec![
        of_centre(SAIVERA, "house-3", "housing", "2026-06-30", json!({
            "organismID": "meruva.saivera:3", "scientificName": "Crocodylus porosus", "event": "housed",
            "units": [{ "unitID": "S1", "individualCount": 1 }], "stay": "lifelong",
        })),
        // What happened before the opening is told by a record that posts nothing: she was marked here in 2023 and freed.
        of_centre(SAIVERA, "mark-2023-114", "marking", "2023-04-18", json!({
            "organismID": "meruva.saivera:7", "scientificName": "Crocodylus palustris", "event": "applied",
            "markType": "transponder", "markNumber": "900215000114723", "transponderStandard": "iso11784",
            "bodySite": "in front of the nuchal cluster",
        })),
    ]));
    posts
}

fn length(metre: f64) -> Value {
    json!({ "value": metre, "measure": "totalLength", "method": "taped" })
}

fn unit(centre: &str, unit: &str, kind: &str, mut fields: Value) -> Value {
    fields["event"] = json!("stated");
    fields["unitID"] = json!(unit);
    fields["unitKind"] = json!(kind);
    fields["arrangement"] = json!(if kind == "isolation" { "isolating" } else { "communal" });
    of_centre(centre, &format!("unit-{unit}"), "capacity", "2026-06-30", fields)
}

fn ready(centre: &str, crews: Value, vet: &str) -> Value {
    of_centre(
        centre,
        "ready",
        "readiness",
        "2026-06-30",
        json!({ "event": "tonight", "crews": crews, "vetLevel": vet, "vehicleMinutes": 600, "cratesFree": 40 }),
    )
}

fn opening(centre: &'static str, mut records: Vec<Value>, lines: Value) -> Post {
    records.push(of_centre(
        centre,
        "census-2026-06-30",
        "census",
        &when("2026-06-30T20:00"),
        json!({
            "opening": true, "method": "headCount", "complete": true, "lines": lines,
        }),
    ));
    post("2026-06-30T21:00", centre, records)
}

//! Points 7 to 10: the flood, the bucket at the gate, the returning female, two clutches, a tortoise in its burrow.

use super::Post;
use super::frame::{KOLVANI, OMBARI, SAIVERA, VELITHA, of_centre, post, revised, when, with};
use serde_json::{Value, json};

/// From the flood at Ombari to the clutches of September.
pub fn posts() -> Vec<Post> {
    let mut posts = the_flood();
    posts.extend(the_bucket_and_the_well());
    posts.extend(the_returning_female());
    posts.extend(two_clutches());
    posts
}

fn the_flood() -> Vec<Post> {
    let part = |lot: u32| format!("meruva.ombari:G{lot}K");
    let gharial = |lot: u32, count: u32, arrived: Option<&str>| {
        let mut line = json!({ "lotID": part(lot), "scientificName": "Gavialis gangeticus", "lifeStage": "hatchling", "individualCount": count });
        match arrived {
            Some(arrived) => line["arrived"] = json!(arrived),
            None => line["fromLot"] = json!(format!("meruva.ombari:G{lot}")),
        }
        line
    };
    let mut leaving = vec![of_centre(
        OMBARI,
        "flood-out",
        "dispatch",
        &when("2026-07-31T22:00"),
        json!({
            "consignmentID": "meruva.ombari:1", "destination": "region", "destinationID": KOLVANI,
            "lines": (1..=3).map(|lot| gharial(lot, 12, None)).collect::<Vec<_>>(),
            "crates": [{ "crateID": "OG-1", "disinfected": "yes" }, { "crateID": "OG-2", "disinfected": "yes" }, { "crateID": "OG-3", "disinfected": "yes" }],
            "expectedArrival": "2026-08-01",
        }),
    )];
    leaving.extend((1..=3).map(|lot| of_centre(OMBARI, &format!("house-G{lot}-2"), "housing", &when("2026-07-31T22:00"), json!({
        "lotID": format!("meruva.ombari:G{lot}"), "scientificName": "Gavialis gangeticus", "event": "housed",
        "units": [{ "unitID": "OG1", "individualCount": 20 }], "stay": "long",
    }))));
    let short = of_centre(
        KOLVANI,
        "flood-in",
        "receipt",
        &when("2026-08-01T02:10"),
        json!({
            "consignmentID": "meruva.ombari:1", "origin": "transit", "originID": OMBARI,
            "lines": [gharial(1, 12, Some("alive")), gharial(2, 12, Some("alive")), gharial(3, 11, Some("alive"))],
        }),
    );
    let whole = revised(
        &short,
        2,
        json!({
            "revisionReason": "overlooked", "notes": "One was found under the padding at breakfast.",
            "lines": [gharial(1, 12, Some("alive")), gharial(2, 12, Some("alive")), gharial(3, 12, Some("alive"))],
        }),
    );
    let mut settled_in = vec![whole];
    let mut ended = Vec::new();
    for lot in 1..=3 {
        let subject = json!({ "lotID": part(lot), "scientificName": "Gavialis gangeticus" });
        settled_in.push(of_centre(KOLVANI, &format!("house-G{lot}K"), "housing", &when("2026-08-01T08:30"), with(&subject, json!({
            "event": "housed", "units": [{ "unitID": "KH", "individualCount": 12 }], "stay": "quarantine",
        }))));
        settled_in.push(of_centre(
            KOLVANI,
            &format!("quarantine-G{lot}K"),
            "quarantine",
            &when("2026-08-01T02:30"),
            with(
                &subject,
                json!({
                    "event": "entered", "batchID": "K-26-2", "unitID": "KH", "days": 30,
                }),
            ),
        ));
        ended.push(of_centre(KOLVANI, &format!("quarantine-G{lot}K-end"), "quarantine", &when("2026-09-01T10:00"), with(&subject, json!({
            "event": "ended", "batchID": "K-26-2", "byVeterinarian": true, "reason": "31 days without a sign.",
        }))));
    }
    vec![
        post("2026-07-31T22:30", OMBARI, leaving),
        post("2026-08-01T02:40", KOLVANI, vec![short]),
        post("2026-08-01T09:00", KOLVANI, settled_in),
        post("2026-09-01T20:30", KOLVANI, ended),
    ]
}

fn the_bucket_and_the_well() -> Vec<Post> {
    let slider = |id: &str, kind: &str, minute: &str, fields: Value| {
        let subject = json!({ "organismID": "meruva.velitha:15", "scientificName": "Trachemys scripta" });
        of_centre(VELITHA, id, kind, &when(&format!("2026-08-06T{minute}")), with(&subject, fields))
    };
    vec![
        post(
            "2026-08-06T20:30",
            VELITHA,
            vec![
                slider(
                    "rescue-15",
                    "rescue",
                    "07:10",
                    json!({
                        "event": "leftAtGate", "source": "private", "individualCount": 1, "countMethod": "counted", "lifeStage": "adult",
                        "sex": "female", "cause": "privateKeeping", "captureMethod": "brought", "circumstances": "In a bucket at the gate.",
                    }),
                ),
                slider(
                    "house-15",
                    "housing",
                    "08:00",
                    json!({ "event": "housed", "units": [{ "unitID": "V4", "individualCount": 1 }], "stay": "lifelong" }),
                ),
                slider(
                    "quarantine-15",
                    "quarantine",
                    "08:00",
                    json!({ "event": "entered", "batchID": "B-15", "unitID": "V4", "days": 90 }),
                ),
                slider(
                    "outlook-15",
                    "outlook",
                    "12:00",
                    json!({ "decision": "neverRelease", "reason": "Not of this basin." }),
                ),
            ],
        ),
        post(
            "2026-08-06T19:30",
            KOLVANI,
            vec![of_centre(
                KOLVANI,
                "well-1",
                "relocation",
                &when("2026-08-06T11:00"),
                json!({
                    "scientificName": "Crocodylus palustris", "individualCount": 1, "lifeStage": "subadult", "distanceKilometre": 4,
                    "from": { "locality": "A farm well" }, "to": { "waterBody": "Meruva" }, "reason": "Fell into a well; 1.6 m, unhurt.",
                }),
            )],
        ),
    ]
}

fn the_returning_female() -> Vec<Post> {
    let female = |id: &str, kind: &str, date: &str, subject: &str, fields: Value| {
        let base = json!({ "organismID": subject, "scientificName": "Crocodylus palustris" });
        of_centre(SAIVERA, id, kind, date, with(&base, fields))
    };
    let (new, old) = ("meruva.saivera:31", "meruva.saivera:7");
    let first = female(
        "rescue-31",
        "rescue",
        &when("2026-08-22T09:20"),
        new,
        json!({
            "event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted", "sex": "female", "lifeStage": "adult",
            "cause": "fishingGear", "captureMethod": "net", "lengthsMetre": [{ "value": 2.1, "measure": "totalLength", "method": "taped" }],
        }),
    );
    let known = revised(
        &first,
        2,
        json!({
            "organismID": old, "localID": "meruva.saivera:31", "event": "readmission", "source": "released", "revisionReason": "newKnowledge",
            "notes": "A full-body scan found the chip of 2023.",
        }),
    );
    vec![
        post("2026-08-22T11:00", SAIVERA, vec![first]),
        post(
            "2026-08-22T20:30",
            SAIVERA,
            vec![
                known,
                female(
                    "scan-7",
                    "marking",
                    &when("2026-08-22T15:00"),
                    old,
                    json!({
                        "event": "read", "markType": "transponder", "markNumber": "900215000114723", "transponderStandard": "iso11784", "fullBodyScan": true,
                    }),
                ),
                female(
                    "house-7",
                    "housing",
                    &when("2026-08-22T10:00"),
                    old,
                    json!({ "event": "housed", "units": [{ "unitID": "S2", "individualCount": 1 }], "stay": "quarantine" }),
                ),
                female(
                    "quarantine-7",
                    "quarantine",
                    &when("2026-08-22T10:00"),
                    old,
                    json!({ "event": "entered", "batchID": "S-26-1", "unitID": "S2", "days": 30 }),
                ),
            ],
        ),
        post(
            "2026-09-22T20:30",
            SAIVERA,
            vec![
                female(
                    "quarantine-7-end",
                    "quarantine",
                    &when("2026-09-22T08:00"),
                    old,
                    json!({ "event": "ended", "batchID": "S-26-1", "byVeterinarian": true, "reason": "31 days, wounds closed." }),
                ),
                female(
                    "certificate-7",
                    "assessment",
                    &when("2026-09-22T09:00"),
                    old,
                    json!({
                        "event": "certificate", "certificateNumber": "H-26-9", "byVeterinarian": true, "validThrough": "2026-10-06", "bodyCondition": "good", "fitToTravel": "yes",
                    }),
                ),
                female(
                    "release-7",
                    "release",
                    &when("2026-09-22T17:00"),
                    old,
                    json!({
                        "individualCount": 1, "sex": "female", "lifeStage": "adult", "permitNumber": "P-REL-26-2",
                        "certificate": { "authorID": SAIVERA, "recordID": "certificate-7" }, "markNumber": "900215000114723", "method": "direct",
                    }),
                ),
            ],
        ),
    ]
}

fn two_clutches() -> Vec<Post> {
    let clutch = |lot: u32, eggs: u32| {
        of_centre(
            OMBARI,
            &format!("clutch-{lot}"),
            "clutch",
            &when("2026-09-14T09:00"),
            json!({
                "lotID": format!("meruva.ombari:C{lot}"), "scientificName": "Nilssonia gangetica", "event": "collected",
                "individualCount": eggs, "topsMarked": true, "incubation": "box", "unitID": "OE1",
            }),
        )
    };
    vec![post("2026-09-14T20:30", OMBARI, vec![clutch(1, 17), clutch(2, 21)])]
}

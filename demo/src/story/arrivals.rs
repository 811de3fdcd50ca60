//! Points 1 to 3: the crocodile of 2 July, and the lorry of 9 July.

use super::Post;
use super::frame::{
    AUTHORITY, COORDINATION, KOLVANI, POLICE, RANGE, RANGE_OFFICE, YARD, of_centre, of_office, of_point,
    post, revised, when,
};
use serde_json::{Value, json};

pub(super) const CASE: &str = "C-14/2026";
pub(super) const LEAVE: &str = "O-26-31";

/// What was caught, taken in and tallied.
pub fn posts(crocodile: &str) -> Vec<Post> {
    let mut posts = the_crocodile(crocodile);
    posts.extend(the_lorry());
    posts
}

fn the_crocodile(consignment: &str) -> Vec<Post> {
    let mugger = |id: &str, kind: &str, date: &str, mut fields: Value| {
        fields["organismID"] = json!("meruva.kolvani:1");
        fields["scientificName"] = json!("Crocodylus palustris");
        of_centre(KOLVANI, id, kind, date, fields)
    };
    let order = of_office(
        AUTHORITY,
        "order-30",
        "order",
        &when("2026-07-02T02:05"),
        json!({
            "orderNumber": "O-26-30", "orderType": "takeIn", "form": "verbal", "endDate": "2026-07-03",
            "partyIDs": [KOLVANI], "text": "Take the crocodile out of the brickworks pond at first light; nobody goes in before.",
        }),
    );
    let written = revised(
        &order,
        2,
        json!({ "form": "written", "revisionReason": "putInWriting", "organismIDs": ["meruva.kolvani:1"] }),
    );
    vec![
        post("2026-07-02T02:10", AUTHORITY, vec![order]),
        post("2026-07-02T11:40", AUTHORITY, vec![written]),
        post(
            "2026-07-02T09:30",
            KOLVANI,
            vec![
                mugger(
                    "rescue-1",
                    "rescue",
                    &when("2026-07-02T06:10"),
                    json!({
                        "event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted",
                        "lifeStage": "adult", "sex": "undetermined", "cause": "conflict", "captureMethod": "noose",
                        "circumstances": "In a brickworks pond since the evening; villagers kept back through the night.",
                        "injuries": ["snare wound at the left forelimb"],
                        "lengthsMetre": [{ "value": 3.38, "measure": "totalLength", "method": "taped" }],
                        "place": { "locality": "Brickworks pond below the gorge", "decimalLatitude": 22.35, "decimalLongitude": 78.2, "coordinateUncertaintyInMeters": 100 },
                        "consignmentID": consignment,
                    }),
                ),
                mugger(
                    "bind-on-1",
                    "treatment",
                    &when("2026-07-02T06:10"),
                    json!({ "event": "bindingOn", "bindingSite": "jaws" }),
                ),
                mugger(
                    "bind-off-1",
                    "treatment",
                    &when("2026-07-02T07:40"),
                    json!({ "event": "bindingOff", "bindingSite": "jaws" }),
                ),
                mugger(
                    "triage-1",
                    "assessment",
                    &when("2026-07-02T07:50"),
                    json!({
                        "event": "triage", "triage": "yellow", "bodyCondition": "good", "injuries": ["snare wound at the left forelimb"],
                        "lengthsMetre": [{ "value": 3.38, "measure": "totalLength", "method": "taped" }], "byVeterinarian": true,
                    }),
                ),
                mugger(
                    "quarantine-1",
                    "quarantine",
                    &when("2026-07-02T07:45"),
                    json!({ "event": "entered", "batchID": "K-26-1", "unitID": "K2", "days": 30 }),
                ),
                mugger(
                    "house-1",
                    "housing",
                    &when("2026-07-02T07:45"),
                    json!({ "event": "housed", "units": [{ "unitID": "K2", "individualCount": 1 }], "stay": "quarantine" }),
                ),
            ],
        ),
        post(
            "2026-08-03T21:00",
            KOLVANI,
            vec![mugger(
                "quarantine-1-end",
                "quarantine",
                &when("2026-08-03T10:00"),
                json!({
                    "event": "ended", "batchID": "K-26-1", "byVeterinarian": true, "reason": "Wound closed, 30 days over.",
                }),
            )],
        ),
    ]
}

fn the_lorry() -> Vec<Post> {
    let rescue = |keeper: &str, point: &str, lot: &str, minute: &str| {
        of_point(
            keeper,
            point,
            "seizure-77",
            "rescue",
            &when(&format!("2026-07-09T{minute}")),
            json!({
                "lotID": lot, "scientificName": "Testudines", "event": "seizure", "source": "trade",
                "individualCount": 330, "countMethod": "estimated", "low": 300, "high": 360, "documentedCount": 330,
                "cause": "trade", "captureMethod": "brought", "incidentReferences": ["Memo 77/2026"],
                "circumstances": "A lorry stopped on the basin road at 39 degrees; sacks under melons.",
            }),
        )
    };
    let line = |lot: &str, name: &str, alive: u32, dead: u32| json!({ "lotID": format!("meruva.police:{lot}"), "scientificName": name, "alive": alive, "dead": dead, "when": "beforeRescue" });
    vec![
        post("2026-07-09T13:20", POLICE, vec![rescue(POLICE, YARD, "meruva.police:77", "12:40")]),
        post(
            "2026-07-09T14:05",
            RANGE_OFFICE,
            vec![rescue(RANGE_OFFICE, RANGE, "meruva.rangeoffice:77", "13:10")],
        ),
        post(
            "2026-07-09T15:00",
            COORDINATION,
            vec![of_office(
                COORDINATION,
                "link-77",
                "link",
                &when("2026-07-09T14:50"),
                json!({
                    "event": "same",
                    "counted": { "authorID": POLICE, "recordID": "seizure-77" },
                    "notCounted": {
                        "authorID": RANGE_OFFICE, "recordID": "seizure-77", "pointID": RANGE, "scientificName": "Testudines",
                        "individualCount": 330, "source": "trade", "day": "2026-07-09",
                    },
                    "reason": "One lorry, one memo, filed by two agencies.",
                }),
            )],
        ),
        post(
            "2026-07-09T18:30",
            POLICE,
            vec![
                of_point(
                    POLICE,
                    YARD,
                    "tally-77",
                    "tally",
                    &when("2026-07-09T18:00"),
                    json!({
                        "lotID": "meruva.police:77", "scientificName": "Testudines", "lotCount": 330,
                        "lines": [
                            line("77-L", "Lissemys punctata", 190, 7),
                            line("77-N", "Nilssonia gangetica", 64, 2),
                            line("77-P", "Pangshura tecta", 31, 0),
                            line("77-H", "Hardella thurjii", 18, 0),
                            line("77-G", "Geoclemys hamiltonii", 9, 0),
                        ],
                    }),
                ),
                of_point(
                    POLICE,
                    YARD,
                    "custody-77",
                    "custody",
                    &when("2026-07-09T18:10"),
                    json!({
                        "lotID": "meruva.police:77", "scientificName": "Testudines", "event": "bound", "caseNumber": CASE,
                        "forbids": ["movement", "release", "handingOver", "destruction"],
                    }),
                ),
            ],
        ),
        post(
            "2026-07-09T19:00",
            AUTHORITY,
            vec![
                of_office(
                    AUTHORITY,
                    "order-31",
                    "order",
                    &when("2026-07-09T18:50"),
                    json!({
                        "orderNumber": LEAVE, "orderType": "leave", "form": "written", "caseNumber": CASE,
                        "lotIDs": ["meruva.police:77"], "endDate": "2026-12-31", "text": "Leave to move within the basin.",
                    }),
                ),
                of_office(
                    AUTHORITY,
                    "order-32",
                    "order",
                    &when("2026-07-09T18:55"),
                    json!({
                        "orderNumber": "O-26-32", "orderType": "waiver", "form": "written", "partyIDs": ["meruva.desharu"],
                        "lotIDs": ["meruva.police:77-N2"], "waives": ["room"], "endDate": "2026-07-30",
                        "text": "16 Nilssonia may stand in the triage hall for 21 days.",
                    }),
                ),
            ],
        ),
        post(
            "2026-07-10T09:00",
            POLICE,
            vec![of_point(
                POLICE,
                YARD,
                "necropsy-77",
                "mortality",
                "2026-07-10",
                json!({
                    "lotID": "meruva.police:77", "scientificName": "Testudines", "event": "necropsy", "individualCount": 9,
                    "deathOf": { "authorID": POLICE, "recordID": "tally-77" }, "necropsyDone": false,
                    "notPossibleBecause": "Carcasses decomposed in the heat of the load.",
                }),
            )],
        ),
    ]
}

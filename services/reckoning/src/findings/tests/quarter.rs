//! Records of the basin's quarter, as its points tell it.

use super::*;

pub(super) const MUGGER: &str = "Crocodylus palustris";
const GHARIAL: &str = "Gavialis gangeticus";
const YARD: [(&str, &str, u32, u32); 5] = [
    ("L1", "Lissemys punctata", 190, 7),
    ("L2", "Nilssonia gangetica", 64, 2),
    ("L3", "Pangshura tecta", 31, 0),
    ("L4", "Hardella thurjii", 18, 0),
    ("L5", "Geoclemys hamiltonii", 9, 0),
];

/// Point 2: a mugger comes to Kolvani and into K2, under a verbal order that is in writing by noon.
pub(super) fn mugger() -> Vec<Arc<Effective>> {
    let about = |mut rest: Value| {
        rest["organismID"] = "meruva.kolvani:1".into();
        rest["scientificName"] = MUGGER.into();
        rest
    };
    vec![
        record(
            "capacity",
            "kolvani",
            "U-K2",
            "2026-06-01",
            json!({"event": "stated", "unitID": "K2", "unitKind": "pool", "arrangement": "communal",
            "headsLimit": 1, "waterSquareMetre": 70.0}),
        ),
        record(
            "order",
            "authority",
            "OR-2",
            "2026-07-02",
            json!({"centreID": null, "revision": 2, "orderNumber": "ORD-2", "orderType": "takeIn", "form": "written",
            "organismIDs": ["meruva.kolvani:1"]}),
        ),
        record(
            "rescue",
            "kolvani",
            "R2",
            "2026-07-02T06:10+05:30",
            about(
                json!({"event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted"}),
            ),
        ),
        record(
            "treatment",
            "kolvani",
            "B2",
            "2026-07-02T06:10+05:30",
            about(json!({"event": "bindingOn", "bindingSite": "jaws"})),
        ),
        record(
            "treatment",
            "kolvani",
            "B3",
            "2026-07-02T07:40+05:30",
            about(json!({"event": "bindingOff", "bindingSite": "jaws"})),
        ),
        record(
            "assessment",
            "kolvani",
            "A2",
            "2026-07-02T08:00+05:30",
            about(json!({"event": "triage", "triage": "yellow"})),
        ),
        record(
            "quarantine",
            "kolvani",
            "Q2",
            "2026-07-02",
            about(json!({"event": "entered", "batchID": "K-2", "unitID": "K2"})),
        ),
        record(
            "housing",
            "kolvani",
            "N2",
            "2026-07-02T07:45+05:30",
            about(
                json!({"event": "housed", "stay": "quarantine", "units": [{"unitID": "K2", "individualCount": 1}]}),
            ),
        ),
        record(
            "quarantine",
            "kolvani",
            "Q2z",
            "2026-08-03",
            about(json!({"event": "ended", "batchID": "K-2", "byVeterinarian": true})),
        ),
    ]
}

/// Points 3 and 4 at the yard: seized, counted out, case property with leave, sent on after dark.
pub(super) fn lorry() -> Vec<Arc<Effective>> {
    let memo = |author: &str, point: &str| {
        record(
            "rescue",
            author,
            "R3",
            "2026-07-09T11:00+05:30",
            json!({"pointID": format!("meruva.{point}"), "lotID": format!("meruva.{author}:L0"), "scientificName": "Testudines",
            "event": "seizure", "source": "trade", "individualCount": 330, "countMethod": "estimated", "low": 300, "high": 350, "incidentReferences": ["FIR-12"]}),
        )
    };
    let lines: Vec<Value> = YARD
        .iter()
        .map(|(lot, name, alive, dead)| json!({"lotID": format!("meruva.police:{lot}"), "scientificName": name, "alive": alive, "dead": dead}))
        .collect();
    let mut records = vec![
        memo("police", "yard"),
        memo("range", "office"),
        record(
            "tally",
            "police",
            "T3",
            "2026-07-09T16:00+05:30",
            json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": "Testudines", "lotCount": 330, "lines": lines}),
        ),
        record(
            "custody",
            "police",
            "C3",
            "2026-07-09T12:00+05:30",
            json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": "Testudines", "event": "bound",
            "caseNumber": "FIR-12", "forbids": ["movement", "release", "handingOver"]}),
        ),
        record(
            "order",
            "authority",
            "OR-3",
            "2026-07-09",
            json!({"centreID": null, "orderNumber": "ORD-3", "orderType": "leave", "form": "written", "caseNumber": "FIR-12"}),
        ),
        record(
            "order",
            "authority",
            "OR-4",
            "2026-07-09",
            json!({"centreID": null, "orderNumber": "ORD-4", "orderType": "waiver", "form": "written", "endDate": "2026-07-30"}),
        ),
        record(
            "mortality",
            "police",
            "M3",
            "2026-07-11",
            json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": "Testudines", "event": "necropsy",
            "individualCount": 9, "necropsyDone": false, "notPossibleBecause": "too far gone", "deathOf": {"authorID": "meruva.police", "recordID": "T3"}}),
        ),
    ];
    let sent = |id: &str, to: &str, lines: Vec<(&str, &str, Option<&str>, u32)>| {
        let lines: Vec<Value> = lines
            .into_iter()
            .map(|(lot, name, from, count)| {
                let mut line = json!({"lotID": format!("meruva.police:{lot}"), "scientificName": name, "individualCount": count});
                if let Some(from) = from {
                    line["fromLot"] = format!("meruva.police:{from}").into();
                }
                line
            })
            .collect();
        record(
            "dispatch",
            "police",
            id,
            "2026-07-09T21:00+05:30",
            json!({"pointID": "meruva.yard", "consignmentID": format!("meruva.police:{id}"), "destination": "region",
            "destinationID": format!("meruva.{to}"), "lines": lines, "orderNumber": "ORD-3"}),
        )
    };
    records.extend([
        sent("D1", "desharu", vec![("L1", YARD[0].1, None, 190), ("L2b", YARD[1].1, Some("L2"), 16)]),
        sent("D2", "velitha", vec![("L2a", YARD[1].1, Some("L2"), 48), ("L3", YARD[2].1, None, 31)]),
        sent("D3", "ombari", vec![("L4", YARD[3].1, None, 18), ("L5", YARD[4].1, None, 9)]),
    ]);
    records
}

pub(super) fn link() -> Arc<Effective> {
    record(
        "link",
        "coordination",
        "K3",
        "2026-07-10",
        json!({"centreID": null, "event": "same", "counted": {"authorID": "meruva.police", "recordID": "R3"},
        "notCounted": {"authorID": "meruva.range", "recordID": "R3", "pointID": "meruva.office", "scientificName": "Testudines", "individualCount": 330, "source": "trade", "day": "2026-07-09"}}),
    )
}

fn received(author: &str, consignment: &str, lines: Value) -> Arc<Effective> {
    record(
        "receipt",
        author,
        &format!("E-{consignment}"),
        "2026-07-10",
        json!({"consignmentID": format!("meruva.police:{consignment}"), "origin": "transit", "originID": "meruva.yard", "lines": lines}),
    )
}

/// Points 4 and 5: three arrivals; at Velitha one is dead and one of another species; both ends settle.
pub(super) fn arrivals() -> Vec<Arc<Effective>> {
    let line = |lot: &str, name: &str, arrived: &str, count: u32| json!({"arrived": arrived, "lotID": format!("meruva.police:{lot}"), "scientificName": name, "individualCount": count});
    vec![
        received(
            "desharu",
            "D1",
            json!([
                line("L1", "Lissemys punctata", "alive", 190),
                line("L2b", "Nilssonia gangetica", "alive", 16)
            ]),
        ),
        received(
            "velitha",
            "D2",
            json!([
                line("L2a", "Nilssonia gangetica", "alive", 46),
                line("L2a", "Nilssonia gangetica", "dead", 1),
                line("L2x", "Nilssonia hurum", "alive", 1),
                line("L3", "Pangshura tecta", "alive", 31)
            ]),
        ),
        received(
            "ombari",
            "D3",
            json!([
                line("L4", "Hardella thurjii", "alive", 18),
                line("L5", "Geoclemys hamiltonii", "alive", 9)
            ]),
        ),
        record(
            "mortality",
            "velitha",
            "M5",
            "2026-07-12",
            json!({"lotID": "meruva.police:L2a", "scientificName": "Nilssonia gangetica", "event": "necropsy",
            "individualCount": 1, "necropsyDone": true, "deathOf": {"authorID": "meruva.velitha", "recordID": "E-D2"}}),
        ),
    ]
}

pub(super) fn settled() -> Vec<Arc<Effective>> {
    vec![
        record(
            "settlement",
            "velitha",
            "S5",
            "2026-07-11",
            json!({"event": "settled", "consignmentID": "meruva.police:D2", "lines": [
            {"scientificName": "Nilssonia gangetica", "settledAs": "redetermined", "individualCount": 1, "reason": "a peacock softshell"},
            {"scientificName": "Nilssonia hurum", "settledAs": "redetermined", "individualCount": -1, "reason": "a peacock softshell"}]}),
        ),
        record(
            "settlement",
            "police",
            "S6",
            "2026-07-11",
            json!({"pointID": "meruva.yard", "event": "agreed", "consignmentID": "meruva.police:D2",
            "agreesTo": {"authorID": "meruva.velitha", "recordID": "S5"}}),
        ),
    ]
}

/// Point 6: four die in two days, crates had gone back undisinfected.
pub(super) fn outbreak() -> Vec<Arc<Effective>> {
    let about = |mut rest: Value| {
        rest["lotID"] = "meruva.police:L1".into();
        rest["scientificName"] = "Lissemys punctata".into();
        rest
    };
    let death = |id: &str, date: &str, count: u32| {
        record(
            "mortality",
            "desharu",
            id,
            date,
            about(json!({"event": "death", "individualCount": count, "when": "inCare"})),
        )
    };
    let necropsy = |id: &str, of: &str, count: u32| {
        record(
            "mortality",
            "desharu",
            id,
            "2026-07-22",
            about(
                json!({"event": "necropsy", "individualCount": count, "necropsyDone": true, "deathOf": {"authorID": "meruva.desharu", "recordID": of}}),
            ),
        )
    };
    let crates: Vec<Value> =
        (1..=8).map(|n| json!({"crateID": format!("C{n}"), "disinfected": "no"})).collect();
    vec![
        death("M6a", "2026-07-20", 1),
        death("M6b", "2026-07-21", 3),
        necropsy("M6c", "M6a", 1),
        necropsy("M6d", "M6b", 3),
        record(
            "dispatch",
            "desharu",
            "D6",
            "2026-07-11",
            json!({"consignmentID": "meruva.desharu:6", "destination": "region", "destinationID": "meruva.yard", "crates": crates}),
        ),
        record(
            "biosecurity",
            "desharu",
            "W6",
            "2026-07-21",
            json!({"event": "declared", "standstillID": "ST-6", "scope": "waterCircuit", "waterCircuit": "W1", "direction": "both"}),
        ),
    ]
}

/// Point 7: thirty-six hatchlings leave before midnight and arrive after it.
pub(super) fn flood() -> Vec<Arc<Effective>> {
    let lots: Vec<Value> = (1..=3).map(|n| json!({"lotID": format!("meruva.ombari:G{n}"), "scientificName": GHARIAL, "lifeStage": "hatchling", "individualCount": 32})).collect();
    let sent: Vec<Value> = (1..=3)
        .map(|n| json!({"lotID": format!("meruva.ombari:G{n}k"), "fromLot": format!("meruva.ombari:G{n}"), "scientificName": GHARIAL, "lifeStage": "hatchling", "individualCount": 12}))
        .collect();
    vec![
        record(
            "census",
            "ombari",
            "O7",
            "2026-06-30",
            json!({"opening": true, "method": "headCount", "complete": true, "lines": lots}),
        ),
        record(
            "dispatch",
            "ombari",
            "D7",
            "2026-07-31T22:00+05:30",
            json!({"consignmentID": "meruva.ombari:7", "destination": "region", "destinationID": "meruva.kolvani",
            "expectedArrival": "2026-08-01T02:00+05:30", "lines": sent}),
        ),
    ]
}

pub(super) fn flood_receipt(revision: u16, last: u32) -> Arc<Effective> {
    let lines: Vec<Value> = [(1, 12), (2, 12), (3, last)]
        .map(|(n, count)| json!({"arrived": "alive", "lotID": format!("meruva.ombari:G{n}k"), "scientificName": GHARIAL, "lifeStage": "hatchling", "individualCount": count}))
        .to_vec();
    record(
        "receipt",
        "kolvani",
        "E7",
        "2026-08-01T02:10+05:30",
        json!({"revision": revision, "consignmentID": "meruva.ombari:7", "origin": "transit", "lines": lines}),
    )
}

/// Point 9: the chip of 2023 is read, the rescue revised, the mugger freed after 31 days.
pub(super) fn readmission(revision: u16) -> Vec<Arc<Effective>> {
    let (animal, source, event) = if revision == 1 {
        ("meruva.saivera:9", "wild", "fromWild")
    } else {
        ("meruva.saivera:2023-4", "released", "readmission")
    };
    let about = |mut rest: Value| {
        rest["organismID"] = animal.into();
        rest["scientificName"] = MUGGER.into();
        rest
    };
    let old = |kind: &str, id: &str, date: &str, mut rest: Value| {
        rest["organismID"] = "meruva.saivera:2023-4".into();
        rest["scientificName"] = MUGGER.into();
        record(kind, "saivera", id, date, rest)
    };
    let chip = json!("356000000020239");
    vec![
        old(
            "marking",
            "K23",
            "2023-05-02",
            json!({"event": "applied", "markType": "transponder", "markNumber": chip}),
        ),
        old(
            "sighting",
            "V23",
            "2023-05-30",
            json!({"individualCount": 1, "vitality": "alive", "markNumber": chip}),
        ),
        record("rescue", "saivera", "R9", "2026-08-22", {
            let mut body = about(
                json!({"revision": revision, "event": event, "source": source, "individualCount": 1, "countMethod": "counted"}),
            );
            if revision == 2 {
                body["localID"] = "9".into();
            }
            body
        }),
        // Written before the old identity was known: under the number given meanwhile.
        record(
            "marking",
            "saivera",
            "K9",
            "2026-08-22",
            json!({"organismID": "meruva.saivera:9", "scientificName": MUGGER, "event": "read", "markType": "transponder",
            "markNumber": chip, "fullBodyScan": true}),
        ),
        record(
            "quarantine",
            "saivera",
            "Q9",
            "2026-08-22",
            about(json!({"event": "entered", "batchID": "S-9", "unitID": "S3"})),
        ),
        record(
            "permit",
            "authority",
            "P9",
            "2026-01-01",
            json!({"centreID": null, "permitNumber": "P-9", "permitType": "release", "species": [MUGGER],
            "holderIDs": ["meruva.saivera"], "quantity": 6, "usedBefore": 4}),
        ),
        record(
            "assessment",
            "saivera",
            "A9",
            "2026-09-20",
            about(
                json!({"event": "certificate", "certificateNumber": "H-9", "byVeterinarian": true, "validThrough": "2026-10-20"}),
            ),
        ),
        record(
            "release",
            "saivera",
            "F9",
            "2026-09-22",
            about(json!({"individualCount": 1, "permitNumber": "P-9", "markNumber": chip,
            "certificate": {"authorID": "meruva.saivera", "recordID": "A9"}})),
        ),
    ]
}

pub(super) fn last_night(count: u32) -> Vec<Arc<Effective>> {
    let lines = |count: u32| json!([{"scientificName": "Indotestudo elongata", "individualCount": count}]);
    vec![
        record(
            "census",
            "thulmar",
            "O10",
            "2026-06-30",
            json!({"opening": true, "method": "headCount", "complete": true, "lines": lines(42)}),
        ),
        record(
            "census",
            "thulmar",
            "C10a",
            "2026-09-29",
            json!({"method": "headCount", "complete": true, "lines": lines(42)}),
        ),
        record(
            "census",
            "thulmar",
            "C10",
            "2026-09-30",
            json!({"method": "headCount", "complete": true, "lines": lines(count)}),
        ),
    ]
}

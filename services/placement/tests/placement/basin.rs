//! Request files for the tests: the first night's, and a small one in which everything passes.

use chrono::{DateTime, FixedOffset};
use haulout_placement::{Check, Options, RequestFile, options};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::{Value, json};

/// 2 July 2026, 01:20: the call comes in.
pub fn call() -> DateTime<FixedOffset> {
    "2026-07-02T01:20:00+05:30".parse().unwrap()
}

/// The six centres as they stood that night, and the mugger in the brickworks pond.
pub fn first_night() -> Value {
    serde_json::from_str(include_str!("first_night.json")).unwrap()
}

/// One centre, one empty pool, one mugger of two metres: every rule passes.
pub fn plain() -> Value {
    json!({
        "centres": [{
            "centreID": "meruva.kolvani", "name": "Kolvani", "latitude": 22.41, "longitude": 78.12,
            "licences": [{ "scope": ["Crocodylia"], "headsLimit": 10, "validThrough": "2026-12-31", "status": "inForce" }],
            "crews": [{ "skill": "largeCrocodilian", "people": 4 }],
            "arrivalsPerDay": 5, "statusAsOf": "2026-07-01T20:00:00+05:30",
        }],
        "units": [{
            "unitID": "K2", "centreID": "meruva.kolvani", "unitKind": "pool", "arrangement": "communal",
            "landSquareMetre": 45.0, "waterSquareMetre": 70.0, "depthMetre": 1.5,
            "lengthLimit": { "metre": 4.0, "measure": "totalLength" }, "headsLimit": 3,
            "suits": ["Crocodylia"], "stays": ["quarantine"], "waterCircuit": "KW1",
            "capacityAsOf": "2026-06-30T18:00:00+05:30",
        }, {
            "unitID": "K3", "centreID": "meruva.kolvani", "unitKind": "tank", "arrangement": "isolating",
            "landSquareMetre": 0.5, "waterSquareMetre": 0.5, "depthMetre": 0.2,
            "suits": ["Testudines"], "waterCircuit": "KW1",
        }],
        "roads": { "travel": [{ "from": "meruva.yard", "to": "meruva.kolvani", "minutes": 60 }] },
        "requests": [{
            "requestID": "R1", "scientificName": "Crocodylus palustris",
            "length": { "value": 2.0, "measure": "totalLength", "method": "taped" },
            "sex": "female", "lifeStage": "adult",
            "triage": "green", "stay": "quarantine", "from": { "placeID": "meruva.yard" },
            "fitToTravel": { "fit": "yes" },
        }],
    })
}

/// The file with members set; a path ending in `/-` appends, a null removes.
pub fn with(mut file: Value, changes: &[(&str, Value)]) -> Value {
    for (path, value) in changes {
        let op = if value.is_null() { "remove" } else { "add" };
        let patch: json_patch::Patch =
            serde_json::from_value(json!([{ "op": op, "path": path, "value": value }])).unwrap();
        json_patch::patch(&mut file, &patch).unwrap_or_else(|fault| panic!("{path}: {fault}"));
    }
    file
}

/// The answer to the file's first request.
pub fn answer(file: &Value) -> Options {
    let file: RequestFile = serde_json::from_value(file.clone()).unwrap();
    options(&file.view, &file.requests[0], Profiles::standard(), Names::standard(), call())
}

/// The word of a rule on one centre, whether it came out as an option or was excluded; an excluded
/// centre tells its reasons only.
pub fn check(answer: &Options, centre_id: &str, code: &str) -> Option<Check> {
    let offered = answer.options.iter().chain(&answer.waived);
    let offered = offered.filter(|one| one.centre_id == centre_id);
    let excluded = answer.excluded.iter();
    let excluded = excluded.filter(|one| one.centre_id == centre_id);
    offered
        .flat_map(|one| &one.checks)
        .chain(excluded.flat_map(|one| &one.failed))
        .find(|check| check.code == code)
        .cloned()
}

//! Plans for many: small instances worked out by hand, faults of files, what always holds.

mod by_hand;
mod explained;
mod faults;
mod properties;

use haulout_placement::RequestFile;
use haulout_placement::plan::{self, Limits, Plan, PlanFault, Stage};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::{Map, Value, json};

use crate::basin::call;

/// A centre licensed for turtles with 100 heads, so that loads are easy to work out.
pub fn centre(id: &str) -> Value {
    json!({
        "centreID": id, "latitude": 22.0, "longitude": 78.0, "heads": 100, "vetLevel": "surgery",
        "licences": [{ "scope": ["Testudines"], "status": "inForce" }],
    })
}

/// One unit for one batch. *Lissemys* of 0.2 m need 0.5 m2 of water for the first and 0.1 m2 for each
/// further one, 0.4 m deep: of these, 1 m2 holds six.
pub fn room(id: &str, centre: &str) -> Value {
    json!({
        "unitID": id, "centreID": centre, "unitKind": "isolation", "arrangement": "isolating",
        "waterSquareMetre": 1.0, "depthMetre": 0.5, "suits": ["Testudines"],
    })
}

/// A pool that requests may share; it holds six as well.
pub fn pool(id: &str, centre: &str) -> Value {
    with(room(id, centre), json!({ "unitKind": "pool", "arrangement": "communal" }))
}

/// Young female *Lissemys* of 0.2 m, green, for quarantine, half an hour from centre A and an hour from
/// centre B.
pub fn lot(id: &str, count: u32) -> Value {
    json!({
        "requestID": id, "individualCount": count, "scientificName": "Lissemys punctata",
        "length": { "value": 0.2, "measure": "straightCarapaceLength", "method": "taped" },
        "sex": "female", "lifeStage": "juvenile", "triage": "green", "stay": "quarantine",
        "from": { "placeID": "yard" }, "fitToTravel": { "fit": "yes" },
        "minutes": { "A": 30, "B": 60 },
    })
}

/// The object with members set.
pub fn with(mut object: Value, members: Value) -> Value {
    let (Some(object_members), Value::Object(members)) = (object.as_object_mut(), members) else {
        panic!("not an object");
    };
    object_members.extend(members);
    object
}

/// A file of centres, units and requests; minutes to centres that are not in it are left out.
pub fn file(centres: &[Value], units: &[Value], requests: &[Value]) -> Value {
    let requests: Vec<Value> = requests
        .iter()
        .map(|request| {
            let mut request = request.clone();
            let minutes = request["minutes"].as_object_mut().unwrap();
            minutes.retain(|id, _| centres.iter().any(|centre| centre["centreID"] == **id));
            request
        })
        .collect();
    let mut file = Map::new();
    file.insert("centres".to_owned(), json!(centres));
    file.insert("units".to_owned(), json!(units));
    file.insert("roads".to_owned(), json!({}));
    file.insert("requests".to_owned(), json!(requests));
    Value::Object(file)
}

pub fn read(file: &Value) -> RequestFile {
    serde_json::from_value(file.clone()).unwrap()
}

/// Plans, with nothing tried that might help.
pub fn try_plan(file: &Value, limits: Limits) -> Result<Plan, PlanFault> {
    plan::plan(&read(file), Profiles::standard(), Names::standard(), call(), &limits)
}

pub fn planned(file: &Value) -> Plan {
    let plan = try_plan(file, Limits { seconds: 20.0, helps_seconds: 0.0 }).unwrap();
    assert!(breaches(file, &plan).is_empty());
    plan
}

/// With everything tried that might help.
pub fn helped(file: &Value) -> Plan {
    try_plan(file, Limits { seconds: 20.0, helps_seconds: 20.0 }).unwrap()
}

pub fn breaches(file: &Value, plan: &Plan) -> Vec<plan::Breach> {
    plan::feasible(&read(file), &plan.assignments, Profiles::standard(), Names::standard(), call())
}

/// Objectives of the five stages; each must be proven.
pub fn objectives(plan: &Plan) -> Vec<u64> {
    assert!(plan.stages.iter().all(|stage| stage.gap == 0.0 && stage.bound == stage.objective));
    plan.stages.iter().map(|stage: &Stage| stage.objective).collect()
}

/// Who goes where: request, unit, animals, units.
pub fn places(plan: &Plan) -> Vec<(&str, &str, u32, u32)> {
    let places = plan.assignments.iter();
    places
        .map(|one| (one.request_id.as_str(), one.unit_id.as_str(), one.individual_count, one.units))
        .collect()
}

/// Who stays: request, animals.
pub fn stays(plan: &Plan) -> Vec<(&str, u32)> {
    plan.unplaced.iter().map(|one| (one.request_id.as_str(), one.individual_count)).collect()
}

/// The codes of one who stays at a centre.
pub fn codes<'a>(plan: &'a Plan, request: &str, centre: &str) -> Vec<&'a str> {
    let one = plan.unplaced.iter().find(|one| one.request_id == request).unwrap();
    let reason = one.reasons.iter().find(|reason| reason.centre_id == centre).unwrap();
    reason.codes.iter().map(String::as_str).collect()
}

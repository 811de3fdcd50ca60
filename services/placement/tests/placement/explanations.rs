//! Explanations are true: the changes of an exclusion make the option appear, and with any one of
//! them left out it does not.

use haulout_placement::{Change, Options, RULES};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::basin::{answer, first_night};

/// A file with the operations applied, by the library alone.
fn patched(file: &Value, changes: &[Change]) -> Option<Value> {
    let patch: json_patch::Patch = serde_json::from_value(json!(changes)).ok()?;
    let mut changed = file.clone();
    json_patch::patch(&mut changed, &patch).ok()?;
    Some(changed)
}

fn offers(answer: &Options, centre_id: &str) -> bool {
    let offered = answer.options.iter().chain(&answer.waived);
    offered.into_iter().any(|one| one.centre_id == centre_id)
}

/// Checks the exclusions of the file that are wanted; gives the number of changes looked at.
fn explanations_hold(file: &Value, wanted: impl Fn(usize) -> bool) -> Result<usize, TestCaseError> {
    let before = answer(file);
    let mut looked_at = 0;
    let excluded = before.excluded.iter().enumerate();
    for (_, exclusion) in excluded.filter(|(at, _)| wanted(*at)) {
        let id = &exclusion.centre_id;
        let changes = &exclusion.changes;
        let nameless = exclusion.failed.iter().any(|check| check.code == "species-known");
        prop_assert_eq!(changes.is_empty(), nameless, "{}: {:?}", id, exclusion.failed);
        if nameless {
            continue;
        }
        let all = patched(file, changes);
        prop_assert!(all.is_some(), "{} does not apply: {:?}", id, changes);
        let after = answer(&all.unwrap_or_default());
        prop_assert!(offers(&after, id), "{}: not enough: {:?}; {:?}", id, changes, after.excluded);
        for left_out in 0..changes.len() {
            let mut rest = changes.clone();
            rest.remove(left_out);
            let still = patched(file, &rest).is_some_and(|file| offers(&answer(&file), id));
            prop_assert!(!still, "{}: {:?} was not needed among {:?}", id, changes[left_out], changes);
            looked_at += 1;
        }
    }
    Ok(looked_at)
}

#[test]
fn the_first_nights_explanations_hold() {
    assert!(explanations_hold(&first_night(), |_| true).unwrap() > 5);
}

fn one_of(values: Value) -> impl Strategy<Value = Value> {
    proptest::sample::select(values.as_array().unwrap().clone())
}

/// Something in the file made otherwise: pointers and new values; null leaves the member out.
fn disturbance() -> impl Strategy<Value = Vec<(String, Value)>> {
    prop_oneof![24 => single().prop_map(|one| vec![one]), 1 => shared_water()]
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
        of_request("lifeStage", json!([null, "adult", "juvenile"])),
        of_request("batchID", json!([null, "B7", "B9"])),
        of_request("from", json!([{}, { "placeID": "meruva.yard" }, { "placeID": "meruva.kolvani" }, { "placeID": "meruva.elsewhere" }])),
        of_request("fitToTravel", json!([{ "fit": "yes" }, { "fit": "no" }, { "fit": "unknown" }])),
        of_request("custody", json!([null, { "caseProperty": "yes" }, { "caseProperty": "unknown" }, { "caseProperty": "yes", "leave": { "orderNumber": "O-2", "endDate": "2026-06-30", "partyIDs": ["meruva.desharu"] } }])),
        of_request("releaseProgramme", json!([true, false])),
        of_request("earliestDeparture", json!([null, "2026-07-02T06:10:00+05:30"])),
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
        one_of(json!([null, 1.4])).prop_map(|value| ("/roads/roadFactor".to_owned(), value)),
    ]
}

/// The file with a member set, or left out for a null.
fn disturbed(mut file: Value, (path, value): &(String, Value)) -> Value {
    let (parent, member) = path.rsplit_once('/').unwrap();
    let parent = file.pointer_mut(parent).unwrap().as_object_mut().unwrap();
    if value.is_null() {
        parent.remove(member);
    } else {
        parent.insert(member.to_owned(), value.clone());
    }
    file
}

proptest! {
    #![proptest_config(ProptestConfig { cases: ProptestConfig::default().cases / 2, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn explanations_are_true(
        disturbances in proptest::collection::vec(disturbance(), 0..14),
        which in 0..5_usize,
    ) {
        let file = disturbances.iter().flatten().fold(first_night(), disturbed);
        // One exclusion a file: many files tell more than many exclusions of one.
        explanations_hold(&file, |at| at == which)?;
        // Every centre once, whatever was disturbed; and the same bytes for the same question.
        let once = answer(&file);
        prop_assert_eq!(once.options.len() + once.waived.len() + once.excluded.len(), 6);
        prop_assert_eq!(json!(once).to_string(), json!(answer(&file)).to_string());
        for option in &once.options {
            let against = option.checks.iter().filter(|check| check.verdict != haulout_placement::Verdict::Pass);
            prop_assert!(against.into_iter().all(|check| check.code == "report-current"));
        }
    }
}

/// The disturbances reach every rule that can exclude: otherwise the property above says little.
#[test]
fn disturbances_reach_every_rule() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let many = proptest::collection::vec(disturbance(), 4..14);
    let mut reached = std::collections::BTreeSet::new();
    for _ in 0..400 {
        let drawn = many.new_tree(&mut runner).unwrap().current();
        let file = drawn.iter().flatten().fold(first_night(), disturbed);
        for exclusion in answer(&file).excluded {
            reached.extend(exclusion.failed.into_iter().map(|check| check.code));
        }
    }
    let never: Vec<&str> = RULES
        .iter()
        .map(|rule| rule.rule.code)
        .filter(|code| !reached.contains(*code) && *code != "report-current")
        .collect();
    assert_eq!(never, Vec::<&str>::new());
}

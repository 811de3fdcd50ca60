//! A stay in two legs, room that grows scarce, and changes for the nearest centres only.

use haulout_placement::{Index, Options, Prepared, RequestFile, options};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::{Value, json};

use crate::basin::{answer, call, first_night, plain, with};

/// Kolvani's pool holds a batch that is clear on 13 August; Desharu's serves for quarantine only.
fn until_august() -> Value {
    let mut desharu = plain()["centres"][0].clone();
    desharu["centreID"] = json!("meruva.desharu");
    let mut tank = plain()["units"][0].clone();
    tank["centreID"] = json!("meruva.desharu");
    tank["unitID"] = json!("D1");
    with(
        plain(),
        &[
            ("/centres/-", desharu),
            ("/units/-", tank),
            ("/units/0/stays", json!([])),
            (
                "/units/0/quarantine",
                json!({ "batchID": "B1", "order": "Crocodylia", "clearDay": "2026-08-13" }),
            ),
            (
                "/units/0/occupants",
                json!([{ "scientificName": "Crocodylus palustris", "sex": "female", "lifeStage": "adult", "batchID": "B1",
                    "length": { "value": 2.0, "measure": "totalLength", "method": "taped" } }]),
            ),
            ("/roads/travel/-", json!({ "from": "meruva.yard", "to": "meruva.desharu", "minutes": 40 })),
            ("/roads/travel/-", json!({ "from": "meruva.desharu", "to": "meruva.kolvani", "minutes": 90 })),
            ("/requests/0/stay", json!("long")),
        ],
    )
}

#[test]
fn desharu_tonight_kolvani_from_14_august() {
    let file = until_august();
    let told = answer(&file);
    assert!(told.options.is_empty() && told.waived.is_empty());
    let [chain] = told.chains.as_slice() else { panic!("{:?}", told.chains) };
    let [first, second] = chain.legs.as_slice() else { panic!("{:?}", chain.legs) };
    assert_eq!((first.centre_id.as_str(), first.unit_id.as_str()), ("meruva.desharu", "D1"));
    assert_eq!((second.centre_id.as_str(), second.unit_id.as_str()), ("meruva.kolvani", "K2"));
    assert_eq!(first.arrival.to_rfc3339(), "2026-07-02T02:00:00+05:30");
    assert_eq!(first.until.unwrap().to_rfc3339(), "2026-08-14T06:00:00+05:30");
    assert_eq!(second.arrival.to_rfc3339(), "2026-08-14T07:30:00+05:30");
    // Each leg is an option of its own when it is asked for alone.
    let tonight = answer(&with(file.clone(), &[("/requests/0/stay", json!("quarantine"))]));
    assert!(tonight.options.iter().any(|option| option.unit_id == "D1"));
    let then = |day: &str| {
        answer(&with(
            file.clone(),
            &[
                ("/requests/0/from", json!({ "placeID": "meruva.desharu" })),
                ("/requests/0/earliestDeparture", json!(day)),
            ],
        ))
    };
    assert!(then("2026-08-14T06:00:00+05:30").options.iter().any(|option| option.unit_id == "K2"));
    assert!(then("2026-08-13T06:00:00+05:30").options.is_empty());
}

#[test]
fn no_chain_where_the_whole_stay_has_a_nearer_place() {
    let file = with(until_august(), &[("/units/2/stays", json!([]))]);
    let told = answer(&file);
    assert_eq!(told.options[0].centre_id, "meruva.desharu");
    assert!(told.chains.is_empty());
    // Where the one that opens later is nearer, it is told.
    let nearer = with(file, &[("/roads/travel/1/minutes", json!(61))]);
    assert_eq!(answer(&nearer).chains.len(), 1);
}

#[test]
fn what_an_option_leaves_for_the_next() {
    // A newcomer isolates the pool: no other newcomer comes in beside it.
    assert_eq!(answer(&plain()).options[0].units_left, 0);
    let row = with(
        plain(),
        &[
            ("/units/0/units", json!(4)),
            ("/units/0/arrangement", json!("isolating")),
            ("/units/0/freeUnits", json!(3)),
        ],
    );
    assert_eq!(answer(&row).options[0].units_left, 2);
    // Without quarantine two more females may come, the limit of heads being three.
    let long = [
        ("/requests/0/stay", json!("long")),
        ("/units/0/stays", json!([])),
        ("/units/0/headsLimit", json!(2)),
    ];
    let shared = with(plain(), &long);
    assert_eq!(answer(&shared).options[0].units_left, 1);
    assert_eq!(answer(&with(shared, &[("/units/0/headsLimit", json!(1))])).options[0].units_left, 0);
}

#[test]
fn changes_for_the_nearest_only_and_the_others_say_so() {
    let file: RequestFile = serde_json::from_value(first_night()).unwrap();
    let (profiles, names) = (Profiles::standard(), Names::standard());
    let index = Index::of(&file.view, profiles, names);
    let prepared = Prepared::new(&file.view, &index, profiles, names);
    let request = &file.requests[0];
    let all = prepared.options(request, call());
    assert_eq!(all, options(&file.view, request, Profiles::standard(), Names::standard(), call()));
    assert!(all.excluded.iter().all(|one| !one.changes_left_out && !one.changes.is_empty()));
    let two = prepared.options_with(request, call(), 2);
    let told = |answer: &Options| {
        answer
            .excluded
            .iter()
            .filter(|one| !one.changes_left_out)
            .map(|one| one.centre_id.clone())
            .collect::<Vec<_>>()
    };
    // From the pond, Desharu and Thulmar are the nearest of the five.
    assert_eq!(told(&two), ["meruva.desharu", "meruva.thulmar"]);
    for exclusion in &two.excluded {
        let same = all.excluded.iter().find(|one| one.centre_id == exclusion.centre_id).unwrap();
        assert_eq!(exclusion.failed, same.failed);
        assert!(
            exclusion.changes_left_out && exclusion.changes.is_empty() || exclusion.changes == same.changes
        );
    }
}

//! Hand-worked floors.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::*;
use crate::findings::tests::{day, lot, record, rescue};
use serde_json::{Value, json};

const TURTLE: &str = "Nilssonia gangetica";

/// Units as `UNIT: id count, …` and the unhoused as `id count`, in order.
fn floor(records: &[Arc<Effective>], through: &str) -> (Vec<String>, Vec<String>) {
    let told = |occupant: &Occupant| {
        let animal = occupant.organism_id.as_ref().map(|id| id.as_str());
        let id = animal.or(occupant.lot_id.as_ref().map(|id| id.as_str())).unwrap_or("-");
        format!("{} {}", id.trim_start_matches("meruva.desharu:"), occupant.count)
    };
    let found = occupancy(records, &"meruva.desharu".into(), Names::standard(), day(through));
    let units = found.units.iter().map(|unit| {
        format!("{}: {}", unit.unit_id, unit.occupants.iter().map(told).collect::<Vec<_>>().join(", "))
    });
    (units.collect(), found.unhoused.iter().map(told).collect())
}

fn housed(id: &str, date: &str, lot: &str, units: Value) -> Arc<Effective> {
    record(
        "housing",
        "desharu",
        id,
        date,
        json!({"lotID": lot, "scientificName": TURTLE, "event": "housed", "units": units}),
    )
}

fn sixteen() -> Vec<Arc<Effective>> {
    vec![
        lot("desharu", "R1", "2026-07-10", "meruva.desharu:L1", TURTLE, 16),
        housed(
            "N1",
            "2026-07-11",
            "meruva.desharu:L1",
            json!([{"unitID": "A", "individualCount": 10}, {"unitID": "B", "individualCount": 4}]),
        ),
    ]
}

#[test]
fn housed_and_unhoused() {
    assert_eq!(floor(&sixteen(), "2026-07-10"), (vec![], vec!["L1 16".into()]));
    assert_eq!(
        floor(&sixteen(), "2026-07-11"),
        (vec!["A: L1 10".into(), "B: L1 4".into()], vec!["L1 2".into()])
    );
    assert_eq!(floor(&[], "2026-07-11"), (vec![], vec![]));
    let found = occupancy(&sixteen(), &"meruva.desharu".into(), Names::standard(), day("2026-07-20"));
    assert_eq!(found.of_unit("A").first().unwrap().since, day("2026-07-11"));
    assert_eq!(found.unhoused.first().unwrap().since, day("2026-07-10"));
    assert!(found.of_unit("Z").is_empty());
}

#[test]
fn whoever_leaves_the_stock_leaves_the_unit() {
    let with =
        |more: Arc<Effective>| floor(&sixteen().into_iter().chain([more]).collect::<Vec<_>>(), "2026-07-31");
    let about = json!({"lotID": "meruva.desharu:L1", "scientificName": TURTLE});
    let of = |kind: &str, mut rest: Value| {
        for (member, value) in about.as_object().unwrap() {
            rest[member] = value.clone();
        }
        record(kind, "desharu", "X1", "2026-07-12", rest)
    };
    let one_less = (vec!["A: L1 9".to_owned(), "B: L1 4".to_owned()], vec!["L1 2".to_owned()]);
    assert_eq!(
        with(of("mortality", json!({"event": "death", "individualCount": 1, "when": "inCare"}))),
        one_less
    );
    assert_eq!(with(of("release", json!({"individualCount": 1}))), one_less);
    assert_eq!(with(of("loss", json!({"event": "escaped", "individualCount": 1}))), one_less);
    // On the road it was in no unit any more; a necropsy moves nobody; a carcass found in the wild neither.
    let still = (vec!["A: L1 10".to_owned(), "B: L1 4".to_owned()], vec!["L1 2".to_owned()]);
    assert_eq!(
        with(of(
            "loss",
            json!({"event": "escaped", "individualCount": 1, "consignmentID": "meruva.desharu:9"})
        )),
        still
    );
    assert_eq!(
        with(of("mortality", json!({"event": "necropsy", "individualCount": 1, "necropsyDone": true}))),
        still
    );
    // A part of the lot travels under a new number: four of A's ten.
    let part = record(
        "dispatch",
        "desharu",
        "D1",
        "2026-07-12",
        json!({"consignmentID": "meruva.desharu:1", "destination": "outside",
        "lines": [{"lotID": "meruva.desharu:L9", "fromLot": "meruva.desharu:L1", "scientificName": TURTLE, "individualCount": 4}]}),
    );
    assert_eq!(with(part), (vec!["A: L1 6".into(), "B: L1 4".into()], vec!["L1 2".into()]));
}

#[test]
fn a_lot_in_one_unit_keeps_it_when_it_is_counted_out_split_or_named() {
    let start = || {
        vec![
            lot("desharu", "R1", "2026-07-10", "meruva.desharu:L1", TURTLE, 16),
            housed("N1", "2026-07-10", "meruva.desharu:L1", json!([{"unitID": "A", "individualCount": 16}])),
        ]
    };
    let with =
        |more: Arc<Effective>| floor(&start().into_iter().chain([more]).collect::<Vec<_>>(), "2026-07-31");
    let tally = record(
        "tally",
        "desharu",
        "T1",
        "2026-07-12",
        json!({"lotID": "meruva.desharu:L1", "scientificName": TURTLE, "lotCount": 16, "lines": [
        {"lotID": "meruva.desharu:L2", "scientificName": TURTLE, "alive": 14, "dead": 1}, {"lotID": "meruva.desharu:L3", "scientificName": "Nilssonia hurum", "alive": 1, "dead": 0}]}),
    );
    assert_eq!(with(tally), (vec!["A: L2 14, L3 1".into()], vec![]));
    let named = record(
        "regrouping",
        "desharu",
        "G1",
        "2026-07-12",
        json!({"event": "named",
        "from": [{"lotID": "meruva.desharu:L1", "scientificName": TURTLE, "individualCount": 1}],
        "to": [{"organismID": "meruva.desharu:7", "scientificName": TURTLE, "individualCount": 1}]}),
    );
    assert_eq!(with(named), (vec!["A: 7 1, L1 15".into()], vec![]));
    let determined = record(
        "determination",
        "desharu",
        "B1",
        "2026-07-12",
        json!({"lotID": "meruva.desharu:L1", "event": "species", "individualCount": 2,
        "fromScientificName": TURTLE, "toScientificName": "Nilssonia hurum", "toLotID": "meruva.desharu:L5"}),
    );
    assert_eq!(with(determined), (vec!["A: L1 14, L5 2".into()], vec![]));
    // In two units nobody said which of them the named one is from.
    let scattered: Vec<_> = sixteen()
        .into_iter()
        .chain([record(
            "regrouping",
            "desharu",
            "G1",
            "2026-07-12",
            json!({"event": "named",
        "from": [{"lotID": "meruva.desharu:L1", "scientificName": TURTLE, "individualCount": 1}],
        "to": [{"organismID": "meruva.desharu:7", "scientificName": TURTLE, "individualCount": 1}]}),
        )])
        .collect();
    assert_eq!(
        floor(&scattered, "2026-07-31"),
        (vec!["A: L1 9".into(), "B: L1 4".into()], vec!["7 1".into(), "L1 2".into()])
    );
}

#[test]
fn each_animal_is_counted_once() {
    // Two came in without numbers of their own; one is housed under its new number.
    let receipt = record(
        "receipt",
        "desharu",
        "E1",
        "2026-07-10",
        json!({"consignmentID": "meruva.ombari:1", "origin": "outside",
        "lines": [{"arrived": "alive", "scientificName": TURTLE, "individualCount": 2}]}),
    );
    let placed = record(
        "housing",
        "desharu",
        "N1",
        "2026-07-10",
        json!({"organismID": "meruva.desharu:7", "scientificName": TURTLE, "event": "housed",
        "units": [{"unitID": "A", "individualCount": 1}]}),
    );
    assert_eq!(floor(&[receipt, placed], "2026-07-10"), (vec!["A: 7 1".into()], vec!["- 1".into()]));
}

#[test]
fn eggs_hatch_where_they_lie() {
    let about = |event: &str, count: u32| json!({"lotID": "meruva.desharu:E1", "scientificName": TURTLE, "event": event, "individualCount": count});
    let mut collected = about("collected", 20);
    collected["unitID"] = "BOX1".into();
    let mut hatched = about("hatched", 12);
    hatched["hatchlingsLotID"] = "meruva.desharu:H1".into();
    let records = [
        record("clutch", "desharu", "X1", "2026-07-01", collected),
        record("clutch", "desharu", "X2", "2026-07-20", hatched),
        record("clutch", "desharu", "X3", "2026-07-25", about("failed", 3)),
    ];
    assert_eq!(floor(&records, "2026-07-01"), (vec!["BOX1: E1 20".into()], vec![]));
    assert_eq!(floor(&records, "2026-07-31"), (vec!["BOX1: E1 5, H1 12".into()], vec![]));
    let found = occupancy(&records, &"meruva.desharu".into(), Names::standard(), day("2026-07-31"));
    let stages: Vec<_> = found.of_unit("BOX1").iter().map(|occupant| occupant.life_stage).collect();
    assert_eq!(stages, [Some(LifeStage::Egg), Some(LifeStage::Hatchling)]);
}

#[test]
fn taken_back_taken_out_and_in_quarantine() {
    let animal = || rescue("desharu", "R1", "2026-07-10", "meruva.desharu:7", TURTLE);
    let step = |id: &str, date: &str, event: &str| {
        record(
            "quarantine",
            "desharu",
            id,
            date,
            json!({"organismID": "meruva.desharu:7", "scientificName": TURTLE,
        "event": event, "batchID": "Q1"}),
        )
    };
    let batch = |through: &str| {
        let records = [animal(), step("Q1", "2026-07-10", "entered"), step("Q2", "2026-08-10", "ended")];
        occupancy(&records, &"meruva.desharu".into(), Names::standard(), day(through))
            .unhoused
            .first()
            .unwrap()
            .batch_id
            .clone()
    };
    assert_eq!((batch("2026-08-09").as_deref(), batch("2026-08-10")), (Some("Q1"), None));
    let link = record(
        "link",
        "coordination",
        "K1",
        "2026-09-01",
        json!({"centreID": null, "event": "same", "counted": {"authorID": "meruva.velitha", "recordID": "R1"},
        "notCounted": {"authorID": "meruva.desharu", "recordID": "R1", "centreID": "meruva.desharu", "scientificName": TURTLE, "individualCount": 1, "source": "wild", "day": "2026-07-10"}}),
    );
    assert_eq!(floor(&[animal(), link], "2026-07-31"), (vec![], vec![]));
    let out = record(
        "housing",
        "desharu",
        "N2",
        "2026-07-12",
        json!({"organismID": "meruva.desharu:7", "scientificName": TURTLE, "event": "takenOut"}),
    );
    let home = record(
        "housing",
        "desharu",
        "N1",
        "2026-07-11",
        json!({"organismID": "meruva.desharu:7", "scientificName": TURTLE, "event": "housed",
        "units": [{"unitID": "A", "individualCount": 1}]}),
    );
    assert_eq!(floor(&[out, home, animal()], "2026-07-31"), (vec![], vec!["7 1".into()]));
}

#[test]
fn an_opening_stands_beside_the_housing_of_its_day() {
    // The count says where it was taken; a housing of the same day is the later word on where they live.
    let opening = record(
        "census",
        "desharu",
        "O1",
        "2026-06-30",
        json!({"opening": true, "method": "headCount", "complete": true, "lines": [
        {"lotID": "meruva.desharu:L1", "scientificName": TURTLE, "individualCount": 16, "unitID": "A"},
        {"lotID": "meruva.desharu:L2", "scientificName": TURTLE, "individualCount": 3, "unitID": "C"}]}),
    );
    let home =
        housed("N1", "2026-06-30", "meruva.desharu:L1", json!([{"unitID": "B", "individualCount": 16}]));
    assert_eq!(floor(&[opening, home], "2026-06-30"), (vec!["B: L1 16".into(), "C: L2 3".into()], vec![]));
}

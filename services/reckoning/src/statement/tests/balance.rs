//! Stock balance from records to the account: what was there, what came and went, what was counted. A
//! common identity (trade facts from memory, figures by hand).

use super::*;
use crate::posting::{entries, postings};

/// The account of the quarter that the records make.
fn balance(records: &[Arc<Effective>], censuses: &[CensusTaken]) -> Account {
    let mut sums: Vec<Sum> = Vec::new();
    let from = day("2026-07-01");
    for entry in records.iter().flat_map(|one| entries(&postings(&one.record, Names::standard()))) {
        let (before, within) = if entry.day < from { (entry.delta, 0) } else { (0, entry.delta) };
        sums.push(Sum {
            account: entry.account,
            counter: entry.counter,
            direction: entry.direction,
            scientific_name: entry.commodity.scientific_name.clone(),
            eggs: entry.commodity.eggs,
            life_stage: entry.life_stage,
            death_when: entry.death_when,
            before,
            within,
        });
    }
    account(&sums, censuses)
}

fn opening(centre: &str, id: &str, count: u32, eggs: u32) -> Arc<Effective> {
    let mut lines = Vec::new();
    if count > 0 {
        lines.push(json!({ "scientificName": SOFTSHELL, "individualCount": count }));
    }
    if eggs > 0 {
        lines.push(json!({ "scientificName": SOFTSHELL, "individualCount": eggs, "lifeStage": "egg" }));
    }
    let census = json!({ "method": "headCount", "complete": true, "opening": true, "lines": lines });
    record("census", centre, id, "2026-06-30", census)
}

fn sent(centre: &str, number: &str, count: u32) -> Arc<Effective> {
    record(
        "dispatch",
        centre,
        &format!("out-{number}"),
        "2026-08-01",
        json!({ "consignmentID": number, "destination": "region", "destinationID": "meruva.velitha",
            "lines": [{ "scientificName": SOFTSHELL, "individualCount": count }] }),
    )
}

fn received(centre: &str, number: &str, count: u32) -> Arc<Effective> {
    record(
        "receipt",
        centre,
        &format!("in-{number}"),
        "2026-08-02",
        json!({ "consignmentID": number, "origin": "transit",
            "lines": [{ "arrived": "alive", "scientificName": SOFTSHELL, "individualCount": count }] }),
    )
}

fn row<'a>(account: &'a Account, centre: &str, commodity: &str) -> &'a AccountRow {
    let id = format!("meruva.{centre}");
    account
        .rows
        .iter()
        .find(|row| row.centre_id.as_deref() == Some(id.as_str()) && row.commodity == commodity)
        .unwrap()
}

/// 120 there, 34 hatched, 18 rescued, 7 received; 11 dead, 40 released, 5 sent, 1 escaped: 122. Counted
/// 119: three fewer, and the difference stands beside the closing, never in it. 60 eggs, of which 41
/// hatch and 9 fail, leave 10: another stock.
#[test]
fn opening_and_what_came_and_went() {
    let of_lot = |fields: serde_json::Value| {
        let mut whole = json!({ "lotID": "meruva.desharu:l1", "scientificName": SOFTSHELL });
        whole.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
        whole
    };
    let clutch = |id: &str, event: &str, count: u32| {
        record(
            "clutch",
            "desharu",
            id,
            "2026-07-20",
            of_lot(json!({ "event": event, "individualCount": count })),
        )
    };
    let records = [
        opening("desharu", "o", 120, 60),
        clutch("h", "hatched", 34),
        lot("desharu", "r", "2026-07-05", "meruva.desharu:l2", SOFTSHELL, 18),
        received("desharu", "c1", 7),
        record(
            "mortality",
            "desharu",
            "d",
            "2026-08-10",
            of_lot(json!({ "event": "death", "individualCount": 11, "when": "inCare" })),
        ),
        record("release", "desharu", "f", "2026-09-01", of_lot(json!({ "individualCount": 40 }))),
        sent("desharu", "c2", 5),
        record(
            "loss",
            "desharu",
            "e",
            "2026-09-02",
            of_lot(json!({ "event": "escaped", "individualCount": 1 })),
        ),
    ];
    let counted = CensusTaken {
        account: Ledger::centre(&"meruva.desharu".into()),
        day: day("2026-09-30"),
        complete: true,
        counts: BTreeMap::from([((SOFTSHELL.to_owned(), false), Some(119))]),
    };
    let told = balance(&records, &[counted]);
    let animals = row(&told, "desharu", "animals");
    assert_eq!((animals.opening, animals.closing), (120, 122));
    assert_eq!(animals.gains.values().sum::<i64>(), 34 + 18 + 7);
    assert_eq!(animals.losses.values().sum::<i64>(), 11 + 40 + 5 + 1);
    assert_eq!(animals.census.as_ref().unwrap().individual_count - animals.closing, -3);

    let eggs =
        balance(&[opening("desharu", "o", 0, 60), clutch("h", "hatched", 41), clutch("g", "failed", 9)], &[]);
    assert_eq!((row(&eggs, "desharu", "eggs").opening, row(&eggs, "desharu", "eggs").closing), (60, 10));
    assert_eq!(row(&eggs, "desharu", "animals").closing, 41);
}

/// A of 50 sends 8, B of 30 receives 6: 42 and 36, 2 on the road, and the region has its 80.
#[test]
fn two_centres_and_the_road() {
    let told = balance(
        &[
            opening("desharu", "a", 50, 0),
            opening("velitha", "b", 30, 0),
            sent("desharu", "c", 8),
            received("velitha", "c", 6),
        ],
        &[],
    );
    let (a, b) = (row(&told, "desharu", "animals").closing, row(&told, "velitha", "animals").closing);
    let road: i64 = told.transit.iter().map(|row| row.closing).sum();
    assert_eq!((a, b, road, a + b + road), (42, 36, 2, 80));
}

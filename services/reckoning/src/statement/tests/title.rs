//! Title beside custody, worked out by hand.

use super::in_hand::in_hand;
use super::*;
use crate::findings::tests::{rescue, world};
use crate::posting::{entries, postings};

const TURTLE: &str = "Nilssonia gangetica";

/// The rows that the ledger makes of the records.
fn rows(records: &[Arc<Effective>]) -> Vec<AccountRow> {
    let sums = records.iter().flat_map(|one| entries(&postings(&one.record, Names::standard())));
    let sums: Vec<Sum> = sums
        .map(|entry| Sum {
            account: entry.account,
            counter: entry.counter,
            direction: entry.direction,
            scientific_name: entry.commodity.scientific_name,
            eggs: entry.commodity.eggs,
            life_stage: entry.life_stage,
            death_when: entry.death_when,
            before: 0,
            within: entry.delta,
        })
        .collect();
    account(&sums, &[]).rows
}

/// In hand, own, of an owner, on loan in, on loan out, overdue.
fn told(records: &[Arc<Effective>], place: &str) -> Vec<[i64; 6]> {
    let world = world("2026-09-30");
    let lines =
        super::super::title::title(&in_hand(records), &rows(records), &world, world.evaluated_through);
    let here = lines.iter().filter(|line| line.place_id == format!("meruva.{place}"));
    here.map(|one| [one.in_hand, one.own, one.of_owner, one.on_loan_in, one.on_loan_out, one.loan_overdue])
        .collect()
}

fn line(subject: &str, count: u32) -> Value {
    let member = if subject.contains(":l") { "lotID" } else { "organismID" };
    json!({ member: subject, "scientificName": TURTLE, "individualCount": count })
}

fn came(place: &str, id: &str, date: &str, journey: &str, origin: &str, mut line: Value) -> Arc<Effective> {
    line["arrived"] = "alive".into();
    let rest = json!({ "consignmentID": journey, "origin": origin, "lines": [line] });
    record("receipt", place, id, date, rest)
}

fn went(place: &str, id: &str, date: &str, journey: &str, to: &str, line: Value) -> Arc<Effective> {
    let mut rest = json!({ "consignmentID": journey, "destination": to, "lines": [line] });
    if let Some(centre) = to.strip_prefix("meruva.") {
        rest["destination"] = "region".into();
        rest["destinationID"] = format!("meruva.{centre}").into();
    }
    record("dispatch", place, id, date, rest)
}

fn lent(animal: &str, date: &str, review: &str) -> Arc<Effective> {
    record(
        "outlook",
        "kolvani",
        &format!("o-{animal}"),
        date,
        json!({ "organismID": animal, "scientificName": TURTLE, "decision": "loan", "review": review }),
    )
}

#[test]
fn where_all_is_owned_own_is_the_closing() {
    let records = [
        lot("ombari", "a", "2026-07-01", "meruva.ombari:l1", TURTLE, 20),
        rescue("ombari", "b", "2026-07-02", "meruva.ombari:1", TURTLE),
    ];
    assert_eq!(told(&records, "ombari"), [[21, 21, 0, 0, 0, 0]]);
    assert!(told(&records, "kolvani").is_empty());
}

/// Ten of an owner come to Kolvani, where one of its own stands: three go back, four go on to Velitha, one
/// dies. Of the owner's are two at Kolvani and four at Velitha.
#[test]
fn an_owners_animals_stay_his_wherever_they_stand() {
    let part = |lot: &str, count| {
        let mut line = line(lot, count);
        line["fromLot"] = "meruva.kolvani:l1".into();
        line
    };
    let records = [
        rescue("kolvani", "r", "2026-07-01", "meruva.kolvani:1", TURTLE),
        came("kolvani", "a", "2026-07-02", "meruva.kolvani:t1", "owner", line("meruva.kolvani:l1", 10)),
        went("kolvani", "b", "2026-07-10", "meruva.kolvani:t2", "owner", part("meruva.kolvani:l2", 3)),
        went(
            "kolvani",
            "c",
            "2026-07-12",
            "meruva.kolvani:t3",
            "meruva.velitha",
            part("meruva.kolvani:l3", 4),
        ),
        came("velitha", "d", "2026-07-13", "meruva.kolvani:t3", "transit", line("meruva.kolvani:l3", 4)),
        record(
            "mortality",
            "kolvani",
            "e",
            "2026-07-20",
            json!({ "event": "death", "lotID": "meruva.kolvani:l1", "scientificName": TURTLE,
                "individualCount": 1, "when": "inCare" }),
        ),
    ];
    assert_eq!(told(&records, "kolvani"), [[3, 1, 2, 0, 0, 0]]);
    assert_eq!(told(&records, "velitha"), [[4, 0, 4, 0, 0, 0]]);
}

/// Of Kolvani's five, one is lent to Velitha, to be looked at again by 1 August; one is with a keeper
/// until December; one was with a keeper and is back; one died with its keeper. Two are in hand.
#[test]
fn what_is_lent_is_told_beside_and_never_twice() {
    let animal = |n: u32| format!("meruva.kolvani:{n}");
    let mut records: Vec<_> =
        (1..=5).map(|n| rescue("kolvani", &format!("r{n}"), "2026-06-01", &animal(n), TURTLE)).collect();
    let journey = |n: u32| format!("meruva.kolvani:t{n}");
    records.extend([
        lent(&animal(1), "2026-06-20", "2026-08-01"),
        went("kolvani", "d1", "2026-07-01", &journey(1), "meruva.velitha", line(&animal(1), 1)),
        came("velitha", "a1", "2026-07-01", &journey(1), "transit", line(&animal(1), 1)),
        lent(&animal(2), "2026-06-20", "2026-12-01"),
        went("kolvani", "d2", "2026-07-01", &journey(2), "placement", line(&animal(2), 1)),
        went("kolvani", "d3", "2026-07-01", &journey(3), "placement", line(&animal(3), 1)),
        came("kolvani", "a3", "2026-08-01", &journey(4), "placement", line(&animal(3), 1)),
        went("kolvani", "d4", "2026-07-01", &journey(5), "placement", line(&animal(4), 1)),
        record(
            "receipt",
            "kolvani",
            "a4",
            "2026-08-05",
            json!({ "consignmentID": journey(6), "origin": "placement", "lines": [{ "arrived": "dead",
                "organismID": animal(4), "scientificName": TURTLE, "individualCount": 1 }] }),
        ),
    ]);
    // In hand are the third and the fifth; out are the first, overdue since 8 August, and the second.
    assert_eq!(told(&records, "kolvani"), [[2, 2, 0, 0, 2, 1]]);
    assert_eq!(told(&records, "velitha"), [[1, 0, 0, 1, 0, 0]]);
    // Decided anew, it is Velitha's own.
    records.push(record(
        "outlook",
        "kolvani",
        "o9",
        "2026-07-15",
        json!({ "organismID": animal(1), "scientificName": TURTLE, "decision": "lifelongCare" }),
    ));
    assert_eq!(told(&records, "velitha"), [[1, 1, 0, 0, 0, 0]]);
}

/// What was put to death by order stands beside the four figures and in no rate.
#[test]
fn deaths_by_order_are_in_no_rate() {
    let desharu = || Ledger::centre(&"meruva.desharu".into());
    let ordered = Ledger::DESTROYED_BY_ORDER;
    let sums = [
        sum(desharu(), Ledger::OPENING, Direction::In, 10, 0),
        sum(desharu(), ordered.clone(), Direction::Out, 0, -3),
        sum(ordered.clone(), desharu(), Direction::In, 0, 3),
        Sum { eggs: true, ..sum(ordered, desharu(), Direction::In, 0, 7) },
    ];
    let account = account(&sums, &[]);
    let deaths = Deaths { destroyed_by_order: 3, ..Deaths::default() };
    assert_eq!(account.deaths, deaths);
    let rates = mortality::mortality(&account, false);
    assert_eq!(rates.together.map(|share| (share.count, share.of)), Some((0, 10)));
    let json = |deaths: &Deaths| serde_json::to_value(deaths).unwrap();
    assert_eq!(json(&deaths)["destroyedByOrder"], 3);
    assert!(json(&Deaths::default()).get("destroyedByOrder").is_none(), "older digests stay");
}

//! Planted faults: all of them, each resting on records that exist, and books that part from truth
//! just where the answer sheet says so.

use std::collections::{BTreeMap, BTreeSet};

use haulout_demo::Commodity;

use crate::basin;
use crate::recount::{balances, days, effective, ledger, lines, truth};

const CODES: [&str; 50] = [
    "animal-in-two-places",
    "bound-too-long",
    "census-difference",
    "clutch-overdue",
    "consignment-count",
    "consignment-species",
    "consignment-unreceived",
    "crates-not-back",
    "crates-not-disinfected",
    "custody-breached",
    "custody-lifted-without-order",
    "dangerous-escape",
    "death-without-necropsy",
    "deaths-cluster",
    "destruction-without-order",
    "drug-dangerous-to-group",
    "eggs-beyond-clutch",
    "event-after-death",
    "event-before-arrival",
    "exposed-to-disease",
    "incident-not-followed",
    "journey-too-long",
    "licence-exceeded",
    "likely-duplicate",
    "loan-overdue",
    "lot-never-tallied",
    "mark-in-two-places",
    "never-release-released",
    "night-late",
    "order-not-in-writing",
    "order-not-known",
    "outlook-review-overdue",
    "permit-overdrawn",
    "point-stay-too-long",
    "quarantine-overdue",
    "quarantine-short",
    "received-before-sent",
    "received-elsewhere",
    "release-without-certificate",
    "release-without-mark",
    "release-without-permit",
    "reported-twice",
    "sent-unfit",
    "settlement-unconfirmed",
    "sex-contradicted",
    "shrinking-length",
    "stabilising-too-long",
    "stay-beyond-order",
    "unit-overfull",
    "unmarked-without-scan",
];

#[test]
fn every_code_is_planted_in_every_seed() {
    for seed in 1..=8 {
        let generated = basin(6, 60, seed, true);
        let codes: Vec<&str> = generated.summary.faults.keys().copied().collect();
        assert_eq!(codes, CODES, "seed {seed}");
    }
    assert!(basin(6, 60, 1, false).truth.faults.is_empty());
    let two_reaches = basin(12, 60, 1, true).summary.faults;
    assert!(two_reaches.values().all(|count| *count >= 2), "{two_reaches:?}");
}

#[test]
fn every_fault_rests_on_effective_records_of_its_day_or_before() {
    let generated = basin(6, 92, 3, true);
    let lines = lines(&generated);
    let by_name: BTreeMap<(&str, &str), &serde_json::Value> = effective(&lines)
        .into_iter()
        .map(|record| ((record["authorID"].as_str().unwrap(), record["recordID"].as_str().unwrap()), record))
        .collect();
    let names: BTreeSet<&str> = by_name.keys().map(|(author, _)| *author).collect();
    for (index, fault) in generated.truth.faults.iter().enumerate() {
        assert!(!fault.records.is_empty(), "{fault:?}");
        assert!(fault.because.is_none_or(|root| root < index), "{fault:?}");
        assert!(fault.parties.iter().all(|party| names.contains(party.as_str())), "{fault:?}");
        for record in &fault.records {
            let found = by_name.get(&(record.author_id.as_str(), record.record_id.as_str()));
            let found =
                found.unwrap_or_else(|| panic!("{} rests on {record:?}, which is not there", fault.code));
            let running = fault.code == "census-difference";
            assert!(running || found["eventDate"].as_str().unwrap()[..10] <= *fault.day, "{fault:?}");
        }
    }
}

#[test]
fn books_part_from_truth_only_where_the_answer_sheet_says() {
    for (centres, seed) in [(6, 1), (6, 2), (13, 3)] {
        let generated = basin(centres, 75, seed, true);
        let days = days(&generated);
        let mut expected = truth(&generated, &days);
        assert!(!generated.truth.differences.is_empty());
        for difference in &generated.truth.differences {
            let account = match (&difference.place_id, &difference.consignment_id) {
                (Some(place), _) => format!("centre/{place}"),
                (None, id) => format!("transit/{}", id.as_ref().unwrap()),
            };
            let eggs = difference.commodity == Commodity::Eggs;
            let cell = (account, difference.scientific_name.to_owned(), eggs);
            for (_, cells) in expected.iter_mut().filter(|(day, _)| **day >= difference.from) {
                *cells.entry(cell.clone()).or_insert(0) += difference.difference;
                cells.retain(|_, balance| *balance != 0);
            }
        }
        let lines = lines(&generated);
        let books = balances(&ledger(&effective(&lines)), &days);
        for (day, cells) in &expected {
            assert_eq!(cells, &books[day], "{day}, seed {seed}");
        }
    }
}

#[test]
fn the_late_night_is_posted_long_after_its_close() {
    let generated = basin(6, 60, 4, true);
    let late = generated.truth.faults.iter().find(|fault| fault.code == "night-late").unwrap();
    let file = format!("nights/{}/{}.ndjson", late.day, late.parties[0]);
    let post = generated.truth.posts.iter().find(|post| post.file == file).unwrap();
    let night: chrono::NaiveDate = late.day.parse().unwrap();
    let posted: chrono::NaiveDate = post.at[..10].parse().unwrap();
    assert!((posted - night).num_days() > 10, "{post:?}");
}

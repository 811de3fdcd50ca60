//! Without planted faults, books and truth are one at every midnight.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use crate::basin;
use crate::recount::{Cell, balances, days, effective, ledger, lines, truth};

/// The first differences, worded for the reader of a failed test.
fn differences(
    books: &BTreeMap<String, BTreeMap<Cell, i64>>,
    truth: &BTreeMap<String, BTreeMap<Cell, i64>>,
) -> Vec<String> {
    let mut found = Vec::new();
    for (day, true_cells) in truth {
        let cells: BTreeSet<&Cell> = true_cells.keys().chain(books[day].keys()).collect();
        for cell in cells {
            let (in_books, in_truth) = (books[day].get(cell), true_cells.get(cell));
            if in_books != in_truth {
                found.push(format!("{day} {cell:?}: books {in_books:?}, truth {in_truth:?}"));
            }
        }
    }
    found.truncate(12);
    found
}

#[test]
fn books_and_truth_agree_at_every_midnight() {
    for (centres, nights, seed) in
        [(6, 92, 1), (6, 92, 2), (7, 140, 3), (1, 40, 4), (2, 60, 5), (5, 60, 6), (12, 30, 7)]
    {
        let generated = basin(centres, nights, seed, false);
        let lines = lines(&generated);
        let ledger = ledger(&effective(&lines));
        let days = days(&generated);
        assert_eq!(days.len(), nights as usize + 1, "a night is missing");
        let found = differences(&balances(&ledger, &days), &truth(&generated, &days));
        assert!(found.is_empty(), "{centres} centres, seed {seed}:\n{}", found.join("\n"));
    }
}

#[test]
fn a_late_or_hasty_party_is_right_in_the_end_and_not_before() {
    let generated = basin(6, 92, 1, false);
    let lines = lines(&generated);
    let first: Vec<Value> = lines.iter().filter(|record| record["revision"] == 1).cloned().collect();
    assert!(first.len() < lines.len(), "nobody corrected anything");
    let days = days(&generated);
    let found = differences(&balances(&ledger(&effective(&first)), &days), &truth(&generated, &days));
    assert!(!found.is_empty(), "no correction touched the books");
    let withdrawn = lines.iter().filter(|record| record["withdrawn"] == true).count();
    assert!(withdrawn > 0, "nothing was withdrawn");
    let late = generated.truth.posts.iter().filter(|post| {
        let night = &post.file["nights/".len().."nights/".len() + 10];
        let days =
            post.at[..10].parse::<chrono::NaiveDate>().unwrap() - night.parse::<chrono::NaiveDate>().unwrap();
        days.num_days() > 1
    });
    assert!(late.count() >= 80, "the late centre was on time");
}

#[test]
fn all_kinds_are_written_and_every_word_of_many_events() {
    let generated = basin(12, 120, 8, false);
    for kind in haulout_schemas::Kind::ALL {
        assert!(generated.summary.by_kind.contains_key(kind.as_str()), "no {kind}");
    }
    let mut seen: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for record in lines(&generated) {
        let kind = record["kind"].as_str().unwrap().to_owned();
        if let Some(event) = record["event"].as_str() {
            seen.entry(kind).or_default().insert(event.to_owned());
        }
    }
    for (kind, events) in [
        ("loss", &["escaped", "missing", "found"] as &[&str]),
        ("mortality", &["death", "necropsy", "disposal"]),
        ("clutch", &["collected", "laid", "candled", "hatched", "failed"]),
        ("settlement", &["settled", "agreed"]),
        ("quarantine", &["entered", "ended", "extended"]),
        ("regrouping", &["split", "merged", "named"]),
        ("custody", &["bound", "lifted"]),
        ("link", &["same", "notSame"]),
    ] {
        for event in events {
            assert!(seen[kind].contains(*event), "no {kind} {event}");
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_one_others() {
    let (one, again, other) = (basin(6, 30, 9, true), basin(6, 30, 9, true), basin(6, 30, 10, true));
    assert_eq!(one.files, again.files);
    assert_ne!(one.files, other.files);
}

#[test]
fn a_folder_holds_what_memory_holds_and_is_not_written_twice() {
    let options = haulout_demo::Options { nights: 10, centres: 3, ..Default::default() };
    let folder = tempfile::tempdir().unwrap();
    let summary = haulout_demo::generate(&options, folder.path()).unwrap();
    let memory = haulout_demo::generate_in_memory(&options).unwrap();
    assert_eq!(summary, memory.summary);
    for (path, bytes) in &memory.files {
        assert_eq!(&std::fs::read(folder.path().join(path)).unwrap(), bytes, "{path}");
    }
    let refused = haulout_demo::generate(&options, folder.path()).unwrap_err();
    assert!(refused.to_string().contains("already there"), "{refused}");
}

#[test]
fn options_out_of_range_are_named() {
    for (options, named) in [
        (haulout_demo::Options { centres: 0, ..Default::default() }, "centres is 0"),
        (haulout_demo::Options { nights: 0, ..Default::default() }, "nights is 0"),
    ] {
        let error = haulout_demo::generate_in_memory(&options).unwrap_err().to_string();
        assert!(error.contains(named), "{error}");
    }
}

#[test]
fn the_request_file_houses_no_more_than_there_is() {
    let generated = basin(6, 30, 12, false);
    let file: Value = serde_json::from_slice(&generated.files["placement.json"]).unwrap();
    assert_eq!(file["requests"][0]["scientificName"], "Crocodylus palustris");
    let mut housed: BTreeMap<(String, String), u64> = BTreeMap::new();
    for unit in file["units"].as_array().unwrap() {
        let mut heads = 0;
        for occupant in unit["occupants"].as_array().unwrap() {
            let count = occupant["individualCount"].as_u64().unwrap();
            let centre = unit["centreID"].as_str().unwrap().to_owned();
            let name = occupant["scientificName"].as_str().unwrap().to_owned();
            *housed.entry((centre, name)).or_insert(0) += count;
            heads += count;
        }
        assert!(heads <= unit["headsLimit"].as_u64().unwrap(), "{unit}");
    }
    let last = days(&generated).pop().unwrap();
    let mut there: BTreeMap<(String, String), u64> = BTreeMap::new();
    for holding in generated.truth.holdings.iter().filter(|holding| holding.night == last) {
        for held in holding.stock.iter().filter(|held| held.commodity == haulout_demo::Commodity::Animals) {
            let place = holding.place_id.clone().unwrap_or_default();
            *there.entry((place, held.scientific_name.to_owned())).or_insert(0) += u64::from(held.count);
        }
    }
    assert!(housed.len() > 20);
    for (at, count) in housed {
        assert!(
            there.get(&at).is_some_and(|held| *held >= count),
            "{at:?}: {count} housed, {:?} there",
            there.get(&at)
        );
    }
}

//! The demonstration's story arrives at the figures that were worked by hand before any code.

use crate::ledger::{checked, closing, effective};
use chrono::NaiveDate;
use haulout_demo::story;
use serde_json::Value;
use std::collections::BTreeMap;

/// Closing of 30 September 2026, worked by hand.
pub const CLOSING: &[(&str, &str, &str, i64)] = &[
    ("centre/meruva.desharu", "Lissemys punctata", "animals", 186),
    ("centre/meruva.desharu", "Nilssonia gangetica", "animals", 16),
    ("centre/meruva.kolvani", "Crocodylus palustris", "animals", 1),
    ("centre/meruva.kolvani", "Gavialis gangeticus", "animals", 36),
    ("centre/meruva.ombari", "Gavialis gangeticus", "animals", 60),
    ("centre/meruva.ombari", "Geoclemys hamiltonii", "animals", 9),
    ("centre/meruva.ombari", "Hardella thurjii", "animals", 18),
    ("centre/meruva.ombari", "Nilssonia gangetica", "eggs", 38),
    ("centre/meruva.saivera", "Crocodylus porosus", "animals", 1),
    ("centre/meruva.thulmar", "Indotestudo elongata", "animals", 42),
    ("centre/meruva.velitha", "Nilssonia gangetica", "animals", 46),
    ("centre/meruva.velitha", "Nilssonia hurum", "animals", 1),
    ("centre/meruva.velitha", "Pangshura tecta", "animals", 31),
    ("centre/meruva.velitha", "Trachemys scripta", "animals", 1),
];

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn records(until: &str) -> Vec<Value> {
    story::posts(&story::Consignments::default())
        .into_iter()
        .filter(|post| post.at.to_rfc3339().as_str() < until)
        .flat_map(|post| post.records)
        .collect()
}

#[test]
fn the_quarter_closes_as_worked_by_hand() {
    for known in ["2026-10-01T", "2026-11-01T"] {
        let records = effective(checked(&records(known)));
        let expected: BTreeMap<_, _> = CLOSING
            .iter()
            .map(|(account, name, commodity, count)| {
                (((*account).to_owned(), (*name).to_owned(), *commodity), *count)
            })
            .collect();
        assert_eq!(closing(&records, day("2026-09-30")), expected, "as known at {known}");
    }
}

#[test]
fn month_ends_sum_as_worked_by_hand() {
    let records = effective(checked(&records("2026-11")));
    for (last, animals, eggs) in
        [("2026-06-30", 139, 0), ("2026-07-31", 447, 0), ("2026-08-31", 449, 0), ("2026-09-30", 448, 38)]
    {
        let sums = closing(&records, day(last));
        let of =
            |commodity| sums.iter().filter(|((_, _, c), _)| *c == commodity).map(|(_, n)| n).sum::<i64>();
        assert_eq!((of("animals"), of("eggs")), (animals, eggs), "{last}");
    }
    // 31 July: 411 in centres and 36 on the road.
    let road: i64 = closing(&records, day("2026-07-31"))
        .iter()
        .filter(|((a, _, _), _)| a.starts_with("transit/"))
        .map(|(_, n)| n)
        .sum();
    assert_eq!(road, 36);
}

#[test]
fn the_road_shows_each_difference_on_its_day() {
    let all = records("2026-11");
    let known = effective(checked(&all));
    let on_road = |text: &str| {
        closing(&known, day(text))
            .into_iter()
            .filter(|((account, _, _), _)| account.starts_with("transit/"))
            .map(|((account, name, _), count)| (account, name, count))
            .collect::<Vec<_>>()
    };
    // 9 July, after dark: 312 on the road, none in the yard.
    let sums = closing(&known, day("2026-07-09"));
    assert_eq!(
        sums.iter().filter(|((a, _, _), _)| a.starts_with("transit/")).map(|(_, n)| n).sum::<i64>(),
        312
    );
    assert!(
        !sums.keys().any(|(account, _, _)| account.starts_with("point/")),
        "yard and range office are empty"
    );
    let velitha = "transit/meruva.police:2".to_owned();
    assert_eq!(
        on_road("2026-07-10"),
        [(velitha.clone(), "Nilssonia gangetica".to_owned(), 1), (velitha, "Nilssonia hurum".to_owned(), -1)]
    );
    assert_eq!(on_road("2026-07-11"), []);
    // The receipt of 1 August, first 35, then 36 (as posted at 02:40 and at 09:00).
    let early = effective(checked(&records("2026-08-01T03")));
    let ombari = ("transit/meruva.ombari:1".to_owned(), "Gavialis gangeticus".to_owned(), "animals");
    assert_eq!(closing(&early, day("2026-08-01")).get(&ombari), Some(&1));
    assert_eq!(closing(&known, day("2026-08-01")).get(&ombari), None);
}

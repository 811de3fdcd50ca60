//! The pure path from lines to figures, without a hub: check, post, sum.

use chrono::NaiveDate;
use haulout_checking::{CheckedLine, Checker, Settings};
use haulout_reckoning::{entries, postings};
use haulout_schemas::Record;
use haulout_schemas::names::Names;
use serde_json::Value;
use std::collections::BTreeMap;

/// Checks records as the hub would and gives the typed ones; a refused one fails the test.
pub fn checked(records: &[Value]) -> Vec<Record> {
    let checker = Checker::new(Settings::standard(None)).unwrap();
    records
        .iter()
        .map(|record| match checker.check_line(record.to_string().as_bytes(), 1) {
            CheckedLine::Accepted(accepted) => accepted.record,
            CheckedLine::Refused(refused) => panic!("refused: {record:#}\n{:#?}", refused.problems),
        })
        .collect()
}

/// The highest revision of each record.
pub fn effective(records: Vec<Record>) -> Vec<Record> {
    let mut newest: BTreeMap<(String, String), Record> = BTreeMap::new();
    for record in records {
        let key = (record.envelope.author_id.to_string(), record.envelope.record_id.to_string());
        match newest.get(&key) {
            Some(held) if held.envelope.revision > record.envelope.revision => {}
            _ => {
                newest.insert(key, record);
            }
        }
    }
    newest.into_values().collect()
}

/// Closing balances of stock accounts at the end of a day, by account, name and commodity; zeros left out.
pub fn closing(records: &[Record], day: NaiveDate) -> BTreeMap<(String, String, &'static str), i64> {
    let mut sums: BTreeMap<(String, String, &'static str), i64> = BTreeMap::new();
    let mut all = 0;
    for record in records {
        for entry in entries(&postings(record, Names::standard())) {
            all += entry.delta;
            if entry.day <= day && entry.account.is_stock() {
                let key = (
                    entry.account.to_string(),
                    entry.commodity.scientific_name.clone(),
                    entry.commodity.word(),
                );
                *sums.entry(key).or_default() += entry.delta;
            }
        }
    }
    assert_eq!(all, 0, "all postings sum to zero");
    sums.retain(|_, count| *count != 0);
    sums
}

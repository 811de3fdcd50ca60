//! Simulated basins: the ledger against the true holdings, and planted faults against the findings.

use crate::basin::Basin;
use crate::ledger::{checked, effective};
use chrono::{Days, NaiveDate};
use haulout_reckoning::{Effective, Finding, Region, RuleSettings, World, entries, evaluate_all, postings};
use haulout_schemas::Record;
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

type Stock = (String, String, String);

const NIGHTS: u32 = 92;

/// Records that count after the last night's late and corrected files.
fn records(basin: &Basin) -> Vec<Record> {
    let lines: Vec<Value> = basin
        .files()
        .iter()
        .flat_map(|file| file.lines.iter().map(|line| serde_json::from_str(line).unwrap()))
        .collect();
    effective(checked(&lines))
}

/// Changes of each stock by day: (place or journey, name, commodity).
fn daily(records: &[Record]) -> BTreeMap<NaiveDate, BTreeMap<Stock, i64>> {
    let mut days: BTreeMap<NaiveDate, BTreeMap<Stock, i64>> = BTreeMap::new();
    for record in records {
        let entries = entries(&postings(record, Names::standard()));
        assert_eq!(entries.iter().map(|entry| entry.delta).sum::<i64>(), 0, "each posting sums to zero");
        for entry in entries.into_iter().filter(|entry| entry.account.is_stock()) {
            let place = entry.account.place().or(entry.account.consignment()).unwrap().to_owned();
            let stock = (place, entry.commodity.scientific_name.clone(), entry.commodity.word().to_owned());
            *days.entry(entry.day).or_default().entry(stock).or_default() += entry.delta;
        }
    }
    days
}

fn text(value: &Value, member: &str) -> String {
    value[member].as_str().unwrap_or_default().to_owned()
}

/// What the books must show on a night: what was truly there, and what a fault leaves in them.
fn expected(truth: &Value, night: NaiveDate) -> BTreeMap<Stock, i64> {
    let mut stock: BTreeMap<Stock, i64> = BTreeMap::new();
    for holding in
        truth["holdings"].as_array().unwrap().iter().filter(|h| text(h, "night") == night.to_string())
    {
        let place = holding["placeID"].as_str().or(holding["consignmentID"].as_str()).unwrap();
        for held in holding["stock"].as_array().unwrap() {
            let key = (place.to_owned(), text(held, "scientificName"), text(held, "commodity"));
            *stock.entry(key).or_default() += held["count"].as_i64().unwrap();
        }
    }
    for difference in truth["differences"].as_array().unwrap() {
        if text(difference, "from") <= night.to_string() {
            let place = difference["placeID"].as_str().or(difference["consignmentID"].as_str()).unwrap();
            let key = (place.to_owned(), text(difference, "scientificName"), text(difference, "commodity"));
            *stock.entry(key).or_default() += difference["difference"].as_i64().unwrap();
        }
    }
    stock.retain(|_, count| *count != 0);
    stock
}

fn ledger_follows(basin: &Basin, records: &[Record], seed: u64) {
    let days = daily(records);
    let first: NaiveDate = "2026-06-30".parse().unwrap();
    let mut stock: BTreeMap<Stock, i64> = BTreeMap::new();
    assert!(days.range(..first).next().is_none(), "seed {seed}: nothing is posted before the opening");
    for night in first.iter_days().take(NIGHTS as usize + 1) {
        for (key, delta) in days.get(&night).into_iter().flatten() {
            *stock.entry(key.clone()).or_default() += delta;
        }
        stock.retain(|_, count| *count != 0);
        let expected = expected(&basin.truth, night);
        if stock != expected {
            let differ: Vec<_> = stock
                .keys()
                .chain(expected.keys())
                .filter(|key| stock.get(*key) != expected.get(*key))
                .map(|key| (key, stock.get(key), expected.get(key)))
                .collect();
            panic!("seed {seed}, {night}: books against truth: {differ:#?}");
        }
    }
}

fn findings(basin: &Basin, records: Vec<Record>) -> Vec<Finding> {
    let effective: Vec<Arc<Effective>> =
        records.into_iter().map(|record| Arc::new(Effective { record, known_from: 0 })).collect();
    let region = Region::parse(&basin.region.to_string()).unwrap();
    let last = "2026-06-30".parse::<NaiveDate>().unwrap() + Days::new(u64::from(NIGHTS));
    let world = World {
        evaluated_through: last,
        settings: &RuleSettings::default(),
        names: Names::standard(),
        profiles: Profiles::standard(),
        region: &region,
    };
    evaluate_all(&effective, &world)
}

fn rests_on(records: &Value) -> BTreeSet<(String, String)> {
    records.as_array().into_iter().flatten().map(|r| (text(r, "authorID"), text(r, "recordID"))).collect()
}

#[test]
fn without_faults_the_ledger_is_the_truth_and_nothing_is_found() {
    for seed in 1..=4 {
        println!("seed {seed}");
        let basin = Basin::generate(6, NIGHTS, seed, false);
        assert_eq!(basin.truth["differences"].as_array().unwrap().len(), 0);
        let records = records(&basin);
        ledger_follows(&basin, &records, seed);
        let found = findings(&basin, records);
        assert!(found.is_empty(), "seed {seed}: {:#?}", found.iter().take(5).collect::<Vec<_>>());
    }
}

#[test]
fn planted_faults_are_found_and_nothing_else() {
    // By code: planted, found among them, found beside them.
    let mut scores: BTreeMap<String, (usize, usize, usize)> = BTreeMap::new();
    let mut wrong = Vec::new();
    for seed in 1..=20 {
        let basin = Basin::generate(6, NIGHTS, seed, true);
        let records = records(&basin);
        ledger_follows(&basin, &records, seed);
        let mut found: Vec<Value> =
            findings(&basin, records).iter().map(|finding| serde_json::to_value(finding).unwrap()).collect();
        for fault in basin.truth["faults"].as_array().unwrap() {
            let code = text(fault, "code");
            // A notice of the statement's completeness, judged from arrival; it has its own test.
            if code == "night-late" {
                continue;
            }
            let score = scores.entry(code.clone()).or_default();
            score.0 += 1;
            let on = rests_on(&fault["records"]);
            let hit = found.iter().position(|finding| {
                finding["code"] == fault["code"] && !rests_on(&finding["records"]).is_disjoint(&on)
            });
            match hit {
                Some(at) => {
                    found.remove(at);
                    score.1 += 1;
                }
                None => wrong.push(format!("seed {seed}, missed: {fault}")),
            }
        }
        for finding in found {
            scores.entry(text(&finding, "code")).or_default().2 += 1;
            wrong.push(format!("seed {seed}, not planted: {finding}"));
        }
    }
    for (code, (planted, hit, beside)) in &scores {
        println!(
            "{code}: planted {planted}, recall {:.3}, precision {:.3}",
            *hit as f64 / (*planted).max(1) as f64,
            *hit as f64 / (hit + beside).max(1) as f64
        );
    }
    assert!(
        wrong.is_empty(),
        "{} wrong, the first: {:#?}",
        wrong.len(),
        wrong.iter().take(8).collect::<Vec<_>>()
    );
    assert!(scores.len() >= 18, "every code is planted somewhere: {:?}", scores.keys());
}

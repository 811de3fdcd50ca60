//! Simulated basins with planted faults: every rule is planted, found where it was planted, and
//! nowhere else. The simulation knows nothing of the rules.

use super::*;
use crate::findings::RULES;
use haulout_demo::{Generated, Options, PlantedFault, generate_in_memory};
use std::collections::{BTreeMap, BTreeSet};

const SEEDS: u64 = 20;

/// Rules that no simulated basin can show, and why.
const NOT_PLANTED: [(&str, &str); 1] =
    [("second-opening", "each account is opened once in the simulation; worked by hand in `counts`")];

/// A notice of the statement's completeness, judged from arrival; it is planted and has its own test.
const BY_ARRIVAL: &str = "night-late";

fn basin(seed: u64, faults: bool) -> Generated {
    generate_in_memory(&Options { seed, faults, ..Options::default() }).unwrap()
}

/// The highest revision of each record of all files.
fn effective(basin: &Generated) -> Vec<Arc<Effective>> {
    let mut highest: BTreeMap<(String, String), Record> = BTreeMap::new();
    for (_, file) in basin.files.iter().filter(|(path, _)| path.starts_with("nights/")) {
        for line in std::str::from_utf8(file).unwrap().lines() {
            let record = Record::parse(line).unwrap();
            let frame = &record.envelope;
            let name = (frame.author_id.to_string(), frame.record_id.to_string());
            if highest.get(&name).is_none_or(|known| known.envelope.revision < frame.revision) {
                highest.insert(name, record);
            }
        }
    }
    highest.into_values().map(|record| Arc::new(Effective { record, known_from: 0 })).collect()
}

/// The findings through the last night.
fn findings(basin: &Generated) -> Vec<Finding> {
    let region = Region::parse(std::str::from_utf8(&basin.files["region.json"]).unwrap()).unwrap();
    evaluate_all(&effective(basin), &World { region: &region, ..world("2026-09-30") })
}

fn answers(finding: &Finding, fault: &PlantedFault) -> bool {
    let on: BTreeSet<(&str, &str)> =
        fault.records.iter().map(|name| (name.author_id.as_str(), name.record_id.as_str())).collect();
    finding.code == fault.code
        && finding.records.iter().any(|name| on.contains(&(name.author_id.as_str(), name.record_id.as_str())))
}

#[test]
fn without_faults_nothing_is_found() {
    for seed in 1..=6 {
        let found = findings(&basin(seed, false));
        assert!(found.is_empty(), "seed {seed}: {:#?}", found.iter().take(5).collect::<Vec<_>>());
    }
}

#[test]
fn precision_and_recall_of_every_rule_are_one() {
    // By code: planted, found among them, found beside them.
    let mut scores: BTreeMap<String, (usize, usize, usize)> = BTreeMap::new();
    let mut wrong = Vec::new();
    for seed in 1..=SEEDS {
        let basin = basin(seed, true);
        let mut found = findings(&basin);
        for fault in basin.truth.faults.iter().filter(|fault| fault.code != BY_ARRIVAL) {
            let score = scores.entry(fault.code.to_owned()).or_default();
            score.0 += 1;
            match found.iter().position(|finding| answers(finding, fault)) {
                Some(at) => {
                    found.remove(at);
                    score.1 += 1;
                }
                None => wrong.push(format!("seed {seed}, missed: {fault:?}")),
            }
        }
        for finding in found {
            scores.entry(finding.code.clone()).or_default().2 += 1;
            wrong.push(format!("seed {seed}, not planted: {finding:?}"));
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
    let exempt: BTreeSet<&str> = NOT_PLANTED.iter().map(|(code, _)| *code).chain([BY_ARRIVAL]).collect();
    for rule in RULES {
        let planted = scores.get(rule.code).is_some_and(|(planted, _, _)| *planted > 0);
        assert_ne!(
            planted,
            exempt.contains(rule.code),
            "{}: plant a case in the demo, or say why not",
            rule.code
        );
    }
    assert!(exempt.iter().all(|code| RULES.iter().any(|rule| rule.code == *code)));
}

/// What the answer sheet names for these is neither more nor less than what the findings rest on.
#[test]
fn twins_and_disease_rest_on_just_the_records_named() {
    for (code, each) in [("likely-duplicate", 1), ("exposed-to-disease", 2)] {
        for seed in 1..=3 {
            let basin = basin(seed, true);
            let planted: BTreeSet<BTreeSet<String>> = basin
                .truth
                .faults
                .iter()
                .filter(|fault| fault.code == code)
                .map(|fault| fault.records.iter().map(|name| name.record_id.to_string()).collect())
                .collect();
            let found: BTreeSet<BTreeSet<String>> = findings(&basin)
                .iter()
                .filter(|finding| finding.code == code)
                .map(|finding| finding.records.iter().map(|name| name.record_id.to_string()).collect())
                .collect();
            assert_eq!(planted.len(), each, "{code}, seed {seed}");
            assert_eq!(planted, found, "{code}, seed {seed}");
        }
    }
}

/// The demonstration's story with all its revisions, through the last day of its quarter: what was
/// worked by hand for its points 4 and 6 (`story` has them one by one), and nothing else.
#[test]
fn the_story_shows_what_it_tells() {
    let mut highest: BTreeMap<(String, String), Record> = BTreeMap::new();
    for post in haulout_demo::story::posts(&haulout_demo::story::Consignments::default()) {
        for value in &post.records {
            let record = Record::parse(&value.to_string()).unwrap();
            let frame = &record.envelope;
            let name = (frame.author_id.to_string(), frame.record_id.to_string());
            if highest.get(&name).is_none_or(|known| known.envelope.revision < frame.revision) {
                highest.insert(name, record);
            }
        }
    }
    let records: Vec<Arc<Effective>> =
        highest.into_values().map(|record| Arc::new(Effective { record, known_from: 0 })).collect();
    let region = Region::parse(&haulout_demo::story::region().to_string()).unwrap();
    let found = evaluate_all(&records, &World { region: &region, ..world("2026-09-30") });
    let codes: BTreeSet<&str> = found.iter().map(|finding| finding.code.as_str()).collect();
    assert_eq!(codes, BTreeSet::from(["crates-not-disinfected", "deaths-cluster", "stay-under-order"]));
}

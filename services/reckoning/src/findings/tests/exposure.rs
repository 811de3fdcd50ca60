//! Exposed to a confirmed disease.

use super::*;

const TURTLE: &str = "Pangshura tecta";

fn turtle(n: u32) -> String {
    format!("meruva.velitha:{n}")
}

fn housed(n: u32, date: &str, unit: &str) -> Arc<Effective> {
    record(
        "housing",
        "velitha",
        &format!("N{n}-{unit}"),
        date,
        json!({"organismID": turtle(n), "scientificName": TURTLE, "event": "housed",
        "units": [{"unitID": unit, "individualCount": 1}]}),
    )
}

/// 1 and 2 share a pool; 3 came into it after 1 had gone, 4 has one of its own. 1 dies on 10 July.
fn pool() -> Vec<Arc<Effective>> {
    let mut records: Vec<Arc<Effective>> = [1, 2, 4]
        .iter()
        .map(|n| rescue("velitha", &format!("R{n}"), "2026-07-01", &turtle(*n), TURTLE))
        .collect();
    records.push(rescue("velitha", "R3", "2026-07-20", &turtle(3), TURTLE));
    records.extend([
        housed(1, "2026-07-01", "A"),
        housed(2, "2026-07-01", "A"),
        housed(4, "2026-07-01", "B"),
        housed(3, "2026-07-20", "A"),
    ]);
    records.push(record("mortality", "velitha", "M1", "2026-07-10", json!({"organismID": turtle(1), "scientificName": TURTLE, "event": "death", "individualCount": 1, "when": "inCare"})));
    records
}

fn necropsy(agent: Value) -> Arc<Effective> {
    record(
        "mortality",
        "velitha",
        "X1",
        "2026-07-12",
        json!({"organismID": turtle(1), "scientificName": TURTLE, "event": "necropsy", "individualCount": 1,
        "necropsyDone": true, "causeOfDeath": "infection", "agent": agent, "deathOf": {"authorID": "meruva.velitha", "recordID": "M1"}}),
    )
}

#[test]
fn a_necropsy_that_names_an_agent_tells_who_shared_the_pool() {
    let mut records = pool();
    records.push(necropsy(json!("Ranavirus")));
    let finding = only(found("exposed-to-disease", &records, "2026-07-31"));
    assert_eq!(
        ["agent", "caseOf", "exposed", "firstDay", "shared", "unitID"].map(|name| text(&finding, name)),
        ["Ranavirus", "animal meruva.velitha:1", "animal meruva.velitha:2", "2026-07-01", "unit", "A"]
    );
    assert_eq!(rests_on(&finding), ["M1", "N1-A", "N2-A", "X1"]);
}

#[test]
fn without_an_agent_a_sample_or_a_contact_nothing_is_found() {
    let none = |more: Vec<Arc<Effective>>| {
        found("exposed-to-disease", &[pool(), more].concat(), "2026-07-31").is_empty()
    };
    assert!(none(vec![]));
    assert!(none(vec![necropsy(Value::Null)]));
    let swab = |n: u32, outcome: &str| {
        record(
            "result",
            "velitha",
            "S1",
            "2026-07-12",
            json!({"organismID": turtle(n), "sampleID": "S1", "sampleType": "swab", "test": "PCR",
            "agent": "Ranavirus", "outcome": outcome}),
        )
    };
    assert!(none(vec![swab(1, "negative")]));
    assert!(none(vec![swab(4, "positive")]), "it has a pool of its own");
    assert!(!none(vec![swab(1, "positive")]));
}

//! Units and water.

use super::*;
use crate::findings::tests::rescue;

const TURTLE: &str = "Pangshura tecta";

fn turtle(n: u32) -> Value {
    json!({"organismID": format!("meruva.velitha:{n}"), "scientificName": TURTLE})
}

fn taken_in(n: u32, date: &str, unit: &str) -> Vec<Arc<Effective>> {
    vec![
        rescue("velitha", &format!("R{n}"), date, &format!("meruva.velitha:{n}"), TURTLE),
        housed("velitha", &format!("N{n}"), date, turtle(n), unit, 1),
    ]
}

fn moved(n: u32, date: &str, unit: &str) -> Arc<Effective> {
    housed("velitha", &format!("N{n}-{date}"), date, turtle(n), unit, 1)
}

fn water(id: &str, date: &str, unit: &str, circuit: Value) -> Arc<Effective> {
    record(
        "capacity",
        "velitha",
        id,
        date,
        json!({"event": "stated", "unitID": unit, "waterCircuit": circuit}),
    )
}

fn of_first(sign: &str, window: u32) -> Question {
    Question {
        sign_day: Some(day(sign)),
        window_days: window,
        ..ask(animal("meruva.velitha:1"), "2026-09-30")
    }
}

/// 1 stands in A from 1 July, 2 from 1 to 5 July, 3 from 10 July; 2 moves to B, where 4 is.
/// With the sign on 12 July and a window of 30 days all are reached; the day on which 2 left counts.
#[test]
fn shared_days_are_counted_forward() {
    let records = [
        taken_in(1, "2026-07-01", "A"),
        taken_in(2, "2026-07-01", "A"),
        taken_in(3, "2026-07-10", "A"),
        taken_in(4, "2026-07-02", "B"),
        vec![moved(2, "2026-07-05", "B")],
    ]
    .concat();
    let wide = traced(&records, &of_first("2026-07-12", 30));
    assert_eq!(
        told(&wide),
        [
            "2026-07-01 1 animal meruva.velitha:2",
            "2026-07-10 1 animal meruva.velitha:3",
            "2026-07-05 2 animal meruva.velitha:4",
        ]
    );
    // Seven days before: 5 July, the day on which 2 left.
    assert_eq!(
        told(&traced(&records, &of_first("2026-07-12", 7))),
        [
            "2026-07-05 1 animal meruva.velitha:2",
            "2026-07-10 1 animal meruva.velitha:3",
            "2026-07-05 2 animal meruva.velitha:4",
        ]
    );
    // Six days before it was gone.
    assert_eq!(told(&traced(&records, &of_first("2026-07-12", 6))), ["2026-07-10 1 animal meruva.velitha:3"]);
}

/// A and B share water until B is put on its own on 4 July; 3 comes into B on 6 July.
#[test]
fn water_counts_while_it_is_shared() {
    let records = [
        vec![
            water("UA", "2026-06-01", "A", json!("W1")),
            water("UB", "2026-06-01", "B", json!("W1")),
            water("UB-2", "2026-07-04", "B", json!("W2")),
        ],
        taken_in(1, "2026-07-01", "A"),
        taken_in(2, "2026-07-02", "B"),
        vec![moved(2, "2026-07-05", "C")],
        taken_in(3, "2026-07-06", "B"),
    ]
    .concat();
    let traced = traced(&records, &of_first("2026-07-12", 30));
    assert_eq!(told(&traced), ["2026-07-02 1 animal meruva.velitha:2"]);
    let contact = &of(&traced, "animal meruva.velitha:2").chain[0];
    assert_eq!(
        (
            contact.shared.as_str(),
            contact.at.water_circuit.as_deref(),
            contact.at.other_unit_id.as_deref(),
            contact.through
        ),
        ("waterCircuit", Some("W1"), Some("B"), Some(day("2026-07-04")))
    );
}

/// Two numbers of one animal are one: what met the one met the other.
#[test]
fn a_link_makes_two_numbers_one() {
    let mut records =
        [taken_in(1, "2026-07-01", "A"), taken_in(2, "2026-07-01", "B"), taken_in(3, "2026-07-01", "B")]
            .concat();
    assert!(told(&traced(&records, &of_first("2026-07-12", 30))).is_empty());
    records.push(record(
        "link",
        "coordination",
        "K1",
        "2026-07-20",
        json!({"centreID": null, "event": "same", "organismIDs": ["meruva.velitha:1", "meruva.velitha:2"]}),
    ));
    assert_eq!(
        told(&traced(&records, &of_first("2026-07-12", 30))),
        ["2026-07-01 1 animal meruva.velitha:3"]
    );
}

#[test]
fn from_a_unit_from_a_centre_and_from_a_disease() {
    let mut records =
        [taken_in(1, "2026-07-01", "A"), taken_in(2, "2026-07-01", "A"), taken_in(3, "2026-07-01", "B")]
            .concat();
    let start = Start::Unit { place_id: "meruva.velitha".into(), unit_id: "A".to_owned() };
    let unit = traced(&records, &ask(start, "2026-07-12"));
    assert_eq!(unit.sources.len(), 2);
    assert!(told(&unit).is_empty());
    let centre = traced(&records, &ask(Start::Centre("meruva.velitha".into()), "2026-07-12"));
    assert_eq!(centre.sources.len(), 3);
    // A swab of 8 July that shows an agent: 1 is a case, 2 shared its unit. A negative one is none.
    let result = |id: &str, n: u32, outcome: &str| {
        record(
            "result",
            "velitha",
            id,
            "2026-07-10",
            json!({"organismID": format!("meruva.velitha:{n}"), "sampleID": id, "sampleType": "swab", "test": "PCR",
            "agent": "Ranavirus", "outcome": outcome, "collected": "2026-07-08"}),
        )
    };
    records.extend([result("S1", 1, "positive"), result("S3", 3, "negative")]);
    let disease = traced(&records, &ask(Start::Disease("ranavirus".to_owned()), "2026-07-12"));
    assert_eq!(
        disease.sources.iter().map(|one| one.who.to_string()).collect::<Vec<_>>(),
        ["animal meruva.velitha:1"]
    );
    assert_eq!(disease.sources[0].sign_day, day("2026-07-08"));
    assert_eq!(told(&disease), ["2026-07-01 1 animal meruva.velitha:2"]);
}

//! Every rule where it just passes, where it just fails, and where nobody knows.

mod animal;
mod centre;
mod company;
mod tonight;
mod unit;

use haulout_placement::{RULES, Verdict};
use serde_json::{Value, json};

use Verdict::{Fail, Pass};

use crate::basin::{answer, check, plain, with};

/// A rule, what the row shows, what is changed in the plain file, the verdict.
type Row = (&'static str, &'static str, Vec<(&'static str, Value)>, Verdict);

fn gone() -> Value {
    Value::Null
}

fn mugger(length: f64) -> Value {
    json!({
        "organismID": "meruva.kolvani:4", "scientificName": "Crocodylus palustris", "sex": "female", "lifeStage": "adult",
        "batchID": "B1", "length": { "value": length, "measure": "totalLength", "method": "taped" },
    })
}

fn taped(length: f64, measure: &str) -> Value {
    json!({ "value": length, "measure": measure, "method": "taped" })
}

fn waiver(rule: &str, end: &str) -> Value {
    json!([{ "rule": rule, "orderNumber": "O-1", "endDate": end }])
}

fn rows() -> Vec<Row> {
    [
        animal::the_animal(),
        centre::the_centre(),
        unit::the_unit(),
        company::the_company(),
        company::batches(),
        tonight::tonight(),
    ]
    .concat()
}

#[test]
fn every_rule_at_its_boundary() {
    let mut wrong = Vec::new();
    for (code, shows, changes, expected) in rows() {
        let answer = answer(&with(plain(), &changes));
        // An excluded centre tells its reasons only: a rule it does not name was passed.
        let found = check(&answer, "meruva.kolvani", code).map_or(Pass, |check| check.verdict);
        if found != expected {
            wrong.push(format!("{code}, {shows}: {found:?}, not {expected:?}: {:?}", answer.excluded));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A rule in the table without a row that passes and a row that does not is a rule nobody tested.
#[test]
fn no_rule_without_a_row() {
    let rows = rows();
    for rule in &RULES {
        let code = rule.rule.code;
        let verdicts: Vec<Verdict> = rows.iter().filter(|row| row.0 == code).map(|row| row.3).collect();
        assert!(verdicts.contains(&Pass), "{code} has no row that passes");
        assert!(verdicts.iter().any(|verdict| *verdict != Pass), "{code} has no row that fails");
    }
    for (code, ..) in rows {
        assert!(RULES.iter().any(|rule| rule.rule.code == code), "no rule {code}");
    }
}

#[test]
fn the_plain_file_passes_every_rule() {
    let answer = answer(&plain());
    let [option] = answer.options.as_slice() else {
        panic!("{:?}", answer.excluded);
    };
    assert_eq!(option.checks.len(), RULES.len());
    assert!(option.checks.iter().all(|check| check.verdict == Pass), "{:?}", option.checks);
    assert_eq!(option.notes, Vec::<String>::new());
}

/// An order waives a failure of a rule that may be waived, through its last day; never one of an
/// absolute rule, and never what cannot be checked.
#[test]
fn orders_waive_what_they_may() {
    let short = ("/units/0/waterSquareMetre", json!(10.0));
    let unknown = ("/units/0/waterSquareMetre", gone());
    let unfit = ("/requests/0/fitToTravel", json!({ "fit": "no" }));
    let order = |rule, end| ("/requests/0/waivers", waiver(rule, end));
    let outcome = |changes: &[(&str, Value)]| {
        let answer = answer(&with(plain(), changes));
        (answer.options.len(), answer.waived.len(), answer.excluded.len())
    };
    assert_eq!(outcome(&[short.clone(), order("room", "2026-07-02")]), (0, 1, 0));
    assert_eq!(outcome(&[short.clone(), order("room", "2026-07-01")]), (0, 0, 1));
    assert_eq!(outcome(&[short, order("licence", "2026-07-30")]), (0, 0, 1));
    assert_eq!(outcome(&[unknown, order("room", "2026-07-30")]), (0, 0, 1));
    assert_eq!(outcome(&[unfit, order("fit-to-travel", "2026-07-30")]), (0, 0, 1));

    let waived =
        answer(&with(plain(), &[("/units/0/waterSquareMetre", json!(10.0)), order("room", "2026-07-30")]));
    let check = waived.waived[0].checks.iter().find(|check| check.code == "room").unwrap();
    assert_eq!(check.verdict, Fail);
    assert_eq!(check.waived_by.as_ref().unwrap().order_number, "O-1");
}

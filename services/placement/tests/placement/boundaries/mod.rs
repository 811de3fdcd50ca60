//! Every rule where it just passes, where it just fails, and where nobody knows.

mod animal;
mod centre;
mod company;
mod eggs;
mod tonight;
mod unit;
mod way;

use haulout_placement::{RULES, Verdict};
use serde_json::{Value, json};

use Verdict::{CannotCheck, Fail, Pass};

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
        eggs::the_eggs(),
        eggs::the_season(),
        way::the_way(),
    ]
    .concat()
}

/// A row about something that nobody has said: the rule cannot be checked, or the row says why it
/// has a word all the same.
fn is_of_unknown(row: &Row) -> bool {
    row.3 == CannotCheck || row.1.starts_with("unknown: ")
}

/// The table goes by the rules: one that has no row which just passes, none which just fails or none
/// about what nobody knows is a rule that nobody tested.
#[test]
fn every_rule_at_its_boundary() {
    let rows = rows();
    let mut wrong = Vec::new();
    for rule in &RULES {
        let code = rule.rule.code;
        let of_rule: Vec<&Row> = rows.iter().filter(|row| row.0 == code).collect();
        let has = |wanted: &dyn Fn(&Row) -> bool| of_rule.iter().any(|row| wanted(row));
        if !has(&|row| row.3 == Pass) {
            wrong.push(format!("{code} has no row that passes"));
        }
        // A name is known or it is not: there is nothing between.
        if !has(&|row| row.3 == Fail || (code == "species-known" && row.3 == CannotCheck)) {
            wrong.push(format!("{code} has no row that fails"));
        }
        if !has(&is_of_unknown) {
            wrong.push(format!("{code} has no row about what nobody knows"));
        }
        for (_, shows, changes, expected) in of_rule {
            let answer = answer(&with(plain(), changes));
            // An excluded centre tells its reasons only: a rule it does not name was passed.
            let found = check(&answer, "meruva.kolvani", code).map_or(Pass, |check| check.verdict);
            if found != *expected {
                wrong.push(format!("{code}, {shows}: {found:?}, not {expected:?}: {:?}", answer.excluded));
            }
        }
    }
    let unknown = rows.iter().filter(|row| !RULES.iter().any(|rule| rule.rule.code == row.0));
    wrong.extend(unknown.map(|row| format!("no rule {}", row.0)));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
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

//! The shapes as published: the file and the answer follow their schemas, and slips are told.

use haulout_placement::{Options, RULES, RequestFile};
use schemars::{JsonSchema, generate::SchemaSettings};
use serde_json::{Value, json};

use crate::basin::{answer, first_night, plain, with};

fn schema<T: JsonSchema>() -> jsonschema::Validator {
    let schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>();
    jsonschema::draft202012::new(schema.as_value()).unwrap()
}

#[test]
fn files_follow_their_schema_before_and_after_a_round_trip() {
    let schema = schema::<RequestFile>();
    for file in [first_night(), plain()] {
        let faults: Vec<String> = schema.iter_errors(&file).map(|fault| fault.to_string()).collect();
        assert_eq!(faults, Vec::<String>::new());
        let read: RequestFile = serde_json::from_value(file).unwrap();
        let written = json!(read);
        assert!(schema.is_valid(&written));
        assert_eq!(serde_json::from_value::<RequestFile>(written).unwrap(), read);
    }
}

#[test]
fn answers_follow_their_schema_before_and_after_a_round_trip() {
    let schema = schema::<Options>();
    let short = with(
        plain(),
        &[
            ("/units/0/waterSquareMetre", json!(10.0)),
            (
                "/requests/0/waivers",
                json!([{ "rule": "room", "orderNumber": "O-1", "endDate": "2026-07-30" }]),
            ),
        ],
    );
    for file in [first_night(), plain(), short] {
        let answer = answer(&file);
        let written = json!(answer);
        let faults: Vec<String> = schema.iter_errors(&written).map(|fault| fault.to_string()).collect();
        assert_eq!(faults, Vec::<String>::new());
        assert_eq!(serde_json::from_value::<Options>(written).unwrap(), answer);
    }
}

#[test]
fn a_slip_is_told_and_refused() {
    let schema = schema::<RequestFile>();
    for (path, value) in [
        ("/units/0/waterSquareMeter", json!(70.0)),
        ("/centres/0/licences/0/validUntil", json!("2026-12-31")),
        ("/requests/0/colour", json!("red")),
        ("/requests/0/stay", json!("for ever")),
        ("/requests/0/length", Value::from("3.5 m")),
    ] {
        let slip = with(plain(), &[(path, value)]);
        assert!(!schema.is_valid(&slip), "{path}");
        assert!(serde_json::from_value::<RequestFile>(slip).is_err(), "{path}");
    }
}

#[test]
fn every_rule_says_what_why_and_whence() {
    for rule in RULES.map(|rule| rule.rule) {
        for text in [rule.title, rule.meaning, rule.why, rule.mend, rule.source] {
            assert!(text.len() > 5, "{}: {text:?}", rule.code);
        }
    }
    let mut codes = RULES.map(|rule| rule.rule.code).to_vec();
    codes.sort_unstable();
    codes.dedup();
    assert_eq!(codes.len(), RULES.len());
}

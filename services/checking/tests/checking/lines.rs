//! One line and its answer.

use haulout_checking::{CheckedLine, Layer, Severity, catalogue};
use serde_json::{Value, json};

use crate::records::{check, check_text, codes, marking, only, rescue, with};

#[test]
fn a_good_record_is_accepted_with_its_hashes() {
    let CheckedLine::Accepted(accepted) = check(&rescue()) else {
        panic!("{:#?}", check(&rescue()).problems());
    };
    assert_eq!(accepted.problems, []);
    assert_eq!(accepted.record.envelope.record_id.as_str(), "K-2026-0117");
    assert_eq!(
        (accepted.record.envelope.revision, accepted.record.envelope.author_id.as_str()),
        (1, "meruva.kolvani")
    );
    assert_eq!(accepted.record.kind().as_str(), "rescue");
    let independent = serde_json_canonicalizer::to_string(&rescue()).unwrap();
    assert_eq!(accepted.kept.unwrap().canonical, independent);
    assert_eq!(accepted.record.to_json().unwrap(), serde_json::from_str::<Value>(&independent).unwrap());
}

#[test]
fn spelling_does_not_change_the_hash_and_content_does() {
    let hashes = |text: &str| match check_text(text) {
        CheckedLine::Accepted(accepted) => {
            let kept = accepted.kept.unwrap();
            (kept.record_hash, kept.content_hash)
        }
        CheckedLine::Refused(refused) => panic!("{:#?}", refused.problems),
    };
    let compact = rescue().to_string();
    let spaced = format!(" {}\r", compact.replace("\"revision\":1", "\"rev\\u0069sion\" : 1.0e0"));
    assert_eq!(hashes(&compact), hashes(&spaced));
    let typed = |text: &str| match check_text(text) {
        CheckedLine::Accepted(accepted) => accepted.record,
        CheckedLine::Refused(refused) => panic!("{:#?}", refused.problems),
    };
    assert_eq!(typed(&compact), typed(&spaced));
    let other = with(rescue(), "/notes", json!("snare wounds")).to_string();
    assert_ne!(hashes(&compact).0, hashes(&other).0);
    assert_ne!(hashes(&compact).1, hashes(&other).1);
}

#[test]
fn numbers_with_an_empty_fraction_are_whole_numbers() {
    let text = rescue().to_string().replace("\"individualCount\":1", "\"individualCount\":1.0");
    assert!(matches!(check_text(text), CheckedLine::Accepted(_)));
}

/// Each case: what is changed, and the code, field and part of the help that answer it.
#[test]
fn schema_problems_name_field_and_way_out() {
    let cases: &[(&str, Value, &str, &str, &str)] = &[
        ("/eventdate", json!("2026-07-02"), "unknown-field", "/eventdate", "`eventDate`"),
        ("/markNumber", json!("1"), "unknown-field", "/markNumber", "`marking`"),
        ("/keeper", json!("x"), "unknown-field", "/keeper", "extensions"),
        ("/place/latitude", json!(1), "unknown-field", "/place/latitude", "`decimalLatitude`"),
        ("/eventDate", Value::Null, "missing-field", "/eventDate", "When the event happened"),
        ("/revision", json!("1"), "wrong-type", "/revision", "without quotes"),
        ("/revision", json!(1.5), "wrong-type", "/revision", "whole number"),
        ("/revision", json!(0), "out-of-range", "/revision", "first version"),
        ("/notes", json!(["a"]), "wrong-type", "/notes", "[ ]"),
        ("/source", json!("wlid"), "not-in-list", "/source", "`wild`"),
        ("/eventDate", json!("02.07.2026"), "wrong-pattern", "/eventDate", "2026-07-02"),
        ("/eventDate", json!("2026-02-30"), "wrong-pattern", "/eventDate", "2026-07-02"),
        ("/recordID", json!("K-1\n"), "line-end", "/recordID", "Remove it"),
        ("/notes", json!("x".repeat(4001)), "too-long", "/notes", "Shorten"),
        ("/place/locality", json!(""), "too-short", "/place/locality", "Leave the field out"),
        ("/injuries", json!(vec!["x"; 51]), "too-many-items", "/injuries", "another record"),
        ("/countMethod", json!("estimated"), "missing-field", "/low", "Lower end"),
        ("/lotID", json!("meruva.kolvani:L1"), "not-together", "", "Leave the others out"),
        ("/organismID", Value::Null, "missing-one-of", "", "Add the one"),
        ("/withdrawn", json!(true), "missing-field", "/withdrawnReason", "taken back"),
    ];
    for (pointer, value, code, at, help) in cases {
        let answer = check(&with(rescue(), pointer, value.clone()));
        let problem = answer
            .problems()
            .iter()
            .find(|problem| problem.code == *code && problem.pointer.as_deref() == Some(at))
            .unwrap_or_else(|| panic!("{pointer} {value}: {:#?}", answer.problems()));
        assert!(problem.help.as_deref().unwrap().contains(help), "{problem:#?}");
        assert_eq!((problem.layer, problem.severity), (Layer::Schema, Severity::Error));
        assert!(problem.column.is_some(), "{problem:#?}");
        let CheckedLine::Refused(refused) = &answer else { panic!("accepted: {pointer}") };
        assert_eq!(refused.identity.author_id.as_deref(), Some("meruva.kolvani"));
    }
}

#[test]
fn one_slip_is_one_problem() {
    for (pointer, value) in [
        ("/revision", json!("1")),
        ("/eventDate", json!("2026-07-02T06:10")),
        ("/recordID", json!("K-1\n")),
        ("/source", json!(7)),
        ("/lengthsMetre/0/value", json!("3.38")),
        ("/organismID", Value::Null),
    ] {
        only(&check(&with(rescue(), pointer, value)));
    }
}

#[test]
fn a_misspelt_field_and_the_missing_one_are_told_together() {
    let answer = check(&with(with(rescue(), "/eventDate", Value::Null), "/eventdate", json!("2026-07-02")));
    assert_eq!(codes(&answer), ["missing-field", "unknown-field"]);
    assert!(answer.problems()[0].help.as_deref().unwrap().contains("\"eventdate\""));
}

#[test]
fn what_depends_on_the_event_says_so() {
    let death = json!({
        "recordID": "O-9", "revision": 1, "kind": "mortality", "schemaVersion": "1.0",
        "authorID": "meruva.ombari", "centreID": "meruva.ombari", "eventDate": "2026-08-01",
        "lotID": "meruva.ombari:G1", "scientificName": "Gavialis gangeticus", "event": "death",
        "individualCount": 1
    });
    let answer = check(&death);
    let problem =
        answer.problems().iter().find(|problem| problem.pointer.as_deref() == Some("/when")).unwrap();
    assert_eq!(problem.code, "missing-field");
    assert!(problem.message.contains("`event` is \"death\""), "{}", problem.message);
}

#[test]
fn a_withdrawn_record_is_frame_and_reason_only() {
    let frame = json!({
        "recordID": "K-2026-0117", "revision": 2, "kind": "rescue", "schemaVersion": "1.0",
        "authorID": "meruva.kolvani", "centreID": "meruva.kolvani", "eventDate": "2026-07-02",
        "withdrawn": true, "withdrawnReason": "entered twice"
    });
    assert!(matches!(check(&frame), CheckedLine::Accepted(_)), "{:#?}", check(&frame).problems());
    let answer = check(&with(frame, "/individualCount", json!(1)));
    let problem = only(&answer);
    assert_eq!((&*problem.code, problem.pointer.as_deref()), ("not-allowed-here", Some("/individualCount")));
    assert!(problem.message.contains("`withdrawn` is true"), "{}", problem.message);
    // However many fields there are too many, it is one slip.
    let all = with(with(rescue(), "/withdrawn", json!(true)), "/withdrawnReason", json!("entered twice"));
    assert!(only(&check(&all)).message.contains("`countMethod`"));
}

#[test]
fn kind_and_version_are_one_problem_each() {
    let cases: &[(&str, Value, &str, &str)] = &[
        ("/kind", Value::Null, "kind-missing", "rescue"),
        ("/kind", json!("resuce"), "kind-unknown", "`rescue`"),
        ("/kind", json!("necropsy"), "kind-unknown", "`mortality`"),
        ("/kind", json!("wombat"), "kind-unknown", "`census`"),
        ("/kind", json!(7), "kind-unknown", "rescue"),
        ("/schemaVersion", json!("1.1"), "schema-version-newer", "Update your checker"),
        ("/schemaVersion", json!("2.0"), "schema-version-newer", "Update your checker"),
        ("/schemaVersion", json!("0.9"), "schema-version-unknown", "\"1.0\""),
        ("/schemaVersion", json!("newest"), "schema-version-unknown", "\"1.0\""),
    ];
    for (pointer, value, code, help) in cases {
        // Other faults do not add to it.
        let record = with(with(rescue(), "/nonsense", json!(1)), pointer, value.clone());
        let answer = check(&record);
        let problem = only(&answer);
        assert_eq!(problem.code, *code, "{value}");
        assert!(problem.help.as_deref().unwrap().contains(help), "{problem:#?}");
    }
}

#[test]
fn rules_warn_and_never_refuse() {
    let cases: &[(Value, &str, &str)] = &[
        (with(rescue(), "/eventDate", json!("2026-10-03")), "future-date", "/eventDate"),
        (with(rescue(), "/eventDate", json!("2026-07-04/2026-07-02")), "date-reversed", "/eventDate"),
        (with(rescue(), "/scientificName", json!("Crocodylus palustirs")), "name-unknown", "/scientificName"),
        (with(rescue(), "/scientificName", json!("Mugger")), "name-common", "/scientificName"),
        (with(rescue(), "/lengthsMetre/0/high", json!(3.0)), "estimate-outside", "/lengthsMetre/0/value"),
        (with(rescue(), "/place/decimalLongitude", Value::Null), "position-half", "/place/decimalLatitude"),
        (with(rescue(), "/notes", json!("ab\u{202e}c")), "hidden-character", "/notes"),
        (with(marking(), "/markNumber", json!("985121004515")), "transponder-unusual", "/markNumber"),
        (with(marking(), "/markNumber", json!("985999999999999")), "transponder-unusual", "/markNumber"),
        (with(marking(), "/markNumber", json!("000121004515220")), "transponder-unusual", "/markNumber"),
        (with(marking(), "/markNumber", json!("999000000112233")), "transponder-test", "/markNumber"),
    ];
    for (record, code, at) in cases {
        let answer = check(record);
        let CheckedLine::Accepted(accepted) = &answer else { panic!("{:#?}", answer.problems()) };
        let problem = only(&answer);
        assert_eq!((&*problem.code, problem.pointer.as_deref()), (*code, Some(*at)));
        assert_eq!((problem.layer, problem.severity), (Layer::Rule, Severity::Warning));
        assert!(problem.column.is_some());
        assert_eq!(accepted.line, 1);
    }
    let zero = with(rescue(), "/place", json!({"decimalLatitude": 0, "decimalLongitude": 0.0}));
    assert_eq!(codes(&check(&zero)), ["position-zero"]);
}

#[test]
fn older_chips_are_remarked_on_and_known_ones_are_not() {
    let older =
        with(with(marking(), "/markNumber", json!("1234567890")), "/transponderStandard", json!("other"));
    assert_eq!(only(&check(&older)).severity, Severity::Info);
    for number in ["985121004515220", "985 121004515220", "356000000000001", "900215000000001"] {
        assert_eq!(codes(&check(&with(marking(), "/markNumber", json!(number)))), [""; 0], "{number}");
    }
    let tag = with(with(marking(), "/markType", json!("tag")), "/transponderStandard", Value::Null);
    assert_eq!(codes(&check(&with(tag, "/markNumber", json!("7")))), [""; 0]);
}

#[test]
fn a_long_number_is_kept_and_flagged() {
    let text = with(rescue(), "/extensions", json!({"tag": 1})).to_string();
    let text = text.replace("\"tag\":1", "\"tag\":9007199254740993");
    let answer = check_text(&text);
    let problem = only(&answer);
    assert_eq!((&*problem.code, problem.pointer.as_deref()), ("number-inexact", Some("/extensions/tag")));
    assert!(problem.message.contains("9007199254740992"));
}

#[test]
fn columns_count_bytes_from_one() {
    let text = "{\"kind\":\"resc\u{fc}e\"}";
    assert_eq!(only(&check_text(text)).column, Some(9));
    let text = r#"{"kind":"rescue","a":1,"\u0061":2}"#;
    let answer = check_text(text);
    let problem = only(&answer);
    assert_eq!(
        (&*problem.code, problem.column, problem.pointer.as_deref()),
        ("duplicate-name", Some(24), Some("/a"))
    );
}

#[test]
fn every_code_given_is_in_the_catalogue() {
    let known: Vec<_> = catalogue().map(|rule| rule.code).collect();
    for text in ["", "{", "[]", "{\"a\":1,\"a\":1}", "{\"kind\":\"rescue\"}", "nonsense", "{\"kind\":1}"] {
        for code in codes(&check_text(text)) {
            assert!(known.contains(&code), "{code}");
        }
    }
}

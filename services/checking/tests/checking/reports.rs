//! What people and programs read.

use std::io::Cursor;

use haulout_checking::{Counts, Format, Report, StreamOptions};
use serde_json::{Value, json};

use crate::records::{checker, rescue, with};

fn night() -> String {
    let mut lines = vec![rescue().to_string(), String::new()];
    for number in 0..5000 {
        let record = with(rescue(), "/eventDate", Value::Null);
        lines.push(with(record, "/recordID", json!(format!("K-{number}"))).to_string());
    }
    lines.push(with(rescue(), "/<script>alert(1)", json!("<b>\u{1b}[31m")).to_string());
    lines.push(with(rescue(), "/eventDate", json!("2027-01-01")).to_string());
    lines.join("\n") + "\n"
}

fn report(format: Format) -> (String, Counts) {
    let mut report = Report::new(format, Cursor::new(Vec::new()));
    let options = StreamOptions::for_file("nights/2026-07-02/meruva.kolvani.ndjson");
    report.check(checker(), night().as_bytes(), &options).unwrap();
    let mut out = Vec::new();
    let counts = report.finish(&mut out).unwrap();
    (String::from_utf8(out).unwrap(), counts)
}

#[test]
fn counts_are_exact() {
    let (_, counts) = report(Format::Text);
    assert_eq!((counts.files, counts.lines, counts.blank), (1, 5004, 1));
    assert_eq!((counts.records, counts.valid), (5003, 2));
    assert_eq!(counts.by_kind["rescue"], 2);
    assert_eq!((counts.problems.error, counts.problems.warning, counts.problems.info), (5001, 1, 0));
    assert_eq!(counts.by_code["missing-field"], 5000);
    assert!(!counts.is_valid());
}

#[test]
fn text_groups_and_counts() {
    let (text, _) = report(Format::Text);
    assert!(text.contains("missing-field at /eventDate: 5,000 times"), "{text}");
    assert!(text.contains("nights/2026-07-02/meruva.kolvani.ndjson:3:1: `eventDate` is missing"), "{text}");
    assert!(text.contains("and 4,997 more"), "{text}");
    assert!(text.contains("Help: Add it. When the event happened."), "{text}");
    assert!(text.contains("Result: not valid. 5,001 of 5,003 records would be refused."), "{text}");
    assert!(!text.contains('\u{1b}'));
    assert!(text.len() < 4000, "{} bytes", text.len());
}

#[test]
fn json_leaves_nothing_out_and_is_canonical() {
    let (text, counts) = report(Format::Json);
    let read: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(read["problems"].as_array().unwrap().len(), 5002);
    assert_eq!(read["valid"], json!(false));
    assert_eq!(read["counts"], serde_json::to_value(&counts).unwrap());
    assert_eq!(
        read["problems"][0],
        json!({
            "file": "nights/2026-07-02/meruva.kolvani.ndjson", "line": 3, "column": 1,
            "pointer": "/eventDate", "code": "missing-field", "severity": "error", "layer": "schema",
            "message": "`eventDate` is missing", "help": "Add it. When the event happened."
        })
    );
    assert_eq!(serde_json_canonicalizer::to_string(&read).unwrap(), text.trim_end());
}

#[test]
fn the_page_stands_alone_and_holds_no_markup_of_others() {
    let (page, _) = report(Format::Html);
    assert!(page.starts_with("<!doctype html>\n<html lang=\"en\">"));
    assert!(page.contains("&lt;script&gt;") && !page.contains("<script"));
    assert!(!page.contains("http://") && !page.contains("https://"));
    for part in ["<main>", "<h1>", "<caption>", "scope=\"col\"", "5,000 times", "and 4,997 more"] {
        assert!(page.contains(part), "{part}");
    }
}

#[test]
fn nothing_to_check_is_said() {
    let mut report = Report::new(Format::Text, Cursor::new(Vec::new()));
    report.check(checker(), &b""[..], &StreamOptions::default()).unwrap();
    let mut out = Vec::new();
    let counts = report.finish(&mut out).unwrap();
    assert_eq!(counts.records, 0);
    assert!(String::from_utf8(out).unwrap().contains("there is no record here"));
}

//! Check and submit call the same function: on every example, good and bad, they say the same.

use haulout_demo::story;
use haulout_tests::{Hub, haulout};
use serde_json::Value;
use std::path::Path;

/// What a list of problems says, without what only the hub can add.
fn said(problems: &Value) -> Vec<(String, String, String, String)> {
    let text = |problem: &Value, member: &str| problem[member].as_str().unwrap_or_default().to_owned();
    let mut said: Vec<_> = problems
        .as_array()
        .into_iter()
        .flatten()
        .filter(|problem| problem["layer"] != "hub")
        .map(|problem| {
            (
                text(problem, "code"),
                text(problem, "pointer"),
                text(problem, "severity"),
                text(problem, "message"),
            )
        })
        .collect();
    said.sort();
    said
}

#[test]
fn on_every_example_they_say_the_same() {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../schemas/examples");
    let mut files = Vec::new();
    for kind in
        std::fs::read_dir(examples).unwrap().map(|entry| entry.unwrap().path()).filter(|path| path.is_dir())
    {
        files.extend([kind.join("minimal.json"), kind.join("full.json")]);
        files.extend(std::fs::read_dir(kind.join("bad")).unwrap().map(|entry| entry.unwrap().path()));
    }
    files.sort();
    assert!(files.len() >= 34 * 7, "{} examples", files.len());
    let hub = Hub::on_sqlite(&story::region());
    let operator = hub.caller("operator", None);
    hub.set_clock(&operator, "2026-12-01T09:00:00+05:30");
    let centre = hub.caller("centre", Some("meruva.kolvani"));
    let records: Vec<Value> = files
        .iter()
        .map(|file| serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap())
        .collect();
    let text: String = records.iter().map(|record| format!("{record}\n")).collect();
    let folder = tempfile::TempDir::new().unwrap();
    let whole = folder.path().join("examples.ndjson");
    std::fs::write(&whole, &text).unwrap();
    let output = haulout(&["check", whole.to_str().unwrap(), "--format", "json", "--today", "2026-12-01"]);
    assert_eq!(output.status.code(), Some(1), "the bad ones make it a no");
    let offline: Value = serde_json::from_slice(&output.stdout).unwrap();
    let online = hub.nobody().post("/v1/checks", "application/x-ndjson", text.as_bytes(), &[]);
    assert_eq!(online.status, 200, "the check itself succeeds, however bad the file");
    let online = online.json();
    let submitted = centre.submit(&records).json();
    let of_line = |report: &Value, line: usize| -> Value {
        report["problems"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|problem| problem["line"] == line)
            .cloned()
            .collect()
    };
    let mut refused = 0;
    for (at, file) in files.iter().enumerate() {
        let line = &submitted["lines"][at];
        let checked = said(&of_line(&offline, at + 1));
        assert_eq!(checked, said(&of_line(&online, at + 1)), "check and /v1/checks on {}", file.display());
        assert_eq!(checked, said(&line["problems"]), "check and submit on {}", file.display());
        let hub_alone = line["problems"]
            .as_array()
            .into_iter()
            .flatten()
            .any(|p| p["layer"] == "hub" && p["severity"] == "error");
        let valid = !checked.iter().any(|(_, _, severity, _)| severity == "error");
        assert_eq!(line["outcome"] != "rejected", valid && !hub_alone, "{}: {line}", file.display());
        refused += usize::from(!valid);
    }
    assert_eq!(refused, 34 * 5, "every bad example is refused, and no good one");
}

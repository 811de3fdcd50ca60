//! From a template over a filled sheet to a hub, by the commands alone.

use haulout_demo::story;
use haulout_tests::{Hub, binary, haulout, haulout_ok};
use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

/// Two rescues of one evening, in the order in which the columns are named here.
const ROWS: &str = "recordID,revision,kind,schemaVersion,authorID,centreID,eventDate,organismID,scientificName,event,source,individualCount,countMethod\n\
    s-1,1,rescue,1.0,meruva.velitha,meruva.velitha,2026-08-06T07:10+05:30,meruva.velitha:15,Trachemys scripta,leftAtGate,private,1,counted\n\
    s-2,1,rescue,1.0,meruva.velitha,meruva.velitha,2026-08-06,meruva.velitha:16,Lissemys punctata,leftAtGate,private,1,counted\n";

fn post(sheet: &Path, hub: &Hub, token: &str) -> Output {
    Command::new(binary())
        .args(["post", sheet.to_str().unwrap(), "--hub", hub.url(), "--format", "json"])
        .env("HAULOUT_TOKEN", token)
        .output()
        .unwrap()
}

#[test]
fn every_template_can_be_had_in_both_forms_and_an_empty_one_holds_no_record() {
    let folder = tempfile::TempDir::new().unwrap();
    for kind in haulout_schemas::Kind::ALL {
        for form in ["csv", "xlsx"] {
            let file = folder.path().join(format!("{}.{form}", kind.as_str()));
            haulout_ok(&["template", kind.as_str(), "--format", form, "--out", file.to_str().unwrap()]);
            let output = haulout(&["check", file.to_str().unwrap(), "--format", "json"]);
            let report: Value = serde_json::from_slice(&output.stdout).unwrap();
            assert_eq!(report["counts"]["records"], 0, "{kind} {form}: {report}");
            assert_eq!(report["counts"]["byCode"]["sheet-empty"], 1, "{kind} {form}: {report}");
            assert_eq!(output.status.code(), Some(0), "{kind} {form}: nothing in it is wrong");
        }
    }
    // A file is of the form that its name says.
    let file = folder.path().join("evening.xlsx");
    haulout_ok(&["template", "rescue", "--out", file.to_str().unwrap()]);
    assert_eq!(std::fs::read(&file).unwrap()[..2], *b"PK");
    let other = folder.path().join("other.xlsx");
    let output = haulout(&["template", "rescue", "--format", "csv", "--out", other.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(!other.exists());
    let output = haulout(&["template", "resque"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("`rescue`"));
}

#[test]
fn a_filled_sheet_is_checked_turned_into_records_and_posted() {
    let folder = tempfile::TempDir::new().unwrap();
    let (sheet, records) = (folder.path().join("evening.csv"), folder.path().join("evening.ndjson"));
    std::fs::write(&sheet, ROWS).unwrap();
    haulout_ok(&[
        "check",
        sheet.to_str().unwrap(),
        "--today",
        "2026-12-01",
        "--records",
        records.to_str().unwrap(),
    ]);
    let text = std::fs::read_to_string(&records).unwrap();
    let told: Vec<Value> = text.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(told.len(), 2);
    assert_eq!(told[0]["individualCount"], 1);
    assert_eq!(told[1]["scientificName"], "Lissemys punctata");

    let hub = Hub::on_sqlite(&story::region());
    let operator = hub.caller("operator", None);
    hub.set_clock(&operator, "2026-12-01T09:00:00+05:30");
    let centre = hub.caller("centre", Some("meruva.velitha"));
    let output = post(&sheet, &hub, centre.token().unwrap());
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(
        centre.get("/v1/records/meruva.velitha/s-2").json()["record"]["organismID"],
        "meruva.velitha:16"
    );
    // The records of the sheet are known already when they come as lines.
    let again = centre.submit_text(&text).json();
    assert_eq!(again["counts"]["known"], 2, "{again}");
}

#[test]
fn a_wrong_cell_is_named_and_the_other_rows_count() {
    let folder = tempfile::TempDir::new().unwrap();
    let sheet = folder.path().join("evening.csv");
    std::fs::write(&sheet, ROWS.replace("2026-08-06,", "06/08/2026,")).unwrap();
    let output = haulout(&["check", sheet.to_str().unwrap(), "--format", "json", "--today", "2026-12-01"]);
    assert_eq!(output.status.code(), Some(1));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!((&report["counts"]["records"], &report["counts"]["valid"]), (&2.into(), &1.into()));
    let problem = &report["problems"][0];
    assert_eq!((&problem["line"], &problem["column"]), (&3.into(), &7.into()), "{problem}");
    assert_eq!(problem["pointer"], "/eventDate");
    assert!(problem["message"].as_str().unwrap().contains("G3"), "{problem}");
}

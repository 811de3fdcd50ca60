use super::*;

fn report(author: &str, point: &str, name: &str, references: Value) -> Arc<Effective> {
    record(
        "rescue",
        author,
        "R1",
        "2026-07-09",
        json!({"pointID": format!("meruva.{point}"), "lotID": format!("meruva.{author}:L0"), "scientificName": name,
        "event": "seizure", "source": "trade", "individualCount": 330, "countMethod": "estimated", "low": 300, "high": 350, "incidentReferences": references}),
    )
}

fn link(event: &str) -> Arc<Effective> {
    record(
        "link",
        "coordination",
        "L1",
        "2026-07-20",
        json!({"centreID": null, "event": event,
        "counted": {"authorID": "meruva.police", "recordID": "R1"},
        "notCounted": {"authorID": "meruva.range", "recordID": "R1", "pointID": "meruva.office", "scientificName": "Testudines",
            "individualCount": 330, "source": "trade", "day": "2026-07-09"}}),
    )
}

#[test]
fn two_agencies_and_one_memo() {
    let police = report("police", "yard", "Testudines", json!(["FIR-12", "M-3"]));
    let range = report("range", "office", "Testudines", json!(["M-3", "FIR-12"]));
    let finding = only(found("reported-twice", &[police.clone(), range.clone()], "2026-07-31"));
    assert_eq!(
        text(&finding, "incidentReference"),
        "FIR-12",
        "told once, under the first reference that both carry"
    );
    assert_eq!(finding.centre_ids, ["meruva.office".into(), "meruva.yard".into()]);
    for event in ["same", "notSame"] {
        assert!(
            found("reported-twice", &[police.clone(), range.clone(), link(event)], "2026-07-12").is_empty(),
            "{event}, whatever its date"
        );
    }
    // A genus or species within the order may be the same animals; a crocodile cannot.
    assert_eq!(
        found(
            "reported-twice",
            &[police.clone(), report("range", "office", "Lissemys punctata", json!(["M-3"]))],
            "2026-07-31"
        )
        .len(),
        1
    );
    assert!(
        found(
            "reported-twice",
            &[police.clone(), report("range", "office", "Crocodylus palustris", json!(["M-3"]))],
            "2026-07-31"
        )
        .is_empty()
    );
    assert!(
        found(
            "reported-twice",
            &[police.clone(), report("range", "office", "Testudines", json!(["M-4"]))],
            "2026-07-31"
        )
        .is_empty()
    );
}

#[test]
fn three_reports_need_two_links() {
    let police = report("police", "yard", "Testudines", json!(["M-3"]));
    let range = report("range", "office", "Testudines", json!(["M-3"]));
    let centre = record(
        "rescue",
        "desharu",
        "R1",
        "2026-07-09",
        json!({"lotID": "meruva.desharu:L0", "scientificName": "Testudines", "event": "seizure",
        "source": "trade", "individualCount": 330, "countMethod": "asDocumented", "incidentReferences": ["M-3"]}),
    );
    assert_eq!(
        found("reported-twice", &[police.clone(), range.clone(), centre.clone()], "2026-07-31").len(),
        3
    );
    // The range's report is not counted: what is left is the pair of police and centre.
    assert_eq!(found("reported-twice", &[police, range, centre, link("same")], "2026-07-31").len(), 1);
}

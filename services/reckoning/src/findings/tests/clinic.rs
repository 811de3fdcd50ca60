use super::*;

const TURTLE: &str = "Nilssonia gangetica";
const MUGGER: &str = "Crocodylus palustris";

fn drug(id: &str, name: &str, drug: &str) -> Arc<Effective> {
    record(
        "treatment",
        "desharu",
        id,
        "2026-07-10",
        json!({"organismID": "meruva.desharu:1", "scientificName": name, "event": "drug", "drug": drug, "route": "subcutaneous"}),
    )
}

#[test]
fn a_drug_that_kills_turtles() {
    let finding =
        only(found("drug-dangerous-to-group", &[drug("T1", TURTLE, "Ivermectin 1 %")], "2026-07-10"));
    assert_eq!((text(&finding, "drug"), text(&finding, "order")), ("ivermectin", "Testudines"));
    assert_eq!((rests_on(&finding), text(&finding, "organismID")), (vec!["T1"], "meruva.desharu:1"));
    // A family, and the order itself: whatever it is, it is a turtle. So is a tortoise.
    for name in ["Trionychidae", "Testudines", "Indotestudo elongata"] {
        assert_eq!(
            found("drug-dangerous-to-group", &[drug("T1", name, "ivermectin")], "2026-07-10").len(),
            1,
            "{name}"
        );
    }
    // Crocodilians, other drugs, and names that nobody knows are not judged.
    for (name, given) in [(MUGGER, "ivermectin"), (TURTLE, "ceftazidime"), ("Ignotum ignotum", "ivermectin")]
    {
        assert!(
            found("drug-dangerous-to-group", &[drug("T1", name, given)], "2026-12-31").is_empty(),
            "{name}"
        );
    }
    // A lot too.
    let lot = record(
        "treatment",
        "desharu",
        "T2",
        "2026-07-10",
        json!({"lotID": "meruva.desharu:L1", "scientificName": TURTLE, "event": "drug", "drug": "ivermectin", "route": "oral"}),
    );
    assert_eq!(
        text(&only(found("drug-dangerous-to-group", &[lot], "2026-07-10")), "lotID"),
        "meruva.desharu:L1"
    );
}

fn binding(id: &str, date: &str, event: &str, site: &str) -> Arc<Effective> {
    record(
        "treatment",
        "kolvani",
        id,
        date,
        json!({"organismID": "meruva.kolvani:1", "scientificName": MUGGER, "event": event, "bindingSite": site}),
    )
}

#[test]
fn a_binding_is_taken_off_by_the_evening_of_the_next_day() {
    let on = binding("T1", "2026-07-02T05:00+05:30", "bindingOn", "jaws");
    let alone = std::slice::from_ref(&on);
    assert!(found("bound-too-long", alone, "2026-07-02").is_empty());
    let finding = only(found("bound-too-long", alone, "2026-07-03"));
    assert_eq!((text(&finding, "bindingSite"), finding.due_day), ("jaws", Some(day("2026-07-03"))));
    // Taken off late closes it from that day on; another site, or a time before, does not.
    let off = binding("T2", "2026-07-04", "bindingOff", "jaws");
    assert_eq!(found("bound-too-long", &[on.clone(), off.clone()], "2026-07-03").len(), 1);
    assert!(found("bound-too-long", &[on.clone(), off], "2026-07-04").is_empty());
    for (date, site) in [("2026-07-02", "limbs"), ("2026-07-01", "jaws"), ("2026-07-02T04:00+05:30", "jaws")]
    {
        let other = binding("T2", date, "bindingOff", site);
        assert_eq!(found("bound-too-long", &[on.clone(), other], "2026-07-31").len(), 1, "{date} {site}");
    }
    // On a day without hours nobody can say that it came before.
    assert!(
        found("bound-too-long", &[on, binding("T2", "2026-07-02", "bindingOff", "jaws")], "2026-07-31")
            .is_empty()
    );
}

#[test]
fn the_binding_of_an_animal_that_is_gone_is_no_finding() {
    let on = binding("T1", "2026-07-02", "bindingOn", "jaws");
    let ends = [
        ("mortality", json!({"event": "death", "individualCount": 1, "when": "inCare"})),
        ("release", json!({"individualCount": 1})),
        ("loss", json!({"event": "escaped", "individualCount": 1})),
    ];
    for (kind, mut body) in ends {
        body["organismID"] = json!("meruva.kolvani:1");
        body["scientificName"] = json!(MUGGER);
        let end = record(kind, "kolvani", "E1", "2026-07-03", body);
        assert!(found("bound-too-long", &[on.clone(), end], "2026-07-31").is_empty(), "{kind}");
    }
    let sent = |destination: &str, to: Value| {
        record(
            "dispatch",
            "kolvani",
            "D1",
            "2026-07-02",
            json!({"consignmentID": "meruva.kolvani:9", "destination": destination, "destinationID": to,
            "lines": [{"organismID": "meruva.kolvani:1", "scientificName": MUGGER, "individualCount": 1}]}),
        )
    };
    assert!(found("bound-too-long", &[on.clone(), sent("outside", Value::Null)], "2026-07-31").is_empty());
    // Within the region the receiver takes it off.
    assert_eq!(found("bound-too-long", &[on, sent("region", json!("meruva.ombari"))], "2026-07-31").len(), 1);
}

use super::*;

const MUGGER: &str = "Crocodylus palustris";
const ANIMAL: &str = "meruva.kolvani:1";

fn incident(event: &str, severity: &str, rest: Value) -> Arc<Effective> {
    let mut body =
        json!({"organismID": ANIMAL, "scientificName": MUGGER, "event": event, "severity": severity});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("incident", "kolvani", "I1", "2026-07-10", body)
}

fn own(kind: &str, author: &str, date: &str, mut body: Value) -> Arc<Effective> {
    body["organismID"] = json!(ANIMAL);
    body["scientificName"] = json!(MUGGER);
    record(kind, author, "X1", date, body)
}

#[test]
fn a_dangerous_animal_is_at_large_until_somebody_has_it() {
    let out = incident("dangerousEscape", "nearMiss", json!({"measures": "villages warned"}));
    assert_eq!(
        text(&only(found("dangerous-escape", std::slice::from_ref(&out), "2026-07-10")), "organismID"),
        ANIMAL
    );
    let ends = [
        own(
            "loss",
            "kolvani",
            "2026-07-12",
            json!({"event": "found", "lostAs": "escaped", "individualCount": 1}),
        ),
        own(
            "rescue",
            "desharu",
            "2026-07-12",
            json!({"event": "readmission", "source": "escaped", "individualCount": 1, "countMethod": "counted"}),
        ),
        own(
            "mortality",
            "kolvani",
            "2026-07-12",
            json!({"event": "death", "individualCount": 1, "when": "inCare"}),
        ),
    ];
    for end in ends {
        assert_eq!(found("dangerous-escape", &[out.clone(), end.clone()], "2026-07-11").len(), 1);
        assert!(found("dangerous-escape", &[out.clone(), end], "2026-07-12").is_empty());
    }
    // What was found before is out again; the loss itself brings nothing back.
    for other in [
        own(
            "loss",
            "kolvani",
            "2026-07-09",
            json!({"event": "found", "lostAs": "escaped", "individualCount": 1}),
        ),
        own("loss", "kolvani", "2026-07-10", json!({"event": "escaped", "individualCount": 1})),
    ] {
        assert_eq!(found("dangerous-escape", &[out.clone(), other], "2026-07-31").len(), 1);
    }
    assert!(found("dangerous-escape", &[incident("bite", "nearMiss", json!({}))], "2026-07-31").is_empty());
    let unnamed = incident("dangerousEscape", "nearMiss", json!({"organismID": null}));
    assert!(found("dangerous-escape", &[unnamed], "2026-07-31").is_empty());
}

#[test]
fn a_serious_incident_is_followed_up_within_a_week() {
    let bite = incident("bite", "serious", json!({}));
    assert!(found("incident-not-followed", std::slice::from_ref(&bite), "2026-07-16").is_empty());
    let finding = only(found("incident-not-followed", std::slice::from_ref(&bite), "2026-07-17"));
    assert_eq!((text(&finding, "severity"), finding.due_day), ("serious", Some(day("2026-07-17"))));
    assert_eq!(
        found("incident-not-followed", &[incident("attack", "nearMiss", json!({}))], "2026-07-17").len(),
        1
    );
    // Measures told, or treated on the spot.
    assert!(
        found(
            "incident-not-followed",
            &[incident("bite", "fatal", json!({"measures": "two keepers from now on"}))],
            "2026-12-31"
        )
        .is_empty()
    );
    assert!(found("incident-not-followed", &[incident("bite", "minor", json!({}))], "2026-12-31").is_empty());
    // An order of the authority about it closes it; a claim does not.
    let order = |author: &str| {
        record(
            "order",
            author,
            "O1",
            "2026-07-20",
            json!({"centreID": null, "orderNumber": "ORD-8", "orderType": "hold", "form": "written",
            "about": {"authorID": "meruva.kolvani", "recordID": "I1"}}),
        )
    };
    assert_eq!(found("incident-not-followed", &[bite.clone(), order("authority")], "2026-07-19").len(), 1);
    assert!(found("incident-not-followed", &[bite.clone(), order("authority")], "2026-07-20").is_empty());
    assert_eq!(found("incident-not-followed", &[bite, order("kolvani")], "2026-07-20").len(), 1);
}

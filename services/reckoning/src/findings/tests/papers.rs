use super::*;

const TURTLE: &str = "Nilssonia gangetica";

fn order(author: &str, id: &str, date: &str, form: &str, rest: Value) -> Arc<Effective> {
    let mut body = json!({"centreID": null, "orderNumber": "ORD-7", "orderType": "takeIn", "form": form});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("order", author, id, date, body)
}

fn death(number: Value) -> Arc<Effective> {
    record(
        "mortality",
        "kolvani",
        "M1",
        "2026-07-10",
        json!({"organismID": "meruva.kolvani:1", "scientificName": TURTLE, "event": "death", "individualCount": 1,
        "when": "inCare", "end": "destroyedByOrder", "orderNumber": number}),
    )
}

#[test]
fn a_spoken_order_is_put_in_writing_within_three_days() {
    let spoken = order("authority", "O1", "2026-07-10", "verbal", json!({}));
    let alone = std::slice::from_ref(&spoken);
    assert!(found("order-not-in-writing", alone, "2026-07-12").is_empty());
    let finding = only(found("order-not-in-writing", alone, "2026-07-13"));
    assert_eq!((text(&finding, "orderNumber"), finding.due_day), ("ORD-7", Some(day("2026-07-13"))));
    // The revision replaces it; a record of its own does the same, from its day on.
    assert!(
        found(
            "order-not-in-writing",
            &[order("authority", "O1", "2026-07-10", "written", json!({}))],
            "2026-12-31"
        )
        .is_empty()
    );
    let paper = order("authority", "O2", "2026-07-20", "written", json!({}));
    assert_eq!(found("order-not-in-writing", &[spoken.clone(), paper.clone()], "2026-07-19").len(), 1);
    assert!(found("order-not-in-writing", &[spoken.clone(), paper], "2026-07-20").is_empty());
    // A centre's claim is no paper, and is not judged by itself.
    let claim = order("kolvani", "O2", "2026-07-11", "written", json!({}));
    assert_eq!(found("order-not-in-writing", &[spoken, claim], "2026-07-20").len(), 1);
    assert!(
        found(
            "order-not-in-writing",
            &[order("kolvani", "O2", "2026-07-10", "verbal", json!({}))],
            "2026-12-31"
        )
        .is_empty()
    );
}

#[test]
fn an_order_that_is_named_is_known_within_seven_days() {
    let housed = record(
        "housing",
        "kolvani",
        "N1",
        "2026-07-10",
        json!({"organismID": "meruva.kolvani:1", "scientificName": TURTLE, "event": "housed", "orderNumber": "ORD-7",
        "units": [{"unitID": "K1", "individualCount": 1}]}),
    );
    let sent = record(
        "dispatch",
        "kolvani",
        "D1",
        "2026-07-10",
        json!({"consignmentID": "meruva.kolvani:1", "destination": "outside", "orderNumber": "ORD-7",
        "lines": [{"organismID": "meruva.kolvani:1", "scientificName": TURTLE, "individualCount": 1}]}),
    );
    let custody = |author: &str| {
        record(
            "custody",
            author,
            "C1",
            "2026-07-10",
            json!({"organismID": "meruva.kolvani:1", "scientificName": TURTLE, "event": "lifted", "caseNumber": "C-1", "orderNumber": "ORD-7",
            "centreID": "meruva.kolvani"}),
        )
    };
    for (one, kind) in [
        (housed.clone(), "housing"),
        (sent, "dispatch"),
        (custody("kolvani"), "custody"),
        (death(json!("ORD-7")), "mortality"),
    ] {
        assert!(found("order-not-known", std::slice::from_ref(&one), "2026-07-16").is_empty(), "{kind}");
        let finding = only(found("order-not-known", &[one], "2026-07-17"));
        assert_eq!((text(&finding, "kind"), finding.due_day), (kind, Some(day("2026-07-17"))));
    }
    // What the authority writes rests on its own word.
    assert!(found("order-not-known", &[custody("authority")], "2026-12-31").is_empty());
    // A claim does not count; the authority's order closes it from its day on.
    let claim = order("kolvani", "O2", "2026-07-10", "written", json!({}));
    assert_eq!(found("order-not-known", &[housed.clone(), claim], "2026-07-31").len(), 1);
    let late = order("authority", "O1", "2026-07-20", "written", json!({}));
    assert_eq!(found("order-not-known", &[housed.clone(), late.clone()], "2026-07-19").len(), 1);
    assert!(found("order-not-known", &[housed, late], "2026-07-20").is_empty());
}

#[test]
fn a_destruction_needs_an_order_in_force() {
    let reason = |records: &[Arc<Effective>]| {
        let found = found("destruction-without-order", records, "2026-07-10");
        found.first().map(|finding| text(finding, "reason").to_owned())
    };
    let destruction = |date: &str, rest: Value| {
        let mut body = json!({"orderType": "destruction"});
        for (member, value) in rest.as_object().unwrap() {
            body[member] = value.clone();
        }
        order("authority", "O1", date, "written", body)
    };
    assert_eq!(reason(&[death(Value::Null)]).as_deref(), Some("notNamed"));
    assert_eq!(reason(&[death(json!("ORD-7"))]).as_deref(), Some("notFound"));
    let other = order("authority", "O1", "2026-07-01", "written", json!({}));
    assert_eq!(reason(&[death(json!("ORD-7")), other]).as_deref(), Some("type"));
    let ended = destruction("2026-07-01", json!({"endDate": "2026-07-09"}));
    assert_eq!(reason(&[death(json!("ORD-7")), ended]).as_deref(), Some("dates"));
    // In force through its last day.
    let last = destruction("2026-07-01", json!({"endDate": "2026-07-10"}));
    assert_eq!(reason(&[death(json!("ORD-7")), last]), None);
    // Put to sleep by a veterinarian for its welfare: no death by order.
    let eased = record(
        "mortality",
        "kolvani",
        "M1",
        "2026-07-10",
        json!({"organismID": "meruva.kolvani:1", "scientificName": TURTLE, "event": "death", "individualCount": 1,
        "when": "inCare", "causeOfDeath": "euthanasia"}),
    );
    assert_eq!(reason(&[eased]), None);
}

#[test]
fn custody_is_not_lifted_on_nobodys_word() {
    let step = |author: &str, event: &str, number: Value| {
        record(
            "custody",
            author,
            "C1",
            "2026-07-10",
            json!({"lotID": "meruva.police:L1", "scientificName": TURTLE, "event": event, "caseNumber": "C-1", "orderNumber": number,
            "centreID": "meruva.kolvani", "forbids": ["movement"]}),
        )
    };
    for event in ["lifted", "varied"] {
        let finding =
            only(found("custody-lifted-without-order", &[step("kolvani", event, Value::Null)], "2026-07-10"));
        assert_eq!((text(&finding, "caseNumber"), text(&finding, "event")), ("C-1", event));
        // With a number it is for `order-not-known` to say whether the authority knows it.
        assert!(
            found("custody-lifted-without-order", &[step("kolvani", event, json!("ORD-7"))], "2026-12-31")
                .is_empty()
        );
        assert!(
            found("custody-lifted-without-order", &[step("authority", event, Value::Null)], "2026-12-31")
                .is_empty()
        );
    }
    assert!(
        found("custody-lifted-without-order", &[step("kolvani", "bound", Value::Null)], "2026-12-31")
            .is_empty()
    );
}

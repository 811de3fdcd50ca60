use super::*;

const TURTLE: &str = "Nilssonia gangetica";

fn sent(date: &str) -> Arc<Effective> {
    record(
        "dispatch",
        "ombari",
        "D1",
        date,
        json!({"consignmentID": "meruva.ombari:1", "destination": "region", "destinationID": "meruva.kolvani",
        "lines": [{"lotID": "meruva.ombari:L1", "scientificName": TURTLE, "individualCount": 4}]}),
    )
}

fn signed(author: &str, date: &str, arrived: &str) -> Arc<Effective> {
    record(
        "receipt",
        author,
        "E1",
        date,
        json!({"consignmentID": "meruva.ombari:1", "origin": "transit", "originID": "meruva.ombari",
        "lines": [{"lotID": "meruva.ombari:L1", "scientificName": TURTLE, "individualCount": 4, "arrived": arrived}]}),
    )
}

#[test]
fn nothing_arrives_before_it_left() {
    let fires = |left: &str, arrived: &str| {
        found("received-before-sent", &[sent(left), signed("kolvani", arrived, "alive")], "2026-07-31").len()
    };
    assert_eq!(fires("2026-07-10", "2026-07-09"), 1);
    assert_eq!(fires("2026-07-10T21:00+05:30", "2026-07-10T20:10+05:30"), 1);
    // Of one day without hours, or an interval that reaches into the journey: in no order.
    for (left, arrived) in [
        ("2026-07-10", "2026-07-10"),
        ("2026-07-10T21:00+05:30", "2026-07-10"),
        ("2026-07-09/2026-07-11", "2026-07-10"),
        ("2026-07-10", "2026-07-11"),
    ] {
        assert_eq!(fires(left, arrived), 0, "{left} {arrived}");
    }
    // Left in two parts: the receipt is after the first.
    let second = record(
        "dispatch",
        "ombari",
        "D2",
        "2026-07-08",
        json!({"consignmentID": "meruva.ombari:1", "destination": "region", "destinationID": "meruva.kolvani"}),
    );
    let records = [sent("2026-07-10"), second, signed("kolvani", "2026-07-09", "alive")];
    assert!(found("received-before-sent", &records, "2026-07-31").is_empty());
}

#[test]
fn it_is_signed_for_where_it_was_sent() {
    let finding = only(found(
        "received-elsewhere",
        &[sent("2026-07-10"), signed("desharu", "2026-07-11", "alive")],
        "2026-07-11",
    ));
    assert_eq!(text(&finding, "destinationID"), "meruva.kolvani");
    assert_eq!(
        finding.centre_ids,
        ["meruva.desharu".into(), "meruva.kolvani".into(), "meruva.ombari".into()]
    );
    assert!(
        found(
            "received-elsewhere",
            &[sent("2026-07-10"), signed("kolvani", "2026-07-11", "alive")],
            "2026-07-31"
        )
        .is_empty()
    );
    // Turned back, the sender signs for its own.
    assert!(
        found(
            "received-elsewhere",
            &[sent("2026-07-10"), signed("ombari", "2026-07-11", "turnedBack")],
            "2026-07-31"
        )
        .is_empty()
    );
    // Without a dispatch nobody knows where it was to go.
    assert!(
        found("received-elsewhere", &[signed("desharu", "2026-07-11", "alive")], "2026-07-31").is_empty()
    );
}

#[test]
fn a_journey_takes_two_nights_at_most() {
    let fires = |left: &str, arrived: &str| {
        found("journey-too-long", &[sent(left), signed("kolvani", arrived, "alive")], "2026-07-31")
    };
    assert!(fires("2026-07-10", "2026-07-12").is_empty());
    let finding = only(fires("2026-07-10", "2026-07-13"));
    assert_eq!((number(&finding, "nights"), rests_on(&finding)), (3, vec!["E1", "D1"]));
    // An interval counts by what is certain: it may have left on the 11th.
    assert!(fires("2026-07-10/2026-07-11", "2026-07-13").is_empty());
    // Not received: another rule. Empty crates: no animal waits in them.
    assert!(found("journey-too-long", &[sent("2026-07-10")], "2026-07-31").is_empty());
    let crates = record(
        "dispatch",
        "ombari",
        "D1",
        "2026-07-10",
        json!({"consignmentID": "meruva.ombari:1", "destination": "region", "destinationID": "meruva.kolvani"}),
    );
    assert!(
        found("journey-too-long", &[crates, signed("kolvani", "2026-07-20", "alive")], "2026-07-31")
            .is_empty()
    );
}

use super::*;

const TURTLE: &str = "Nilssonia gangetica";
const MUGGER: &str = "Crocodylus palustris";

fn entered(id: &str, date: &str, animal: &str, name: &str, batch: &str, unit: &str) -> Arc<Effective> {
    record(
        "quarantine",
        "desharu",
        id,
        date,
        json!({"organismID": animal, "scientificName": name, "event": "entered", "batchID": batch,
        "unitID": unit, "days": 30}),
    )
}

fn ended(id: &str, date: &str, by_vet: bool) -> Arc<Effective> {
    record(
        "quarantine",
        "desharu",
        id,
        date,
        json!({"organismID": "meruva.desharu:1", "scientificName": TURTLE, "event": "ended", "batchID": "Q1",
        "byVeterinarian": by_vet}),
    )
}

fn sent(date: &str) -> Arc<Effective> {
    record(
        "dispatch",
        "desharu",
        "D1",
        date,
        json!({"consignmentID": "meruva.desharu:1", "destination": "outside",
        "lines": [{"organismID": "meruva.desharu:1", "scientificName": TURTLE, "individualCount": 1}]}),
    )
}

fn turtle() -> Vec<Arc<Effective>> {
    vec![
        rescue("desharu", "R1", "2026-07-01", "meruva.desharu:1", TURTLE),
        entered("Q1a", "2026-07-01", "meruva.desharu:1", TURTLE, "Q1", "ISO1"),
    ]
}

fn with(more: Vec<Arc<Effective>>) -> Vec<Arc<Effective>> {
    turtle().into_iter().chain(more).collect()
}

#[test]
fn short_before_the_clear_day_and_not_on_it() {
    // Thirty days from 1 July: clear on 31 July.
    let finding = only(found("quarantine-short", &with(vec![sent("2026-07-30")]), "2026-08-31"));
    assert_eq!(
        (text(&finding, "clearDay"), text(&finding, "leftDay"), finding.due_day),
        ("2026-07-31", "2026-07-30", Some(day("2026-07-31")))
    );
    assert!(found("quarantine-short", &with(vec![sent("2026-07-31")]), "2026-08-31").is_empty());
    // Ended by a veterinarian: none. Ended by somebody else: it was still short.
    assert!(
        found(
            "quarantine-short",
            &with(vec![sent("2026-07-30"), ended("Q1z", "2026-07-29", true)]),
            "2026-08-31"
        )
        .is_empty()
    );
    assert_eq!(
        found(
            "quarantine-short",
            &with(vec![sent("2026-07-30"), ended("Q1z", "2026-07-29", false)]),
            "2026-08-31"
        )
        .len(),
        1
    );
    assert_eq!(
        found(
            "quarantine-short",
            &with(vec![sent("2026-07-30"), ended("Q1z", "2026-07-31", true)]),
            "2026-08-31"
        )
        .len(),
        1
    );
}

#[test]
fn a_newcomer_of_the_same_order_starts_the_days_again() {
    // Worked by hand after the published rule: entries 1 and 20 July, 30 days, clear on 19 August.
    let second = entered("Q2a", "2026-07-20", "meruva.desharu:2", "Lissemys punctata", "Q2", "ISO1");
    let finding =
        only(found("quarantine-short", &with(vec![second.clone(), sent("2026-08-18")]), "2026-08-31"));
    assert_eq!((text(&finding, "clearDay"), rests_on(&finding)), ("2026-08-19", vec!["D1", "Q1a", "Q2a"]));
    assert!(found("quarantine-short", &with(vec![second, sent("2026-08-19")]), "2026-08-31").is_empty());
    // A crocodilian is of another order; another room without shared water is another room.
    for other in [
        entered("Q2a", "2026-07-20", "meruva.desharu:2", MUGGER, "Q2", "ISO1"),
        entered("Q2a", "2026-07-20", "meruva.desharu:2", "Lissemys punctata", "Q2", "ISO2"),
        entered("Q2a", "2026-08-05", "meruva.desharu:2", "Lissemys punctata", "Q2", "ISO1"),
    ] {
        assert!(found("quarantine-short", &with(vec![other, sent("2026-08-10")]), "2026-08-31").is_empty());
    }
    // A housing in the room counts as an entry, of whoever was not there before.
    let housed = record(
        "housing",
        "desharu",
        "N1",
        "2026-07-20",
        json!({"organismID": "meruva.desharu:3", "scientificName": TURTLE,
        "event": "housed", "units": [{"unitID": "ISO1", "individualCount": 1}]}),
    );
    assert_eq!(found("quarantine-short", &with(vec![housed, sent("2026-08-10")]), "2026-08-31").len(), 1);
}

#[test]
fn units_on_one_water_circuit_are_one_room() {
    let capacity = |id: &str, unit: &str| {
        record(
            "capacity",
            "desharu",
            id,
            "2026-06-01",
            json!({"event": "stated", "unitID": unit, "unitKind": "isolation",
        "arrangement": "isolating", "waterCircuit": "W1"}),
        )
    };
    let second = entered("Q2a", "2026-07-20", "meruva.desharu:2", TURTLE, "Q2", "ISO2");
    let records = with(vec![capacity("U1", "ISO1"), capacity("U2", "ISO2"), second, sent("2026-08-10")]);
    assert_eq!(text(&only(found("quarantine-short", &records, "2026-08-31")), "clearDay"), "2026-08-19");
}

#[test]
fn a_long_stay_elsewhere_is_leaving_and_another_isolation_room_is_not() {
    let moved = |stay: &str, unit: &str| {
        record(
            "housing",
            "desharu",
            "N1",
            "2026-07-10",
            json!({"organismID": "meruva.desharu:1", "scientificName": TURTLE,
        "event": "housed", "units": [{"unitID": unit, "individualCount": 1}], "stay": stay}),
        )
    };
    assert_eq!(
        text(&only(found("quarantine-short", &with(vec![moved("long", "POND")]), "2026-07-31")), "kind"),
        "housing"
    );
    assert!(found("quarantine-short", &with(vec![moved("quarantine", "ISO9")]), "2026-07-31").is_empty());
    assert!(found("quarantine-short", &with(vec![moved("long", "ISO1")]), "2026-07-31").is_empty());
}

#[test]
fn never_ended() {
    // Clear on 31 July, seven days of grace: told from the evening of 7 August.
    assert!(found("quarantine-overdue", &turtle(), "2026-08-06").is_empty());
    let finding = only(found("quarantine-overdue", &turtle(), "2026-08-07"));
    assert_eq!((number(&finding, "heads"), finding.due_day), (1, Some(day("2026-08-07"))));
    assert!(
        found("quarantine-overdue", &with(vec![ended("Q1z", "2026-08-01", true)]), "2026-08-31").is_empty()
    );
    // Nobody is left there.
    assert!(found("quarantine-overdue", &with(vec![sent("2026-08-02")]), "2026-08-31").is_empty());
    // Extended to ninety days: not before 29 September + 7.
    let extended = record(
        "quarantine",
        "desharu",
        "Q1x",
        "2026-07-20",
        json!({"organismID": "meruva.desharu:1", "scientificName": TURTLE, "event": "extended",
        "batchID": "Q1", "days": 90, "byVeterinarian": true}),
    );
    assert!(found("quarantine-overdue", &with(vec![extended]), "2026-09-30").is_empty());
}

#[test]
fn a_holding_point_keeps_no_quarantine() {
    let at_point = |kind: &str, id: &str, date: &str, mut rest: Value| {
        rest["pointID"] = "meruva.yard".into();
        record(kind, "police", id, date, rest)
    };
    let records = [
        at_point(
            "quarantine",
            "Q1",
            "2026-07-01",
            json!({"organismID": "meruva.police:1", "scientificName": TURTLE, "event": "entered", "batchID": "Q1", "days": 30}),
        ),
        at_point(
            "dispatch",
            "D1",
            "2026-07-03",
            json!({"consignmentID": "meruva.police:1", "destination": "owner",
            "lines": [{"organismID": "meruva.police:1", "scientificName": TURTLE, "individualCount": 1}]}),
        ),
    ];
    assert!(found("quarantine-short", &records, "2026-08-31").is_empty());
}

#[test]
fn what_was_split_off_before_the_entry_is_not_of_the_batch() {
    let about = |mut rest: Value, lot: &str| {
        rest["lotID"] = lot.into();
        rest["scientificName"] = TURTLE.into();
        rest
    };
    let split = |date: &str| {
        record(
            "regrouping",
            "desharu",
            "G1",
            date,
            json!({"event": "split",
            "from": [{"lotID": "meruva.desharu:L1", "scientificName": TURTLE, "individualCount": 10}],
            "to": [{"lotID": "meruva.desharu:L1", "scientificName": TURTLE, "individualCount": 6},
                   {"lotID": "meruva.desharu:L2", "scientificName": TURTLE, "individualCount": 4}]}),
        )
    };
    let rest = [
        lot("desharu", "R1", "2026-06-01", "meruva.desharu:L1", TURTLE, 10),
        record(
            "quarantine",
            "desharu",
            "Q1",
            "2026-07-01",
            about(
                json!({"event": "entered", "batchID": "Q1", "unitID": "ISO1", "days": 30}),
                "meruva.desharu:L1",
            ),
        ),
        record(
            "release",
            "desharu",
            "F1",
            "2026-07-10",
            about(json!({"individualCount": 4}), "meruva.desharu:L2"),
        ),
    ];
    let with = |date: &str| rest.iter().cloned().chain([split(date)]).collect::<Vec<_>>();
    assert!(found("quarantine-short", &with("2026-06-20"), "2026-08-31").is_empty());
    assert_eq!(found("quarantine-short", &with("2026-07-05"), "2026-08-31").len(), 1);
}

#[test]
fn a_part_that_entered_another_batch_belongs_to_it() {
    // Told apart on the day of the entry, quarantined by itself, ended by a veterinarian, moved.
    let about = |mut rest: Value| {
        rest["lotID"] = "meruva.desharu:L2".into();
        rest["scientificName"] = TURTLE.into();
        rest
    };
    let batch = record(
        "quarantine",
        "desharu",
        "Q1",
        "2026-07-01",
        json!({"lotID": "meruva.desharu:L1", "scientificName": "Nilssonia hurum",
        "event": "entered", "batchID": "Q1", "unitID": "ISO1", "days": 90}),
    );
    let part = record(
        "determination",
        "desharu",
        "B1",
        "2026-07-01",
        json!({"lotID": "meruva.desharu:L1", "event": "species", "individualCount": 2,
        "fromScientificName": "Nilssonia hurum", "toScientificName": TURTLE, "toLotID": "meruva.desharu:L2"}),
    );
    let moved = record(
        "housing",
        "desharu",
        "N1",
        "2026-08-16",
        about(
            json!({"event": "housed", "stay": "long", "units": [{"unitID": "POND", "individualCount": 2}]}),
        ),
    );
    let own = [
        record(
            "quarantine",
            "desharu",
            "Q2",
            "2026-07-01",
            about(json!({"event": "entered", "batchID": "Q2", "unitID": "ISO2", "days": 90})),
        ),
        record(
            "quarantine",
            "desharu",
            "Q2z",
            "2026-08-15",
            about(json!({"event": "ended", "batchID": "Q2", "byVeterinarian": true})),
        ),
    ];
    let without = vec![batch, part, moved];
    assert_eq!(text(&only(found("quarantine-short", &without, "2026-08-31")), "batchID"), "Q1");
    let with: Vec<_> = without.into_iter().chain(own).collect();
    assert!(found("quarantine-short", &with, "2026-08-31").is_empty());
}

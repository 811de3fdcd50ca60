use super::*;

const TURTLE: &str = "Nilssonia gangetica";
const ANIMAL: &str = "meruva.kolvani:1";

fn own(kind: &str, id: &str, date: &str, mut body: Value) -> Arc<Effective> {
    body["organismID"] = json!(ANIMAL);
    body["scientificName"] = json!(TURTLE);
    record(kind, "kolvani", id, date, body)
}

fn came(date: &str) -> Arc<Effective> {
    rescue("kolvani", "R1", date, ANIMAL, TURTLE)
}

#[test]
fn nothing_happens_to_an_animal_before_it_came() {
    let drug = |date: &str| {
        own("treatment", "T1", date, json!({"event": "drug", "drug": "meloxicam", "route": "oral"}))
    };
    let finding =
        only(found("event-before-arrival", &[came("2026-07-10"), drug("2026-07-09")], "2026-07-10"));
    assert_eq!((text(&finding, "kind"), rests_on(&finding)), ("treatment", vec!["R1", "T1"]));
    let death = own(
        "mortality",
        "M1",
        "2026-07-09",
        json!({"event": "death", "individualCount": 1, "when": "inCare"}),
    );
    assert_eq!(found("event-before-arrival", &[came("2026-07-10"), death], "2026-07-10").len(), 1);
    // Of one day, whatever the hour; an interval that reaches into the day.
    assert!(
        found("event-before-arrival", &[came("2026-07-10T18:00+05:30"), drug("2026-07-10")], "2026-07-10")
            .is_empty()
    );
    assert!(
        found(
            "event-before-arrival",
            &[came("2026-07-10T18:00+05:30"), drug("2026-07-10T17:00+05:30")],
            "2026-07-10"
        )
        .is_empty()
    );
    assert!(
        found("event-before-arrival", &[came("2026-07-10"), drug("2026-07-08/2026-07-10")], "2026-07-10")
            .is_empty()
    );
    // Before any of its arrivals, not before a later one: a readmission is the second.
    let first = rescue("desharu", "R0", "2026-07-01", ANIMAL, TURTLE);
    assert!(
        found("event-before-arrival", &[first, came("2026-07-10"), drug("2026-07-09")], "2026-07-10")
            .is_empty()
    );
    // Marks and sightings may be older than the books; nothing is said where no coming is told.
    let mark = own(
        "marking",
        "K1",
        "2020-01-01",
        json!({"event": "applied", "markType": "transponder", "markNumber": "965000000000001"}),
    );
    let seen = own("sighting", "S1", "2025-01-01", json!({"individualCount": 1, "vitality": "alive"}));
    assert!(found("event-before-arrival", &[came("2026-07-10"), mark, seen], "2026-07-10").is_empty());
    assert!(found("event-before-arrival", &[drug("2026-07-09")], "2026-07-10").is_empty());
    // Named out of a lot by the line of the dispatch itself: it is known from then on.
    let sent = record(
        "dispatch",
        "desharu",
        "D1",
        "2026-07-05",
        json!({"consignmentID": "meruva.desharu:1", "destination": "region", "destinationID": "meruva.kolvani",
        "lines": [{"organismID": ANIMAL, "fromLot": "meruva.desharu:L1", "scientificName": TURTLE, "individualCount": 1}]}),
    );
    assert!(
        found("event-before-arrival", &[sent, came("2026-07-10"), drug("2026-07-09")], "2026-07-10")
            .is_empty()
    );
}

#[test]
fn an_animal_is_of_one_sex() {
    let came = |sex: &str| {
        own(
            "rescue",
            "R1",
            "2026-07-01",
            json!({"event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted", "sex": sex}),
        )
    };
    let freed = |sex: &str| own("release", "F1", "2026-07-20", json!({"individualCount": 1, "sex": sex}));
    let finding = only(found("sex-contradicted", &[came("female"), freed("male")], "2026-07-20"));
    assert_eq!(rests_on(&finding), ["F1", "R1"]);
    assert!(found("sex-contradicted", &[came("female"), freed("male")], "2026-07-19").is_empty());
    for (one, other) in [("female", "female"), ("undetermined", "male"), ("mixed", "male")] {
        assert!(
            found("sex-contradicted", &[came(one), freed(other)], "2026-07-20").is_empty(),
            "{one} {other}"
        );
    }
    // A determination says which holds.
    let known = own(
        "determination",
        "X1",
        "2026-07-25",
        json!({"event": "sex", "individualCount": 1, "sex": "male"}),
    );
    assert_eq!(
        found("sex-contradicted", &[came("female"), freed("male"), known.clone()], "2026-07-24").len(),
        1
    );
    assert!(found("sex-contradicted", &[came("female"), freed("male"), known], "2026-07-25").is_empty());
}

#[test]
fn unmarked_is_said_after_a_whole_scan_only() {
    let none = |id: &str, date: &str, whole: Value| {
        own(
            "marking",
            id,
            date,
            json!({"event": "noneFound", "markType": "transponder", "fullBodyScan": whole}),
        )
    };
    let one = none("K1", "2026-07-02", Value::Null);
    assert_eq!(
        rests_on(&only(found("unmarked-without-scan", std::slice::from_ref(&one), "2026-07-02"))),
        ["K1"]
    );
    assert_eq!(
        found("unmarked-without-scan", &[none("K1", "2026-07-02", json!(false))], "2026-07-02").len(),
        1
    );
    assert!(
        found("unmarked-without-scan", &[none("K1", "2026-07-02", json!(true))], "2026-12-31").is_empty()
    );
    // Settled by a whole scan, or by any mark read or applied, later; not by an earlier one.
    let applied = |date: &str| {
        own(
            "marking",
            "K2",
            date,
            json!({"event": "applied", "markType": "transponder", "markNumber": "965000000000001"}),
        )
    };
    for later in [none("K2", "2026-07-05", json!(true)), applied("2026-07-05")] {
        assert_eq!(found("unmarked-without-scan", &[one.clone(), later.clone()], "2026-07-04").len(), 1);
        assert!(found("unmarked-without-scan", &[one.clone(), later], "2026-07-05").is_empty());
    }
    assert_eq!(found("unmarked-without-scan", &[one.clone(), applied("2026-07-01")], "2026-07-05").len(), 1);
    // Too small to carry one.
    let hatchling = own(
        "rescue",
        "R1",
        "2026-07-01",
        json!({"event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted", "lifeStage": "hatchling"}),
    );
    assert!(found("unmarked-without-scan", &[hatchling, one], "2026-12-31").is_empty());
}

use super::*;

const TURTLE: &str = "Nilssonia gangetica";
const ANIMAL: &str = "meruva.kolvani:1";

fn outlook(id: &str, date: &str, decision: &str, review: Value) -> Arc<Effective> {
    record(
        "outlook",
        "kolvani",
        id,
        date,
        json!({"organismID": ANIMAL, "scientificName": TURTLE, "decision": decision, "review": review}),
    )
}

fn release(date: &str, name: &str) -> Arc<Effective> {
    record(
        "release",
        "kolvani",
        "F1",
        date,
        json!({"organismID": ANIMAL, "scientificName": name, "individualCount": 1}),
    )
}

#[test]
fn never_to_be_released() {
    let never = outlook("T1", "2026-07-01", "neverRelease", Value::Null);
    let free = release("2026-07-20", TURTLE);
    let finding = only(found("never-release-released", &[never.clone(), free.clone()], "2026-07-20"));
    assert_eq!((text(&finding, "reason"), rests_on(&finding)), ("outlook", vec!["F1", "T1"]));
    // Decided anew before the release; decided only after it; two words on one day.
    let anew = outlook("T2", "2026-07-10", "releaseCandidate", Value::Null);
    assert!(found("never-release-released", &[never.clone(), anew, free.clone()], "2026-12-31").is_empty());
    let after = outlook("T2", "2026-07-21", "releaseCandidate", Value::Null);
    assert_eq!(found("never-release-released", &[never.clone(), after, free.clone()], "2026-12-31").len(), 1);
    let same_day = outlook("T2", "2026-07-01", "releaseCandidate", Value::Null);
    assert!(found("never-release-released", &[never, same_day, free.clone()], "2026-12-31").is_empty());
    let too_late = outlook("T1", "2026-07-20", "neverRelease", Value::Null);
    assert!(found("never-release-released", &[too_late, free], "2026-12-31").is_empty());
}

#[test]
fn the_word_on_a_lot_binds_what_comes_of_it_and_the_profile_binds_all() {
    let of_lot = record(
        "outlook",
        "kolvani",
        "T1",
        "2026-07-01",
        json!({"lotID": "meruva.kolvani:L1", "scientificName": TURTLE, "decision": "neverRelease"}),
    );
    let named = record(
        "regrouping",
        "kolvani",
        "G1",
        "2026-07-02",
        json!({"event": "named", "from": [{"lotID": "meruva.kolvani:L1", "scientificName": TURTLE, "individualCount": 1}],
        "to": [{"organismID": ANIMAL, "scientificName": TURTLE, "individualCount": 1}]}),
    );
    let free = release("2026-07-20", TURTLE);
    assert_eq!(
        found("never-release-released", &[of_lot.clone(), named.clone(), free.clone()], "2026-07-20").len(),
        1
    );
    // The animal's own later word stands above the lot's.
    let own = outlook("T2", "2026-07-10", "releaseCandidate", Value::Null);
    assert!(found("never-release-released", &[of_lot, named, own, free], "2026-07-20").is_empty());
    // Trachemys scripta: introduced, never to be set free (species profiles, `neverRelease`).
    let slider =
        only(found("never-release-released", &[release("2026-07-20", "Trachemys scripta")], "2026-07-20"));
    assert_eq!(text(&slider, "reason"), "species");
}

#[test]
fn an_outlook_is_looked_at_again_within_a_week_of_its_day() {
    let open = outlook("T1", "2026-07-01", "undecided", json!("2026-07-20"));
    let alone = std::slice::from_ref(&open);
    assert!(found("outlook-review-overdue", alone, "2026-07-26").is_empty());
    let finding = only(found("outlook-review-overdue", alone, "2026-07-27"));
    assert_eq!((text(&finding, "review"), finding.due_day), ("2026-07-20", Some(day("2026-07-27"))));
    // Looked at again, late or before its day: from then on the new outlook stands.
    for date in ["2026-07-10", "2026-08-02"] {
        let again = outlook("T2", date, "lifelongCare", Value::Null);
        assert!(found("outlook-review-overdue", &[open.clone(), again], "2026-08-31").is_empty(), "{date}");
    }
    let earlier = outlook("T2", "2026-06-30", "lifelongCare", Value::Null);
    assert_eq!(found("outlook-review-overdue", &[open.clone(), earlier], "2026-08-31").len(), 1);
    // Gone, or without a day, or a loan.
    assert!(found("outlook-review-overdue", &[open, release("2026-07-15", TURTLE)], "2026-08-31").is_empty());
    for (decision, review) in [("undecided", Value::Null), ("loan", json!("2026-07-20"))] {
        assert!(
            found("outlook-review-overdue", &[outlook("T1", "2026-07-01", decision, review)], "2026-12-31")
                .is_empty()
        );
    }
}

#[test]
fn a_loan_comes_back() {
    let loan = outlook("T1", "2026-07-01", "loan", json!("2026-07-20"));
    let sent = record(
        "dispatch",
        "kolvani",
        "D1",
        "2026-07-02",
        json!({"consignmentID": "meruva.kolvani:1", "destination": "placement",
        "lines": [{"organismID": ANIMAL, "scientificName": TURTLE, "individualCount": 1}]}),
    );
    let back = |date: &str| {
        record(
            "receipt",
            "kolvani",
            "E1",
            date,
            json!({"consignmentID": "meruva.kolvani:2", "origin": "placement",
            "lines": [{"organismID": ANIMAL, "scientificName": TURTLE, "individualCount": 1, "arrived": "alive"}]}),
        )
    };
    let out = [loan.clone(), sent.clone()];
    assert!(found("loan-overdue", &out, "2026-07-26").is_empty());
    let finding = only(found("loan-overdue", &out, "2026-07-27"));
    assert_eq!((rests_on(&finding), finding.due_day), (vec!["D1", "T1"], Some(day("2026-07-27"))));
    assert!(
        found("loan-overdue", &[loan.clone(), sent.clone(), back("2026-08-10")], "2026-08-10").is_empty()
    );
    assert_eq!(
        found("loan-overdue", &[loan.clone(), sent.clone(), back("2026-08-10")], "2026-08-09").len(),
        1
    );
    // An earlier stay elsewhere brings nothing back.
    assert_eq!(
        found("loan-overdue", &[loan.clone(), sent.clone(), back("2026-07-01")], "2026-08-31").len(),
        1
    );
    // Prolonged, dead, never sent, or no day named.
    let prolonged = outlook("T2", "2026-07-22", "loan", json!("2026-12-01"));
    assert!(found("loan-overdue", &[loan.clone(), sent.clone(), prolonged], "2026-12-07").is_empty());
    let death = record(
        "mortality",
        "kolvani",
        "M1",
        "2026-07-22",
        json!({"organismID": ANIMAL, "scientificName": TURTLE, "event": "death", "individualCount": 1, "when": "inCare"}),
    );
    assert!(found("loan-overdue", &[loan.clone(), sent.clone(), death], "2026-12-31").is_empty());
    assert!(found("loan-overdue", &[loan], "2026-12-31").is_empty());
    assert!(
        found("loan-overdue", &[outlook("T1", "2026-07-01", "loan", Value::Null), sent], "2026-12-31")
            .is_empty()
    );
}

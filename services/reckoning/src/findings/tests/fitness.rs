use super::*;

const TURTLE: &str = "Nilssonia gangetica";
const ANIMAL: &str = "meruva.kolvani:1";

fn word(id: &str, date: &str, fit: &str) -> Arc<Effective> {
    record(
        "assessment",
        "kolvani",
        id,
        date,
        json!({"organismID": ANIMAL, "scientificName": TURTLE, "event": "beforeTransport", "fitToTravel": fit}),
    )
}

fn sent(date: &str) -> Arc<Effective> {
    record(
        "dispatch",
        "kolvani",
        "D1",
        date,
        json!({"consignmentID": "meruva.kolvani:1", "destination": "region", "destinationID": "meruva.ombari",
        "lines": [{"organismID": ANIMAL, "scientificName": TURTLE, "individualCount": 1}]}),
    )
}

#[test]
fn the_last_word_before_a_journey_is_yes() {
    let through = |records: &[Arc<Effective>]| found("sent-unfit", records, "2026-07-31");
    for fit in ["no", "unknown"] {
        let finding = only(through(&[word("A1", "2026-07-09", fit), sent("2026-07-10")]));
        assert_eq!((text(&finding, "fitToTravel"), rests_on(&finding)), (fit, vec!["A1", "D1"]));
    }
    assert!(through(&[word("A1", "2026-07-09", "yes"), sent("2026-07-10")]).is_empty());
    assert!(through(&[sent("2026-07-10")]).is_empty());
    // Called fit afterwards, on the day of the journey, or on the day of the no: it may be the last word.
    for date in ["2026-07-09", "2026-07-10", "2026-07-10T08:00+05:30"] {
        let records =
            [word("A1", "2026-07-09", "no"), word("A2", date, "yes"), sent("2026-07-10T14:00+05:30")];
        assert!(through(&records).is_empty(), "{date}");
    }
    // Called fit before the no, or only after it had left.
    for date in ["2026-07-08", "2026-07-10T15:00+05:30", "2026-07-11"] {
        let records =
            [word("A1", "2026-07-09", "no"), word("A2", date, "yes"), sent("2026-07-10T14:00+05:30")];
        assert_eq!(through(&records).len(), 1, "{date}");
    }
    // Said on the day of the journey without an hour: in no order with it.
    assert!(through(&[word("A1", "2026-07-10", "no"), sent("2026-07-10")]).is_empty());
}

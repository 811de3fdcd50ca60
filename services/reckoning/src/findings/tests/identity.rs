use super::*;

const MUGGER: &str = "Crocodylus palustris";
const CHIP: &str = "356000000000017";

fn marking(author: &str, id: &str, date: &str, animal: &str, event: &str, rest: Value) -> Arc<Effective> {
    let mut body = json!({"organismID": animal, "scientificName": MUGGER, "event": event, "markType": "transponder", "markNumber": CHIP});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("marking", author, id, date, body)
}

#[test]
fn one_number_on_two_animals() {
    let one = marking("kolvani", "K1", "2026-07-03", "meruva.kolvani:1", "applied", json!({}));
    let other = marking("saivera", "K2", "2026-07-09", "meruva.saivera:5", "read", json!({}));
    let finding = only(found("mark-in-two-places", &[one.clone(), other.clone()], "2026-07-31"));
    assert_eq!((text(&finding, "reason"), rests_on(&finding)), ("animals", vec!["K1", "K2"]));
    assert_eq!(finding.centre_ids.len(), 2);
    // Linked as the same animal, and closed whatever the date of the link.
    let link = record(
        "link",
        "coordination",
        "L1",
        "2026-08-20",
        json!({"centreID": null, "event": "same",
        "organismIDs": ["meruva.kolvani:1", "meruva.saivera:5"]}),
    );
    assert!(codes(&[one.clone(), other.clone(), link], "2026-07-31").is_empty());
    // Read again on the same animal elsewhere is what marks are for.
    let again = marking("saivera", "K2", "2026-07-09", "meruva.kolvani:1", "read", json!({}));
    assert!(codes(&[one.clone(), again], "2026-07-31").is_empty());
    // A notch code may repeat; a release may carry somebody else's number.
    let notch = |author: &str, animal: &str| {
        marking(
            author,
            animal,
            "2026-07-03",
            animal,
            "applied",
            json!({"markType": "tailScuteNotch", "recordID": author}),
        )
    };
    assert!(
        codes(&[notch("kolvani", "meruva.kolvani:1"), notch("saivera", "meruva.saivera:5")], "2026-07-31")
            .is_empty()
    );
    let release = record(
        "release",
        "saivera",
        "F1",
        "2026-07-09",
        json!({"organismID": "meruva.saivera:5", "scientificName": MUGGER,
        "individualCount": 1, "markNumber": CHIP}),
    );
    assert_eq!(found("mark-in-two-places", &[one, release], "2026-07-31").len(), 1);
}

#[test]
fn one_number_on_two_species_or_after_death() {
    let one = marking("kolvani", "K1", "2026-07-03", "meruva.kolvani:1", "applied", json!({}));
    let porosus = marking(
        "saivera",
        "K2",
        "2026-07-09",
        "meruva.kolvani:1",
        "read",
        json!({"scientificName": "Crocodylus porosus"}),
    );
    assert_eq!(
        text(&only(found("mark-in-two-places", &[one.clone(), porosus.clone()], "2026-07-31")), "reason"),
        "species"
    );
    // A genus is no other species, and a determination joins two names.
    let genus = marking(
        "saivera",
        "K2",
        "2026-07-09",
        "meruva.kolvani:1",
        "read",
        json!({"scientificName": "Crocodylus"}),
    );
    assert!(codes(&[one.clone(), genus], "2026-07-31").is_empty());
    let determined = record(
        "determination",
        "kolvani",
        "T1",
        "2026-07-05",
        json!({"organismID": "meruva.kolvani:1", "event": "species",
        "individualCount": 1, "fromScientificName": MUGGER, "toScientificName": "Crocodylus porosus"}),
    );
    assert!(found("mark-in-two-places", &[one.clone(), porosus, determined], "2026-07-31").is_empty());
    // Dead on the 10th: read at the necropsy on the 12th is how it is known, read in August is not.
    let death = record(
        "mortality",
        "kolvani",
        "M1",
        "2026-07-10",
        json!({"organismID": "meruva.kolvani:1", "scientificName": MUGGER,
        "event": "death", "individualCount": 1, "when": "inCare"}),
    );
    let read = |date: &str| marking("kolvani", "K3", date, "meruva.kolvani:1", "read", json!({}));
    assert!(
        found("mark-in-two-places", &[one.clone(), death.clone(), read("2026-07-12")], "2026-08-31")
            .is_empty()
    );
    assert_eq!(
        text(&only(found("mark-in-two-places", &[one, death, read("2026-08-12")], "2026-08-31")), "reason"),
        "afterDeath"
    );
}

#[test]
fn an_animal_in_two_stocks() {
    let here = rescue("kolvani", "R1", "2026-07-02", "meruva.kolvani:1", MUGGER);
    let there = record(
        "rescue",
        "saivera",
        "R2",
        "2026-07-10",
        json!({"organismID": "meruva.kolvani:1", "scientificName": MUGGER,
        "event": "readmission", "source": "released", "individualCount": 1, "countMethod": "counted"}),
    );
    let finding = only(found("animal-in-two-places", &[here.clone(), there.clone()], "2026-07-31"));
    assert_eq!(text(&finding, "firstDay"), "2026-07-10");
    assert_eq!(text(&finding, "accounts"), "centre/meruva.kolvani centre/meruva.saivera");
    // Released in between: none. Released only on the 12th: over on the 11th.
    let release = |date: &str| {
        record(
            "release",
            "kolvani",
            "F1",
            date,
            json!({"organismID": "meruva.kolvani:1", "scientificName": MUGGER, "individualCount": 1}),
        )
    };
    assert!(
        found("animal-in-two-places", &[here.clone(), there.clone(), release("2026-07-05")], "2026-07-31")
            .is_empty()
    );
    let late = only(found(
        "animal-in-two-places",
        &[here.clone(), there.clone(), release("2026-07-12")],
        "2026-07-31",
    ));
    assert_eq!(text(&late, "lastDay"), "2026-07-11");
    // Left within an interval that covers the other arrival: in no order, none.
    assert!(
        found("animal-in-two-places", &[here, there, release("2026-07-08/2026-07-12")], "2026-07-31")
            .is_empty()
    );
}

#[test]
fn on_the_road_an_animal_is_nowhere_else() {
    let here = rescue("kolvani", "R1", "2026-07-02", "meruva.kolvani:1", MUGGER);
    let line = json!({"organismID": "meruva.kolvani:1", "scientificName": MUGGER, "individualCount": 1});
    let dispatch = record(
        "dispatch",
        "kolvani",
        "D1",
        "2026-07-31T22:00+05:30",
        json!({"consignmentID": "meruva.kolvani:1",
        "destination": "region", "destinationID": "meruva.saivera", "lines": [line]}),
    );
    let receipt = |date: &str| {
        let mut line = line.clone();
        line["arrived"] = "alive".into();
        record(
            "receipt",
            "saivera",
            "E1",
            date,
            json!({"consignmentID": "meruva.kolvani:1", "origin": "transit", "lines": [line]}),
        )
    };
    assert!(
        codes(&[here.clone(), dispatch.clone(), receipt("2026-08-01T02:10+05:30")], "2026-08-31").is_empty()
    );
    // Received a day before it left.
    assert_eq!(
        found("animal-in-two-places", &[here, dispatch, receipt("2026-07-30")], "2026-08-31").len(),
        1
    );
}

#[test]
fn the_dead_do_nothing() {
    let death = |id: &str, date: &str| {
        record(
            "mortality",
            "kolvani",
            id,
            date,
            json!({"organismID": "meruva.kolvani:1", "scientificName": MUGGER,
        "event": "death", "individualCount": 1, "when": "inCare"}),
        )
    };
    let food = |date: &str| {
        record(
            "care",
            "kolvani",
            "C1",
            date,
            json!({"organismID": "meruva.kolvani:1", "scientificName": MUGGER, "event": "feeding", "food": "fish"}),
        )
    };
    let finding =
        only(found("event-after-death", &[death("M1", "2026-07-10"), food("2026-07-11")], "2026-07-31"));
    assert_eq!((text(&finding, "kind"), rests_on(&finding)), ("care", vec!["C1", "M1"]));
    // On the day of the death nobody knows which came first, unless both have a time.
    assert!(
        found("event-after-death", &[death("M1", "2026-07-10"), food("2026-07-10")], "2026-07-31").is_empty()
    );
    let timed = [death("M1", "2026-07-10T06:00+05:30"), food("2026-07-10T09:00+05:30")];
    assert_eq!(found("event-after-death", &timed, "2026-07-31").len(), 1);
    // Papers follow a death; a second death is one too many whatever its date.
    let necropsy = record(
        "mortality",
        "kolvani",
        "M2",
        "2026-07-12",
        json!({"organismID": "meruva.kolvani:1", "scientificName": MUGGER,
        "event": "necropsy", "individualCount": 1, "necropsyDone": true, "deathOf": {"authorID": "meruva.kolvani", "recordID": "M1"}}),
    );
    let result = record(
        "result",
        "kolvani",
        "X1",
        "2026-07-20",
        json!({"organismID": "meruva.kolvani:1", "sampleID": "S1", "sampleType": "tissue", "test": "culture", "outcome": "negative"}),
    );
    assert!(
        found("event-after-death", &[death("M1", "2026-07-10"), necropsy, result], "2026-07-31").is_empty()
    );
    assert_eq!(
        text(
            &only(found(
                "event-after-death",
                &[death("M1", "2026-07-10"), death("M9", "2026-07-10")],
                "2026-07-31"
            )),
            "kind"
        ),
        "mortality"
    );
}

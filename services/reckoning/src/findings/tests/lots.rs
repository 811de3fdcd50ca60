use super::*;

const BASKA: &str = "Batagur baska";
const LOT: &str = "meruva.ombari:E1";

fn clutch(id: &str, date: &str, event: &str, count: u32, rest: Value) -> Arc<Effective> {
    let mut body = json!({"lotID": LOT, "scientificName": BASKA, "event": event, "individualCount": count});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("clutch", "ombari", id, date, body)
}

#[test]
fn a_guess_is_counted_within_a_week() {
    let came = |rest: Value| {
        let mut body = json!({"lotID": LOT, "scientificName": BASKA, "event": "seizure", "source": "trade", "individualCount": 40,
            "countMethod": "estimated", "low": 30, "high": 60});
        for (member, value) in rest.as_object().unwrap() {
            body[member] = value.clone();
        }
        record("rescue", "ombari", "R1", "2026-07-10", body)
    };
    let guess = came(json!({}));
    assert!(found("lot-never-tallied", std::slice::from_ref(&guess), "2026-07-16").is_empty());
    let finding = only(found("lot-never-tallied", std::slice::from_ref(&guess), "2026-07-17"));
    assert_eq!((number(&finding, "individualCount"), finding.due_day), (40, Some(day("2026-07-17"))));
    let tally = record(
        "tally",
        "ombari",
        "Y1",
        "2026-07-20",
        json!({"lotID": LOT, "scientificName": BASKA, "lotCount": 40, "lines": [{"lotID": "meruva.ombari:L2", "scientificName": BASKA, "alive": 41, "dead": 0}]}),
    );
    assert_eq!(found("lot-never-tallied", &[guess.clone(), tally.clone()], "2026-07-19").len(), 1);
    assert!(found("lot-never-tallied", &[guess.clone(), tally], "2026-07-20").is_empty());
    // Counted by the receiver.
    let signed = record(
        "receipt",
        "kolvani",
        "E1",
        "2026-07-12",
        json!({"consignmentID": "meruva.ombari:1", "origin": "transit", "lines": [{"arrived": "alive", "lotID": LOT, "scientificName": BASKA, "individualCount": 39}]}),
    );
    assert!(found("lot-never-tallied", &[guess, signed], "2026-12-31").is_empty());
    // Counted at once, eggs, carcasses.
    for rest in [json!({"countMethod": "counted"}), json!({"lifeStage": "egg"}), json!({"vitality": "dead"})]
    {
        assert!(found("lot-never-tallied", &[came(rest.clone())], "2026-12-31").is_empty(), "{rest}");
    }
}

#[test]
fn no_more_eggs_hatch_than_there_were() {
    let collected = clutch("U1", "2026-07-01", "collected", 10, json!({}));
    let failed = clutch("U2", "2026-07-20", "failed", 2, json!({}));
    let hatched =
        |count| clutch("U3", "2026-08-20", "hatched", count, json!({"hatchlingsLotID": "meruva.ombari:L9"}));
    assert!(
        found("eggs-beyond-clutch", &[collected.clone(), failed.clone(), hatched(8)], "2026-12-31")
            .is_empty()
    );
    let records = [collected.clone(), failed.clone(), hatched(9)];
    assert!(found("eggs-beyond-clutch", &records, "2026-08-19").is_empty());
    let finding = only(found("eggs-beyond-clutch", &records, "2026-08-20"));
    assert_eq!((number(&finding, "eggs"), number(&finding, "ended")), (10, 11));
    assert_eq!(rests_on(&finding), ["U1", "U2", "U3"]);
    // Merged with others: what came in is told elsewhere. So with eggs that were received.
    let merged = record(
        "regrouping",
        "ombari",
        "G1",
        "2026-07-05",
        json!({"event": "merged", "from": [{"lotID": "meruva.ombari:E2", "scientificName": BASKA, "lifeStage": "egg", "individualCount": 5}],
        "to": [{"lotID": LOT, "scientificName": BASKA, "lifeStage": "egg", "individualCount": 15}]}),
    );
    assert!(
        found("eggs-beyond-clutch", &[collected, merged, failed.clone(), hatched(9)], "2026-12-31")
            .is_empty()
    );
    assert!(found("eggs-beyond-clutch", &[failed, hatched(9)], "2026-12-31").is_empty());
}

#[test]
fn a_clutch_hatches_in_its_window_and_no_pausing_egg_is_called_late() {
    // Batagur baska: 74 days at the latest (species profile), two weeks of grace: 88 days after 1 April.
    let laid = json!({"laidOn": "2026-04-01"});
    let collected = clutch("U1", "2026-04-02", "collected", 10, laid.clone());
    assert!(found("clutch-overdue", std::slice::from_ref(&collected), "2026-06-27").is_empty());
    let finding = only(found("clutch-overdue", std::slice::from_ref(&collected), "2026-06-28"));
    assert_eq!(
        (number(&finding, "eggs"), text(&finding, "laidDay"), finding.due_day),
        (10, "2026-04-01", Some(day("2026-06-28")))
    );
    // One of ten is left; all told.
    let hatched = clutch("U2", "2026-06-10", "hatched", 9, json!({"hatchlingsLotID": "meruva.ombari:L9"}));
    assert_eq!(
        number(&only(found("clutch-overdue", &[collected.clone(), hatched.clone()], "2026-06-28")), "eggs"),
        1
    );
    let failed = clutch("U3", "2026-07-02", "failed", 1, json!({}));
    assert!(found("clutch-overdue", &[collected, hatched, failed], "2026-07-02").is_empty());
    // Laid in care: its own day counts. Collected, and nobody knows how old: not judged.
    assert_eq!(
        found("clutch-overdue", &[clutch("U1", "2026-04-01", "laid", 10, json!({}))], "2026-06-28").len(),
        1
    );
    assert!(
        found("clutch-overdue", &[clutch("U1", "2026-04-01", "collected", 10, json!({}))], "2026-12-31")
            .is_empty()
    );
    // Eggs that pause, and a family some of whose species pause, or whose window nobody knows.
    for name in ["Nilssonia gangetica", "Trionychidae", "Hardella thurjii", "Ignotum ignotum"] {
        let mut rest = laid.clone();
        rest["scientificName"] = json!(name);
        assert!(
            found("clutch-overdue", &[clutch("U1", "2025-04-02", "collected", 10, rest)], "2026-12-31")
                .is_empty(),
            "{name}"
        );
    }
}

use super::*;

fn dispatch(count: u32, rest: Value) -> Arc<Effective> {
    let mut body = json!({"consignmentID": "meruva.ombari:1", "destination": "region", "destinationID": "meruva.kolvani",
        "lines": [{"lotID": "meruva.ombari:L1", "scientificName": "Gavialis gangeticus", "individualCount": count}]});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("dispatch", "ombari", "D1", "2026-07-10", body)
}

fn receipt(id: &str, date: &str, name: &str, count: u32) -> Arc<Effective> {
    record(
        "receipt",
        "kolvani",
        id,
        date,
        json!({"consignmentID": "meruva.ombari:1", "origin": "transit",
        "originID": "meruva.ombari",
        "lines": [{"arrived": "alive", "lotID": "meruva.ombari:L1", "scientificName": name, "individualCount": count}]}),
    )
}

/// What left stood there before, so that no balance goes below zero.
fn stock() -> Arc<Effective> {
    lot("ombari", "R1", "2026-07-01", "meruva.ombari:L1", "Gavialis gangeticus", 36)
}

#[test]
fn unreceived_from_the_evening_of_the_third_day_after_the_expected_arrival() {
    // Left on the 10th, expected on the 11th, so a receipt dated the 14th is the last in time.
    let records = [stock(), dispatch(36, json!({"expectedArrival": "2026-07-11T06:00+05:30"}))];
    assert!(codes(&records, "2026-07-13").is_empty());
    let finding = only(found("consignment-unreceived", &records, "2026-07-14"));
    assert_eq!(finding.due_day, Some(day("2026-07-14")));
    assert_eq!(finding.centre_ids, ["meruva.kolvani".into(), "meruva.ombari".into()]);
    assert_eq!((number(&finding, "difference"), number(&finding, "animals Gavialis gangeticus")), (36, 36));
    // Without an expected arrival the day of departure counts: the 13th.
    assert_eq!(codes(&[stock(), dispatch(36, json!({}))], "2026-07-13"), ["consignment-unreceived"]);
    // A late receipt closes it; one that is dated after the evaluated day does not.
    let late = [stock(), dispatch(36, json!({})), receipt("E1", "2026-07-20", "Gavialis gangeticus", 36)];
    assert_eq!(codes(&late, "2026-07-19"), ["consignment-unreceived"]);
    assert_eq!(codes(&late, "2026-07-20"), ["journey-too-long"], "ten nights; that stays told");
}

#[test]
fn a_dispatch_out_of_the_region_waits_for_nobody() {
    let records = [stock(), dispatch(36, json!({"destination": "outside", "destinationID": null}))];
    assert!(codes(&records, "2026-09-30").is_empty());
}

#[test]
fn count_and_species_are_told_apart_and_only_one_is_told() {
    // 36 sent, 35 received: one is missing, at once, for a receipt exists.
    let short = [stock(), dispatch(36, json!({})), receipt("E1", "2026-07-11", "Gavialis gangeticus", 35)];
    let finding = only(found("consignment-count", &short, "2026-07-11"));
    assert_eq!(number(&finding, "difference"), 1);
    assert_eq!(codes(&short, "2026-09-30"), ["consignment-count"]);
    // 37 received: one more than was sent.
    let extra = [stock(), dispatch(36, json!({})), receipt("E1", "2026-07-11", "Gavialis gangeticus", 37)];
    assert_eq!(number(&only(found("consignment-count", &extra, "2026-07-11")), "difference"), -1);
    // 36 sent and 36 received under another name: the sum is zero.
    let named = [stock(), dispatch(36, json!({})), receipt("E1", "2026-07-11", "Crocodylus palustris", 36)];
    let finding = only(found("consignment-species", &named, "2026-09-30"));
    assert_eq!(number(&finding, "animals Crocodylus palustris"), -36);
    assert_eq!(codes(&named, "2026-09-30"), ["consignment-species"]);
    // All received: nothing.
    let whole = [stock(), dispatch(36, json!({})), receipt("E1", "2026-07-11", "Gavialis gangeticus", 36)];
    assert!(codes(&whole, "2026-09-30").is_empty());
}

#[test]
fn a_settlement_needs_the_other_end() {
    let settled = |author: &str| {
        record(
            "settlement",
            author,
            "S1",
            "2026-07-12",
            json!({"event": "settled", "consignmentID": "meruva.ombari:1",
        "lines": [{"scientificName": "Gavialis gangeticus", "settledAs": "missing", "individualCount": 1, "reason": "crate open"}]}),
        )
    };
    let agreed = |author: &str| {
        record(
            "settlement",
            author,
            "S2",
            "2026-07-13",
            json!({"event": "agreed", "consignmentID": "meruva.ombari:1",
        "agreesTo": {"authorID": "meruva.kolvani", "recordID": "S1"}}),
        )
    };
    let mut records = vec![
        stock(),
        dispatch(36, json!({})),
        receipt("E1", "2026-07-11", "Gavialis gangeticus", 35),
        settled("kolvani"),
    ];
    // Settled: the account is empty, and the settlement itself is open.
    assert_eq!(rests_on(&only(found("settlement-unconfirmed", &records, "2026-07-12"))), ["S1"]);
    // Neither the settling end itself nor a party that has no part in the journey can agree.
    for author in ["kolvani", "thulmar"] {
        let mut with = records.clone();
        with.push(agreed(author));
        assert_eq!(codes(&with, "2026-07-31"), ["settlement-unconfirmed"], "{author}");
    }
    records.push(agreed("ombari"));
    assert!(codes(&records, "2026-07-31").is_empty());
    // The same agreement is not known on the day before it.
    assert_eq!(codes(&records, "2026-07-12"), ["settlement-unconfirmed"]);
}

#[test]
fn crates_that_were_not_disinfected() {
    let crates = |answer: &str| json!({"crates": [{"crateID": "C1", "disinfected": answer}, {"crateID": "C2", "disinfected": "yes"}]});
    let back = |answer| {
        record("dispatch", "desharu", "D9", "2026-07-12", {
            let mut body = json!({"consignmentID": "meruva.desharu:9", "destination": "region", "destinationID": "meruva.velitha"});
            body["crates"] = crates(answer)["crates"].clone();
            body
        })
    };
    let finding = only(found("crates-not-disinfected", &[back("no")], "2026-07-12"));
    assert_eq!(number(&finding, "crates"), 1);
    // An empty return has no animal lines, so the journey itself is no finding.
    assert_eq!(codes(&[back("no")], "2026-09-30"), ["crates-not-disinfected"]);
    // Nobody knows is not a no.
    assert!(codes(&[back("unknown")], "2026-09-30").is_empty());
}

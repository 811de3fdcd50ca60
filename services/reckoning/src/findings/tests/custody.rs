use super::*;

const LISSEMYS: &str = "Lissemys punctata";

fn bound() -> Arc<Effective> {
    record(
        "custody",
        "police",
        "B1",
        "2026-07-09T10:00+05:30",
        json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": "Testudines",
        "event": "bound", "caseNumber": "FIR-12", "forbids": ["movement", "release", "handingOver"]}),
    )
}

fn counted() -> Arc<Effective> {
    record(
        "tally",
        "police",
        "T1",
        "2026-07-09T14:00+05:30",
        json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": "Testudines",
        "lotCount": 20, "lines": [{"lotID": "meruva.police:L1", "scientificName": LISSEMYS, "alive": 20, "dead": 0}]}),
    )
}

fn arrived() -> Arc<Effective> {
    record(
        "rescue",
        "police",
        "R1",
        "2026-07-09T09:00+05:30",
        json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": "Testudines",
        "event": "seizure", "source": "trade", "individualCount": 20, "countMethod": "counted"}),
    )
}

fn sent(rest: Value) -> Arc<Effective> {
    let mut body = json!({"pointID": "meruva.yard", "consignmentID": "meruva.police:1", "destination": "region", "destinationID": "meruva.desharu",
        "lines": [{"lotID": "meruva.police:L1", "scientificName": LISSEMYS, "individualCount": 20}]});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("dispatch", "police", "D1", "2026-07-09T21:00+05:30", body)
}

fn received() -> Arc<Effective> {
    record(
        "receipt",
        "desharu",
        "E1",
        "2026-07-10",
        json!({"consignmentID": "meruva.police:1", "origin": "transit",
        "lines": [{"arrived": "alive", "lotID": "meruva.police:L1", "scientificName": LISSEMYS, "individualCount": 20}]}),
    )
}

fn leave(author: &str, rest: Value) -> Arc<Effective> {
    let mut body = json!({"centreID": null, "orderNumber": "ORD-5", "orderType": "leave", "form": "written", "caseNumber": "FIR-12", "endDate": "2026-07-31"});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("order", author, "OR1", "2026-07-09", body)
}

fn breaches(more: Vec<Arc<Effective>>) -> Vec<Finding> {
    let mut records = vec![arrived(), bound(), counted(), received()];
    records.extend(more);
    found("custody-breached", &records, "2026-08-31")
}

#[test]
fn a_lot_that_descends_from_case_property_needs_leave() {
    let finding = only(breaches(vec![sent(json!({}))]));
    assert_eq!(
        (text(&finding, "caseNumber"), text(&finding, "forbidden"), rests_on(&finding)),
        ("FIR-12", "movement", vec!["B1", "D1"])
    );
    assert!(breaches(vec![sent(json!({})), leave("authority", json!({}))]).is_empty());
    // The order's lots count as well as its case: the lot bound, or the one that descends from it.
    for lot in ["meruva.police:L0", "meruva.police:L1"] {
        assert!(
            breaches(vec![sent(json!({})), leave("authority", json!({"caseNumber": null, "lotIDs": [lot]}))])
                .is_empty(),
            "{lot}"
        );
    }
    // So does the number that the dispatch itself names.
    assert!(
        breaches(vec![
            sent(json!({"orderNumber": "ORD-5"})),
            leave("authority", json!({"caseNumber": null}))
        ])
        .is_empty()
    );
}

#[test]
fn what_is_no_leave() {
    for (why, order) in [
        ("a claim", leave("police", json!({}))),
        ("another case", leave("authority", json!({"caseNumber": "FIR-99"}))),
        ("ended", leave("authority", json!({"endDate": "2026-07-08"}))),
        ("a hold", leave("authority", json!({"orderType": "hold"}))),
        ("given later", leave("authority", json!({"eventDate": "2026-07-10"}))),
        ("to others", leave("authority", json!({"partyIDs": ["meruva.thulmar"]}))),
        ("for release only", leave("authority", json!({"allows": ["release"]}))),
    ] {
        assert_eq!(breaches(vec![sent(json!({})), order]).len(), 1, "{why}");
    }
}

#[test]
fn custody_holds_until_it_is_lifted_and_from_when_it_is_bound() {
    // Sent in the morning, bound afterwards; sent on the day without times: in no order.
    assert!(breaches(vec![sent(json!({"eventDate": "2026-07-09T08:00+05:30"}))]).is_empty());
    assert!(breaches(vec![sent(json!({"eventDate": "2026-07-09"}))]).is_empty());
    // A leave to move is no leave to release, weeks later and in another place.
    let freed = record(
        "release",
        "desharu",
        "F1",
        "2026-08-20",
        json!({"lotID": "meruva.police:L1", "scientificName": LISSEMYS, "individualCount": 5}),
    );
    let finding =
        only(breaches(vec![sent(json!({})), leave("authority", json!({"endDate": null})), freed.clone()]));
    assert_eq!((text(&finding, "forbidden"), text(&finding, "day")), ("release", "2026-08-20"));
    let both = leave("authority", json!({"endDate": null, "allows": ["movement", "release"]}));
    assert!(breaches(vec![sent(json!({})), both, freed.clone()]).is_empty());
    let lifted = record(
        "custody",
        "police",
        "B2",
        "2026-08-01",
        json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": "Testudines",
        "event": "lifted", "caseNumber": "FIR-12"}),
    );
    assert!(breaches(vec![sent(json!({})), leave("authority", json!({})), freed, lifted]).is_empty());
}

#[test]
fn what_was_split_off_before_it_was_bound_is_free() {
    let part = |date: &str| {
        record(
            "regrouping",
            "police",
            "G1",
            date,
            json!({"pointID": "meruva.yard", "event": "split",
            "from": [{"lotID": "meruva.police:L0", "scientificName": "Testudines", "individualCount": 20}],
            "to": [{"lotID": "meruva.police:L0", "scientificName": "Testudines", "individualCount": 15},
                   {"lotID": "meruva.police:L8", "scientificName": "Testudines", "individualCount": 5}]}),
        )
    };
    let sent = sent(
        json!({"lines": [{"lotID": "meruva.police:L8", "scientificName": "Testudines", "individualCount": 5}]}),
    );
    let judged =
        |date: &str| found("custody-breached", &[arrived(), bound(), part(date), sent.clone()], "2026-08-31");
    assert!(judged("2026-07-09T09:30+05:30").is_empty());
    assert_eq!(judged("2026-07-09T12:00+05:30").len(), 1);
}

#[test]
fn custody_may_be_lifted_of_a_part() {
    // Lifted of L1 where it now lives; what else came of the seizure stays bound.
    let counted = record(
        "tally",
        "police",
        "T1",
        "2026-07-09T14:00+05:30",
        json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0",
        "scientificName": "Testudines", "lotCount": 20, "lines": [
            {"lotID": "meruva.police:L1", "scientificName": LISSEMYS, "alive": 15, "dead": 0},
            {"lotID": "meruva.police:L2", "scientificName": LISSEMYS, "alive": 5, "dead": 0}]}),
    );
    let lifted = record(
        "custody",
        "desharu",
        "B9",
        "2026-08-01",
        json!({"lotID": "meruva.police:L1", "scientificName": LISSEMYS,
        "event": "lifted", "caseNumber": "FIR-12"}),
    );
    let freed = |id: &str, lot: &str, date: &str| {
        record(
            "release",
            "desharu",
            id,
            date,
            json!({"lotID": lot, "scientificName": LISSEMYS, "individualCount": 5}),
        )
    };
    let records = [
        arrived(),
        bound(),
        counted,
        lifted,
        freed("F0", "meruva.police:L1", "2026-07-31"),
        freed("F1", "meruva.police:L1", "2026-08-02"),
        freed("F2", "meruva.police:L2", "2026-08-02"),
    ];
    let breaches = found("custody-breached", &records, "2026-08-31");
    let told: Vec<_> = breaches.iter().map(rests_on).collect();
    assert_eq!(told, [["F0", "B1"], ["F2", "B1"]]);
}

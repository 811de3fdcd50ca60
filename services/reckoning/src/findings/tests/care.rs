use super::*;

const TURTLE: &str = "Nilssonia gangetica";

fn capacity(id: &str, date: &str, heads: u32, units: u32) -> Arc<Effective> {
    record(
        "capacity",
        "desharu",
        id,
        date,
        json!({"event": "stated", "unitID": "HALL", "unitKind": "ward", "arrangement": "communal",
        "headsLimit": heads, "units": units}),
    )
}

fn housed(id: &str, date: &str, lot: &str, unit: &str, count: u32, order: Value) -> Arc<Effective> {
    record(
        "housing",
        "desharu",
        id,
        date,
        json!({"lotID": lot, "scientificName": TURTLE, "event": "housed",
        "units": [{"unitID": unit, "individualCount": count}], "orderNumber": order}),
    )
}

fn order(author: &str, end: &str) -> Arc<Effective> {
    record(
        "order",
        author,
        "OR1",
        "2026-07-09",
        json!({"centreID": null, "orderNumber": "ORD-6", "orderType": "waiver", "form": "written", "endDate": end}),
    )
}

#[test]
fn more_heads_than_stated() {
    let lot = lot("desharu", "R1", "2026-07-01", "meruva.desharu:L1", TURTLE, 16);
    let full = [
        capacity("U1", "2026-06-01", 10, 1),
        lot.clone(),
        housed("N1", "2026-07-01", "meruva.desharu:L1", "HALL", 16, Value::Null),
    ];
    let finding = only(found("unit-overfull", &full, "2026-07-31"));
    assert_eq!(
        (number(&finding, "heads"), number(&finding, "headsLimit"), text(&finding, "firstDay")),
        (16, 10, "2026-07-01")
    );
    assert_eq!(rests_on(&finding), ["N1", "U1"]);
    // A row of two such units holds twenty; without a stated number nothing is judged here.
    let row = [
        capacity("U1", "2026-06-01", 10, 2),
        lot.clone(),
        housed("N1", "2026-07-01", "meruva.desharu:L1", "HALL", 16, Value::Null),
    ];
    assert!(found("unit-overfull", &row, "2026-07-31").is_empty());
    // Six die on the 5th: over on the 4th.
    let death = record(
        "mortality",
        "desharu",
        "M1",
        "2026-07-05",
        json!({"lotID": "meruva.desharu:L1", "scientificName": TURTLE, "event": "death",
        "individualCount": 6, "when": "inCare"}),
    );
    let mended: Vec<_> = full.iter().cloned().chain([death]).collect();
    assert_eq!(text(&only(found("unit-overfull", &mended, "2026-07-31")), "lastDay"), "2026-07-04");
    // The limit is lowered while they are there.
    let lowered = [
        capacity("U1", "2026-06-01", 16, 1),
        capacity("U2", "2026-07-10", 8, 1),
        lot,
        housed("N1", "2026-07-01", "meruva.desharu:L1", "HALL", 16, Value::Null),
    ];
    assert_eq!(text(&only(found("unit-overfull", &lowered, "2026-07-31")), "firstDay"), "2026-07-10");
}

#[test]
fn an_order_waives_until_its_last_day() {
    let start = || {
        vec![
            capacity("U1", "2026-06-01", 10, 1),
            lot("desharu", "R1", "2026-07-10", "meruva.desharu:L1", TURTLE, 16),
            housed("N1", "2026-07-10", "meruva.desharu:L1", "HALL", 16, json!("ORD-6")),
        ]
    };
    let records: Vec<_> = start().into_iter().chain([order("authority", "2026-07-30")]).collect();
    assert!(found("unit-overfull", &records, "2026-07-30").is_empty());
    assert_eq!(text(&only(found("unit-overfull", &records, "2026-07-31")), "firstDay"), "2026-07-31");
    // The stay under the order is told from its first day on, and rests on the housing.
    let stay = only(found("stay-under-order", &records, "2026-07-10"));
    assert_eq!(
        (rests_on(&stay), text(&stay, "endDate"), stay.due_day),
        (vec!["N1"], "2026-07-30", Some(day("2026-07-30")))
    );
    // A claim waives nothing; nor does an order that nobody wrote.
    let claimed: Vec<_> = start().into_iter().chain([order("desharu", "2026-07-30")]).collect();
    assert_eq!(found("unit-overfull", &claimed, "2026-07-12").len(), 1);
    // Moved into a proper unit on the last day: never overfull.
    let moved: Vec<_> = records
        .into_iter()
        .chain([housed("N2", "2026-07-30", "meruva.desharu:L1", "ROW", 16, Value::Null)])
        .collect();
    assert!(found("unit-overfull", &moved, "2026-09-30").is_empty());
}

#[test]
fn every_carcass_is_examined() {
    let tally = record(
        "tally",
        "police",
        "T1",
        "2026-07-09",
        json!({"pointID": "meruva.yard", "lotID": "meruva.police:L0", "scientificName": "Testudines", "lotCount": 321,
        "lines": [{"lotID": "meruva.police:L1", "scientificName": TURTLE, "alive": 312, "dead": 9}]}),
    );
    let necropsy = |id: &str, date: &str, count: u32, rest: Value| {
        let mut body = json!({"pointID": "meruva.yard", "lotID": "meruva.police:L1", "scientificName": TURTLE, "event": "necropsy", "individualCount": count,
            "deathOf": {"authorID": "meruva.police", "recordID": "T1"}, "necropsyDone": true});
        for (member, value) in rest.as_object().unwrap() {
            body[member] = value.clone();
        }
        record("mortality", "police", id, date, body)
    };
    // Fourteen days: told from the evening of 23 July.
    assert!(found("death-without-necropsy", std::slice::from_ref(&tally), "2026-07-22").is_empty());
    let finding = only(found("death-without-necropsy", std::slice::from_ref(&tally), "2026-07-23"));
    assert_eq!(
        (number(&finding, "deaths"), number(&finding, "examined"), finding.due_day),
        (9, 0, Some(day("2026-07-23")))
    );
    // Seven examined, for two a reason why not: all nine.
    let why = json!({"necropsyDone": false, "notPossibleBecause": "too far gone"});
    let seven = necropsy("M1", "2026-07-11", 7, json!({}));
    assert_eq!(
        number(
            &only(found("death-without-necropsy", &[tally.clone(), seven.clone()], "2026-07-31")),
            "examined"
        ),
        7
    );
    assert!(
        found(
            "death-without-necropsy",
            &[tally.clone(), seven.clone(), necropsy("M2", "2026-07-11", 2, why)],
            "2026-07-31"
        )
        .is_empty()
    );
    // Not done and no reason is nothing; one that comes late closes it from its own day on.
    let no_reason = necropsy("M2", "2026-07-11", 2, json!({"necropsyDone": false}));
    assert_eq!(
        found("death-without-necropsy", &[tally.clone(), seven.clone(), no_reason], "2026-07-31").len(),
        1
    );
    let late = [tally, seven, necropsy("M2", "2026-08-02", 2, json!({}))];
    assert_eq!(found("death-without-necropsy", &late, "2026-08-01").len(), 1);
    assert!(found("death-without-necropsy", &late, "2026-08-02").is_empty());
}

#[test]
fn deaths_on_the_lines_of_other_records() {
    let base = json!({"organismID": "meruva.velitha:1", "scientificName": TURTLE, "event": "fromWild", "source": "wild", "individualCount": 1,
        "countMethod": "counted", "vitality": "dead"});
    let carcass = record("rescue", "velitha", "R1", "2026-07-01", base);
    let receipt = record(
        "receipt",
        "velitha",
        "E1",
        "2026-07-01",
        json!({"consignmentID": "meruva.police:2", "origin": "outside",
        "lines": [{"arrived": "dead", "scientificName": TURTLE, "individualCount": 2}, {"arrived": "alive", "scientificName": TURTLE, "individualCount": 2}]}),
    );
    let settled = record(
        "settlement",
        "velitha",
        "S1",
        "2026-07-01",
        json!({"event": "settled", "consignmentID": "meruva.police:3",
        "lines": [{"scientificName": TURTLE, "settledAs": "dead", "individualCount": 3, "reason": "found in the padding"}]}),
    );
    let told: Vec<i64> = found("death-without-necropsy", &[carcass, receipt, settled], "2026-07-31")
        .iter()
        .map(|f| number(f, "deaths"))
        .collect();
    assert_eq!(told, [2, 1, 3], "sorted by record");
    // Eggs are no carcasses.
    let eggs = record(
        "mortality",
        "ombari",
        "M1",
        "2026-07-01",
        json!({"lotID": "meruva.ombari:E1", "scientificName": TURTLE, "event": "death",
        "individualCount": 5, "when": "inCare", "lifeStage": "egg"}),
    );
    assert!(found("death-without-necropsy", &[eggs], "2026-07-31").is_empty());
}

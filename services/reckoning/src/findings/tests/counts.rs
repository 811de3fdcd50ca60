use super::*;

const ELONGATA: &str = "Indotestudo elongata";

fn census(id: &str, date: &str, lines: Value, rest: Value) -> Arc<Effective> {
    let mut body = json!({"method": "headCount", "complete": true, "lines": lines});
    for (member, value) in rest.as_object().unwrap() {
        body[member] = value.clone();
    }
    record("census", "thulmar", id, date, body)
}

fn counted(id: &str, date: &str, count: u32) -> Arc<Effective> {
    census(id, date, json!([{"scientificName": ELONGATA, "individualCount": count}]), json!({}))
}

fn opening() -> Arc<Effective> {
    census(
        "O1",
        "2026-06-30",
        json!([{"scientificName": ELONGATA, "individualCount": 42}]),
        json!({"opening": true}),
    )
}

#[test]
fn a_run_of_equal_differences_is_one_finding() {
    // 42 in the books: 41 counted on the 1st and the 3rd (the 2nd has no census), 42 on the 4th, 40 on the 5th.
    let records = [
        opening(),
        counted("C1", "2026-07-01", 41),
        counted("C3", "2026-07-03", 41),
        counted("C4", "2026-07-04", 42),
        counted("C5", "2026-07-05", 40),
    ];
    let findings = found("census-difference", &records, "2026-07-05");
    let told: Vec<_> =
        findings.iter().map(|f| (number(f, "difference"), text(f, "firstDay"), text(f, "lastDay"))).collect();
    assert_eq!(told, [(-1, "2026-07-01", "2026-07-03"), (-2, "2026-07-05", "2026-07-05")]);
    assert_eq!(rests_on(&findings[0]), ["C1", "C3"]);
    // Judged through the 2nd, the run has one night.
    assert_eq!(text(&only(found("census-difference", &records, "2026-07-02")), "lastDay"), "2026-07-01");
}

#[test]
fn the_census_is_of_the_close_of_its_day() {
    // A tortoise comes at 20:00 after the count at 18:00: the census of that day must hold it.
    let arrival = rescue("thulmar", "R1", "2026-07-01T20:00+05:30", "meruva.thulmar:1", ELONGATA);
    let at_six = counted("C1", "2026-07-01T18:00+05:30", 42);
    assert_eq!(
        number(&only(found("census-difference", &[opening(), arrival, at_six], "2026-07-01")), "difference"),
        -1
    );
}

#[test]
fn only_a_complete_census_makes_absence_zero() {
    let absent = |rest: Value| [opening(), census("C1", "2026-07-01", json!([]), rest)];
    assert_eq!(
        number(&only(found("census-difference", &absent(json!({})), "2026-07-01")), "difference"),
        -42
    );
    assert!(codes(&absent(json!({"complete": false})), "2026-07-01").is_empty());
    assert!(
        codes(&absent(json!({"unitID": "T1"})), "2026-07-01").is_empty(),
        "one unit is not the whole place"
    );
    let buried = json!([{"scientificName": ELONGATA, "individualCount": 30}, {"scientificName": ELONGATA, "individualCount": 0, "notCountable": true}]);
    assert!(codes(&[opening(), census("C1", "2026-07-01", buried, json!({}))], "2026-07-01").is_empty());
    // A species that the books do not know is counted against zero, and an incomplete count changes no run.
    let stray = json!([{"scientificName": ELONGATA, "individualCount": 42}, {"scientificName": "Geochelone elegans", "individualCount": 1}]);
    let records = [
        opening(),
        census("C1", "2026-07-01", stray.clone(), json!({})),
        census("C2", "2026-07-02", json!([]), json!({"complete": false})),
        census("C3", "2026-07-03", stray, json!({})),
    ];
    let finding = only(found("census-difference", &records, "2026-07-03"));
    assert_eq!(
        (number(&finding, "difference"), text(&finding, "firstDay"), text(&finding, "lastDay")),
        (1, "2026-07-01", "2026-07-03")
    );
}

#[test]
fn fewer_than_none() {
    // One came, two died on the 5th, one more comes on the 8th: below zero from the 5th to the 7th.
    let death = record(
        "mortality",
        "thulmar",
        "M1",
        "2026-07-05",
        json!({"lotID": "meruva.thulmar:L1", "scientificName": ELONGATA,
        "event": "death", "individualCount": 2, "when": "inCare"}),
    );
    let records = [
        lot("thulmar", "R1", "2026-07-01", "meruva.thulmar:L1", ELONGATA, 1),
        death,
        lot("thulmar", "R2", "2026-07-08", "meruva.thulmar:L1", ELONGATA, 1),
    ];
    let open = only(found("balance-below-zero", &records, "2026-07-06"));
    assert_eq!(
        (number(&open, "lowest"), text(&open, "firstDay"), open.parameters.get("lastDay")),
        (-1, "2026-07-05", None)
    );
    assert_eq!(rests_on(&open), ["M1"]);
    assert_eq!(text(&only(found("balance-below-zero", &records, "2026-07-08")), "lastDay"), "2026-07-07");
    // Out and in on one day is no minus: the close counts.
    let same_day = [
        record(
            "release",
            "thulmar",
            "F1",
            "2026-07-05",
            json!({"lotID": "meruva.thulmar:L1", "scientificName": ELONGATA, "individualCount": 1}),
        ),
        lot("thulmar", "R1", "2026-07-05", "meruva.thulmar:L1", ELONGATA, 1),
    ];
    assert!(found("balance-below-zero", &same_day, "2026-07-31").is_empty());
}

#[test]
fn openings() {
    let twice = [
        opening(),
        census(
            "O2",
            "2026-07-02",
            json!([{"scientificName": ELONGATA, "individualCount": 1}]),
            json!({"opening": true}),
        ),
    ];
    let finding = only(found("second-opening", &twice, "2026-07-02"));
    assert_eq!((text(&finding, "reason"), rests_on(&finding)), ("second", vec!["O1", "O2"]));
    let earlier = [opening(), rescue("thulmar", "R1", "2026-06-29", "meruva.thulmar:1", ELONGATA)];
    assert_eq!(text(&only(found("second-opening", &earlier, "2026-07-02")), "reason"), "earlier");
    // On the very day nobody can say what the opening had counted; what posts nothing may be as old as it likes.
    let quiet = [
        opening(),
        rescue("thulmar", "R1", "2026-06-30", "meruva.thulmar:1", ELONGATA),
        record(
            "marking",
            "thulmar",
            "K1",
            "2023-05-01",
            json!({"organismID": "meruva.thulmar:2", "scientificName": ELONGATA,
            "event": "applied", "markType": "transponder", "markNumber": "356000000000001"}),
        ),
    ];
    assert!(found("second-opening", &quiet, "2026-07-02").is_empty());
}

#[test]
fn deaths_that_come_together() {
    let death = |id: &str, date: &str, count: u32, when: &str| {
        record(
            "mortality",
            "thulmar",
            id,
            date,
            json!({"lotID": "meruva.thulmar:L1",
        "scientificName": ELONGATA, "event": "death", "individualCount": count, "when": when}),
        )
    };
    let start = lot("thulmar", "R1", "2026-07-01", "meruva.thulmar:L1", ELONGATA, 40);
    // 1 + 1 + 2 from the 19th to the 21st: four within three days.
    let close = [
        start.clone(),
        death("M1", "2026-07-19", 1, "inCare"),
        death("M2", "2026-07-20", 1, "within48h"),
        death("M3", "2026-07-21", 2, "inCare"),
    ];
    let finding = only(found("deaths-cluster", &close, "2026-07-21"));
    assert_eq!(
        (number(&finding, "deaths"), text(&finding, "firstDay"), text(&finding, "lastDay")),
        (4, "2026-07-19", "2026-07-21")
    );
    // Windows that overlap are one cluster: 4 on the 19th to 21st, then 3 more with the last two on the 22nd.
    let mut longer = close.to_vec();
    longer.push(death("M4", "2026-07-22", 3, "inCare"));
    assert_eq!(number(&only(found("deaths-cluster", &longer, "2026-07-31")), "deaths"), 7);
    // Three, four over four days, or four that were dead before anyone came: none.
    for quiet in [
        vec![death("M1", "2026-07-19", 3, "inCare")],
        vec![death("M1", "2026-07-19", 2, "inCare"), death("M2", "2026-07-22", 2, "inCare")],
        vec![death("M1", "2026-07-19", 9, "beforeRescue")],
    ] {
        let records: Vec<_> = quiet.into_iter().chain([start.clone()]).collect();
        assert!(found("deaths-cluster", &records, "2026-07-31").is_empty());
    }
}

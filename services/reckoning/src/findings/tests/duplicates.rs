//! Likely one animal, reported by two.

use super::*;

fn arrival(author: &str, id: &str, date: &str, rest: Value) -> Arc<Effective> {
    let mut whole = json!({"organismID": format!("meruva.{author}:1"), "scientificName": "Crocodylus palustris", "event": "fromWild", "source": "wild",
        "individualCount": 1, "countMethod": "counted", "sex": "female", "lifeStage": "adult",
        "place": {"decimalLatitude": 22.40, "decimalLongitude": 78.10},
        "lengthsMetre": [{"value": 2.1, "measure": "totalLength", "method": "taped"}]});
    for (member, value) in rest.as_object().unwrap() {
        whole[member] = value.clone();
    }
    record("rescue", author, id, date, whole)
}

fn pair(rest: Value) -> Vec<Arc<Effective>> {
    vec![arrival("kolvani", "R1", "2026-07-30", json!({})), arrival("saivera", "R2", "2026-08-02", rest)]
}

fn mark(author: &str, number: &str) -> Arc<Effective> {
    record(
        "marking",
        author,
        &format!("K-{number}"),
        "2026-08-03",
        json!({"organismID": format!("meruva.{author}:1"), "scientificName": "Crocodylus palustris",
        "event": "read", "markType": "transponder", "markNumber": number}),
    )
}

/// Sex log2(.95/.5) = 0.926, size log2(.9/.15) = 2.585, stage log2(.85/.35) = 1.280, place log2(.9/.05) =
/// 4.170, time log2(.9/.25) = 1.848: 10.809 bits, across the end of the month.
#[test]
fn all_that_is_told_agrees() {
    let finding = only(found("likely-duplicate", &pair(json!({})), "2026-09-30"));
    assert_eq!((number(&finding, "score"), text(&finding, "grade")), (1081, "likely"));
    assert_eq!((text(&finding, "agree"), text(&finding, "differ")), ("sex size stage place time", ""));
    assert_eq!(rests_on(&finding), ["R1", "R2"]);
    // The other sex: log2(.05/.5) = -3.322 in place of 0.926, so 6.561: below 7.
    assert!(found("likely-duplicate", &pair(json!({"sex": "male"})), "2026-09-30").is_empty());
    // Sex not told: 9.883.
    let finding = only(found("likely-duplicate", &pair(json!({"sex": "undetermined"})), "2026-09-30"));
    assert_eq!((number(&finding, "score"), text(&finding, "grade")), (988, "possible"));
}

#[test]
fn what_keeps_two_apart() {
    let none = |records: Vec<Arc<Effective>>| found("likely-duplicate", &records, "2026-12-31").is_empty();
    assert!(none(pair(json!({"scientificName": "Gavialis gangeticus"}))), "another species");
    assert!(
        none(pair(json!({"place": {"decimalLatitude": 21.1, "decimalLongitude": 80.3}}))),
        "another place"
    );
    assert!(
        none(vec![
            arrival("kolvani", "R1", "2026-07-01", json!({})),
            arrival("saivera", "R2", "2026-08-20", json!({}))
        ]),
        "too late"
    );
    assert!(
        none(
            [pair(json!({})), vec![mark("kolvani", "900215000114723"), mark("saivera", "900215000114799")]]
                .concat()
        ),
        "two marks"
    );
    assert!(
        !none([pair(json!({})), vec![mark("kolvani", "900215000114723")]].concat()),
        "one mark tells nothing"
    );
    for event in ["same", "notSame"] {
        let link = record(
            "link",
            "coordination",
            "L1",
            "2026-08-05",
            json!({"centreID": null, "event": event, "organismIDs": ["meruva.kolvani:1", "meruva.saivera:1"]}),
        );
        assert!(none([pair(json!({})), vec![link]].concat()), "{event}");
    }
}

fn step(kind: &str, author: &str, date: &str, rest: Value) -> Arc<Effective> {
    let mut whole =
        json!({"organismID": format!("meruva.{author}:1"), "scientificName": "Crocodylus palustris"});
    for (member, value) in rest.as_object().unwrap() {
        whole[member] = value.clone();
    }
    record(kind, author, &format!("{kind}-{author}-{date}"), date, whole)
}

fn housed(author: &str, date: &str) -> Arc<Effective> {
    let units = json!([{"unitID": "P1", "individualCount": 1}]);
    step("housing", author, date, json!({"event": "housed", "units": units}))
}

fn lost(author: &str, date: &str) -> Arc<Effective> {
    step("loss", author, date, json!({"event": "escaped", "individualCount": 1}))
}

fn opened(author: &str, date: &str) -> Arc<Effective> {
    let death = json!({"authorID": format!("meruva.{author}"), "recordID": "R2"});
    step(
        "mortality",
        author,
        date,
        json!({"event": "necropsy", "individualCount": 1, "necropsyDone": true, "deathOf": death}),
    )
}

/// Kolvani's came on 30 July, Saivera's on 2 August.
#[test]
fn one_body_is_in_one_place() {
    let told = |more: Vec<Arc<Effective>>| {
        !found("likely-duplicate", &[pair(json!({})), more].concat(), "2026-12-31").is_empty()
    };
    let (kolvani, saivera) = (|| housed("kolvani", "2026-07-31"), || housed("saivera", "2026-08-02"));
    assert!(told(vec![kolvani()]), "one of them may be on paper only");
    assert!(!told(vec![kolvani(), saivera()]), "both stood on 2 August");
    assert!(told(vec![kolvani(), saivera(), lost("kolvani", "2026-08-01")]), "gone before the other came");
    assert!(told(vec![kolvani(), saivera(), lost("kolvani", "2026-08-02")]), "on the day on which it came");
    assert!(!told(vec![kolvani(), saivera(), lost("kolvani", "2026-08-03")]), "the day after");
    assert!(
        !told(vec![kolvani(), opened("saivera", "2026-08-04")]),
        "opened there while the other stood here"
    );
}

use super::*;

const TURTLE: &str = "Nilssonia gangetica";
const ANIMAL: &str = "meruva.kolvani:1";

fn length(metre: f64) -> Value {
    json!({"value": metre, "measure": "straightCarapaceLength", "method": "taped"})
}

fn measured(id: &str, date: &str, lengths: Value, injuries: Value) -> Arc<Effective> {
    record(
        "assessment",
        "kolvani",
        id,
        date,
        json!({"organismID": ANIMAL, "scientificName": TURTLE, "event": "examination", "lengthsMetre": lengths,
        "injuries": injuries}),
    )
}

fn fires(first: Value, then: Value, injuries: Value, more: &[Arc<Effective>]) -> usize {
    let mut records = vec![
        measured("A1", "2026-07-01", json!([first]), json!([])),
        measured("A2", "2026-07-20", json!([then]), injuries),
    ];
    records.extend_from_slice(more);
    found("shrinking-length", &records, "2026-07-31").len()
}

/// Five in a hundred of 0.400 m are 0.020 m: 0.380 is within the measuring error, 0.379 is not.
#[test]
fn shorter_by_more_than_the_measuring_error() {
    let none = || json!([]);
    assert_eq!(fires(length(0.4), length(0.38), none(), &[]), 0);
    assert_eq!(fires(length(0.4), length(0.379), none(), &[]), 1);
    assert_eq!(fires(length(0.379), length(0.4), none(), &[]), 0, "it grew");
    // With bounds: 0.375 to 0.385 now may be no shorter than 0.380.
    let mut wide = length(0.375);
    (wide["low"], wide["high"]) = (json!(0.365), json!(0.385));
    assert_eq!(fires(length(0.4), wide, none(), &[]), 0);
    let records = [
        measured("A1", "2026-07-01", json!([length(0.4)]), json!([])),
        measured("A2", "2026-07-20", json!([length(0.3)]), json!([])),
        measured("A3", "2026-07-25", json!([length(0.3)]), json!([])),
    ];
    let finding = only(found("shrinking-length", &records, "2026-07-31"));
    assert_eq!((text(&finding, "measure"), rests_on(&finding)), ("straightCarapaceLength", vec!["A1", "A2"]));
    assert_eq!((number(&finding, "earlierMillimetre"), number(&finding, "laterMillimetre")), (400, 300));
}

#[test]
fn what_does_not_compare_is_exempt() {
    let none = || json!([]);
    let plastron = json!({"value": 0.3, "measure": "plastronLength", "method": "taped"});
    assert_eq!(fires(length(0.4), plastron, none(), &[]), 0, "another measure");
    for method in ["byEye", "derived"] {
        let mut other = length(0.3);
        other["method"] = method.into();
        assert_eq!(fires(length(0.4), other.clone(), none(), &[]), 0, "{method} now");
        other["value"] = json!(0.5);
        assert_eq!(fires(other, length(0.3), none(), &[]), 0, "{method} then");
    }
    // A bitten tail, told with the later length or between the two; told before the first, it was measured.
    assert_eq!(fires(length(0.4), length(0.3), json!(["rear of the shell bitten off"]), &[]), 0);
    let told = |date: &str| measured("A9", date, json!([]), json!(["tail tip lost"]));
    assert_eq!(fires(length(0.4), length(0.3), none(), &[told("2026-07-10")]), 0);
    assert_eq!(fires(length(0.4), length(0.3), none(), &[told("2026-06-10")]), 1);
    let procedure = record(
        "treatment",
        "kolvani",
        "T1",
        "2026-07-05",
        json!({"organismID": ANIMAL, "scientificName": TURTLE, "event": "procedure", "procedure": "tail amputated"}),
    );
    assert_eq!(fires(length(0.4), length(0.3), none(), &[procedure]), 0);
    // Two of one day are in no order.
    let same_day = [
        measured("A1", "2026-07-01", json!([length(0.4)]), json!([])),
        measured("A2", "2026-07-01", json!([length(0.3)]), json!([])),
    ];
    assert!(found("shrinking-length", &same_day, "2026-07-31").is_empty());
}

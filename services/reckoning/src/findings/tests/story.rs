//! The points of the basin's quarter that concern findings, worked by hand.

use super::quarter::{
    MUGGER, arrivals, flood, flood_receipt, last_night, link, lorry, mugger, outbreak, readmission, settled,
};
use super::*;

#[test]
fn point_2_a_mugger_in_k2() {
    for through in ["2026-07-02", "2026-08-02", "2026-08-10", "2026-09-30"] {
        assert!(codes(&mugger(), through).is_empty(), "{through}");
    }
}

#[test]
fn point_3_the_lorry_is_reported_twice_until_it_is_linked() {
    let mut records = lorry();
    assert_eq!(codes(&records, "2026-07-09"), ["reported-twice"]);
    records.push(link());
    assert!(codes(&records, "2026-07-09").is_empty());
}

#[test]
fn points_4_and_5_settled_by_both_ends() {
    let mut records = lorry();
    records.push(link());
    records.extend(arrivals());
    records.push(record("capacity", "desharu", "U4", "2026-06-01", json!({"event": "stated", "unitID": "HALL", "unitKind": "ward", "arrangement": "communal", "headsLimit": 10})));
    let housed = |id: &str, date: &str, unit: &str, order: Value| {
        record(
            "housing",
            "desharu",
            id,
            date,
            json!({"lotID": "meruva.police:L2b", "scientificName": "Nilssonia gangetica", "event": "housed", "stay": "quarantine",
            "units": [{"unitID": unit, "individualCount": 16}], "orderNumber": order}),
        )
    };
    records.push(housed("N4", "2026-07-10", "HALL", json!("ORD-4")));
    records.push(housed("N5", "2026-07-30", "ROW7", Value::Null));
    // The close of the 10th: one gangetica too many on the way, one hurum too few.
    assert_eq!(codes(&records, "2026-07-10"), ["consignment-species", "stay-under-order"]);
    let species = only(found("consignment-species", &records, "2026-07-10"));
    assert_eq!(
        (number(&species, "animals Nilssonia gangetica"), number(&species, "animals Nilssonia hurum")),
        (1, -1)
    );
    // Settled by one end on the 11th and agreed by the other.
    records.extend(settled());
    assert_eq!(codes(&records, "2026-07-11"), ["stay-under-order"]);
    assert_eq!(codes(&records, "2026-09-30"), ["stay-under-order"]);
}

#[test]
fn point_6_the_deaths_come_together_and_the_crates_are_traced() {
    let mut records = lorry();
    records.push(link());
    records.extend(arrivals());
    records.extend(settled());
    records.extend(outbreak());
    assert_eq!(codes(&records, "2026-09-30"), ["crates-not-disinfected", "deaths-cluster"]);
    let cluster = only(found("deaths-cluster", &records, "2026-07-21"));
    assert_eq!(
        (number(&cluster, "deaths"), text(&cluster, "firstDay"), text(&cluster, "lastDay")),
        (4, "2026-07-20", "2026-07-21")
    );
    assert_eq!(number(&only(found("crates-not-disinfected", &records, "2026-07-21")), "crates"), 8);
}

#[test]
fn point_7_thirty_five_then_thirty_six() {
    let mut records = flood();
    assert!(codes(&records, "2026-07-31").is_empty(), "under way on the last of July");
    records.push(flood_receipt(1, 11));
    assert!(codes(&records, "2026-07-31").is_empty());
    assert_eq!(number(&only(found("consignment-count", &records, "2026-08-01")), "difference"), 1);
    records.pop();
    records.push(flood_receipt(2, 12));
    assert!(codes(&records, "2026-09-30").is_empty());
}

#[test]
fn point_9_back_from_released_is_neither_two_animals_nor_two_places() {
    // Before the revision the chip stands on two animals, and the hub says so.
    let first: Vec<_> =
        readmission(1).into_iter().filter(|one| one.record.envelope.record_id.as_str() != "F9").collect();
    assert_eq!(codes(&first, "2026-08-22"), ["mark-in-two-places"]);
    for through in ["2026-08-22", "2026-09-21", "2026-09-22", "2026-09-30"] {
        assert!(
            codes(&readmission(2), through).is_empty(),
            "{through}: {:?}",
            evaluate_all(&readmission(2), &world(through))
        );
    }
}

#[test]
fn point_9_readmitted_at_another_centre() {
    let animal = "meruva.kolvani:1";
    let mut records = vec![
        rescue("kolvani", "R1", "2026-07-02", animal, MUGGER),
        record(
            "release",
            "kolvani",
            "F1",
            "2026-08-02",
            json!({"organismID": animal, "scientificName": MUGGER, "individualCount": 1}),
        ),
    ];
    records.push(record(
        "rescue",
        "saivera",
        "R2",
        "2026-08-22",
        json!({"organismID": animal, "scientificName": MUGGER, "event": "readmission", "source": "released",
        "individualCount": 1, "countMethod": "counted"}),
    ));
    assert!(found("animal-in-two-places", &records, "2026-09-30").is_empty());
}

#[test]
fn point_10_one_tortoise_overlooked() {
    let finding = only(found("census-difference", &last_night(41), "2026-09-30"));
    assert_eq!(
        (number(&finding, "difference"), text(&finding, "firstDay"), text(&finding, "lastDay")),
        (-1, "2026-09-30", "2026-09-30")
    );
    assert_eq!(rests_on(&finding), ["C10"]);
    assert!(codes(&last_night(42), "2026-09-30").is_empty());
}

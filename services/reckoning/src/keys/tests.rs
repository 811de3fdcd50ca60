//! Under what records are found again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::*;
use crate::findings::tests::record;
use haulout_schemas::names::Names;
use serde_json::json;

fn filed(one: &std::sync::Arc<crate::Effective>) -> Vec<String> {
    keys(&one.record, Names::standard()).iter().map(ToString::to_string).collect()
}

#[test]
fn a_dispatch_is_found_by_journey_order_lots_and_place() {
    let dispatch = record(
        "dispatch",
        "police",
        "D1",
        "2026-07-09",
        json!({"pointID": "meruva.yard", "consignmentID": "meruva.police:1", "destination": "region",
        "destinationID": "meruva.desharu", "orderNumber": "ORD-3", "lines": [
            {"lotID": "meruva.police:L9", "fromLot": "meruva.police:L1", "scientificName": "Lissemys punctata", "individualCount": 5},
            {"organismID": "meruva.police:7", "scientificName": "Nilssonia gangetica", "individualCount": 1}]}),
    );
    assert_eq!(
        filed(&dispatch),
        [
            "animal/meruva.police:7",
            "consignment/meruva.police:1",
            "lot/meruva.police:L1",
            "lot/meruva.police:L9",
            "order/ORD-3",
            "place/meruva.yard",
            "units/meruva.yard"
        ]
    );
}

#[test]
fn a_link_is_found_by_both_records_and_the_stock_it_corrects() {
    let link = record(
        "link",
        "coordination",
        "L1",
        "2026-07-10",
        json!({"centreID": null, "event": "same", "counted": {"authorID": "meruva.police", "recordID": "R3"},
        "notCounted": {"authorID": "meruva.range", "recordID": "R9", "pointID": "meruva.office", "scientificName": "Testudines", "individualCount": 330,
            "source": "trade", "day": "2026-07-09"}, "organismIDs": ["meruva.police:1", "meruva.range:1"]}),
    );
    assert_eq!(
        filed(&link),
        [
            "animal/meruva.police:1",
            "animal/meruva.range:1",
            "place/meruva.office",
            "record/meruva.police/R3",
            "record/meruva.range/R9",
            "units/meruva.office"
        ]
    );
}

#[test]
fn a_readmission_is_found_by_the_number_given_meanwhile() {
    let rescue = record(
        "rescue",
        "saivera",
        "R9",
        "2026-08-22",
        json!({"organismID": "meruva.saivera:2023-4", "scientificName": "Crocodylus palustris",
        "event": "readmission", "source": "released", "individualCount": 1, "countMethod": "counted", "localID": "9"}),
    );
    assert!(filed(&rescue).contains(&"animal/meruva.saivera:9".to_owned()));
    // In any other rescue the local number is the party's own affair.
    let wild = record(
        "rescue",
        "saivera",
        "R9",
        "2026-08-22",
        json!({"organismID": "meruva.saivera:2", "scientificName": "Crocodylus palustris",
        "event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted", "localID": "9"}),
    );
    assert!(!filed(&wild).contains(&"animal/meruva.saivera:9".to_owned()));
}

#[test]
fn what_is_taken_back_is_filed_nowhere() {
    let withdrawn = record(
        "rescue",
        "saivera",
        "R9",
        "2026-08-22",
        json!({"withdrawn": true, "withdrawnReason": "a test", "organismID": "meruva.saivera:2"}),
    );
    assert!(filed(&withdrawn).is_empty());
}

#[test]
fn keys_are_read_back() {
    let key = Key::unit(&"meruva.kolvani".into(), "K2/north");
    assert_eq!(
        (key.as_str(), key.family(), key.within()),
        ("unit/meruva.kolvani/K2/north", Some(Family::Unit), Some(("meruva.kolvani".into(), "K2/north")))
    );
    assert_eq!(Key::from_text(key.as_str()), Some(key));
    assert_eq!(Key::from_text("nothing/1"), None);
    let words: std::collections::BTreeSet<&str> = Family::ALL.iter().map(|family| family.as_str()).collect();
    assert_eq!(words.len(), Family::ALL.len());
}

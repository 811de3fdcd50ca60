//! How many more a unit may take: what reservations are granted by.

use haulout_placement::{RequestFile, room_left};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::{Value, json};

use crate::basin::{call, plain, with};

fn left(file: &Value, unit: &str) -> Option<u32> {
    let file: RequestFile = serde_json::from_value(file.clone()).unwrap();
    room_left(
        &file.view,
        &file.requests[0],
        Profiles::standard(),
        Names::standard(),
        call(),
        ("meruva.kolvani", unit),
    )
    .map(|left| left.heads)
}

/// Two metres, K = 1: 20 m2 of water for the first, 4 for each further; 12 and 1.2 of land.
#[test]
fn by_space_and_by_heads() {
    let free = with(plain(), &[("/units/0/headsLimit", Value::Null)]);
    // Water: 1 + (70 - 20) / 4 = 13; land: 1 + (45 - 12) / 1.2 = 28.
    assert_eq!(left(&free, "K2"), Some(13));
    assert_eq!(left(&plain(), "K2"), Some(3));
    let promised = json!([{ "scientificName": "Crocodylus palustris", "individualCount": 2,
        "length": { "value": 2.0, "measure": "totalLength", "method": "taped" } }]);
    assert_eq!(left(&with(plain(), &[("/units/0/reserved", promised.clone())]), "K2"), Some(1));
    assert_eq!(left(&with(free, &[("/units/0/reserved", promised)]), "K2"), Some(11));
}

#[test]
fn a_row_counts_its_empty_units() {
    let row = with(
        plain(),
        &[
            ("/units/0/units", json!(4)),
            ("/units/0/arrangement", json!("isolating")),
            ("/units/0/freeUnits", json!(2)),
        ],
    );
    assert_eq!(left(&row, "K2"), Some(6));
    assert_eq!(left(&with(row, &[("/units/0/freeUnits", json!(0))]), "K2"), Some(0));
}

#[test]
fn what_cannot_be_checked_is_no_room() {
    assert_eq!(left(&with(plain(), &[("/units/0/depthMetre", Value::Null)]), "K2"), Some(0));
    let unknown = with(plain(), &[("/requests/0/scientificName", json!("Crocodylus ignotus"))]);
    assert_eq!(left(&unknown, "K2"), Some(0));
    assert_eq!(left(&plain(), "K7"), None);
}

#[test]
fn an_order_allows_what_was_asked_for_and_no_more() {
    let short = with(
        plain(),
        &[
            ("/requests/0/individualCount", json!(2)),
            ("/units/0/waterSquareMetre", json!(10.0)),
            (
                "/requests/0/waivers",
                json!([{ "rule": "room", "orderNumber": "O-1", "endDate": "2026-07-30" }]),
            ),
        ],
    );
    assert_eq!(left(&short, "K2"), Some(2));
    assert_eq!(left(&with(short, &[("/requests/0/waivers", json!([]))]), "K2"), Some(0));
}

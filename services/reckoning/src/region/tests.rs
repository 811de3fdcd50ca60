//! Region files that are taken, and what is said of those that are not.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::*;
use serde_json::{Value, json};

fn basin() -> Value {
    json!({"region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata",
        "parties": [
            {"partyID": "meruva.kolvani", "role": "centre", "name": "Kolvani", "latitude": 25.0, "longitude": 80.0, "basin": "Meruva"},
            {"partyID": "meruva.police", "role": "agency", "name": "Police station"},
            {"partyID": "meruva.lab", "role": "laboratory", "name": "Laboratory"}],
        "points": [{"pointID": "meruva.yard", "name": "Yard", "keeperID": "meruva.police", "latitude": 25.1, "longitude": 80.1, "longestHours": 24}],
        "roadFactor": 1.4, "speedKilometrePerHour": 38.5,
        "travelMinutes": [{"fromID": "meruva.yard", "toID": "meruva.kolvani", "minutes": 95}],
        "ferries": [{"fromID": "meruva.yard", "toID": "meruva.kolvani", "minutesToLanding": 40, "firstCrossing": "06:00", "lastCrossing": "19:30", "waitMinutes": 25}],
        "overrides": {"Crocodylus palustris": {"quarantineDays": {"value": 45, "source": "common practice"}}},
        "ruleOverrides": [{"code": "quarantine-overdue", "severity": "info", "thresholds": {"graceDays": 3}}],
        "nameList": {"version": "basin-1", "names": [{"scientificName": "Pseudemys nelsoni", "order": "Testudines", "family": "Emydidae"}]}})
}

/// The basin with one member set, by JSON Pointer.
fn with(pointer: &str, value: Value) -> String {
    let mut region = basin();
    match region.pointer_mut(pointer) {
        Some(member) => *member = value,
        None => {
            let (parent, name) = pointer.rsplit_once('/').unwrap();
            region.pointer_mut(parent).unwrap()[name] = value;
        }
    }
    region.to_string()
}

fn refused(text: &str) -> RegionError {
    Region::parse(text).expect_err(text)
}

#[test]
fn a_whole_region_is_read_and_answers() {
    let region = Region::parse(&basin().to_string()).unwrap();
    assert_eq!(region.keeper(&"meruva.yard".into()).unwrap().as_str(), "meruva.police");
    assert_eq!(region.keeper(&"meruva.kolvani".into()), None);
    assert_eq!(region.role(&"meruva.kolvani".into()), Some(Role::Centre));
    assert_eq!(region.role(&"meruva.nowhere".into()), None);
    assert_eq!(region.centres().count(), 1);
    assert_eq!(region.zone(), Tz::Asia__Kolkata);
    let profiles = region.profiles().unwrap();
    assert_eq!(profiles.get("Crocodylus palustris").unwrap().quarantine_days.value, 45);
    assert!(region.names(&profiles).unwrap().version().contains("basin-1"));
    let written = serde_json::to_string(&region).unwrap();
    assert_eq!(Region::parse(&written).unwrap(), region);
}

#[test]
fn the_least_region() {
    let region =
        Region::parse(r#"{"region": "meruva", "name": "Meruva", "timeZone": "UTC", "parties": []}"#).unwrap();
    assert_eq!((region.road_factor, region.points.len()), (None, 0));
}

#[test]
fn every_fault_of_shape_has_its_pointer() {
    for (pointer, text) in [
        ("/parties/1/rôle", with("/parties/1/rôle", json!("x"))),
        ("/parties/0/role", with("/parties/0/role", json!("zoo"))),
        ("/points/0/longestHours", with("/points/0/longestHours", json!("long"))),
        ("/ruleOverrides/0/severity", with("/ruleOverrides/0/severity", json!("error"))),
        ("/colour", with("/colour", json!("blue"))),
        ("/ferries/0/firstCrossing", with("/ferries/0/firstCrossing", json!("dawn"))),
    ] {
        let error = refused(&text);
        assert_eq!(error.faults.first().unwrap().pointer, pointer, "{error}");
    }
    let long = refused(&with("/roadFactor", json!("long"))).to_string();
    assert!(long.contains("string \"long\", expected a number at line 1"), "{long}");
    let missing = refused(r#"{"region": "meruva", "name": "Meruva", "parties": []}"#);
    assert!(missing.to_string().contains("timeZone"), "{missing}");
    assert!(refused("{").to_string().starts_with("the whole: "));
    assert!(refused(&format!("{} {{}}", basin())).to_string().contains("after the region's object"));
}

#[test]
fn every_contradiction_has_its_pointer() {
    for (pointer, text) in [
        ("/region", with("/region", json!("Meruva"))),
        ("/timeZone", with("/timeZone", json!("Asia/Meruva"))),
        ("/parties/1/partyID", with("/parties/1/partyID", json!("meruva.kolvani"))),
        ("/points/0/pointID", with("/points/0/pointID", json!("meruva.lab"))),
        ("/parties/2/partyID", with("/parties/2/partyID", json!("other.lab"))),
        ("/parties/0", with("/parties/0/latitude", Value::Null)),
        ("/parties/0/latitude", with("/parties/0/latitude", json!(95.0))),
        ("/points/0/keeperID", with("/points/0/keeperID", json!("meruva.nobody"))),
        ("/points/0/keeperID", with("/points/0/keeperID", json!("meruva.lab"))),
        ("/points/0/longestHours", with("/points/0/longestHours", json!(0))),
        ("/roadFactor", with("/roadFactor", json!(0.9))),
        ("/speedKilometrePerHour", with("/speedKilometrePerHour", json!(0.0))),
        ("/travelMinutes/0/toID", with("/travelMinutes/0/toID", json!("meruva.nowhere"))),
        ("/travelMinutes/0", with("/travelMinutes/0/toID", json!("meruva.yard"))),
        ("/travelMinutes/0/minutes", with("/travelMinutes/0/minutes", json!(0))),
        ("/parties/0/basin", with("/parties/0/basin", json!(" "))),
        ("/ferries/0/toID", with("/ferries/0/toID", json!("meruva.nowhere"))),
        ("/ferries/0", with("/ferries/0/toID", json!("meruva.yard"))),
        (
            "/overrides/Crocodylus palustris/quarantineDays",
            with(
                "/overrides",
                json!({"Crocodylus palustris": {"quarantineDays": {"value": 45, "source": "hearsay"}}}),
            ),
        ),
        ("/ruleOverrides/0/code", with("/ruleOverrides/0/code", json!("no-such-rule"))),
        ("/ruleOverrides/0/thresholds/weeks", with("/ruleOverrides/0/thresholds", json!({"weeks": 1}))),
        (
            "/nameList/names/0/scientificName",
            with("/nameList/names/0/scientificName", json!("Trionyx punctatus")),
        ),
    ] {
        let error = refused(&text);
        assert!(
            error.faults.iter().any(|fault| fault.pointer.starts_with(pointer)),
            "{pointer} in {error:?}"
        );
    }
    // All contradictions are told at once.
    let mut two = basin();
    two["timeZone"] = "Nowhere".into();
    two["points"][0]["keeperID"] = "meruva.nobody".into();
    assert_eq!(refused(&two.to_string()).faults.len(), 2);
}

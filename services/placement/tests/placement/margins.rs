//! Margins are true: once a passed margin is spent, and a hair more, the option is gone.

use std::collections::BTreeMap;

use haulout_placement::{Check, Options, PlacementOption, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::basin::{answer, first_night, plain, with};
use crate::disturbances::{disturbance, disturbed};

/// Figures are shown to the thousandth: a hair is more than what rounding hides.
const HAIR: f64 = 0.002;

/// The file with the margin of a passed check spent; `None` where the rule tells no margin that a
/// figure of the file holds.
fn spent(file: &Value, option: &PlacementOption, check: &Check) -> Option<Value> {
    let margin = check.margin.filter(|_| check.verdict == Verdict::Pass)?;
    let first = check.figures.first()?;
    let needed = first.needed?;
    let centre = position(&file["centres"], |one| one["centreID"] == json!(option.centre_id))?;
    let unit = position(&file["units"], |one| {
        one["centreID"] == json!(option.centre_id) && one["unitID"] == json!(option.unit_id)
    })?;
    let less = |path: String, hair: f64| {
        let there = file.pointer(&path)?.as_f64()?;
        Some(set(file, &path, json!(there - margin - hair)))
    };
    let fewer = |path: String| {
        let there = file.pointer(&path)?.as_f64()?;
        Some(set(file, &path, json!((there - margin - 1.0) as u32)))
    };
    match (check.code.as_str(), first.name.as_str()) {
        ("licence-heads", _) => {
            let mut licences = file["centres"][centre]["licences"].clone();
            for line in licences.as_array_mut()? {
                if let Some(limit) = line["headsLimit"].as_f64() {
                    line["headsLimit"] = json!((limit - margin - 1.0).max(0.0) as u32);
                }
            }
            Some(set(file, &format!("/centres/{centre}/licences"), licences))
        }
        ("arrivals", _) => fewer(format!("/centres/{centre}/arrivalsPerDay")),
        ("crew", _) => {
            let people = needed as u32 - 1;
            let crews =
                ["largeCrocodilian", "chelonian"].map(|skill| json!({ "skill": skill, "people": people }));
            Some(set(file, &format!("/centres/{centre}/crews"), json!(crews)))
        }
        ("unit-heads", _) => fewer(format!("/units/{unit}/headsLimit")),
        ("length-limit", _) => less(format!("/units/{unit}/lengthLimit/metre"), HAIR),
        ("room-least", "longest side") => less(format!("/units/{unit}/longestSideMetre"), HAIR),
        ("room-least", _) => {
            let water =
                set(file, &format!("/units/{unit}/waterSquareMetre"), json!((needed - HAIR).max(0.0)));
            Some(set(&water, &format!("/units/{unit}/landSquareMetre"), json!(0.0)))
        }
        ("room", "land") => less(format!("/units/{unit}/landSquareMetre"), HAIR),
        ("room", "water") => less(format!("/units/{unit}/waterSquareMetre"), HAIR),
        ("room", "depth") => less(format!("/units/{unit}/depthMetre"), HAIR),
        ("heat" | "incubator", _) => less(format!("/units/{unit}/lowestCelsius"), HAIR),
        ("bearable-hours" | "egg-hours", _) => {
            let mut minutes = file["requests"][0]["minutes"].as_object().cloned().unwrap_or_default();
            minutes.insert(option.centre_id.clone(), json!((needed + margin) as u32 + 1));
            Some(set(file, "/requests/0/minutes", json!(minutes)))
        }
        ("stabilise-hours", _) => {
            let until = file["requests"][0]["stayUntil"].as_str()?;
            let until = chrono::DateTime::parse_from_rfc3339(until).ok()?;
            let later = until + chrono::TimeDelta::minutes((margin * 60.0).ceil() as i64 + 1);
            Some(set(file, "/requests/0/stayUntil", json!(later.to_rfc3339())))
        }
        ("ferry", _) => {
            let last = needed as u32 - 1;
            let mut ferries = file["roads"]["ferries"].clone();
            for ferry in ferries.as_array_mut()? {
                ferry["lastCrossing"] = json!(format!("{:02}:{:02}", last / 60, last % 60));
                ferry["firstCrossing"] = json!("00:00");
            }
            Some(set(file, "/roads/ferries", ferries))
        }
        (code, name) => panic!("{code} tells a margin of {name} that no test spends"),
    }
}

fn position(list: &Value, wanted: impl Fn(&Value) -> bool) -> Option<usize> {
    list.as_array()?.iter().position(wanted)
}

fn set(file: &Value, path: &str, value: Value) -> Value {
    with(file.clone(), &[(path, value)])
}

fn offers(answer: &Options, option: &PlacementOption) -> bool {
    answer.options.iter().any(|one| one.centre_id == option.centre_id && one.unit_id == option.unit_id)
}

/// Spends every margin of every option of the file; counts them by rule.
fn spend_all(file: &Value, count: &mut BTreeMap<String, u32>) -> Result<(), TestCaseError> {
    for option in answer(file).options {
        for check in &option.checks {
            let Some(poorer) = spent(file, &option, check) else { continue };
            let after = answer(&poorer);
            prop_assert!(!offers(&after, &option), "{}: {:?} was no margin", option.unit_id, check);
            *count.entry(check.code.clone()).or_insert(0) += 1;
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4 * ProptestConfig::default().cases, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_spent_margin_closes_the_option(disturbances in proptest::collection::vec(disturbance(), 0..8)) {
        let file = disturbances.iter().flatten().fold(first_night(), disturbed);
        spend_all(&file, &mut BTreeMap::new())?;
    }
}

/// Every rule that tells a margin tells one here, and each is spent.
#[test]
fn every_margin_is_spent_at_least_once() {
    let winter = [
        ("/requests/0/triage", json!("yellow")),
        ("/centres/0/vetLevel", json!("clinic")),
        ("/requests/0/earliestDeparture", json!("2026-12-10T06:10:00+05:30")),
        ("/units/0/lowestCelsius", json!(26.0)),
        ("/units/0/longestSideMetre", json!(2.0)),
    ];
    let short = [
        ("/requests/0/stay", json!("stabilise")),
        ("/units/0/stays", json!([])),
        ("/requests/0/stayUntil", json!("2026-07-04T02:20:00+05:30")),
        (
            "/roads/ferries",
            json!([{ "placeID": "meruva.yard", "minutesToLanding": 30, "firstCrossing": "00:30", "lastCrossing": "04:00", "waitMinutes": 10 }]),
        ),
    ];
    let eggs = [
        ("/requests/0/scientificName", json!("Gavialis gangeticus")),
        ("/requests/0/lifeStage", json!("egg")),
        ("/units/0/unitKind", json!("incubator")),
        ("/units/0/keepsOrientation", json!(true)),
        ("/units/0/lowestCelsius", json!(30.0)),
    ];
    let mut count = BTreeMap::new();
    for file in [plain(), with(plain(), &winter), with(plain(), &short), with(plain(), &eggs)] {
        assert_eq!(answer(&file).options.len(), 1, "{:?}", answer(&file).excluded);
        spend_all(&file, &mut count).unwrap();
    }
    let spent: Vec<&str> = count.keys().map(String::as_str).collect();
    assert_eq!(
        spent,
        [
            "arrivals",
            "bearable-hours",
            "crew",
            "egg-hours",
            "ferry",
            "heat",
            "incubator",
            "length-limit",
            "licence-heads",
            "room",
            "room-least",
            "stabilise-hours",
            "unit-heads"
        ]
    );
}

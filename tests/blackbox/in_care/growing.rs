//! How an animal grows by its posted weighings, and how clutches hatch.

use super::{DESHARU, accepted, posting, told};
use serde_json::{Value, json};

fn weighed(id: &str, day: &str, animal: &str, kilogram: f64) -> Value {
    told(
        id,
        "assessment",
        day,
        &format!("animal:{animal}"),
        "Gavialis gangeticus",
        &json!({
            "event": "examination", "massKilogram": kilogram,
            "lengthsMetre": [{ "value": 1.2, "measure": "totalLength", "method": "taped" }],
        }),
    )
}

/// By hand: from 4 to 4 e kilograms in 100 days is 1 % a day; ln M of 0, 1, 1 at days 0, 50, 100 has slope
/// 0.01, residuals -1/6, 1/3, -1/6, error sqrt(1/6 / 5000), t(1, 0.975) = 12.7062: half 7.3359 % a day.
#[test]
fn growth_is_told_by_posted_weighings_and_slips_are_named() {
    let posting = posting();
    let desharu = posting.party(DESHARU);
    let grown = 4.0 * std::f64::consts::E;
    accepted(&desharu.submit(&[
        weighed("w2", "2026-05-30", "1", grown),
        weighed("w1", "2026-04-10", "1", 4.0),
        weighed("w3", "2026-07-19", "1", grown),
        weighed("x1", "2026-05-01", "2", 1.0),
        weighed("x2", "2026-06-01", "2", 900.0),
        weighed("x3", "2026-07-01", "2", 0.9),
        weighed("y1", "2026-07-01", "3", 9.0),
    ]));
    let of = |animal: &str| desharu.get(&format!("/v1/animals/{DESHARU}:{animal}/growth"));
    let told = of("1").json();
    let growth = &told["growth"];
    assert!((growth["percentPerDay"].as_f64().unwrap() - 1.0).abs() < 1e-9, "{told:#}");
    let curve = &growth["curvePercentPerDay"];
    assert!(
        (curve["high"].as_f64().unwrap() - curve["value"].as_f64().unwrap() - 7.3359).abs() < 1e-3,
        "{curve}"
    );
    assert_eq!((&growth["flagged"], told["measurements"].as_array().unwrap().len()), (&json!(false), 3));
    // Nine hundred grams after a kilogram are a tenth lost; the 900 between them read like grams.
    let slipped = of("2").json();
    assert_eq!(slipped["slips"][0]["slip"], "gramsAsKilograms", "{slipped:#}");
    assert_eq!(slipped["growth"]["refusal"]["code"], "unit-slip");
    assert_eq!(slipped["growthWithoutThem"]["flagged"], true);
    assert!((slipped["growthWithoutThem"]["lost"].as_f64().unwrap() - 0.1).abs() < 1e-9);
    assert_eq!(slipped["measurements"][1]["kilogram"], 900.0, "never mended");
    // One weighing, none, no such animal.
    assert_eq!(of("3").json()["growth"]["refusal"]["code"], "too-few-weighings");
    assert_eq!(of("4").status, 404);
    assert_eq!(posting.party("meruva.thulmar").get(&format!("/v1/animals/{DESHARU}:1/growth")).status, 404);
    assert_eq!(posting.hub.nobody().get(&format!("/v1/animals/{DESHARU}:1/growth")).status, 401);
}

/// By hand: of 20 eggs 12 hatched and 4 failed: 12 of 16 known, 12 to 16 of 20.
#[test]
fn hatch_success_is_told_with_its_denominators() {
    let posting = posting();
    let desharu = posting.party(DESHARU);
    let step = |id: &str, day: &str, lot: &str, event: &str, count: u32| {
        told(
            id,
            "clutch",
            day,
            &format!("lot:{lot}"),
            "Batagur baska",
            &json!({ "event": event, "individualCount": count }),
        )
    };
    accepted(&desharu.submit(&[
        step("c1", "2026-03-20", "C1", "laid", 20),
        step("c2", "2026-05-25", "C1", "hatched", 12),
        step("c3", "2026-06-20", "C1", "failed", 4),
        step("d1", "2026-03-20", "C2", "laid", 10),
    ]));
    let path = format!("/v1/centres/{DESHARU}/clutches");
    let told = desharu.get(&path).json();
    let first = &told["clutches"][0];
    assert_eq!(
        (&first["lotID"], &first["outcome"]),
        (&json!("meruva.desharu:C1"), &json!({ "eggs": 20, "hatched": 12, "failed": 4 })),
        "{told:#}"
    );
    assert_eq!(
        (&first["success"]["ofKnown"]["ofThem"], &first["success"]["ofKnown"]["all"]),
        (&json!(12), &json!(16))
    );
    assert_eq!(
        (&first["success"]["ofAllAtMost"]["ofThem"], &first["success"]["open"]),
        (&json!(16), &json!(4))
    );
    assert_eq!(told["species"][0]["outcome"]["eggs"], 30);
    assert_eq!(told["clutches"][1]["success"]["open"], 10, "no outcome is known yet");
    assert_eq!(posting.party("meruva.thulmar").get(&path).status, 404);
    assert_eq!(posting.hub.nobody().get(&path).status, 401);
}

//! Alarms: each fires where it should, is silent where it should not, and is seen by whom it concerns.

use super::{DESHARU, Desk, OMBARI, POLICE, VELITHA, YARD, place};
use serde_json::{Value, json};

fn standstill(event: &str, number: &str, fields: Value) -> Value {
    let mut all = json!({ "event": event, "standstillID": number });
    if event == "declared" {
        all["scope"] = json!("centre");
    }
    all.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    all
}

#[test]
fn a_standstill_speaks_to_every_promise_in_its_direction_and_reach() {
    let desk = Desk::at("2026-07-05T08:00:00+05:30");
    let (pool, _) = desk.promised(&place("a", OMBARI, "OT2", YARD, 5));
    let (room, _) = desk.promised(&place("b", VELITHA, "V1", OMBARI, 5));
    let when = "2026-07-05T07:00+05:30";
    let mut nth = 0;
    let mut declare = |centre: &str, fields: Value| {
        nth += 1;
        let number = format!("S-{nth}");
        let id = format!("standstill-{nth}");
        desk.post(centre, &id, "biosecurity", when, standstill("declared", &number, fields));
        let codes = (desk.codes(&pool), desk.codes(&room));
        let named = desk.alarms(desk.coordination()).iter().any(|alarm| {
            alarm["records"].as_array().unwrap().iter().any(|record| record["recordID"] == id.as_str())
        });
        assert_eq!(named, !(codes.0.is_empty() && codes.1.is_empty()), "{id} is named");
        let lifted = standstill("lifted", &number, json!({}));
        desk.post(centre, &format!("{id}-lifted"), "biosecurity", when, lifted);
        assert_eq!((desk.codes(&pool), desk.codes(&room)), (vec![], vec![]), "{id} lifted");
        codes
    };
    let forbids = vec!["standstill-forbids".to_owned()];
    let none = Vec::<String>::new();
    let unit = |unit: &str, way: &str| json!({ "scope": "unit", "unitID": unit, "direction": way });
    let circuit = |name: &str| json!({ "scope": "waterCircuit", "waterCircuit": name, "direction": "both" });
    // Into the pool: its unit inwards, not outwards, not another's; the whole centre.
    assert_eq!(declare(OMBARI, unit("OT2", "in")), (forbids.clone(), none.clone()));
    assert_eq!(declare(OMBARI, unit("OT1", "in")), (none.clone(), none.clone()));
    assert_eq!(
        declare(OMBARI, json!({ "scope": "centre", "direction": "in" })),
        (forbids.clone(), none.clone())
    );
    // Out of Ombari: the promise at Velitha comes from there.
    assert_eq!(
        declare(OMBARI, json!({ "scope": "centre", "direction": "out" })),
        (none.clone(), forbids.clone())
    );
    assert_eq!(declare(OMBARI, json!({ "direction": "both" })), (forbids.clone(), forbids.clone()));
    // Water circuits: V1 is on VW1.
    assert_eq!(declare(VELITHA, circuit("VW1")), (none.clone(), forbids.clone()));
    assert_eq!(declare(VELITHA, circuit("VW2")), (none.clone(), none.clone()));
    // Confined to other animals, and announced for a day after the journey.
    assert_eq!(
        declare(OMBARI, json!({ "direction": "in", "taxa": ["Crocodylia"] })),
        (none.clone(), none.clone())
    );
    assert_eq!(
        declare(OMBARI, json!({ "direction": "in", "taxa": ["Testudines"] })),
        (forbids.clone(), none.clone())
    );
    assert_eq!(
        declare(OMBARI, json!({ "direction": "in", "effectiveFrom": "2026-07-09" })),
        (none.clone(), none.clone())
    );
    // They set out before it began: nothing forbids, and the vets are asked.
    let departed = json!({ "departedAt": "2026-07-05T06:00:00+05:30" });
    let step = format!("/v1/reservations/{room}/departure");
    assert_eq!(desk.posting.party(VELITHA).post_json(&step, &departed).status, 200);
    assert_eq!(
        declare(OMBARI, json!({ "direction": "out" })),
        (none.clone(), vec!["standstill-behind".to_owned()])
    );
    // Given up, nothing is left to forbid.
    let given_up = json!({ "reason": "kept here" });
    for id in [&pool, &room] {
        let step = format!("/v1/reservations/{id}/cancellation");
        assert_eq!(desk.coordination().post_json(&step, &given_up).status, 200);
    }
    assert_eq!(declare(OMBARI, json!({ "direction": "both" })), (none.clone(), none.clone()));
}

#[test]
fn a_standstill_speaks_to_what_is_on_the_road_without_a_kept_place() {
    // The lorry's three lots left the yard at 20:40.
    let desk = Desk::at("2026-07-09T23:00:00+05:30");
    assert_eq!(desk.alarms(desk.coordination()), Vec::<Value>::new());
    let fields = standstill("declared", "S-9", json!({ "direction": "in" }));
    desk.post(DESHARU, "standstill-9", "biosecurity", "2026-07-09T22:00+05:30", fields);
    let alarms = desk.alarms(desk.coordination());
    assert_eq!(alarms.len(), 2, "two groups travel to Desharu: {alarms:?}");
    assert!(alarms.iter().all(|alarm| alarm["consignmentID"] == "meruva.police:1"
        && alarm["code"] == "standstill-forbids"
        && alarm.get("reservationID").is_none()));
    // Both ends see it, the third centre does not.
    assert_eq!(desk.alarms(desk.posting.party(DESHARU)), alarms);
    assert_eq!(desk.alarms(desk.posting.party(POLICE)), alarms);
    assert_eq!(desk.alarms(desk.posting.party(VELITHA)), Vec::<Value>::new());
    let other = desk.coordination().get("/v1/alarms?placeID=meruva.velitha").json();
    assert_eq!(other["alarms"], json!([]));
    assert_eq!(desk.coordination().get("/v1/alarms?code=nonsense").json()["code"], "bad-query");
}

#[test]
fn the_nightly_count_and_what_is_housed_are_held_against_the_promises() {
    let desk = Desk::at("2026-07-05T08:00:00+05:30");
    let (id, _) = desk.promised(&place("a", OMBARI, "OT2", YARD, 8));
    desk.clock("2026-07-06T08:00:00+05:30");
    let census = |revision: u16, count: u32| {
        json!({
            "revision": revision, "method": "headCount", "complete": false,
            "lines": [{ "scientificName": "Pangshura tecta", "individualCount": count, "unitID": "OT2" }],
        })
    };
    // 20 heads: with 12 counted there, the 8 still fit; with 13 they do not. The books have none there.
    desk.post(OMBARI, "count-5", "census", "2026-07-05", census(1, 12));
    assert_eq!(desk.codes(&id), Vec::<String>::new());
    desk.post(OMBARI, "count-5", "census", "2026-07-05", census(2, 13));
    assert_eq!(desk.codes(&id), ["counted-full"]);
    let alarm = desk.alarms(desk.coordination()).remove(0);
    assert_eq!(alarm["records"], json!([{ "authorID": OMBARI, "recordID": "count-5" }]));
    assert!(alarm["sentence"].as_str().unwrap().contains("13 more"), "{alarm}");
    // The next night counts fewer: what was counted before is past.
    desk.clock("2026-07-07T08:00:00+05:30");
    desk.post(OMBARI, "count-6", "census", "2026-07-06", census(1, 3));
    assert_eq!(desk.codes(&id), Vec::<String>::new());
    // Thirteen are taken in and housed there: now the books themselves leave no room.
    let lot = json!({ "lotID": "meruva.ombari:P1", "scientificName": "Pangshura tecta" });
    let of_lot = |fields: Value| {
        let mut all = lot.clone();
        all.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
        all
    };
    let taken =
        json!({ "event": "seizure", "source": "trade", "individualCount": 13, "countMethod": "counted" });
    desk.post(OMBARI, "rescue-P1", "rescue", "2026-07-07T06:00+05:30", of_lot(taken));
    let housed =
        json!({ "event": "housed", "units": [{ "unitID": "OT2", "individualCount": 13 }], "stay": "long" });
    desk.post(OMBARI, "house-P1", "housing", "2026-07-07T06:30+05:30", of_lot(housed));
    assert_eq!(desk.codes(&id), ["housed-full"]);
}

#[test]
fn overdue_and_unconfirmed_alarm_until_somebody_acts() {
    let desk = Desk::at("2026-07-05T08:00:00+05:30");
    let mut body = place("a", OMBARI, "OT2", YARD, 5);
    body["expectedAt"] = json!("2026-07-05T20:00:00+05:30");
    let kept = desk.keep(&body).json();
    let id = kept["reservations"][0]["reservationID"].as_str().unwrap().to_owned();
    let step = format!("/v1/reservations/{id}/promise");
    let by_phone = json!({ "onBehalfOf": { "office": "Ombari duty desk", "channel": "telephone" } });
    let promised = desk.coordination().post_json(&step, &by_phone).json();
    assert_eq!(promised["alarms"][0]["code"], "step-unconfirmed", "{promised}");
    let alarm = &desk.alarms(desk.posting.party(OMBARI))[0];
    assert!(alarm["sentence"].as_str().unwrap().contains("Ombari duty desk (telephone)"), "{alarm}");
    assert_eq!(desk.alarms(desk.posting.party(VELITHA)), Vec::<Value>::new(), "a centre sees its own");
    // The police keep the yard that they leave from.
    assert_eq!(desk.alarms(desk.posting.party(POLICE)).len(), 1);
    desk.clock("2026-07-05T20:00:00+05:30");
    assert_eq!(desk.codes(&id), ["step-unconfirmed"]);
    desk.clock("2026-07-05T20:01:00+05:30");
    assert_eq!(desk.codes(&id), ["arrival-overdue", "step-unconfirmed"]);
    let confirm = format!("/v1/reservations/{id}/confirmation");
    assert_eq!(desk.posting.party(OMBARI).post_json(&confirm, &json!({})).status, 200);
    assert_eq!(desk.codes(&id), ["arrival-overdue"]);
    let given_up = desk.coordination().post_json(
        &format!("/v1/reservations/{id}/cancellation"),
        &json!({ "reason": "They stayed in the yard." }),
    );
    assert_eq!(given_up.json()["alarms"], json!([]));
    // A refusal by telephone waits for the centre's word too, although the place is gone.
    let kept = desk.keep(&place("b", OMBARI, "OT2", YARD, 5)).json();
    let other = kept["reservations"][0]["reservationID"].as_str().unwrap().to_owned();
    let refusal = json!({ "reason": "pump broken", "onBehalfOf": { "office": "Ombari duty desk", "channel": "telephone" } });
    let step = format!("/v1/reservations/{other}/refusal");
    assert_eq!(desk.coordination().post_json(&step, &refusal).status, 200);
    assert_eq!(desk.codes(&other), ["step-unconfirmed"]);
}

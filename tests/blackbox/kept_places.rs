//! A place for one animal: who can take it and why the others cannot, and the last place is kept once.

use crate::basin::Posting;
use haulout_demo::story;
use haulout_tests::Hub;
use serde_json::{Value, json};
use std::collections::BTreeMap;

fn first_night() -> Posting {
    let region = story::region();
    let posting = Posting::new(Hub::on_sqlite(&region), &region, "2026-06-30T09:00:00+05:30");
    let call = chrono::DateTime::parse_from_rfc3339("2026-07-02T01:20:00+05:30").unwrap();
    for post in story::posts(&story::Consignments::default()).into_iter().filter(|post| post.at < call) {
        posting.hub.set_clock(&posting.operator, &post.at.to_rfc3339());
        assert_eq!(posting.party(post.party).submit(&post.records).status, 200);
    }
    posting.hub.set_clock(&posting.operator, &call.to_rfc3339());
    posting
}

fn request(metre: f64) -> Value {
    json!({
        "requestID": "brickworks-1", "scientificName": "Crocodylus palustris", "individualCount": 1,
        "length": { "value": metre, "high": metre, "measure": "totalLength", "method": "byEye" },
        "triage": "yellow", "stay": "quarantine", "from": { "latitude": 22.35, "longitude": 78.2 },
        "fitToTravel": { "fit": "unknown", "vetsWord": "duty vet, by phone" }, "custody": { "caseProperty": "no" },
    })
}

#[test]
fn the_crocodile_has_one_place_and_every_other_centre_says_why_not() {
    let posting = first_night();
    let answer =
        posting.party("meruva.coordination").post_json("/v1/placements/options", &request(3.5)).json();
    let options = answer["options"].as_array().unwrap();
    assert_eq!(options.len(), 1);
    assert_eq!((&options[0]["centreID"], &options[0]["unitID"]), (&"meruva.kolvani".into(), &"K2".into()));
    // K = 3.5 / 2 = 1.75 m snout-vent: 20 K2 = 61.25 m2 of water, 70 there (German opinion of 1997).
    let room = options[0]["checks"].as_array().unwrap().iter().find(|check| check["code"] == "room").unwrap();
    let water = room["figures"]
        .as_array()
        .unwrap()
        .iter()
        .find(|f| f["name"].as_str().unwrap().contains("water"))
        .unwrap();
    assert_eq!((water["needed"].as_f64(), water["available"].as_f64()), (Some(61.25), Some(70.0)));
    let excluded: BTreeMap<&str, Vec<&str>> = answer["excluded"]
        .as_array()
        .unwrap()
        .iter()
        .map(|centre| {
            let codes = centre["failed"]
                .as_array()
                .unwrap()
                .iter()
                .map(|check| check["code"].as_str().unwrap())
                .collect();
            (centre["centreID"].as_str().unwrap(), codes)
        })
        .collect();
    assert_eq!(excluded.len(), 5, "every centre appears once");
    for (centre, code) in [
        ("meruva.desharu", "length-limit"),
        ("meruva.ombari", "crew"),
        ("meruva.velitha", "licence"),
        ("meruva.thulmar", "licence"),
        ("meruva.saivera", "living-together"),
    ] {
        assert!(excluded[centre].contains(&code), "{centre}: {:?}", excluded[centre]);
    }
    // Nobody but the coordination may ask.
    let mut two = request(3.5);
    two["individualCount"] = json!("two");
    let answer = posting.party("meruva.coordination").post_json("/v1/placements/options", &two).json();
    assert_eq!(
        answer["errors"],
        json!([{
            "detail": "invalid type: string \"two\", expected a whole number that is not below zero",
            "pointer": "#/individualCount",
            "line": 1
        }])
    );
    let kolvani = posting.party("meruva.kolvani").post_json("/v1/placements/options", &request(3.5));
    assert_eq!((kolvani.status, &kolvani.json()["code"]), (403, &"right-missing".into()));
}

#[test]
fn eggs_go_only_where_somebody_vouches_for_the_incubator() {
    let posting = first_night();
    let eggs = json!({
        "requestID": "clutch-1", "scientificName": "Nilssonia gangetica", "individualCount": 20, "lifeStage": "egg",
        "triage": "yellow", "stay": "long", "from": { "latitude": 22.35, "longitude": 78.2 },
        "fitToTravel": { "fit": "yes" }, "custody": { "caseProperty": "no" },
    });
    let asked = || posting.party("meruva.coordination").post_json("/v1/placements/options", &eggs).json();
    let answer = asked();
    let places: Vec<_> =
        answer["options"].as_array().unwrap().iter().map(|one| one["unitID"].as_str().unwrap()).collect();
    assert_eq!(places, ["OE1"], "{answer}");
    // The same incubator, of which nothing is said.
    let silent = json!({
        "recordID": "OE1-silent", "revision": 1, "kind": "capacity", "schemaVersion": "1.0",
        "authorID": "meruva.ombari", "centreID": "meruva.ombari", "eventDate": "2026-07-01", "recordedBy": "desk",
        "event": "stated", "unitID": "OE1", "unitKind": "incubator", "arrangement": "communal", "headsLimit": 200,
    });
    assert_eq!(posting.party("meruva.ombari").submit(&[silent]).status, 200);
    let answer = asked();
    assert_eq!(answer["options"].as_array().unwrap().len(), 0, "{answer}");
    let ombari = answer["excluded"].as_array().unwrap().iter().find(|one| one["centreID"] == "meruva.ombari");
    let failed = ombari.unwrap()["failed"].as_array().unwrap();
    assert!(failed.iter().any(|check| check["code"] == "incubator"), "{failed:?}");
}

#[test]
fn sixteen_ask_for_the_last_place_and_one_gets_it() {
    let posting = first_night();
    let coordination = posting.party("meruva.coordination");
    let ask =
        json!({ "places": [{ "request": request(3.5), "centreID": "meruva.kolvani", "unitID": "K2" }] });
    let answers: Vec<_> = std::thread::scope(|scope| {
        let threads: Vec<_> =
            (0..16).map(|_| scope.spawn(|| coordination.post_json("/v1/reservations", &ask))).collect();
        threads.into_iter().map(|thread| thread.join().unwrap()).collect()
    });
    let kept: Vec<_> = answers.iter().filter(|answer| answer.status == 201).collect();
    assert_eq!(kept.len(), 1, "{:?}", answers.iter().map(|answer| answer.status).collect::<Vec<_>>());
    for lost in answers.iter().filter(|answer| answer.status != 201) {
        assert_eq!((lost.status, &lost.json()["code"]), (409, &"place-taken".into()), "{}", lost.text());
        assert!(lost.json()["alternatives"].is_array());
    }
    let number = kept[0].json()["reservations"][0]["reservationID"].as_str().unwrap().to_owned();
    // The coordination answers for the centre only by saying on whose word; another centre not at all.
    let step = format!("/v1/reservations/{number}/promise");
    assert_eq!(coordination.post_json(&step, &json!({})).status, 422);
    assert!(matches!(posting.party("meruva.saivera").post_json(&step, &json!({})).status, 403 | 404));
    let by_phone = json!({ "onBehalfOf": { "office": "duty officer", "channel": "phone" } });
    let promised = coordination.post_json(&step, &by_phone);
    assert_eq!(promised.status, 200, "{}", promised.text());
    assert!(promised.json()["consignmentID"].is_string());
    assert_eq!(promised.json()["unconfirmed"], true, "an alarm until the centre confirms");
    let confirmed = posting
        .party("meruva.kolvani")
        .post_json(&format!("/v1/reservations/{number}/confirmation"), &json!({}));
    assert_eq!(
        (confirmed.status, &confirmed.json()["unconfirmed"]),
        (200, &false.into()),
        "{}",
        confirmed.text()
    );
    // Given up, it is free again.
    let given_up = coordination.post_json(
        &format!("/v1/reservations/{number}/cancellation"),
        &json!({ "reason": "It walked back to the river." }),
    );
    assert_eq!(given_up.status, 200, "{}", given_up.text());
    assert_eq!(coordination.post_json("/v1/reservations", &ask).status, 201);
}

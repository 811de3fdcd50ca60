//! The trade's computations through the real hub: a page, a list of computations that work as shown,
//! a mark that was misread, and a curve pooled over centres.

use crate::basin::Posting;
use haulout_demo::story;
use haulout_tests::Hub;
use serde_json::{Value, json};

fn posting() -> Posting {
    Posting::new(Hub::on_sqlite(&story::region()), &story::region(), "2026-07-20T09:00:00+05:30")
}

fn record(author: &str, id: &str, kind: &str, day: &str, animal: &str, fields: &Value) -> Value {
    let mut record = json!({
        "recordID": id, "revision": 1, "kind": kind, "schemaVersion": "1.0", "authorID": author,
        "eventDate": day, "centreID": author, "organismID": format!("{author}:{animal}"),
        "scientificName": "Lissemys punctata",
    });
    record.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    record
}

#[test]
fn a_handling_card_is_for_everybody_and_says_what_is_never_done() {
    let posting = posting();
    let nobody = posting.hub.nobody();
    let of = |format: &str| {
        nobody.get(&format!(
            "/v1/welfare/handling-card?scientificName=Crocodylus%20palustris&length=3.4&injuries=hook%20in%20the%20jaw;cut%20on%20the%20flank&leastPeople=7&format={format}"
        ))
    };
    let card = of("json").json();
    assert_eq!(card["scientificName"], "Crocodylus palustris");
    assert_eq!(card["people"]["least"], 7, "local code raises the number");
    assert_eq!(card["sections"][0]["part"], "cautions");
    assert_eq!(card["sections"][1]["part"], "reportFirst");
    assert!(card["sections"][1].to_string().contains("cut on the flank"), "{card}");
    let page = of("html");
    assert_eq!(page.header("content-type"), Some("text/html; charset=utf-8"));
    assert!(page.text().contains("cut on the flank") && page.text().contains("Never"), "{}", page.text());
    assert!(of("text").text().starts_with("HANDLING CARD: Crocodylus palustris"));
    // Markup in what somebody saw is text.
    let marked = nobody.get("/v1/welfare/handling-card?group=softshell&injuries=%3Cb%3Ecut&format=html");
    assert!(marked.text().contains("&lt;b&gt;cut"), "{}", marked.text());
    let unknown = nobody.get("/v1/welfare/handling-card?scientificName=Crocodylus%20palustri");
    assert_eq!(unknown.status, 422);
    assert!(unknown.text().contains("Crocodylus palustris"), "{}", unknown.text());
    assert_eq!(nobody.get("/v1/welfare/handling-card").status, 400);
    assert_eq!(nobody.get("/v1/welfare/handling-card?group=softshell&length=-1").status, 422);
}

#[test]
fn every_computation_works_as_the_list_shows_it() {
    let posting = posting();
    let nobody = posting.hub.nobody();
    let list = nobody.get("/v1/welfare").json();
    let computations = list["computations"].as_array().unwrap();
    assert!(computations.len() >= 16, "{}", computations.len());
    for one in computations {
        let answer = nobody.post_json(one["address"].as_str().unwrap(), &one["example"]);
        assert_eq!(answer.status, 200, "{}: {}", one["name"], answer.text());
    }
    // At 38 degrees at noon there are hours that are closed, and the answer never says "safe" of others.
    let departures = computations.iter().find(|one| one["name"] == "departures").unwrap();
    let told = nobody.post_json("/v1/welfare/departures", &departures["example"]);
    assert!(told.text().contains("tooWarm") && told.text().contains("never safe"), "{}", told.text());
    // The day's extremes will do where there is no forecast.
    let mut by_day = departures["example"].clone();
    by_day["given"].as_object_mut().unwrap().remove("hourly");
    by_day["given"]["days"] = json!([{ "on": "2026-07-09", "lowCelsius": 26, "highCelsius": 38 }]);
    let by_day = nobody.post_json("/v1/welfare/departures", &by_day);
    assert_eq!((by_day.status, &by_day.json()["airFrom"]), (200, &json!("dayCurve")));
    // A ration by energy stands beside the rule of thumb; none for the cold.
    let mut eater = json!({ "scientificName": "Crocodylus palustris", "massKilogram": 150, "lifeStage": "adult", "celsius": 31 });
    let ration = nobody.post_json("/v1/welfare/ration", &eater);
    assert_eq!(ration.status, 200, "{}", ration.text());
    assert!(ration.json()["ration"]["thumbKilogramOfNoStatedPeriod"].is_array());
    assert!(ration.text().contains("the veterinarian"), "{}", ration.text());
    // A body that does not fit says where.
    let misfit = nobody.post_json(
        "/v1/welfare/crate",
        &json!({ "scientificName": "Crocodylus palustris", "given": { "lengthMetre": 3.4 } }),
    );
    assert_eq!((misfit.status, &misfit.json()["errors"][0]["pointer"]), (422, &json!("#/given/lengthMetre")));
    eater["celsius"] = json!(12);
    let cold = nobody.post_json("/v1/welfare/ration", &eater);
    assert_eq!((cold.status, &cold.json()["refusal"]["code"]), (422, &json!("cold")));
    assert_eq!(nobody.post_json("/v1/welfare/astrology", &json!({})).status, 404);
}

#[test]
fn a_misread_mark_is_told_and_never_put_right() {
    let posting = posting();
    let desharu = posting.party("meruva.desharu");
    let marking = |id: &str, animal: &str, number: &str| {
        record(
            "meruva.desharu",
            id,
            "marking",
            "2026-07-12",
            animal,
            &json!({
                "event": "applied", "markType": "transponder", "markNumber": number, "transponderStandard": "iso11784",
            }),
        )
    };
    let answer =
        desharu.submit(&[marking("m1", "7", "985112003456789"), marking("m2", "8", "985112009999999")]);
    assert_eq!(answer.status, 200, "{}", answer.text());
    let of = |number: &str| posting.authority.get(&format!("/v1/welfare/marks?markNumber={number}"));
    assert_eq!(of("985112003456789").json()["organismIDs"], json!(["meruva.desharu:7"]));
    let near = of("985112003456780").json();
    assert_eq!(near["organismIDs"], json!([]), "never put right");
    assert_eq!(near["nearMisses"][0]["known"], "985112003456789");
    assert_eq!(near["nearMisses"][0]["organismIDs"], json!(["meruva.desharu:7"]));
    assert_eq!(near["nearMisses"].as_array().unwrap().len(), 1);
    // What is not the caller's to see is not told.
    let other = posting.party("meruva.thulmar").get("/v1/welfare/marks?markNumber=985112003456780");
    assert_eq!(other.json()["nearMisses"], json!([]));
    let wrong = of("98511200345678X");
    assert_eq!((wrong.status, &wrong.json()["refusal"]["code"]), (422, &json!("transponder-characters")));
    assert_eq!(posting.hub.nobody().get("/v1/welfare/marks?markNumber=985112003456789").status, 401);
}

/// M = 100 L^3 exactly, so the curve is known: at 0.2 m an animal of 0.8 kg is just what is expected.
#[test]
fn body_condition_is_told_against_the_pool_of_all_centres() {
    let posting = posting();
    let of = |question: &str| {
        posting.party("meruva.thulmar").get(&format!("/v1/welfare/condition?scientificName=Lissemys%20punctata&measure=straightCarapaceLength&{question}"))
    };
    let few = of("massKilogram=0.8&lengthMetre=0.2");
    assert_eq!(few.status, 422, "nothing is known yet: {}", few.text());
    for (centre, first) in [("meruva.desharu", 0), ("meruva.thulmar", 15)] {
        let records: Vec<Value> = (first..first + 15)
            .map(|n: u32| {
                let length = 0.12 + f64::from(n) * 0.005;
                record(centre, &format!("a{n}"), "assessment", "2026-07-12", &n.to_string(), &json!({
                    "event": "examination", "massKilogram": 100.0 * length.powi(3),
                    "lengthsMetre": [{ "value": length, "measure": "straightCarapaceLength", "method": "taped" }],
                }))
            })
            .collect();
        let answer = posting.party(centre).submit(&records);
        assert_eq!(answer.status, 200, "{}", answer.text());
    }
    let told = of("massKilogram=0.8&lengthMetre=0.2").json();
    assert_eq!(told["reference"]["fit"]["n"], 30, "both centres' animals: {told}");
    assert!((told["reference"]["fit"]["slope"]["value"].as_f64().unwrap() - 3.0).abs() < 1e-6);
    assert!((told["relative"].as_f64().unwrap() - 1.0).abs() < 1e-6);
    // Grams written as kilograms are named; a length beyond the reference is refused.
    assert!(of("massKilogram=800&lengthMetre=0.2").text().contains("gramsAsKilograms"));
    let beyond = of("massKilogram=10&lengthMetre=0.6").json();
    assert!(beyond["relative"]["refusal"]["why"].is_string(), "{beyond}");
}

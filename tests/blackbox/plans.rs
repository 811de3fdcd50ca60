//! Plans for many animals, over HTTP and on the command line.

use crate::basin::Posting;
use haulout_demo::story;
use haulout_tests::{Answer, Client, Hub, haulout};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use tempfile::TempDir;

/// The basin in the dusk of 9 July, with the lorry in the yard.
fn dusk() -> Posting {
    let region = story::region();
    let posting = Posting::new(Hub::on_sqlite(&region), &region, "2026-06-30T09:00:00+05:30");
    let dusk = chrono::DateTime::parse_from_rfc3339("2026-07-09T20:00:00+05:30").unwrap();
    for post in story::posts(&story::Consignments::default()).into_iter().filter(|post| post.at < dusk) {
        posting.hub.set_clock(&posting.operator, &post.at.to_rfc3339());
        let answer = posting.party(post.party).submit(&post.records);
        assert_eq!(answer.status, 200, "{} {}: {}", post.at, post.party, answer.text());
    }
    posting.hub.set_clock(&posting.operator, &dusk.to_rfc3339());
    posting
}

fn coordination(posting: &Posting) -> &Client {
    posting.party("meruva.coordination")
}

/// Animals placed, by request and centre.
fn placed(plan: &Value) -> BTreeMap<(String, String), u64> {
    let mut placed = BTreeMap::new();
    for one in plan["assignments"].as_array().unwrap() {
        let key =
            (one["requestID"].as_str().unwrap().to_owned(), one["centreID"].as_str().unwrap().to_owned());
        *placed.entry(key).or_default() += one["individualCount"].as_u64().unwrap();
    }
    placed
}

fn objectives(plan: &Value) -> Vec<(String, u64)> {
    let stages = plan["stages"].as_array().unwrap();
    stages
        .iter()
        .map(|stage| {
            assert_eq!(stage["gap"], 0.0, "{stage}");
            (stage["name"].as_str().unwrap().to_owned(), stage["objective"].as_u64().unwrap())
        })
        .collect()
}

/// Points 3 and 4 of the story, as worked by hand.
fn as_in_the_story() -> BTreeMap<(String, String), u64> {
    [
        ("77-L", "meruva.desharu", 190),
        ("77-N", "meruva.velitha", 48),
        ("77-P", "meruva.velitha", 31),
        ("77-H", "meruva.ombari", 18),
        ("77-G", "meruva.ombari", 9),
    ]
    .into_iter()
    .map(|(request, centre, count)| ((request.to_owned(), centre.to_owned()), count))
    .collect()
}

#[test]
fn the_lorry_is_planned_kept_whole_and_gone_for_the_next() {
    let posting = dusk();
    let asked = story::lorry_asked();
    let answer = coordination(&posting).post_json("/v1/placements/plans?keep=true", &asked);
    assert_eq!(answer.status, 201, "{}", answer.text());
    let first = answer.json();
    let plan = &first["plan"];
    assert_eq!(placed(plan), as_in_the_story());
    let unplaced = plan["unplaced"].as_array().unwrap();
    assert_eq!(unplaced.len(), 1);
    assert_eq!((&unplaced[0]["requestID"], &unplaced[0]["individualCount"]), (&json!("77-N"), &json!(16)));
    assert_eq!(unplaced[0]["reasons"].as_array().unwrap().len(), 6, "every centre says why");
    let help = &plan["helps"][0];
    assert_eq!((&help["kind"], &help["centreID"]), (&json!("unit"), &json!("meruva.velitha")), "{help}");
    assert_eq!(help["places"], json!({ "red": 0, "yellow": 16, "green": 0 }));
    // Yellow weighs 2: 190 x 55, 79 x 95 and 27 x 45 minutes, and five pairs at 700.
    let minutes = 2 * (190 * 55 + 79 * 95 + 27 * 45) + 5 * 700;
    assert_eq!(objectives(plan)[3], ("minutes".to_owned(), minutes));
    let kept: u64 = first["reservations"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["individualCount"].as_u64().unwrap())
        .sum();
    assert_eq!(kept, 296);
    // The rooms are gone: what is left for the same question is told, not a second time the same.
    let again = coordination(&posting).post_json("/v1/placements/plans", &asked).json();
    assert!(
        !placed(&again["plan"]).contains_key(&("77-N".to_owned(), "meruva.velitha".to_owned())),
        "{again}"
    );
    // The old plan, sent again to be kept, says which of its places went, and keeps none.
    let before = coordination(&posting).get("/v1/reservations?open=true").json();
    let places: Vec<Value> = plan["assignments"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| {
            let requests = asked["requests"].as_array().unwrap();
            let mut request =
                requests.iter().find(|request| request["requestID"] == one["requestID"]).unwrap().clone();
            request["individualCount"] = one["individualCount"].clone();
            json!({ "request": request, "centreID": one["centreID"], "unitID": one["unitID"] })
        })
        .collect();
    let stale = json!({ "planID": first["planID"], "asOf": first["at"], "places": places });
    let late = coordination(&posting).post_json("/v1/reservations", &stale);
    assert_eq!(late.status, 409, "{}", late.text());
    assert!(!late.json()["noLonger"].as_array().unwrap().is_empty());
    assert_eq!(coordination(&posting).get("/v1/reservations?open=true").json(), before);
}

#[test]
fn the_command_line_plans_what_the_hub_gave_back() {
    let posting = dusk();
    let answer = coordination(&posting).post_json("/v1/placements/plans", &story::lorry_asked());
    assert_eq!(answer.status, 200, "{}", answer.text());
    let over_http = answer.json();
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("lorry.json");
    std::fs::write(&file, over_http["requestFile"].to_string()).unwrap();
    let run = |format: &str| {
        let output = haulout(&[
            "plan",
            file.to_str().unwrap(),
            "--at",
            "2026-07-09T20:00:00+05:30",
            "--time-limit",
            "30",
            "--format",
            format,
        ]);
        assert_eq!(
            output.status.code(),
            Some(1),
            "animals stay: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        String::from_utf8(output.stdout).unwrap()
    };
    let plan: Value = serde_json::from_str(&run("json")).unwrap();
    assert_eq!(objectives(&plan), objectives(&over_http["plan"]));
    assert_eq!(placed(&plan), as_in_the_story());
    let text = run("text");
    for told in ["296 of 312 animals have a place", "Without a place: 16", "one more unit like V1"] {
        assert!(text.contains(told), "{told}: {text}");
    }
}

#[test]
fn a_flood_empties_a_centre() {
    let posting = dusk();
    let asked = json!({
        "evacuate": [{ "centreID": "meruva.ombari", "triage": "yellow", "stay": "stabilise", "fitToTravel": { "fit": "yes" } }],
    });
    let answer = coordination(&posting).post_json("/v1/placements/plans", &asked);
    assert_eq!(answer.status, 200, "{}", answer.text());
    let plan = &answer.json()["plan"];
    let placed: u64 = placed(plan).values().sum();
    let stay: u64 =
        plan["unplaced"].as_array().unwrap().iter().map(|one| one["individualCount"].as_u64().unwrap()).sum();
    assert_eq!(placed + stay, 96, "three lots of 32 gharials: {plan}");
    assert!(plan["assignments"].as_array().unwrap().iter().all(|one| one["centreID"] != "meruva.ombari"));
}

#[test]
fn what_cannot_be_planned_with_is_named() {
    let posting = dusk();
    let ask = |asked: &Value| -> Answer { coordination(&posting).post_json("/v1/placements/plans", asked) };
    let mut twice = story::lorry_asked();
    twice["requests"][1]["requestID"] = json!("77-L");
    twice["requests"][2]["individualCount"] = json!(0);
    twice["pins"] = json!([{ "requestID": "77-X", "centreID": "meruva.nowhere" }]);
    let answer = ask(&twice);
    assert_eq!(answer.status, 422, "{}", answer.text());
    let problem = answer.json();
    let pointers: Vec<&str> = problem["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| error["pointer"].as_str().unwrap())
        .collect();
    for pointer in
        ["#/requests/1/requestID", "#/requests/2/individualCount", "#/pins/0/requestID", "#/pins/0/centreID"]
    {
        assert!(pointers.contains(&pointer), "{pointer}: {pointers:?}");
    }
    let mut long = story::lorry_asked();
    long["timeLimitSeconds"] = json!(3600);
    assert_eq!(ask(&long).status, 422);
    // Only the coordination plans.
    let centre = posting.party("meruva.desharu").post_json("/v1/placements/plans", &story::lorry_asked());
    assert_eq!(centre.status, 403);

    let folder = TempDir::new().unwrap();
    for (text, told) in [
        ("{\"centres\": [", "EOF"),
        ("{\"units\": [], \"roads\": {}, \"requests\": []}", "`centres` is missing"),
        ("{\"centres\": [], \"units\": [], \"roads\": {}, \"requests\": [], \"pool\": 1}", "/pool"),
        (
            "{\"centres\": [], \"units\": [{\"unitID\": 7}], \"roads\": {}, \"requests\": []}",
            "/units/0/unitID",
        ),
    ] {
        let file = folder.path().join("bad.json");
        std::fs::write(&file, text).unwrap();
        let output = haulout(&["plan", file.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(2), "{text}");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(said.contains(told), "{told}: {said}");
    }
}

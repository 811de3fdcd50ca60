//! Every line is answered, what was accepted is there after a crash, what was rejected changed nothing.

use haulout_demo::story;
use haulout_tests::Hub;
use serde_json::{Value, json};

const NOW: &str = "2026-08-10T09:00:00+05:30";

fn rescue(number: u32, count: i64) -> Value {
    json!({
        "recordID": format!("r-{number}"), "revision": 1, "kind": "rescue", "schemaVersion": "1.0",
        "authorID": "meruva.velitha", "centreID": "meruva.velitha", "eventDate": "2026-08-06",
        "lotID": format!("meruva.velitha:{number}"), "scientificName": "Pangshura tecta", "event": "fromWild",
        "source": "wild", "individualCount": count, "countMethod": "counted",
    })
}

#[test]
fn a_mixed_file_is_answered_line_by_line_and_outlives_a_crash() {
    let region = story::region();
    let mut hub = Hub::on_sqlite(&region);
    let operator = hub.caller("operator", None);
    hub.set_clock(&operator, NOW);
    let velitha = hub.caller("centre", Some("meruva.velitha"));
    let authority = hub.caller("authority", Some("meruva.authority"));

    let first = velitha.submit(&[rescue(1, 3), rescue(2, 4)]);
    assert_eq!(first.status, 200, "{}", first.text());
    let before = authority.statement("2026-08", None);

    // good, known, other content under a used key, impossible, unreadable, blank, foreign, good.
    let mut foreign = rescue(9, 1);
    foreign["authorID"] = json!("meruva.kolvani");
    foreign["centreID"] = json!("meruva.kolvani");
    let lines = [
        rescue(3, 5).to_string(),
        rescue(1, 3).to_string(),
        rescue(2, 7).to_string(),
        rescue(4, 0).to_string(),
        "{\"recordID\": ".to_owned(),
        String::new(),
        foreign.to_string(),
        rescue(5, 2).to_string(),
    ];
    let answer = velitha.submit_text(&(lines.join("\n") + "\n"));
    assert_eq!(answer.status, 207, "{}", answer.text());
    let body = answer.json();
    let outcomes: Vec<(u64, String, String)> = body["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| {
            let code = line["problems"][0]["code"].as_str().unwrap_or_default().to_owned();
            (line["line"].as_u64().unwrap(), line["outcome"].as_str().unwrap().to_owned(), code)
        })
        .collect();
    let told: Vec<(u64, &str)> =
        outcomes.iter().map(|(line, outcome, _)| (*line, outcome.as_str())).collect();
    assert_eq!(
        told,
        [
            (1, "accepted"),
            (2, "known"),
            (3, "rejected"),
            (4, "rejected"),
            (5, "rejected"),
            (7, "rejected"),
            (8, "accepted")
        ]
    );
    assert_eq!(outcomes[2].2, "revision-reused");
    let counts = &body["counts"];
    let count = |name: &str| counts[name].as_u64().unwrap();
    assert_eq!(
        (count("accepted"), count("known"), count("rejected"), count("blank")),
        (2, 1, 4, 1),
        "outcomes add up to the lines: {counts}"
    );

    hub.kill_and_restart(&["--demo-clock"]);
    let velitha = haulout_tests::Client::new(hub.url(), velitha.token().map(str::to_owned));
    let authority = haulout_tests::Client::new(hub.url(), authority.token().map(str::to_owned));
    for number in [1, 2, 3, 5] {
        let record = velitha.get(&format!("/v1/records/meruva.velitha/r-{number}"));
        assert_eq!(record.status, 200, "r-{number}: {}", record.text());
    }
    assert_eq!(velitha.get("/v1/records/meruva.velitha/r-4").status, 404);
    let after = authority.statement("2026-08", None);
    let closing = |statement: &Value| -> i64 {
        statement["account"]["rows"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| row["closing"].as_i64().unwrap())
            .sum()
    };
    assert_eq!((closing(&before), closing(&after)), (7, 14), "only the two accepted lines moved the figures");
}

#[test]
fn strict_is_all_or_nothing() {
    let region = story::region();
    let hub = Hub::on_sqlite(&region);
    let operator = hub.caller("operator", None);
    hub.set_clock(&operator, NOW);
    let velitha = hub.caller("centre", Some("meruva.velitha"));
    let body = format!("{}\n{}\n", rescue(1, 3), rescue(2, 0));
    let answer = velitha.post(
        "/v1/submissions",
        "application/x-ndjson",
        body.as_bytes(),
        &[("prefer", "handling=strict")],
    );
    assert_eq!(answer.status, 422, "{}", answer.text());
    assert_eq!(velitha.get("/v1/records/meruva.velitha/r-1").status, 404, "nothing of it is kept");
}

#[test]
fn a_repeated_key_gives_the_stored_answer() {
    let region = story::region();
    let hub = Hub::on_sqlite(&region);
    let operator = hub.caller("operator", None);
    hub.set_clock(&operator, NOW);
    let velitha = hub.caller("centre", Some("meruva.velitha"));
    let send = |body: &str| {
        velitha.post(
            "/v1/submissions",
            "application/x-ndjson",
            body.as_bytes(),
            &[("idempotency-key", "\"night-1\"")],
        )
    };
    let body = rescue(1, 3).to_string();
    let (first, again) = (send(&body), send(&body));
    assert_eq!((first.status, again.status), (200, 200), "{}", again.text());
    assert_eq!(first.json(), again.json(), "accepted stays accepted, with the same receipt");
    assert_eq!(send(&rescue(2, 3).to_string()).status, 422, "the key is taken by another body");
}

//! The hub in this process, over a real socket: what checks and submissions say is the same, every
//! error is a problem, a repeat changes nothing.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use actix_web::web::Data;
use haulout_hub::hub::Hub;
use haulout_hub::{server, submissions};
use haulout_schemas::text::PartyId;
use haulout_store::{By, Clock, Role, Store, StoreOptions};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::net::TcpListener;

const REGION: &str = r#"{ "region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata", "parties": [
    { "partyID": "meruva.kolvani", "role": "centre", "name": "Kolvani", "latitude": 26.1, "longitude": 79.2 },
    { "partyID": "meruva.desharu", "role": "centre", "name": "Desharu", "latitude": 26.3, "longitude": 79.5 } ] }"#;

struct Served {
    address: String,
    kolvani: String,
    desharu: String,
    partner: String,
    _folder: tempfile::TempDir,
}

async fn serve() -> Served {
    let folder = tempfile::tempdir().unwrap();
    let url = format!("sqlite://{}?mode=rwc", folder.path().join("hub.db").display());
    let store = Store::open(&StoreOptions { clock: Clock::Real, ..StoreOptions::new(url) }).await.unwrap();
    let by = By { role: Role::Operator, party_id: None, recorded_by: None };
    store.load_configuration(by, REGION).await.unwrap();
    let token = async |role, party: Option<&str>| {
        store.issue_token(role, party.map(PartyId::from).as_ref(), "test", None).await.unwrap().1
    };
    let kolvani = token(Role::Centre, Some("meruva.kolvani")).await;
    let desharu = token(Role::Centre, Some("meruva.desharu")).await;
    let partner = token(Role::Partner, None).await;
    let hub = Data::new(Hub::new(store).unwrap());
    let _jobs = submissions::work_in_background(&hub);
    let (server, address) = server::start(hub, TcpListener::bind("127.0.0.1:0").unwrap()).unwrap();
    tokio::spawn(server);
    Served { address: format!("http://{address}"), kolvani, desharu, partner, _folder: folder }
}

struct Call<'c> {
    method: &'c str,
    path: &'c str,
    headers: Vec<(&'c str, String)>,
    body: Vec<u8>,
}

struct Got {
    status: u16,
    headers: BTreeMap<String, String>,
    body: Value,
}

impl Served {
    async fn call(&self, call: Call<'_>) -> Got {
        let mut request =
            ureq::http::Request::builder().method(call.method).uri(format!("{}{}", self.address, call.path));
        for (name, value) in call.headers {
            request = request.header(name, value);
        }
        let request = request.body(call.body).unwrap();
        tokio::task::spawn_blocking(move || {
            let config =
                ureq::Agent::config_builder().http_status_as_error(false).allow_non_standard_methods(true);
            let agent: ureq::Agent = config.build().into();
            let mut answer = agent.run(request).unwrap();
            let headers = answer.headers().iter();
            let headers =
                headers.map(|(name, value)| (name.to_string(), value.to_str().unwrap().to_owned())).collect();
            let status = answer.status().as_u16();
            let bytes = answer.body_mut().read_to_vec().unwrap();
            Got { status, headers, body: serde_json::from_slice(&bytes).unwrap_or_default() }
        })
        .await
        .unwrap()
    }

    async fn get(&self, path: &str, token: &str) -> Got {
        let headers = vec![("authorization", format!("Bearer {token}"))];
        self.call(Call { method: "GET", path, headers, body: Vec::new() }).await
    }

    async fn post(&self, path: &str, token: &str, body: &[u8], more: &[(&'static str, &str)]) -> Got {
        let mut headers = vec![("content-type", "application/x-ndjson".to_owned())];
        if !token.is_empty() {
            headers.push(("authorization", format!("Bearer {token}")));
        }
        headers.extend(more.iter().map(|(name, value)| (*name, (*value).to_owned())));
        self.call(Call { method: "POST", path, headers, body: body.to_vec() }).await
    }
}

fn rescue(author: &str, number: u32) -> String {
    json!({
        "recordID": format!("r{number}"), "revision": 1, "kind": "rescue", "schemaVersion": "1.0", "authorID": author,
        "centreID": author, "eventDate": "2026-07-02T06:10+05:30", "organismID": format!("{author}:{number}"),
        "scientificName": "Crocodylus palustris", "event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted",
    })
    .to_string()
}

/// Good records, and each of the ways to be wrong that need no other record.
fn corpus() -> Vec<u8> {
    let good = rescue("meruva.kolvani", 1);
    let lines = [
        good.clone(),
        good.replace("\"r1\"", "\"r2\"").replace("Crocodylus palustris", "Crocodylus palustri"),
        good.replace("\"r1\"", "\"r3\"").replace("2026-07-02T", "2126-07-02T"),
        good.replace("\"r1\"", "\"r4\"").replace("2026-07-02T", "2026-02-30T"),
        good.replace("eventDate", "eventdate"),
        good.replace("\"rescue\"", "\"recsue\""),
        good.replace("{", "{\"revision\":1,"),
        good[..good.len() / 2].to_owned(),
        String::new(),
        "[1, 2".to_owned(),
        "\u{feff}null".to_owned(),
        good.replace("\"individualCount\":1", "\"individualCount\":1e400"),
        good.replace("\"r1\"", "\"r5\"").replace("\"revision\":1", "\"revision\":1.0"),
    ];
    let mut bytes = lines.join("\n").into_bytes();
    bytes.extend_from_slice(b"\n{\"recordID\":\"\xff\"}\n");
    bytes
}

#[tokio::test(flavor = "multi_thread")]
async fn a_submission_says_what_a_check_says() {
    let hub = serve().await;
    let checked = hub.post("/v1/checks", "", &corpus(), &[]).await;
    assert_eq!(checked.status, 200);
    let mut by_line: BTreeMap<u64, Vec<Value>> = BTreeMap::new();
    for problem in checked.body["problems"].as_array().unwrap() {
        by_line.entry(problem["line"].as_u64().unwrap()).or_default().push(problem.clone());
    }
    assert!(by_line.len() >= 8, "the corpus should be wrong in many lines: {by_line:?}");
    let posted = hub.post("/v1/submissions", &hub.kolvani, &corpus(), &[]).await;
    assert_eq!(posted.status, 207);
    let lines = posted.body["lines"].as_array().unwrap();
    assert_eq!(lines.len() as u64, checked.body["counts"]["records"].as_u64().unwrap());
    for line in lines {
        let said = line["problems"].as_array().cloned().unwrap_or_default();
        let expected = by_line.remove(&line["line"].as_u64().unwrap()).unwrap_or_default();
        assert_eq!(said, expected, "line {}", line["line"]);
        let refused = expected.iter().any(|problem| problem["severity"] == "error");
        assert_eq!(line["outcome"] == "rejected", refused, "line {}", line["line"]);
    }
    assert!(by_line.is_empty(), "lines without an outcome: {by_line:?}");
}

fn assert_problem(got: &Got, status: u16, code: &str) {
    assert_eq!((got.status, got.body["code"].as_str()), (status, Some(code)), "{}", got.body);
    assert_eq!(got.headers["content-type"], "application/problem+json");
    assert_eq!(got.body["status"], status);
    assert_eq!(got.body["type"], format!("https://haulout.example/problems/{code}"));
    assert_eq!(got.body["instance"], format!("urn:haulout:request:{}", got.headers["x-request-id"]));
    assert!(haulout_hub::web::codes::find(code).is_some());
}

#[tokio::test(flavor = "multi_thread")]
async fn every_refusal_is_a_problem_that_says_which() {
    let hub = serve().await;
    assert_problem(&hub.get("/v1/nothing", "").await, 404, "no-such-address");
    assert_problem(&hub.get("/v1/records?limit=0", &hub.kolvani).await, 400, "bad-query");
    assert_problem(&hub.get("/v1/records?frm=2026-07-01", &hub.kolvani).await, 400, "bad-query");
    assert_problem(&hub.get("/v1/records?after=zz", &hub.kolvani).await, 400, "bad-cursor");
    assert_problem(&hub.get("/v1/records/meruva.kolvani/none", &hub.kolvani).await, 404, "not-found");
    assert_problem(&hub.get("/v1/statements/2026-Q5", &hub.kolvani).await, 422, "bad-period");
    assert_problem(
        &hub.get("/v1/statements/2026?asKnownAt=2999-01-01", &hub.kolvani).await,
        422,
        "not-yet-known",
    );
    assert_problem(
        &hub.get("/v1/statements/2026?centreID=meruva.desharu", &hub.kolvani).await,
        403,
        "not-yours",
    );
    assert_problem(&hub.get("/v1/statements/2026?format=ndjson", &hub.kolvani).await, 406, "not-acceptable");
    assert_problem(&hub.get("/v1/records", &hub.partner).await, 403, "right-missing");
    assert_problem(&hub.get("/v1/records", "hlt_0000000000000000").await, 401, "token-unknown");
    assert_problem(&hub.get("/v1/records", "what is this").await, 401, "token-malformed");
    let missing = hub.call(Call { method: "GET", path: "/v1/records", headers: vec![], body: vec![] }).await;
    assert_problem(&missing, 401, "token-missing");
    assert!(missing.headers["www-authenticate"].starts_with("Bearer"));
    let other = hub.call(Call { method: "DELETE", path: "/v1/records", headers: vec![], body: vec![] }).await;
    assert_problem(&other, 405, "method-not-allowed");
    assert_eq!(other.headers["allow"], "GET, HEAD, OPTIONS");
    let typed = [("content-type", "text/plain".to_owned())];
    let typed = hub
        .call(Call { method: "POST", path: "/v1/checks", headers: typed.to_vec(), body: b"{}".to_vec() })
        .await;
    assert_problem(&typed, 415, "media-type-unsupported");
    assert!(typed.headers["accept-post"].contains("application/x-ndjson"));
    let brotli = hub.post("/v1/checks", "", b"{}", &[("content-encoding", "br")]).await;
    assert_problem(&brotli, 415, "content-encoding-unsupported");
    let unzipped = hub.post("/v1/checks", "", b"{}", &[("content-encoding", "gzip")]).await;
    assert_problem(&unzipped, 400, "encoding-mismatch");
    assert_problem(&hub.post("/v1/submissions", &hub.kolvani, b"\n\n", &[]).await, 422, "empty-submission");
    assert_problem(&hub.post("/v1/submissions", &hub.kolvani, b"{}", &[]).await, 422, "nothing-accepted");
    assert_problem(
        &hub.post("/v1/submissions", &hub.kolvani, b"{}", &[("idempotency-key", "\"half")]).await,
        400,
        "bad-header",
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_repeat_gives_the_first_answer_and_another_body_is_refused() {
    let hub = serve().await;
    let body = rescue("meruva.kolvani", 1).into_bytes();
    let key = [("idempotency-key", "\"night 2026-07-02\"")];
    let first = hub.post("/v1/submissions", &hub.kolvani, &body, &key).await;
    let again = hub.post("/v1/submissions", &hub.kolvani, &body, &key).await;
    assert_eq!((first.status, &first.body["lines"][0]["outcome"]), (200, &json!("accepted")));
    assert_eq!((again.status, again.body), (200, first.body));
    let keyless = hub.post("/v1/submissions", &hub.kolvani, &body, &[]).await;
    assert_eq!(keyless.body["lines"][0]["outcome"], "known");
    let other = rescue("meruva.kolvani", 2).into_bytes();
    assert_problem(
        &hub.post("/v1/submissions", &hub.kolvani, &other, &key).await,
        422,
        "idempotency-key-reused",
    );
    // Another caller's key is another key.
    let theirs = rescue("meruva.desharu", 2).into_bytes();
    assert_eq!(hub.post("/v1/submissions", &hub.desharu, &theirs, &key).await.status, 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn strict_is_all_or_nothing_and_only_ones_own_is_seen() {
    let hub = serve().await;
    let mixed = format!("{}\n{}\n", rescue("meruva.kolvani", 1), rescue("meruva.desharu", 2));
    let strict =
        hub.post("/v1/submissions", &hub.kolvani, mixed.as_bytes(), &[("prefer", "handling=strict")]).await;
    assert_problem(&strict, 422, "strict-refused");
    let codes: Vec<_> = strict.body["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["problems"][0]["code"].clone())
        .collect();
    assert_eq!(codes, [json!("withheld"), json!("foreign-author")]);
    let stored = |got: Got| got.body["items"].as_array().unwrap().len();
    assert_eq!(stored(hub.get("/v1/records", &hub.kolvani).await), 0);
    let lenient = hub.post("/v1/submissions", &hub.kolvani, mixed.as_bytes(), &[]).await;
    assert_eq!((lenient.status, &lenient.body["counts"]["accepted"]), (207, &json!(1)));
    assert_eq!(stored(hub.get("/v1/records", &hub.kolvani).await), 1);
    assert_eq!(stored(hub.get("/v1/records", &hub.desharu).await), 0);
    assert_eq!(hub.get("/v1/animals/meruva.kolvani:1", &hub.desharu).await.status, 404);
    let changed = rescue("meruva.kolvani", 1).replace("\"wild\"", "\"trade\"");
    let reused = hub.post("/v1/submissions", &hub.kolvani, changed.as_bytes(), &[]).await;
    assert_eq!(reused.body["lines"][0]["problems"][0]["code"], "revision-reused");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_submission_in_the_background_is_found_again() {
    let hub = serve().await;
    let body: Vec<String> = (1..=30).map(|number| rescue("meruva.kolvani", number)).collect();
    let taken = hub
        .post("/v1/submissions", &hub.kolvani, body.join("\n").as_bytes(), &[("prefer", "respond-async")])
        .await;
    assert_eq!((taken.status, taken.headers["preference-applied"].as_str()), (202, "respond-async"));
    let path = taken.headers["location"].clone();
    let mut seen = Vec::new();
    for _ in 0..100 {
        let shown = hub.get(&path, &hub.kolvani).await;
        if shown.body["state"] == "done" {
            assert_eq!(shown.body["counts"]["accepted"], 30);
            let mut next = Some(format!("{path}?limit=7"));
            while let Some(page) = next {
                let shown = hub.get(&page, &hub.kolvani).await;
                seen.extend(
                    shown.body["lines"].as_array().unwrap().iter().map(|line| line["line"].as_u64().unwrap()),
                );
                next = shown.body["next"].as_str().map(str::to_owned);
            }
            break;
        }
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    assert_eq!(seen, (1..=30).collect::<Vec<u64>>());
    assert_eq!(hub.get(&path, &hub.desharu).await.status, 404);
}

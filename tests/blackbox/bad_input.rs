//! Bad input: each its own clear problem, the rest of the file still counts, the process keeps serving.

use haulout_demo::story;
use haulout_tests::{Client, Hub};
use serde_json::{Value, json};
use std::io::Write;

fn good(number: u32) -> Value {
    json!({
        "recordID": format!("s-{number}"), "revision": 1, "kind": "sighting", "schemaVersion": "1.0",
        "authorID": "meruva.velitha", "centreID": "meruva.velitha", "eventDate": "2026-07-06",
        "scientificName": "Pangshura tecta", "individualCount": 1, "vitality": "alive",
    })
}

/// The code of the problem with a line, when it stands between two good ones.
fn code_between(client: &Client, bad: &[u8]) -> String {
    let mut body = good(1).to_string().into_bytes();
    body.push(b'\n');
    body.extend_from_slice(bad);
    body.push(b'\n');
    body.extend_from_slice(good(2).to_string().as_bytes());
    let answer = client.post("/v1/submissions", "application/x-ndjson", &body, &[]);
    assert!(
        matches!(answer.status, 200 | 207),
        "{}: {}",
        String::from_utf8_lossy(&bad[..bad.len().min(80)]),
        answer.text()
    );
    let body = answer.json();
    let lines = body["lines"].as_array().unwrap();
    assert_eq!(lines.len(), 3, "{body}");
    for at in [0, 2] {
        assert!(lines[at]["outcome"] != "rejected", "the rest still counts: {}", lines[at]);
    }
    let problem = &lines[1]["problems"][0];
    for member in ["message", "help"] {
        assert!(problem[member].as_str().is_some_and(|text| !text.is_empty()), "{problem}");
    }
    problem["code"].as_str().unwrap_or_default().to_owned()
}

fn changed(changes: Value) -> Vec<u8> {
    let mut record = good(7);
    record.as_object_mut().unwrap().extend(changes.as_object().unwrap().clone());
    record.to_string().into_bytes()
}

#[test]
fn each_bad_line_has_its_own_problem_and_the_rest_counts() {
    let hub = Hub::on_sqlite(&story::region());
    let operator = hub.caller("operator", None);
    hub.set_clock(&operator, "2026-08-10T09:00:00+05:30");
    let velitha = hub.caller("centre", Some("meruva.velitha"));
    let text = good(7).to_string();
    let deep = format!("{}{}{}", "[".repeat(200), "1", "]".repeat(200));
    let cases: Vec<(&str, Vec<u8>)> = vec![
        ("unreadable bytes", vec![b'{', 0xff, 0xfe, b'}']),
        ("a truncated line", text.as_bytes()[..text.len() - 5].to_vec()),
        ("NaN", text.replace("\"individualCount\":1", "\"individualCount\":NaN").into_bytes()),
        ("duplicate keys", text.replace("\"revision\":1", "\"revision\":1,\"revision\":2").into_bytes()),
        ("beyond range", text.replace("\"individualCount\":1", "\"individualCount\":1e400").into_bytes()),
        ("NUL", changed(json!({ "notes": "a\u{0}b" }))),
        (
            "200 deep",
            changed(json!({ "extensions": { "x": serde_json::from_str::<Value>("0").unwrap() } }))
                .splice_deep(&deep),
        ),
        ("a 50 MB line", changed(json!({ "notes": "x".repeat(50 << 20) }))),
        ("unknown version", changed(json!({ "schemaVersion": "9.0" }))),
        (
            "another centre's record",
            changed(json!({ "authorID": "meruva.kolvani", "centreID": "meruva.kolvani" })),
        ),
        ("unknown kind", changed(json!({ "kind": "sightng" }))),
        ("unknown field", changed(json!({ "eventdate": "2026-07-06" }))),
    ];
    let mut codes = Vec::new();
    for (what, bytes) in &cases {
        let code = code_between(&velitha, bytes);
        println!("{what}: {code}");
        assert!(!code.is_empty(), "{what} is refused with a code");
        codes.push(code);
    }
    codes.sort();
    codes.dedup();
    assert_eq!(codes.len(), cases.len(), "each has a code of its own");
    // Accepted, and flagged.
    let future = velitha.submit_text(
        &String::from_utf8(changed(json!({ "recordID": "s-8", "eventDate": "2027-01-01" }))).unwrap(),
    );
    assert_eq!(future.status, 200, "{}", future.text());
    assert_eq!(future.json()["lines"][0]["problems"][0]["severity"], "warning", "{}", future.text());
    // Revisions out of order are all accepted, and the highest counts.
    let revision = |n: u32| changed(json!({ "recordID": "s-9", "revision": n, "individualCount": n }));
    for n in [3, 1, 2] {
        assert_eq!(velitha.submit_text(&String::from_utf8(revision(n)).unwrap()).status, 200);
    }
    let record = velitha.get("/v1/records/meruva.velitha/s-9").json();
    assert_eq!(record["record"]["individualCount"], 3, "{record}");
    assert_eq!(velitha.submit_text("").status, 422, "an empty file is no submission");
    assert_eq!(hub.nobody().get("/healthz").status, 200, "the process keeps serving");
}

trait SpliceDeep {
    fn splice_deep(self, deep: &str) -> Vec<u8>;
}

impl SpliceDeep for Vec<u8> {
    fn splice_deep(self, deep: &str) -> Vec<u8> {
        String::from_utf8(self).unwrap().replace("\"x\":0", &format!("\"x\":{deep}")).into_bytes()
    }
}

#[test]
fn whole_files_in_odd_shapes() {
    let hub = Hub::on_sqlite(&story::region());
    let operator = hub.caller("operator", None);
    hub.set_clock(&operator, "2026-08-10T09:00:00+05:30");
    let velitha = hub.caller("centre", Some("meruva.velitha"));
    let post = |body: &[u8], headers: &[(&str, &str)]| {
        velitha.post("/v1/submissions", "application/x-ndjson", body, headers)
    };
    let line = good(1).to_string();
    // A byte order mark, CRLF, blank lines and a last line without an end are all read.
    let odd = format!("\u{feff}{line}\r\n\r\n{}", good(2));
    let answer = post(odd.as_bytes(), &[]);
    assert_eq!(answer.status, 200, "{}", answer.text());
    assert_eq!(answer.json()["counts"]["accepted"], 2);
    // Compressed, both ways.
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gzip.write_all(good(3).to_string().as_bytes()).unwrap();
    assert_eq!(post(&gzip.finish().unwrap(), &[("content-encoding", "gzip")]).status, 200);
    let zstd = zstd::encode_all(good(4).to_string().as_bytes(), 3).unwrap();
    assert_eq!(post(&zstd, &[("content-encoding", "zstd")]).status, 200);
    // A bomb: 4 GB of blanks in a few megabytes is refused, and soon.
    let mut bomb = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    let blanks = vec![b' '; 1 << 20];
    for _ in 0..4096 {
        bomb.write_all(&blanks).unwrap();
    }
    let answer = post(&bomb.finish().unwrap(), &[("content-encoding", "gzip")]);
    assert!(matches!(answer.status, 413 | 422), "{}", answer.text());
    let memory = std::fs::read_to_string(format!("/proc/{}/status", hub.process())).unwrap();
    let peak: u64 = memory
        .lines()
        .find(|l| l.starts_with("VmHWM"))
        .and_then(|l| l.split_whitespace().nth(1))
        .unwrap()
        .parse()
        .unwrap();
    assert!(peak < 256 << 10, "peak memory {peak} kB");
    assert_eq!(post(b"x", &[("content-encoding", "br")]).status, 415);
    assert_eq!(velitha.post("/v1/submissions", "text/plain", b"x", &[]).status, 415);
    assert_eq!(
        hub.nobody().post("/v1/submissions", "application/x-ndjson", line.as_bytes(), &[]).status,
        401
    );
    assert_eq!(hub.nobody().get("/v1/nowhere").status, 404);
}

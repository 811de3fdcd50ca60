//! The story over HTTP: the authority's statements arrive at the figures worked by hand, at both instants.

use crate::basin::Posting;
use crate::story_by_hand::CLOSING;
use haulout_demo::story;
use haulout_tests::Hub;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// A hub that has heard the story up to an instant; its calendar stands there.
fn told(until: &str) -> Posting {
    told_to(Hub::on_sqlite(&story::region()), until)
}

fn told_to(hub: Hub, until: &str) -> Posting {
    let until = chrono::DateTime::parse_from_rfc3339(until).unwrap();
    let posting = Posting::new(hub, &story::region(), "2026-06-30T09:00:00+05:30");
    hear(&posting, None, until);
    posting
}

/// Posts what is posted between two instants, with the calendar at each.
fn hear(posting: &Posting, from: Option<&str>, until: chrono::DateTime<chrono::FixedOffset>) {
    let from = from.map(|from| chrono::DateTime::parse_from_rfc3339(from).unwrap());
    let mut now = None;
    for post in story::posts(&story::Consignments::default()) {
        if post.at >= until || from.is_some_and(|from| post.at < from) {
            continue;
        }
        if now != Some(post.at) {
            posting.hub.set_clock(&posting.operator, &post.at.to_rfc3339());
            now = Some(post.at);
        }
        let answer = posting.party(post.party).submit(&post.records);
        assert_eq!(answer.status, 200, "{} {}: {}", post.at, post.party, answer.text());
    }
    posting.hub.set_clock(&posting.operator, &until.to_rfc3339());
}

fn codes(statement: &Value) -> BTreeSet<(String, Vec<String>)> {
    let findings = statement["findings"].as_array().unwrap();
    findings
        .iter()
        .map(|finding| {
            let centres = finding["centreIDs"]
                .as_array()
                .unwrap()
                .iter()
                .map(|c| c.as_str().unwrap().to_owned())
                .collect();
            (finding["code"].as_str().unwrap().to_owned(), centres)
        })
        .collect()
}

fn rows(statement: &Value) -> Vec<Value> {
    statement["account"]["rows"].as_array().unwrap().clone()
}

fn closings(statement: &Value) -> BTreeMap<(String, String, String), i64> {
    let mut found = BTreeMap::new();
    for row in rows(statement) {
        let place = row["centreID"]
            .as_str()
            .map(|c| format!("centre/{c}"))
            .unwrap_or_else(|| format!("point/{}", row["pointID"].as_str().unwrap()));
        let closing = row["closing"].as_i64().unwrap();
        if closing != 0 {
            found.insert(
                (
                    place,
                    row["scientificName"].as_str().unwrap().to_owned(),
                    row["commodity"].as_str().unwrap().to_owned(),
                ),
                closing,
            );
        }
    }
    found
}

#[test]
fn the_authority_reads_what_was_worked_by_hand() {
    let posting = told("2026-10-02T08:00:00+05:30");
    let first = posting.authority.statement("2026-Q3", Some("2026-10-01"));
    let expected: BTreeMap<_, _> = CLOSING
        .iter()
        .map(|(account, name, commodity, count)| {
            (((*account).to_owned(), (*name).to_owned(), (*commodity).to_owned()), *count)
        })
        .collect();
    assert_eq!(closings(&first), expected);
    assert_eq!(
        first["account"]["deaths"],
        serde_json::json!({ "beforeRescue": 9, "inTransit": 1, "within48h": 0, "inCare": 4 })
    );
    // 139 there before; 312 alive in the lorry, told by two agencies and counted once; the mugger of
    // 2 July, the slider at the gate, the female that was free.
    assert_eq!(first["mortality"]["inCare"], 139 + 312 + 1 + 1 + 1);
    assert_eq!(first["mortality"]["together"]["count"], 4);
    assert_eq!(first["trialBalance"]["outOfBalance"], serde_json::json!({}));
    assert_eq!(first["remarks"], serde_json::json!([]));
    let remarks = |period: &str, at| posting.authority.statement(period, at)["remarks"].clone();
    assert_eq!(remarks("2026-Q3", Some("2026-08-01")), serde_json::json!(["period-not-over"]));
    assert_eq!(remarks("2031-Q1", None), serde_json::json!(["period-not-begun"]));
    assert_eq!(
        remarks("2026-Q2", Some("2020-01-01")),
        serde_json::json!(["nothing-known", "period-not-begun"])
    );
    // A slip of the pen is no proof that nobody was exposed.
    assert_eq!(posting.authority.get("/v1/tracing?animal=meruva.desharu:nobody").status, 404);
    assert_eq!(posting.authority.get("/v1/tracing?centre=meruva.desharu").status, 200);
    // Of a place that nobody knows there is no statement, not even of nothing; the police yard is known.
    let of = |place: &str| posting.authority.get(&format!("/v1/statements/2026-Q3?centreID={place}"));
    let unknown = of("meruva.nowhere");
    assert_eq!(unknown.status, 422, "{}", unknown.text());
    assert!(unknown.text().contains("meruva.nowhere"), "{}", unknown.text());
    assert_eq!(of("meruva.yard").status, 200);
    let redetermined: i64 = rows(&first)
        .iter()
        .map(|row| {
            row["in"]["redetermined"].as_i64().unwrap_or(0) - row["out"]["redetermined"].as_i64().unwrap_or(0)
        })
        .sum::<i64>()
        + first["account"]["transit"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| {
                row["in"]["redetermined"].as_i64().unwrap_or(0)
                    - row["out"]["redetermined"].as_i64().unwrap_or(0)
            })
            .sum::<i64>();
    assert_eq!(redetermined, 0, "over all commodities");
    let saivera = rows(&first)
        .into_iter()
        .find(|row| row["centreID"] == "meruva.saivera" && row["scientificName"] == "Crocodylus palustris")
        .unwrap();
    assert_eq!(saivera["in"], serde_json::json!({ "released": 1 }), "a readmission, not a new rescue");
    assert_eq!(saivera["out"], serde_json::json!({ "released": 1 }));
    assert_eq!(first["relocations"].as_array().unwrap().len(), 1);
    // Worked by hand: what is open when the quarter closes.
    let must: BTreeSet<(String, Vec<String>)> = [
        ("census-difference", vec!["meruva.thulmar"]),
        ("crates-not-disinfected", vec!["meruva.desharu", "meruva.yard"]),
        ("deaths-cluster", vec!["meruva.desharu"]),
        ("stay-under-order", vec!["meruva.desharu"]),
    ]
    .into_iter()
    .map(|(code, centres)| (code.to_owned(), centres.into_iter().map(str::to_owned).collect()))
    .collect();
    assert_eq!(codes(&first), must);

    // 4 October: one census revision. As known on 1 November only Thulmar's cell and its one finding differ.
    hear(
        &posting,
        Some("2026-10-02T08:00:00+05:30"),
        chrono::DateTime::parse_from_rfc3339("2026-11-02T08:00:00+05:30").unwrap(),
    );
    let second = posting.authority.statement("2026-Q3", Some("2026-11-01"));
    assert_eq!(closings(&second), expected);
    let differing: Vec<_> = rows(&first).into_iter().zip(rows(&second)).filter(|(a, b)| a != b).collect();
    assert_eq!(differing.len(), 1);
    let (before, after) = &differing[0];
    assert_eq!(
        (&before["centreID"], &before["census"]["individualCount"]),
        (&"meruva.thulmar".into(), &41.into())
    );
    assert_eq!(after["census"]["individualCount"], 42);
    let gone: Vec<_> = codes(&first).difference(&codes(&second)).cloned().collect();
    assert_eq!(gone, [("census-difference".to_owned(), vec!["meruva.thulmar".to_owned()])]);
    assert!(codes(&second).is_subset(&codes(&first)));
    // The first question, asked again a month later, gives the same bytes.
    let again = posting.authority.statement("2026-Q3", Some("2026-10-01"));
    assert_eq!(first, again);
}

#[test]
fn offices_sign_a_statement_and_accept_a_finding() {
    let posting = told("2026-10-02T08:00:00+05:30");
    let (authority, path) = (&posting.authority, "/v1/statements/2026-Q3/sign-offs");
    let first = authority.statement("2026-Q3", Some("2026-10-01"));
    let signature = |statement: &Value| {
        serde_json::json!({
            "asKnownAt": statement["basis"]["asKnownAt"], "note": "read by the licence desk",
            "accountDigest": statement["accountDigest"], "findingsDigest": statement["findingsDigest"],
        })
    };
    // Nobody signs another account than the one in hand.
    let mut forged = signature(&first);
    forged["accountDigest"] = "0".repeat(64).into();
    let refused = authority.post_json(path, &forged);
    assert_eq!(refused.status, 409, "{}", refused.text());
    assert!(refused.text().contains("/accountDigest"), "{}", refused.text());
    assert_eq!(authority.get(path).json()["signOffs"], serde_json::json!([]));
    let signed = authority.post_json(path, &signature(&first));
    assert_eq!(signed.status, 201, "{}", signed.text());

    // Thulmar's difference is accepted, with a reason; of other records there is no such finding.
    let findings = first["findings"].as_array().unwrap();
    let thulmar = findings.iter().find(|finding| finding["code"] == "census-difference").unwrap();
    let acceptance = |records: &Value, reason: &str| serde_json::json!({ "code": "census-difference", "records": records, "reason": reason });
    let accepting = "/v1/findings/acceptances";
    let few = serde_json::json!([]);
    assert_eq!(authority.post_json(accepting, &acceptance(&few, "of nothing")).status, 409);
    assert_eq!(authority.post_json(accepting, &acceptance(&thulmar["records"], " ")).status, 422);
    let centre = posting.party("meruva.thulmar");
    assert_eq!(centre.post_json(accepting, &acceptance(&thulmar["records"], "ours")).status, 403);
    let accepted =
        authority.post_json(accepting, &acceptance(&thulmar["records"], "counted again on the 4th"));
    assert_eq!(accepted.status, 201, "{}", accepted.text());

    // It stays a finding, with the word beside it.
    let list = authority.get("/v1/findings?code=census-difference").json();
    assert_eq!(list["items"].as_array().unwrap().len(), 1);
    assert_eq!(list["items"][0]["accepted"]["reason"], "counted again on the 4th");
    assert_eq!(list["items"][0]["accepted"]["by"]["partyID"], "meruva.authority");

    // What was said later is not in the statement as known before: its bytes stay.
    assert_eq!(authority.statement("2026-Q3", Some("2026-10-01")), first);
    let now = authority.statement("2026-Q3", None);
    assert_eq!(now["accountDigest"], first["accountDigest"]);
    assert_eq!(now["signOffs"][0]["sameFigures"], true);
    assert_eq!(now["signOffs"][0]["note"], "read by the licence desk");
    assert_eq!(now["acceptances"][0]["records"], thulmar["records"]);
    // A centre signs its own part, and another's not.
    let own = centre.statement("2026-Q3", None);
    let mut its = signature(&own);
    its["centreID"] = "meruva.thulmar".into();
    assert_eq!(centre.post_json(path, &its).status, 201);
    its["centreID"] = "meruva.desharu".into();
    assert_eq!(centre.post_json(path, &its).status, 403);

    // The census that is set right closes the finding; the word about it is told no more.
    hear(
        &posting,
        Some("2026-10-02T08:00:00+05:30"),
        chrono::DateTime::parse_from_rfc3339("2026-11-02T08:00:00+05:30").unwrap(),
    );
    let second = authority.statement("2026-Q3", None);
    assert_eq!(second["acceptances"], serde_json::json!([]));
    assert_eq!(second["signOffs"][0]["sameFigures"], false, "Thulmar's count is another now");
    let every = authority.get(path).json();
    assert_eq!(every["signOffs"].as_array().unwrap().len(), 1, "a centre's part is signed apart");
}

#[test]
fn findings_open_and_close_on_their_days() {
    // (as known at the close of this day, must be open, must not be open)
    let days: &[(&str, &[&str], &[&str])] = &[
        (
            "2026-07-11",
            &["consignment-species"],
            &["consignment-count", "balance-below-zero", "custody-breached", "licence-exceeded"],
        ),
        ("2026-07-12", &[], &["consignment-species", "reported-twice"]),
        ("2026-07-30", &[], &["unit-overfull", "death-without-necropsy"]),
        ("2026-08-31", &[], &["consignment-count", "consignment-unreceived", "mark-in-two-places"]),
        (
            "2026-09-29",
            &[],
            &[
                "permit-overdrawn",
                "quarantine-short",
                "release-without-permit",
                "release-without-certificate",
                "release-without-mark",
                "animal-in-two-places",
            ],
        ),
    ];
    let posting = told("2026-10-02T08:00:00+05:30");
    for (day, open, closed) in days {
        let statement = posting.authority.statement("2026-Q3", Some(day));
        let codes: BTreeSet<String> = codes(&statement).into_iter().map(|(code, _)| code).collect();
        for code in *open {
            assert!(codes.contains(*code), "{day}: {code} is open; found {codes:?}");
        }
        for code in *closed {
            assert!(!codes.contains(*code), "{day}: {code} is not open; found {codes:?}");
        }
    }
}

#[test]
fn sqlite_and_postgresql_arrive_at_the_same_digests() {
    let Some(postgres) = Hub::on_postgres(&story::region()) else { return };
    let until = "2026-11-02T08:00:00+05:30";
    let periods = ["2026-07", "2026-Q3", "2026-07-15..2026-08-14"];
    assert_eq!(told_to(postgres, until).figures(&periods), told(until).figures(&periods));
}

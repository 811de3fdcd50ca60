//! Where the race is run: a region ready for it, the place that all want, and how long they waited.

use super::{BEGIN, COORDINATION, OMBARI, UNIT};
use crate::basin::Posting;
use chrono::DateTime;
use haulout_demo::story;
use haulout_tests::{Client, Hub};
use serde_json::{Value, json};
use std::sync::Mutex;
use std::time::Instant;

/// A region ready for the race, served by one process or several.
pub struct Course {
    pub posting: Posting,
    others: Vec<Hub>,
    pub name: &'static str,
}

impl Course {
    pub fn on_sqlite() -> Self {
        let region = story::region();
        Self::with(Hub::on_sqlite(&region), &region, 1, "SQLite, one process")
    }

    pub fn on_postgres() -> Option<Self> {
        let region = story::region();
        let hub = Hub::on_postgres(&region)?;
        Some(Self::with(hub, &region, 2, "PostgreSQL, two processes"))
    }

    fn with(hub: Hub, region: &Value, processes: usize, name: &'static str) -> Self {
        let begin = DateTime::parse_from_rfc3339(BEGIN).unwrap();
        let others = (1..processes).map(|_| hub.beside(region)).collect();
        let posting = Posting::new(hub, region, "2026-06-30T09:00:00+05:30");
        for post in story::posts(&story::Consignments::default()).into_iter().filter(|post| post.at < begin) {
            posting.hub.set_clock(&posting.operator, &post.at.to_rfc3339());
            assert_eq!(posting.party(post.party).submit(&post.records).status, 200);
        }
        posting.hub.set_clock(&posting.operator, BEGIN);
        Self { posting, others, name }
    }

    /// A party's client of its own, spread over the processes.
    pub fn client(&self, nth: usize, party: &str) -> Client {
        let token = self.posting.party(party).token().map(str::to_owned);
        let urls: Vec<&str> =
            std::iter::once(self.posting.hub.url()).chain(self.others.iter().map(Hub::url)).collect();
        Client::new(urls[nth % urls.len()], token)
    }

    pub fn open(&self) -> Vec<Value> {
        let path = format!("/v1/reservations?open=true&limit=1000&centreID={OMBARI}");
        let answer = self.posting.party(COORDINATION).get(&path);
        assert_eq!(answer.status, 200, "{}", answer.text());
        answer.json()["reservations"].as_array().unwrap().clone()
    }

    pub fn verify(&self) {
        let said = haulout_tests::haulout_ok(&[
            "verify",
            "--database",
            self.posting.hub.database(),
            "--format",
            "json",
        ]);
        let said: Value = serde_json::from_str(&said).unwrap();
        assert_eq!(said["good"], true, "{said}");
    }
}

pub fn place(request: &str, minutes: u32) -> Value {
    json!({
        "centreID": OMBARI, "unitID": UNIT, "answerWithinMinutes": minutes,
        "request": {
            "requestID": request, "scientificName": "Pangshura tecta", "individualCount": 1, "lifeStage": "juvenile",
            "length": { "value": 0.1, "measure": "straightCarapaceLength", "method": "taped" },
            "triage": "green", "stay": "long", "from": { "placeID": "meruva.yard" },
            "fitToTravel": { "fit": "yes" }, "custody": { "caseProperty": "no" },
        },
    })
}

/// What the callers waited, in milliseconds.
#[derive(Default)]
pub struct Waits(Mutex<Vec<f64>>);

impl Waits {
    pub fn timed<T>(&self, work: impl FnOnce() -> T) -> T {
        let began = Instant::now();
        let done = work();
        self.0.lock().unwrap().push(began.elapsed().as_secs_f64() * 1000.0);
        done
    }

    pub fn told(&self) -> String {
        let mut waits = self.0.lock().unwrap().clone();
        waits.sort_by(f64::total_cmp);
        let at = |share: f64| waits[((waits.len() - 1) as f64 * share) as usize];
        format!(
            "{} calls: p50 {:.0} ms, p99 {:.0} ms, longest {:.0} ms",
            waits.len(),
            at(0.5),
            at(0.99),
            at(1.0)
        )
    }
}

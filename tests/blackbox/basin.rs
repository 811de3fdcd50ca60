//! A generated basin on disk, and the hub that takes its files.

use haulout_tests::{Client, Hub, haulout_ok};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Files of a generated basin.
pub struct Basin {
    folder: TempDir,
    pub region: Value,
    pub truth: Value,
}

/// One party's file of one night.
#[derive(Clone)]
pub struct NightFile {
    pub party: String,
    pub lines: Vec<String>,
}

impl Basin {
    pub fn generate(centres: u32, nights: u32, seed: u64, faults: bool) -> Self {
        let folder = TempDir::new().unwrap();
        let out = folder.path().join("basin");
        let (centres, nights, seed) = (centres.to_string(), nights.to_string(), seed.to_string());
        let mut arguments = vec![
            "generate",
            "--out",
            out.to_str().unwrap(),
            "--centres",
            &centres,
            "--nights",
            &nights,
            "--seed",
            &seed,
        ];
        if faults {
            arguments.push("--faults");
        }
        haulout_ok(&arguments);
        let read =
            |name: &str| serde_json::from_str(&std::fs::read_to_string(out.join(name)).unwrap()).unwrap();
        let (region, truth) = (read("region.json"), read("truth.json"));
        Self { folder, region, truth }
    }

    /// The party of a role of which there is one.
    pub fn party(&self, role: &str) -> String {
        let mut parties = self.region["parties"].as_array().unwrap().iter();
        let party = parties.find(|party| party["role"] == role).unwrap();
        party["partyID"].as_str().unwrap().to_owned()
    }

    /// The request for a place that was written with it.
    pub fn question(&self) -> Value {
        let text = std::fs::read_to_string(self.folder().join("placement.json")).unwrap();
        serde_json::from_str::<Value>(&text).unwrap()["requests"][0].clone()
    }

    pub fn folder(&self) -> PathBuf {
        self.folder.path().join("basin")
    }

    /// Files in the order in which they were posted.
    pub fn files(&self) -> Vec<NightFile> {
        let mut posts: Vec<(&str, &str)> = self.truth["posts"]
            .as_array()
            .unwrap()
            .iter()
            .map(|post| (post["at"].as_str().unwrap(), post["file"].as_str().unwrap()))
            .collect();
        posts.sort_by_key(|(at, file)| (chrono::DateTime::parse_from_rfc3339(at).unwrap(), *file));
        posts.iter().map(|(_, file)| self.file(file)).collect()
    }

    pub fn file(&self, name: &str) -> NightFile {
        let path = self.folder().join(name);
        let lines = std::fs::read_to_string(&path).unwrap().lines().map(str::to_owned).collect();
        let party = Path::new(name).file_stem().unwrap().to_str().unwrap().to_owned();
        NightFile { party, lines }
    }
}

/// A hub on which every party of the region has a token.
pub struct Posting {
    pub hub: Hub,
    pub operator: Client,
    pub authority: Client,
    parties: BTreeMap<String, Client>,
}

impl Posting {
    pub fn new(hub: Hub, region: &Value, now: &str) -> Self {
        let operator = hub.caller("operator", None);
        hub.set_clock(&operator, now);
        let parties: BTreeMap<String, Client> = region["parties"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(|party| party["partyID"].as_str())
            .map(|party| (party.to_owned(), hub.party(region, party)))
            .collect();
        let authority = region["parties"]
            .as_array()
            .unwrap()
            .iter()
            .find(|party| party["role"] == "authority")
            .map(|party| parties[party["partyID"].as_str().unwrap()].clone())
            .unwrap();
        Self { hub, operator, authority, parties }
    }

    pub fn party(&self, party: &str) -> &Client {
        &self.parties[party]
    }

    /// Posts a file; every line must be accepted or known.
    pub fn post(&self, file: &NightFile) {
        let answer = self.party(&file.party).submit_text(&(file.lines.join("\n") + "\n"));
        assert_eq!(answer.status, 200, "{}: {}", file.party, answer.text());
    }

    /// What every hub with the same records must agree on.
    pub fn figures(&self, periods: &[&str]) -> Vec<(String, String, String)> {
        let mut figures: Vec<_> = periods
            .iter()
            .map(|period| {
                let statement = self.authority.statement(period, None);
                let text = |member: &str| statement[member].as_str().unwrap().to_owned();
                ((*period).to_owned(), text("accountDigest"), text("findingsDigest"))
            })
            .collect();
        let verified: Value = serde_json::from_str(&haulout_ok(&[
            "verify",
            "--database",
            self.hub.database(),
            "--format",
            "json",
        ]))
        .unwrap();
        assert_eq!(verified["good"], true, "{verified}");
        for (projection, digests) in verified["verification"]["projections"].as_object().unwrap() {
            figures.push((projection.clone(), digests["now"].as_str().unwrap().to_owned(), String::new()));
        }
        figures
    }
}

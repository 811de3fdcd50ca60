//! How long the options for one animal take at 500 centres of 40 units: the region prepared once,
//! against a region read anew for every question.
//!
//! `cargo run --release -p haulout-placement --example options_bench`

#![allow(clippy::unwrap_used)]

use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset};
use haulout_placement::{CHANGES_FOR, Index, Options, Prepared, RegionView, Request, options};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::{Value, json};

/// As in the hub.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const CENTRES: usize = 500;
const UNITS: usize = 40;
const QUESTIONS: usize = 400;
const UNPREPARED: usize = 40;

/// Numbers that look drawn, the same in every run.
struct Drawn(u64);

impl Drawn {
    fn below(&mut self, most: u64) -> u64 {
        // Knuth's multiplier; the upper bits are the good ones.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % most
    }

    fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        let at = self.below(of.len() as u64);
        &of[usize::try_from(at).unwrap()]
    }
}

const SPECIES: [(&str, &str, f64); 8] = [
    ("Crocodylus palustris", "totalLength", 3.2),
    ("Crocodylus porosus", "totalLength", 3.8),
    ("Gavialis gangeticus", "totalLength", 2.4),
    ("Lissemys punctata", "straightCarapaceLength", 0.24),
    ("Nilssonia gangetica", "straightCarapaceLength", 0.5),
    ("Pangshura tecta", "straightCarapaceLength", 0.17),
    ("Geoclemys hamiltonii", "straightCarapaceLength", 0.3),
    ("Indotestudo elongata", "straightCarapaceLength", 0.28),
];

fn region(drawn: &mut Drawn) -> RegionView {
    let mut centres = Vec::new();
    let mut units = Vec::new();
    for at in 0..CENTRES {
        let id = format!("basin.centre{at}");
        let scopes = [json!(["Testudines"]), json!(["Crocodylia"]), json!(["Testudines", "Crocodylia"])];
        centres.push(json!({
            "centreID": id, "latitude": 20.0 + drawn.below(6000) as f64 / 1000.0,
            "longitude": 76.0 + drawn.below(6000) as f64 / 1000.0,
            "licences": [{ "scope": drawn.one(&scopes), "headsLimit": 50 + drawn.below(800), "validThrough": "2026-12-31", "status": "inForce" }],
            "crews": [{ "skill": "chelonian", "people": 2 }, { "skill": "largeCrocodilian", "people": drawn.below(6) }],
            "vetLevel": drawn.one(&["none", "firstAid", "clinic", "surgery"]),
            "arrivalsPerDay": 5 + drawn.below(40), "arrivedToday": drawn.below(12),
            "statusAsOf": "2026-07-01T20:00:00+05:30",
        }));
        for unit in 0..UNITS {
            units.push(one_unit(drawn, &id, unit));
        }
    }
    serde_json::from_value(json!({
        "centres": centres, "units": units, "roads": { "roadFactor": 1.4, "speedKmh": 40 },
        "standstills": [{ "placeID": "basin.centre7", "direction": "both", "from": "2026-06-20T00:00:00+05:30" }],
    }))
    .unwrap()
}

fn one_unit(drawn: &mut Drawn, centre: &str, at: usize) -> Value {
    let (name, measure, length) = *drawn.one(&SPECIES);
    let suits = [
        json!(["Testudines"]),
        json!(["Crocodylia"]),
        json!(["Trionychidae"]),
        json!(["Testudinidae"]),
        json!(["Crocodylia", "Testudines"]),
    ];
    let occupants: Vec<Value> = (0..drawn.below(3))
        .map(|_| json!({
            "scientificName": name, "individualCount": 1 + drawn.below(4), "sex": "female", "lifeStage": "adult",
            "length": { "value": length, "measure": measure, "method": "taped" }, "batchID": format!("B{}", drawn.below(9)),
        }))
        .collect();
    json!({
        "unitID": format!("U{at}"), "centreID": centre, "unitKind": "pool",
        "arrangement": drawn.one(&["communal", "isolating"]),
        "landSquareMetre": drawn.below(80), "waterSquareMetre": drawn.below(120), "depthMetre": 0.2 + drawn.below(15) as f64 / 10.0,
        "headsLimit": 1 + drawn.below(60), "suits": drawn.one(&suits), "waterCircuit": format!("W{}", drawn.below(8)),
        "lengthLimit": { "metre": 2.0 + drawn.below(30) as f64 / 10.0, "measure": "totalLength" },
        "occupants": occupants, "capacityAsOf": "2026-06-30T18:00:00+05:30",
    })
}

fn request(drawn: &mut Drawn, at: usize) -> Request {
    let (name, measure, length) = *drawn.one(&SPECIES);
    serde_json::from_value(json!({
        "requestID": format!("R{at}"), "scientificName": name, "individualCount": 1 + drawn.below(6),
        "length": { "value": length, "measure": measure, "method": "taped" }, "sex": "female",
        "triage": drawn.one(&["red", "yellow", "green"]), "stay": drawn.one(&["quarantine", "long"]),
        "from": { "latitude": 20.0 + drawn.below(6000) as f64 / 1000.0, "longitude": 76.0 + drawn.below(6000) as f64 / 1000.0 },
        "fitToTravel": { "fit": "yes" },
    }))
    .unwrap()
}

/// Median, 99th percentile and longest, milliseconds.
fn told(mut took: Vec<Duration>) -> [f64; 3] {
    took.sort();
    let at = |share: usize| took[(took.len() * share).div_ceil(100).saturating_sub(1)].as_secs_f64() * 1000.0;
    [at(50), at(99), at(100)]
}

fn timed(questions: &[Request], ask: impl Fn(&Request) -> Options) -> (Vec<Duration>, usize) {
    let mut found = 0;
    let took = questions
        .iter()
        .map(|question| {
            let start = Instant::now();
            let answer = ask(question);
            let took = start.elapsed();
            found += answer.options.len();
            took
        })
        .collect();
    (took, found)
}

fn main() {
    let mut drawn = Drawn(3);
    let view = region(&mut drawn);
    let questions: Vec<Request> = (0..QUESTIONS).map(|at| request(&mut drawn, at)).collect();
    let (profiles, names) = (Profiles::standard(), Names::standard());
    let at: DateTime<FixedOffset> = "2026-07-02T01:20:00+05:30".parse().unwrap();

    let start = Instant::now();
    let index = Index::of(&view, profiles, names);
    println!(
        "{CENTRES} centres x {UNITS} units; prepared in {:.2} ms",
        start.elapsed().as_secs_f64() * 1000.0
    );

    let prepared = Prepared::new(&view, &index, profiles, names);
    let few = &questions[..UNPREPARED];
    let (took, options_found) = timed(&questions, |question| prepared.options(question, at));
    let [p50, p99, longest] = told(took);
    println!(
        "prepared, changes for the nearest {CHANGES_FOR}: p50 {p50:.2} ms, p99 {p99:.2} ms, longest {longest:.2} ms; {QUESTIONS} questions, {options_found} options"
    );
    let (took, _) = timed(&questions, |question| prepared.options_with(question, at, 0));
    let [bare50, bare99, longest] = told(took);
    println!("prepared, no changes: p50 {bare50:.2} ms, p99 {bare99:.2} ms, longest {longest:.2} ms");
    let (took, _) = timed(few, |question| options(&view, question, profiles, names, at));
    let [slow50, slow99, longest] = told(took);
    println!(
        "unprepared, changes for the nearest {CHANGES_FOR}: p50 {slow50:.2} ms, p99 {slow99:.2} ms, longest {longest:.2} ms; {UNPREPARED} questions"
    );
    println!("unprepared over prepared: p50 x {:.1}, p99 x {:.1}", slow50 / p50, slow99 / p99);
}

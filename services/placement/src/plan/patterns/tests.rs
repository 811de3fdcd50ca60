//! Bound and plan of the patterns beside the optimum of the programme, on random small regions.

use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::{Value, json};

use crate::plan::admit::{Task, admitted};
use crate::plan::answer::StageName;
use crate::plan::model::Whole;
use crate::plan::patterns;
use crate::plan::program::{Effort, Row, Solved, Start, minimise};
use crate::plan::scarce::{efforts, loads, quotas};
use crate::plan::solve::{Course, Deadline, proven};
use crate::plan::start::as_figure;
use crate::request::RequestFile;
use crate::species::Species;

const REGIONS: u64 = 40;
const SECONDS: f64 = 60.0;
const SEARCH_SECONDS: f64 = 6.0;

/// Splitmix64: the same numbers for a seed wherever it runs.
struct Luck(u64);

impl Luck {
    fn below(&mut self, most: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % most
    }

    fn once_in(&mut self, times: u64) -> bool {
        self.below(times) == 0
    }

    fn one_of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[usize::try_from(self.below(all.len() as u64)).unwrap()]
    }
}

/// Lots that compete for rows, pools, shared waters, licences, arrivals, crews and vehicles of three
/// centres, with or without fixed minutes.
fn region(seed: u64) -> Value {
    let mut luck = Luck(seed);
    let centres: Vec<Value> = ["A", "B", "C"]
        .map(|id| {
            let mut line = json!({ "scope": ["Testudines"], "status": "inForce" });
            if luck.once_in(2) {
                line["headsLimit"] = json!(5 + luck.below(20));
            }
            let mut centre = json!({
                "centreID": id, "latitude": 22.0, "longitude": 78.0, "heads": 100, "vetLevel": "surgery",
                "licences": [line],
            });
            if luck.once_in(3) {
                centre["arrivalsPerDay"] = json!(5 + luck.below(20));
            }
            if luck.once_in(4) {
                centre["crewsTonight"] = json!(2 + luck.below(4));
            }
            if luck.once_in(4) {
                centre["vehicleMinutes"] = json!(100 + luck.below(600));
            }
            centre
        })
        .into();
    let units: Vec<Value> = (0..12 + luck.below(6))
        .map(|at| {
            let mut unit = json!({
                "unitID": format!("U{at}"), "centreID": luck.one_of(&["A", "B", "C"]), "unitKind": "isolation",
                "arrangement": "isolating", "units": 1 + luck.below(4), "suits": ["Testudines"],
                "waterSquareMetre": 0.5 + 0.25 * f64::from(u32::try_from(luck.below(8)).unwrap()),
                "depthMetre": 0.5,
            });
            if luck.once_in(3) {
                unit["unitKind"] = json!("pool");
                unit["arrangement"] = json!("communal");
                unit["units"] = json!(1);
            }
            if luck.once_in(10) {
                unit["waterCircuit"] = json!("W");
            }
            unit
        })
        .collect();
    let requests: Vec<Value> = (0..6 + luck.below(5))
        .map(|at| {
            json!({
                "requestID": format!("R{at}"), "individualCount": 1 + luck.below(14),
                "scientificName": luck.one_of(&["Lissemys punctata", "Nilssonia gangetica", "Pangshura tecta"]),
                "length": { "value": luck.one_of(&[0.14, 0.18, 0.22]), "measure": "straightCarapaceLength", "method": "taped" },
                "sex": "female", "lifeStage": "juvenile", "triage": luck.one_of(&["red", "yellow", "green"]),
                "stay": luck.one_of(&["quarantine", "long", "long"]), "indivisible": luck.once_in(5),
                "crew": luck.below(2), "from": { "placeID": "yard" }, "fitToTravel": { "fit": "yes" },
                "minutes": { "A": 5 + luck.below(200), "B": 5 + luck.below(200), "C": 5 + luck.below(200) },
            })
        })
        .collect();
    json!({
        "centres": centres, "units": units, "roads": {}, "requests": requests,
        "costs": { "fixedMinutes": luck.one_of(&[0, 40, 300]) },
    })
}

/// What the stage of minutes came to in a part.
struct Outcome {
    optimum: u64,
    bound: u64,
    plan: u64,
    /// The bound of the programme's own relaxation.
    relaxation: u64,
    /// The optimum of what the patterns left of the programme.
    left: u64,
    /// Where the plan was proven by choosing from every pattern near it: the lowest load among them, and
    /// that of the programme.
    lightest: Option<(u64, u64)>,
}

/// The lowest load of plans of the same minutes, over the patterns and in the programme as written.
fn lightest(course: &Course<'_>, minutes: u64) -> Option<(u64, u64)> {
    let most = as_figure(minutes) + 0.4;
    let by_patterns = course.every.as_ref()?.lightest(&course.model, most, 0, SECONDS).unwrap();
    let costs = course.model.minutes.iter().copied().enumerate().filter(|(_, cost)| *cost > 0.0);
    let fixed: Vec<Row> = course.fixed.iter().cloned().chain([Row::at_most(most, costs.collect())]).collect();
    let mut load = vec![0.0; course.model.program.upper.len()];
    load[course.model.load] = 1.0;
    let effort = Effort { seconds: SECONDS, whole: true, presolve: true, gap: 0.0 };
    let as_written = minimise(&course.model.program, &fixed, &load, Start::default(), effort).unwrap();
    Some((proven(by_patterns.bound), proven(as_written.bound)))
}

fn solved(course: &Course<'_>, costs: &[f64], whole: bool) -> Solved {
    let effort = Effort { seconds: SECONDS, whole, presolve: true, gap: 0.0 };
    minimise(&course.model.program, &course.fixed, costs, Start::default(), effort).unwrap()
}

fn optimum(course: &Course<'_>, costs: &[f64]) -> u64 {
    let solved = solved(course, costs, true);
    let optimum = course.model.cost(costs, &solved.values.unwrap());
    assert_eq!(proven(solved.bound), optimum, "the programme as written was not solved to the end");
    optimum
}

fn outcomes(seed: u64) -> Vec<Outcome> {
    let file: RequestFile = serde_json::from_value(region(seed)).unwrap();
    let species = Species { profiles: Profiles::standard(), names: Names::standard() };
    let at = "2026-07-09T20:00:00+05:30".parse().unwrap();
    let task = Task { file: &file, requests: &file.requests, species, at };
    let asked = task.asked();
    let admitted = admitted(&task, &asked);
    let (quotas, efforts) = (quotas(&task, &asked, &admitted), efforts(&task, &admitted));
    let loads = loads(&task);
    let whole = Whole { task: &task, admitted: &admitted, quotas: &quotas, efforts: &efforts, loads: &loads };
    let parts = whole.parts();
    let mut outcomes = Vec::new();
    for part in parts.iter().filter(|part| part.requests.len() > 1) {
        let mut course = Course::of(&whole, part);
        for name in [StageName::UnplacedRed, StageName::UnplacedYellow, StageName::UnplacedGreen] {
            course.stage(name, SECONDS, 0).unwrap();
        }
        let costs = course.model.minutes.clone();
        let optimum = self::optimum(&course, &costs);
        let relaxation = proven(solved(&course, &costs, false).bound);
        let deadline = Deadline::in_seconds(SEARCH_SECONDS);
        let bound = patterns::search(&mut course, StageName::Minutes, &costs, &deadline).unwrap();
        assert!(course.model.holds(&course.values()), "seed {seed}: a plan that does not hold");
        let plan = course.model.cost(&costs, &course.values());
        let left = self::optimum(&course, &costs);
        let lightest = lightest(&course, plan);
        outcomes.push(Outcome { optimum, bound, plan, relaxation, left, lightest });
    }
    outcomes
}

#[test]
fn the_bound_is_below_the_optimum_and_near_it() {
    let (mut all, mut near, mut tight, mut reached, mut chosen) = (0, 0, 0, 0, 0);
    for seed in 0..REGIONS {
        for Outcome { optimum, bound, plan, relaxation, left, lightest } in outcomes(seed) {
            println!("seed {seed}: bound {bound}, relaxation {relaxation}, optimum {optimum}, plan {plan}");
            assert!(bound <= optimum, "seed {seed}: the bound {bound} is above the optimum {optimum}");
            assert!(plan >= optimum, "seed {seed}: a plan of {plan}, where {optimum} is the optimum");
            assert_eq!(left, optimum, "seed {seed}: what was taken out was needed");
            // It is what the relaxation says of placings as they are; a millionth is left to growing.
            assert!(bound + 1 >= relaxation, "seed {seed}: {bound} is below the relaxation {relaxation}");
            if let Some((by_patterns, as_written)) = lightest {
                assert_eq!(plan, optimum, "seed {seed}: a plan called the best that is not");
                assert_eq!(by_patterns, as_written, "seed {seed}: the lowest load");
                chosen += 1;
            }
            all += 1;
            near += u32::from(bound * 20 >= optimum * 19);
            tight += u32::from(bound == optimum);
            reached += u32::from(plan == optimum);
        }
    }
    println!(
        "{all} parts; the bound is within a twentieth in {near}, the optimum in {tight}; plans in {reached}; \
         {chosen} proven by choosing"
    );
    assert!(chosen * 4 > all);
    // What the search leaves open the solver has after it: here it is told how far it comes by itself.
    assert!(all >= 35 && near * 10 > all * 7 && tight * 2 > all && reached * 5 >= all * 4);
}

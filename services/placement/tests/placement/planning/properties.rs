//! What holds for every plan: it is sound, a further unit never places fewer, pins and forbids are kept,
//! bounds are below objectives.

use haulout_placement::plan::{Limits, Plan};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::{breaches, centre, file, lot, pool, room, try_plan, with};

/// A region of two centres with what binds drawn at random.
fn regions() -> impl Strategy<Value = Value> {
    let unit = (any::<bool>(), any::<bool>(), 1..4_u32, 1..8_u32, prop::option::of(0..2_usize));
    let request = (1..12_u32, 0..3_usize, any::<bool>(), prop::bool::weighted(0.2), 0..2_u32, 0..90_u32);
    let scarce = (prop::option::of(1..25_u32), prop::option::of(1..25_u32), prop::option::of(0..3_u32));
    (
        prop::collection::vec(unit, 1..6),
        prop::collection::vec(request, 1..6),
        prop::collection::vec(scarce, 2..=2),
        0..40_u32,
    )
        .prop_map(|(units, requests, centres, fixed)| {
            let centres: Vec<Value> = centres
                .into_iter()
                .zip(["A", "B"])
                .map(|((licence, arrivals, crews), id)| {
                    let mut line = json!({ "scope": ["Testudines"], "status": "inForce" });
                    if let Some(limit) = licence {
                        line = with(line, json!({ "headsLimit": limit }));
                    }
                    let mut one = with(centre(id), json!({ "licences": [line] }));
                    if let Some(limit) = arrivals {
                        one = with(one, json!({ "arrivalsPerDay": limit }));
                    }
                    if let Some(limit) = crews {
                        one = with(one, json!({ "crewsTonight": limit }));
                    }
                    one
                })
                .collect();
            let units: Vec<Value> = units
                .into_iter()
                .enumerate()
                .map(|(at, (at_a, shared, units, tenths, water))| {
                    let (id, of) = (format!("U{at}"), if at_a { "A" } else { "B" });
                    let one = if shared { pool(&id, of) } else { room(&id, of) };
                    let mut one =
                        with(one, json!({ "units": units, "waterSquareMetre": f64::from(tenths) * 0.25 }));
                    if let Some(water) = water {
                        one = with(one, json!({ "waterCircuit": format!("W{water}") }));
                    }
                    one
                })
                .collect();
            let colours = ["red", "yellow", "green"];
            let requests: Vec<Value> = requests
                .into_iter()
                .enumerate()
                .map(|(at, (count, colour, long, whole, crew, minutes))| {
                    with(
                        lot(&format!("R{at}"), count),
                        json!({
                            "triage": colours[colour],
                            "stay": if long { "long" } else { "quarantine" },
                            "indivisible": whole, "crew": crew,
                            "minutes": { "A": 30, "B": minutes },
                        }),
                    )
                })
                .collect();
            with(file(&centres, &units, &requests), json!({ "costs": { "fixedMinutes": fixed } }))
        })
}

fn plan(file: &Value) -> Plan {
    try_plan(file, Limits { seconds: 10.0, helps_seconds: 0.0 }).unwrap()
}

fn staying(plan: &Plan) -> (u64, u64, u64) {
    (plan.stages[0].objective, plan.stages[1].objective, plan.stages[2].objective)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn every_plan_is_sound_and_its_figures_are_its_own(file in regions()) {
        let plan = plan(&file);
        prop_assert_eq!(breaches(&file, &plan), vec![]);
        let asked: u64 = file["requests"].as_array().unwrap().iter().map(|one| one["individualCount"].as_u64().unwrap()).sum();
        let placed: u64 = plan.assignments.iter().map(|one| u64::from(one.individual_count)).sum();
        let stay: u64 = plan.unplaced.iter().map(|one| u64::from(one.individual_count)).sum();
        let (red, yellow, green) = staying(&plan);
        prop_assert_eq!(placed + stay, asked);
        prop_assert_eq!(red + yellow + green, stay);
        for stage in &plan.stages {
            prop_assert!(stage.bound <= stage.objective);
            prop_assert_eq!(stage.gap == 0.0, stage.bound == stage.objective);
        }
    }

    #[test]
    fn one_more_unit_never_places_fewer(file in regions(), at in 0..6_usize) {
        let mut more = file.clone();
        let units = more["units"].as_array_mut().unwrap();
        let at = at % units.len();
        units[at]["units"] = json!(units[at]["units"].as_u64().unwrap() + 1);
        prop_assert!(staying(&plan(&more)) <= staying(&plan(&file)));
    }

    #[test]
    fn pins_and_forbids_are_kept(file in regions()) {
        let bound = |centre: &str| json!([{ "requestID": "R0", "centreID": centre }]);
        let pinned = plan(&with(file.clone(), json!({ "pins": bound("A") })));
        let forbidden = plan(&with(file.clone(), json!({ "forbids": bound("A") })));
        let at = |plan: &Plan, centre: &str| {
            plan.assignments.iter().any(|one| one.request_id == "R0" && one.centre_id == centre)
        };
        prop_assert!(!at(&pinned, "B") && !at(&forbidden, "A"));
        // Less freedom is never better.
        prop_assert!(staying(&pinned) >= staying(&plan(&file)));
    }
}

//! The table of computations: each by name, with what it takes shown by an example that works.

use haulout_schemas::misfit::fitting;
use haulout_schemas::profile::Profile;
use haulout_schemas::vocabulary::Known;
use haulout_store::Configuration;
use haulout_welfare::eggs::window::Incubated;
use haulout_welfare::eggs::{bedding, care, lineage, success, window};
use haulout_welfare::quarantine::clearance;
use haulout_welfare::refusal::Refusal;
use haulout_welfare::release::{gate, monitoring, survival};
use haulout_welfare::transport::{crates, departures, distance, papers, stops};
use haulout_welfare::units::{LEVEL, Metres};
use haulout_welfare::{food, growth, places, routine};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::{answer_or_refusal, species};
use crate::web::{Problem, codes};

/// One computation.
pub(super) struct Computation {
    /// The last part of its address.
    pub name: &'static str,
    /// What it tells.
    pub tells: &'static str,
    /// A body that it takes.
    pub example: fn() -> Value,
    /// The answer to a body.
    pub answer: fn(&Configuration, Value) -> Result<Value, Problem>,
}

/// What is known of something of one species.
#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Of<T> {
    scientific_name: String,
    given: T,
}

fn read<T: DeserializeOwned>(body: Value) -> Result<T, Problem> {
    fitting(body).map_err(|misfit| {
        let advice = format!("{}; `GET /v1/welfare` shows a body that works", misfit.problem);
        Problem::new(&codes::BAD_VALUE, advice).at(format!("#{}", misfit.pointer), misfit.problem)
    })
}

fn told(answer: &impl Serialize) -> Result<Value, Problem> {
    serde_json::to_value(answer)
        .map_err(|error| Problem::new(&codes::INTERNAL, "the answer could not be written").because(error))
}

/// Computes something of a species from what is given.
fn of_species<T: DeserializeOwned, A: Serialize>(
    configuration: &Configuration,
    body: Value,
    compute: impl FnOnce(&Profile, T) -> Result<A, Refusal>,
) -> Result<Value, Problem> {
    let asked: Of<T> = read(body)?;
    told(&compute(species(configuration, &asked.scientific_name)?, asked.given)?)
}

/// Computes something from what is given.
fn of<T: DeserializeOwned, A: Serialize>(
    body: Value,
    compute: impl FnOnce(T) -> Result<A, Refusal>,
) -> Result<Value, Problem> {
    told(&compute(read(body)?)?)
}

/// A clutch in the incubator.
#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Clutch {
    incubated: Incubated,
    #[serde(default)]
    turned: Option<u32>,
    #[serde(default)]
    tops_marked: Option<bool>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Burrowed {
    eggs: u32,
    #[serde(default)]
    nest_depth_metre: Option<Metres>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Quarantined {
    batch: clearance::Batch,
    on: chrono::NaiveDate,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Travelled {
    journey: stops::Journey,
    reach: papers::Reach,
    #[serde(default)]
    case_property: Option<Known>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Released {
    on: chrono::NaiveDate,
    #[serde(default)]
    transmitter: bool,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Apart {
    from: distance::Position,
    to: distance::Position,
    #[serde(default)]
    road_factor: Option<f64>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Hidden {
    place: distance::Position,
    sensitivity: places::Sensitivity,
    #[serde(default)]
    known_to_metre: Option<Metres>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Descended {
    lot: String,
    steps: Vec<lineage::Step>,
}

/// Every computation that takes a body and nothing of the region but its species profiles.
pub(super) static COMPUTATIONS: &[Computation] = &[
    Computation {
        name: "departures",
        tells: "Departure windows from the day's extremes or an hourly forecast: when no reason is found against leaving, the hottest moment, why a window is closed and what would open one. Never that a journey is safe.",
        example: || {
            let warmth = [26, 26, 27, 29, 31, 33, 35, 36, 37, 38, 38, 37, 36, 34, 32];
            let hourly = warmth.iter().zip(4..).map(|(celsius, hour)| {
                json!({ "at": format!("2026-07-09T{hour:02}:00:00+05:30"), "celsius": celsius })
            });
            json!({ "scientificName": "Lissemys punctata", "given": {
                "place": { "latitude": 25.2, "longitude": 87.1 }, "journeyHour": 2.5,
                "vehicle": { "vehicle": "passive", "warmerKelvin": 3 }, "hourly": hourly.collect::<Vec<_>>(),
            } })
        },
        answer: |configuration, body| {
            let zone = configuration.zone();
            of_species(configuration, body, |profile, planned: departures::Planned| {
                departures::departures(profile, &planned, &zone)
            })
        },
    },
    Computation {
        name: "crate",
        tells: "The inner size of a crate from the animal's measures, padding and openings, and how many people lift it.",
        example: || {
            json!({ "scientificName": "Crocodylus palustris", "given": {
                "lengthMetre": { "value": 3.4, "measure": "totalLength", "method": "taped" }, "massKilogram": 150,
            } })
        },
        answer: |configuration, body| {
            of_species(configuration, body, |profile, measured: crates::Body| {
                crates::crate_for(profile, &measured)
            })
        },
    },
    Computation {
        name: "journey",
        tells: "Stops, looks and water on the way, what bars the journey, and which papers it needs, each with who gives it.",
        example: || {
            json!({ "scientificName": "Crocodylus palustris", "given": {
                "journey": { "journeyHour": 3.5, "boundHour": 1 }, "reach": "betweenStates", "caseProperty": "no",
            } })
        },
        answer: |configuration, body| {
            of_species(configuration, body, |profile, travelled: Travelled| {
                let property = travelled.case_property.unwrap_or(Known::Unknown);
                Ok(json!({
                    "stops": stops::stops(profile, &travelled.journey)?,
                    "papers": papers::papers(profile, travelled.reach, property),
                }))
            })
        },
    },
    Computation {
        name: "distance",
        tells: "The straight line between two places over the ellipsoid, its direction at both ends, and an estimate of the road where a road factor is given.",
        example: || json!({ "from": { "latitude": 22.35, "longitude": 78.2 }, "to": { "latitude": 22.8, "longitude": 78.9 }, "roadFactor": 1.3 }),
        answer: |_, body| {
            of(body, |apart: Apart| {
                let line = distance::line(apart.from, apart.to);
                let metres = line.zip(apart.road_factor);
                let road = metres.map(|(line, factor)| distance::by_road(line.metre, factor)).transpose()?;
                Ok(json!({ "line": line, "roadMetre": road, "method": "geodesic on WGS 84 (Karney 2013)" }))
            })
        },
    },
    Computation {
        name: "coarse-place",
        tells: "A position of a sensitive species rounded to what may be told, with the radius that surely holds the true place. Never moved at random.",
        example: || json!({ "place": { "latitude": 26.54321, "longitude": 79.12345 }, "sensitivity": "high", "knownToMetre": 30 }),
        answer: |_, body| {
            of(body, |hidden: Hidden| places::coarse(hidden.place, hidden.sensitivity, hidden.known_to_metre))
        },
    },
    Computation {
        name: "compartments",
        tells: "What speaks against a load as it is packed: species together, sedation. An empty list means that no reason was found.",
        example: || json!([{ "label": "crate 7", "species": ["Lissemys punctata", "Nilssonia gangetica"] }]),
        answer: |_, body| of(body, |load: Vec<crates::Compartment>| Ok(crates::against(&load))),
    },
    Computation {
        name: "clearance",
        tells: "Whether a quarantine batch is clear on a day: days and tests and a veterinarian's word together; what is due; carriers are not cleared by days.",
        example: || {
            json!({ "scientificName": "Lissemys punctata", "given": {
                "batch": { "entries": [{ "day": "2026-07-09", "order": "Testudines" }], "days": 60, "sharesWater": true, "restart": null, "veterinarian": null },
                "on": "2026-08-20",
            } })
        },
        answer: |configuration, body| {
            of_species(configuration, body, |profile, asked: Quarantined| {
                clearance::clearance(profile, &asked.batch, asked.on)
            })
        },
    },
    Computation {
        name: "routine",
        tells: "How well water and warmth were kept, as shares with their denominators, by the kind of water and the species' seasonal rest.",
        example: || {
            json!({ "scientificName": "Lissemys punctata", "given": {
                "water": "staticIndoor", "from": "2026-08-01", "through": "2026-08-30", "winter": false,
                "done": [{ "on": "2026-08-03", "waterChangedShare": 0.2, "waterCelsius": 28.5 }, { "on": "2026-08-12", "waterChangedShare": 0.2, "scrubbed": true }],
            } })
        },
        answer: |configuration, body| {
            of_species(configuration, body, |profile, kept: routine::Kept| routine::routine(profile, &kept))
        },
    },
    Computation {
        name: "growth",
        tells: "Growth from repeated weighings: rate a day with its interval, and loss of weight flagged.",
        example: || json!([{ "on": "2026-07-10", "kilogram": 1.2 }, { "on": "2026-08-10", "kilogram": 1.31 }, { "on": "2026-09-12", "kilogram": 1.38 }]),
        answer: |_, body| of(body, |weighed: Vec<growth::Weighed>| growth::growth(&weighed)),
    },
    Computation {
        name: "food-list",
        tells: "A centre's food of one day in kilograms by kind; who gets none is named with the reason.",
        example: || {
            json!([{ "label": "K2", "animals": 1, "food": "whole fish", "kilojoulePerGram": null, "eater": {
                "massKilogram": 150, "stage": "adult", "diet": "carnivore", "celsius": 29, "leastCelsius": 25,
                "dehydrated": false, "resting": false, "travelling": false,
            } }])
        },
        answer: |_, body| of(body, |fed: Vec<food::Fed>| food::food_list(&fed)),
    },
    Computation {
        name: "clutch",
        tells: "When a clutch may hatch, by species and warmth; which sexes to expect, or that warmth does not decide; never that a resting clutch is overdue.",
        example: || {
            json!({ "scientificName": "Crocodylus palustris", "given": {
                "incubated": { "laidFrom": "2026-03-02", "laidThrough": "2026-03-04", "on": "2026-05-01",
                    "log": [{ "at": "2026-03-05T06:00:00+05:30", "celsius": 31.2 }, { "at": "2026-04-20T06:00:00+05:30", "celsius": 31.8 }] },
                "turned": 2, "topsMarked": true,
            } })
        },
        answer: |configuration, body| {
            of_species(configuration, body, |profile, clutch: Clutch| {
                Ok(json!({
                    "window": window::window(profile, &clutch.incubated)?,
                    "sexes": answer_or_refusal(care::sexes(profile, &clutch.incubated)),
                    "turned": care::turned(clutch.turned, clutch.tops_marked),
                }))
            })
        },
    },
    Computation {
        name: "egg-boxes",
        tells: "Boxes and layers for eggs, with sand between, and the order of tiers by warmth.",
        example: || json!({ "eggs": 48, "eggMetre": 0.05, "lengthMetre": 0.6, "widthMetre": 0.4, "heightMetre": 0.3 }),
        answer: |_, body| of(body, |boxes: bedding::Boxes| bedding::boxes(&boxes)),
    },
    Computation {
        name: "egg-burrows",
        tells: "Burrows for eggs that are reburied: how many to each, and how deep.",
        example: || json!({ "eggs": 48, "nestDepthMetre": 0.45 }),
        answer: |_, body| of(body, |asked: Burrowed| bedding::burrows(asked.eggs, asked.nest_depth_metre)),
    },
    Computation {
        name: "hatch-success",
        tells: "The share that hatched, with its exact interval.",
        example: || json!({ "eggs": 48, "hatched": 31, "failed": 9 }),
        answer: |_, body| of(body, |outcome: success::Outcome| success::success(&outcome)),
    },
    Computation {
        name: "lineage",
        tells: "Which clutches a lot descends from, with bounds, through splits and moves: whether a release can show equal clutches.",
        example: || {
            json!({ "lot": "B", "steps": [
                { "step": "hatched", "lot": "A", "clutch": "C1", "count": 20 }, { "step": "hatched", "lot": "A", "clutch": "C2", "count": 20 },
                { "step": "moved", "from": "A", "to": "B", "count": 12 },
            ] })
        },
        answer: |_, body| of(body, |asked: Descended| lineage::clutches(&asked.steps, &asked.lot)),
    },
    Computation {
        name: "release-gate",
        tells: "What is there for a release, what is missing, and who must supply it. All met means that no reason was found against; the authority decides.",
        example: || {
            json!({ "scientificName": "Crocodylus palustris", "given": {
                "on": "2026-09-20", "animals": 1, "region": "meruva", "quarantineEnded": "yes", "inSeason": "yes", "boundByCase": "no",
                "permits": [{ "permitNumber": "P-7", "byAuthority": true, "namesSpecies": true, "namesHolder": true, "validFrom": "2026-09-01", "validThrough": "2026-12-31", "left": 3 }],
                "certificates": [{ "certificateNumber": "H-12", "byVeterinarian": true, "issued": "2026-09-15", "validThrough": "2026-09-30" }],
                "fitness": { "on": "2026-09-15", "favourable": "yes", "byVeterinarian": true },
                "disease": { "on": "2026-09-10", "favourable": "yes", "byVeterinarian": true },
                "site": { "assessedOn": "2026-09-01", "habitat": "yes", "speciesHistory": "yes", "basinOfOrigin": "yes" },
            } })
        },
        answer: |configuration, body| {
            of_species(configuration, body, |profile, wanted: gate::Candidates| gate::gate(profile, &wanted))
        },
    },
    Computation {
        name: "monitoring",
        tells: "Days on which released animals are looked for.",
        example: || json!({ "on": "2026-09-20", "transmitter": true }),
        answer: |_, body| {
            of(body, |released: Released| monitoring::schedule(released.on, released.transmitter))
        },
    },
    Computation {
        name: "survival",
        tells: "The share still alive after release by the product-limit method, with its interval. Who was not seen again may live unseen: detection is its limit.",
        example: || json!([{ "days": 30, "died": true }, { "days": 120, "died": false }, { "days": 200, "died": false }]),
        answer: |_, body| of(body, |followed: Vec<survival::Followed>| survival::curve(&followed, LEVEL)),
    },
];

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::*;

    /// What the list shows works as pasted.
    #[test]
    fn every_example_is_answered() {
        let configuration = Configuration::none();
        for one in COMPUTATIONS {
            let answer = (one.answer)(&configuration, (one.example)());
            let answer = answer.unwrap_or_else(|problem| panic!("{}: {problem:?}", one.name));
            assert!(answer.as_object().is_none_or(|members| !members.contains_key("refusal")), "{answer}");
        }
    }

    #[test]
    fn a_member_too_many_or_a_measure_of_nothing_is_named() {
        let configuration = Configuration::none();
        let find = |name: &str| COMPUTATIONS.iter().find(|one| one.name == name).unwrap();
        for (name, pointer, value) in [
            ("growth", "/0/kilogram", json!(0)),
            ("hatch-success", "/hatched", json!(-1)),
            ("crate", "/given/lengthMetre/value", json!(-3.4)),
            ("departures", "/given/hourly/0/celsius", json!(98)),
            ("clutch", "/scientificName", json!("Crocodylus")),
        ] {
            let mut body = (find(name).example)();
            *body.pointer_mut(pointer).unwrap() = value;
            assert!((find(name).answer)(&configuration, body).is_err(), "{name}");
        }
        let mut body = (find("hatch-success").example)();
        body["turned"] = json!(2);
        let problem = (find("hatch-success").answer)(&configuration, body).unwrap_err();
        assert!(problem.detail().contains("turned"), "{}", problem.detail());
    }
}

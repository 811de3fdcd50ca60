//! Rules about eggs and the season.

use haulout_placement::Verdict::{CannotCheck, Fail, Pass};
use serde_json::{Value, json};

use super::{Row, gone};

type Changes = Vec<(&'static str, Value)>;

/// Eggs, and the pool made an incubator that keeps them at so many degrees.
fn eggs(of: &str, celsius: f64) -> Changes {
    vec![
        ("/requests/0/scientificName", json!(of)),
        ("/requests/0/lifeStage", json!("egg")),
        ("/units/0/unitKind", json!("incubator")),
        ("/units/0/keepsOrientation", json!(true)),
        ("/units/0/lowestCelsius", json!(celsius)),
    ]
}

fn and(mut changes: Changes, more: Changes) -> Changes {
    changes.extend(more);
    changes
}

/// The gharial's incubation points lie at 28 and 33 C; where a profile has none, 28 to 34 C.
pub fn the_eggs() -> Vec<Row> {
    let mugger = |celsius| eggs("Crocodylus palustris", celsius);
    let gharial = |celsius| eggs("Gavialis gangeticus", celsius);
    let minutes = |minutes: u32| vec![("/roads/travel/0/minutes", json!(minutes))];
    vec![
        ("incubator", "an animal, a pool", vec![], Pass),
        ("incubator", "an animal, an incubator", vec![("/units/0/unitKind", json!("incubator"))], Fail),
        ("incubator", "eggs, a pool", vec![("/requests/0/lifeStage", json!("egg"))], Fail),
        ("incubator", "the coolest", mugger(28.0), Pass),
        ("incubator", "too cool", mugger(27.9), Fail),
        ("incubator", "the warmest", and(mugger(30.0), vec![("/units/0/highestCelsius", json!(34.0))]), Pass),
        ("incubator", "too warm", and(mugger(30.0), vec![("/units/0/highestCelsius", json!(34.1))]), Fail),
        ("incubator", "the gharial's warmest", gharial(33.0), Pass),
        ("incubator", "too warm for the gharial", gharial(33.1), Fail),
        (
            "incubator",
            "temperature not known",
            and(mugger(30.0), vec![("/units/0/lowestCelsius", gone())]),
            CannotCheck,
        ),
        (
            "incubator",
            "position not known",
            and(mugger(30.0), vec![("/units/0/keepsOrientation", gone())]),
            CannotCheck,
        ),
        (
            "incubator",
            "position lost",
            and(mugger(30.0), vec![("/units/0/keepsOrientation", json!(false))]),
            Fail,
        ),
        ("egg-hours", "no eggs", minutes(5000), Pass),
        ("egg-hours", "twelve hours", and(mugger(30.0), minutes(720)), Pass),
        ("egg-hours", "a minute more", and(mugger(30.0), minutes(721)), Fail),
        (
            "egg-hours",
            "no journey known",
            and(mugger(30.0), vec![("/requests/0/from", json!({}))]),
            CannotCheck,
        ),
        ("bearable-hours", "eggs have their own", and(mugger(30.0), minutes(5000)), Pass),
        ("living-together", "eggs beside eggs", and(mugger(30.0), beside("egg")), Pass),
        ("living-together", "eggs beside hatchlings", and(mugger(30.0), beside("hatchling")), Fail),
        ("room", "eggs, places stated", mugger(30.0), Pass),
        (
            "room",
            "eggs, places not stated",
            and(mugger(30.0), vec![("/units/0/headsLimit", gone())]),
            CannotCheck,
        ),
        (
            "unit-suits",
            "an incubator of which nobody said what eggs",
            and(mugger(30.0), vec![("/units/0/suits", json!([]))]),
            Pass,
        ),
        ("crew", "eggs injure nobody", and(mugger(30.0), vec![("/centres/0/crews", json!([]))]), Pass),
    ]
}

fn beside(stage: &str) -> Changes {
    vec![(
        "/units/0/occupants",
        json!([{ "scientificName": "Crocodylus palustris", "lifeStage": stage, "individualCount": 2 }]),
    )]
}

/// The mugger rests in the cool season, the estuarine crocodile does not; both need 25 C awake.
pub fn the_season() -> Vec<Row> {
    let winter = || ("/requests/0/earliestDeparture", json!("2026-12-10T08:00:00+05:30"));
    let yellow = || ("/requests/0/triage", json!("yellow"));
    let held = |celsius: f64| ("/units/0/lowestCelsius", json!(celsius));
    let heated = |heated: bool| ("/units/0/heated", json!(heated));
    let porosus = || ("/requests/0/scientificName", json!("Crocodylus porosus"));
    vec![
        ("heat", "not the season", vec![yellow(), held(10.0)], Pass),
        ("heat", "the season, and it rests", vec![winter(), held(10.0)], Pass),
        ("heat", "the season, too sick to rest: exactly", vec![winter(), yellow(), held(25.0)], Pass),
        ("heat", "the season, too sick to rest: a hair short", vec![winter(), yellow(), held(24.99)], Fail),
        ("heat", "a species that does not rest", vec![winter(), porosus(), held(24.99)], Fail),
        ("heat", "nobody said", vec![winter(), yellow()], CannotCheck),
        (
            "heat",
            "heated flowing water",
            vec![winter(), yellow(), held(29.0), heated(true), ("/units/0/waterType", json!("flowThrough"))],
            Fail,
        ),
        (
            "heat",
            "heated still water",
            vec![winter(), yellow(), held(29.0), heated(true), ("/units/0/waterType", json!("static"))],
            Pass,
        ),
        // An hour on the road.
        (
            "heat",
            "arriving on the last day of October",
            vec![yellow(), held(10.0), ("/requests/0/earliestDeparture", json!("2026-10-31T22:59:00+05:30"))],
            Pass,
        ),
        (
            "heat",
            "arriving on the first of November",
            vec![yellow(), held(10.0), ("/requests/0/earliestDeparture", json!("2026-10-31T23:00:00+05:30"))],
            Fail,
        ),
        (
            "heat",
            "the region's own season",
            vec![yellow(), held(10.0), ("/settings", json!({ "coolMonths": [7] }))],
            Fail,
        ),
        ("seasonal-rest", "not the season", vec![heated(true)], Pass),
        ("seasonal-rest", "the season, no heat", vec![winter(), heated(false)], Pass),
        ("seasonal-rest", "the season, heated", vec![winter(), heated(true)], Fail),
        ("seasonal-rest", "warm enough to wake: exactly", vec![winter(), held(25.0)], Fail),
        ("seasonal-rest", "a hair cooler", vec![winter(), held(24.99)], Pass),
        ("seasonal-rest", "nobody said", vec![winter()], CannotCheck),
        ("seasonal-rest", "too sick to rest", vec![winter(), yellow(), heated(true)], Pass),
        ("seasonal-rest", "a species that does not rest", vec![winter(), porosus(), heated(true)], Pass),
    ]
}

//! Rules about what a centre may keep and can do.

use haulout_placement::Verdict::{CannotCheck, Fail, Pass};
use serde_json::json;

use super::{Row, gone, mugger, taped};

pub fn the_centre() -> Vec<Row> {
    vec![
        ("licence", "the last day", vec![("/centres/0/licences/0/validThrough", json!("2026-07-02"))], Pass),
        ("licence", "the day after", vec![("/centres/0/licences/0/validThrough", json!("2026-07-01"))], Fail),
        (
            "licence",
            "under renewal",
            vec![
                ("/centres/0/licences/0/validThrough", json!("2026-07-01")),
                ("/centres/0/licences/0/status", json!("underRenewal")),
            ],
            Pass,
        ),
        ("licence", "suspended", vec![("/centres/0/licences/0/status", json!("suspended"))], Fail),
        ("licence", "another group", vec![("/centres/0/licences/0/scope", json!(["Testudines"]))], Fail),
        (
            "licence",
            "its own species",
            vec![("/centres/0/licences/0/scope", json!(["Crocodylus palustris"]))],
            Pass,
        ),
        (
            "licence",
            "an order asked for, one family licensed",
            vec![
                ("/requests/0/scientificName", json!("Crocodylia")),
                ("/centres/0/licences/0/scope", json!(["Crocodylidae"])),
            ],
            Fail,
        ),
        ("licence", "another stay", vec![("/centres/0/licences/0/activities", json!(["stabilise"]))], Fail),
        ("licence", "none", vec![("/centres/0/licences", json!([]))], Fail),
        ("licence-heads", "the last place", vec![("/centres/0/licences/0/headsLimit", json!(1))], Pass),
        (
            "licence-heads",
            "one too many",
            vec![
                ("/centres/0/licences/0/headsLimit", json!(1)),
                ("/centres/0/unhoused", json!([mugger(2.0)])),
            ],
            Fail,
        ),
        (
            "licence-heads",
            "a promised place counts",
            vec![("/centres/0/licences/0/headsLimit", json!(1)), ("/units/1/reserved", json!([mugger(2.0)]))],
            Fail,
        ),
        (
            "licence-heads",
            "an unknown name counts",
            vec![
                ("/centres/0/licences/0/headsLimit", json!(1)),
                ("/centres/0/unhoused", json!([{ "scientificName": "Ignota ignota" }])),
            ],
            Fail,
        ),
        (
            "licence-heads",
            "another group does not count",
            vec![
                ("/centres/0/licences/0/headsLimit", json!(1)),
                ("/centres/0/unhoused", json!([{ "scientificName": "Lissemys punctata" }])),
            ],
            Pass,
        ),
        ("has-unit", "one", vec![("/units/1", gone())], Pass),
        ("has-unit", "unknown: none is reported", vec![("/units", json!([]))], Fail),
        (
            "arrivals",
            "the last of the day",
            vec![("/centres/0/arrivedToday", json!(3)), ("/centres/0/dueToday", json!(1))],
            Pass,
        ),
        (
            "arrivals",
            "one too many",
            vec![("/centres/0/arrivedToday", json!(3)), ("/centres/0/dueToday", json!(2))],
            Fail,
        ),
        (
            "arrivals",
            "no limit stated",
            vec![("/centres/0/arrivalsPerDay", gone()), ("/centres/0/arrivedToday", json!(900))],
            Pass,
        ),
        ("crew", "two for two metres", vec![("/centres/0/crews/0/people", json!(2))], Pass),
        ("crew", "one for two metres", vec![("/centres/0/crews/0/people", json!(1))], Fail),
        (
            "crew",
            "exactly 2.5 m: two, of any crocodilian crew",
            vec![
                ("/requests/0/length/value", json!(2.5)),
                ("/centres/0/crews", json!([{ "skill": "crocodilian", "people": 2 }])),
            ],
            Pass,
        ),
        (
            "crew",
            "above 2.5 m: four, trained for the large",
            vec![
                ("/requests/0/length/value", json!(2.51)),
                ("/centres/0/crews", json!([{ "skill": "crocodilian", "people": 4 }])),
            ],
            Fail,
        ),
        (
            "crew",
            "another skill",
            vec![("/centres/0/crews", json!([{ "skill": "chelonian", "people": 9 }]))],
            Fail,
        ),
        (
            "crew",
            "no crew, a metre: one keeper",
            vec![("/requests/0/length/value", json!(1.0)), ("/centres/0/crews", json!([]))],
            Pass,
        ),
        ("crew", "size not stated, crew for the largest", vec![("/requests/0/length", gone())], Pass),
        (
            "crew",
            "size not stated, crew too small for the largest",
            vec![("/requests/0/length", gone()), ("/centres/0/crews/0/people", json!(3))],
            CannotCheck,
        ),
        (
            "crew",
            "a measure that does not convert",
            vec![("/requests/0/length", taped(0.9, "plastronLength"))],
            CannotCheck,
        ),
        (
            "licence",
            "unknown: no last day is stated, so it is no limit",
            vec![("/centres/0/licences/0/validThrough", gone())],
            Pass,
        ),
        (
            "licence-heads",
            "unknown: no number is stated, so it is no limit",
            vec![("/centres/0/licences/0/headsLimit", gone())],
            Pass,
        ),
        (
            "licence-heads",
            "eggs are no heads",
            vec![
                ("/centres/0/licences/0/headsLimit", json!(1)),
                (
                    "/units/1/occupants",
                    json!([{ "scientificName": "Crocodylus palustris", "lifeStage": "egg", "individualCount": 20 }]),
                ),
            ],
            Pass,
        ),
        (
            "arrivals",
            "unknown: what is due another day counts as today's",
            vec![
                ("/requests/0/earliestDeparture", json!("2026-07-05T06:00:00+05:30")),
                ("/centres/0/dueToday", json!(5)),
            ],
            Fail,
        ),
        // Thirty days of quarantine from 2 July end on 1 August.
        (
            "licence-lasts",
            "the last day",
            vec![("/centres/0/licences/0/validThrough", json!("2026-08-01"))],
            Pass,
        ),
        (
            "licence-lasts",
            "a day short",
            vec![("/centres/0/licences/0/validThrough", json!("2026-07-31"))],
            Fail,
        ),
        (
            "licence-lasts",
            "a day short, under renewal",
            vec![
                ("/centres/0/licences/0/validThrough", json!("2026-07-31")),
                ("/centres/0/licences/0/status", json!("underRenewal")),
            ],
            Pass,
        ),
        (
            "licence-lasts",
            "until a day that is set",
            vec![
                ("/requests/0/stayUntil", json!("2026-07-20T12:00:00+05:30")),
                ("/centres/0/licences/0/validThrough", json!("2026-07-20")),
            ],
            Pass,
        ),
        (
            "licence-lasts",
            "nobody knows how long",
            vec![("/requests/0/stay", json!("long")), ("/units/0/stays", gone())],
            CannotCheck,
        ),
        // The animal arrives at 02:20.
        (
            "stabilise-hours",
            "72 hours",
            vec![
                ("/requests/0/stay", json!("stabilise")),
                ("/requests/0/stayUntil", json!("2026-07-05T02:20:00+05:30")),
            ],
            Pass,
        ),
        (
            "stabilise-hours",
            "a minute more",
            vec![
                ("/requests/0/stay", json!("stabilise")),
                ("/requests/0/stayUntil", json!("2026-07-05T02:21:00+05:30")),
            ],
            Fail,
        ),
        (
            "stabilise-hours",
            "unknown: no end is set; the option says when it is",
            vec![("/requests/0/stay", json!("stabilise"))],
            Pass,
        ),
        (
            "stabilise-hours",
            "an end before it arrives",
            vec![
                ("/requests/0/stay", json!("stabilise")),
                ("/requests/0/stayUntil", json!("2026-07-02T02:19:00+05:30")),
            ],
            CannotCheck,
        ),
        (
            "stabilise-hours",
            "another stay",
            vec![("/requests/0/stayUntil", json!("2026-09-05T02:21:00+05:30"))],
            Pass,
        ),
    ]
}

//! Rules about tonight: standstills, roads, reports.

use haulout_placement::Verdict::{CannotCheck, Fail, Pass};
use serde_json::json;

use super::{Row, gone};

/// The call is at 01:20 and the road takes an hour.
pub fn tonight() -> Vec<Row> {
    let standstill = |place: &str, direction: &str, from: &str, until: &str| json!([{ "placeID": place, "direction": direction, "agent": "ranavirus", "from": from, "until": until }]);
    let day = |time: &str| format!("2026-07-02T{time}:00+05:30");
    let closed = |place: &str, from: &str, until: &str| json!([{ "placeID": place, "from": day(from), "until": day(until) }]);
    let mut of_turtles = standstill("meruva.kolvani", "in", &day("00:00"), &day("12:00"));
    of_turtles[0]["taxa"] = json!(["Testudines"]);
    let mut of_water = standstill("meruva.kolvani", "in", &day("00:00"), &day("12:00"));
    of_water[0]["waterCircuit"] = json!("KW1");
    let mut of_other_water = of_water.clone();
    of_other_water[0]["waterCircuit"] = json!("KW2");
    vec![
        ("standstill", "none", vec![], Pass),
        (
            "standstill",
            "in, at the receiving end",
            vec![("/standstills", standstill("meruva.kolvani", "in", &day("00:00"), &day("12:00")))],
            Fail,
        ),
        (
            "standstill",
            "out, at the receiving end",
            vec![("/standstills", standstill("meruva.kolvani", "out", &day("00:00"), &day("12:00")))],
            Pass,
        ),
        (
            "standstill",
            "out, where the animal is",
            vec![("/standstills", standstill("meruva.yard", "out", &day("00:00"), &day("12:00")))],
            Fail,
        ),
        (
            "standstill",
            "in, where the animal is",
            vec![("/standstills", standstill("meruva.yard", "in", &day("00:00"), &day("12:00")))],
            Pass,
        ),
        (
            "standstill",
            "both",
            vec![("/standstills", standstill("meruva.kolvani", "both", &day("00:00"), &day("12:00")))],
            Fail,
        ),
        (
            "standstill",
            "lifted when setting out",
            vec![("/standstills", standstill("meruva.kolvani", "both", &day("00:00"), &day("01:20")))],
            Pass,
        ),
        (
            "standstill",
            "begins on arrival",
            vec![("/standstills", standstill("meruva.kolvani", "both", &day("02:20"), &day("12:00")))],
            Fail,
        ),
        (
            "standstill",
            "begins a minute after arrival",
            vec![("/standstills", standstill("meruva.kolvani", "both", &day("02:21"), &day("12:00")))],
            Pass,
        ),
        (
            "standstill",
            "unknown: nobody said when it is lifted",
            vec![(
                "/standstills",
                json!([{ "placeID": "meruva.kolvani", "direction": "both", "from": day("00:00") }]),
            )],
            Fail,
        ),
        ("standstill", "of turtles", vec![("/standstills", of_turtles)], Pass),
        ("standstill", "on the unit's water", vec![("/standstills", of_water)], Fail),
        ("standstill", "on other water", vec![("/standstills", of_other_water)], Pass),
        ("road", "the table", vec![], Pass),
        (
            "road",
            "closed on the way",
            vec![("/roads/closures", closed("meruva.kolvani", "02:20", "12:00"))],
            Fail,
        ),
        (
            "road",
            "reopened when setting out",
            vec![("/roads/closures", closed("meruva.kolvani", "00:00", "01:20"))],
            Pass,
        ),
        (
            "road",
            "another road closed",
            vec![(
                "/roads/closures",
                json!([{ "placeID": "meruva.kolvani", "otherPlaceID": "meruva.saivera", "from": day("00:00") }]),
            )],
            Pass,
        ),
        (
            "road",
            "this road closed",
            vec![(
                "/roads/closures",
                json!([{ "placeID": "meruva.kolvani", "otherPlaceID": "meruva.yard", "from": day("00:00") }]),
            )],
            Fail,
        ),
        ("road", "the place is not known", vec![("/requests/0/from", json!({}))], CannotCheck),
        (
            "road",
            "a position, no factor",
            vec![("/requests/0/from", json!({ "latitude": 22.0, "longitude": 78.0 }))],
            CannotCheck,
        ),
        (
            "road",
            "a position, a factor, a speed",
            vec![
                ("/requests/0/from", json!({ "latitude": 22.0, "longitude": 78.0 })),
                ("/roads/roadFactor", json!(1.3)),
                ("/roads/speedKmh", json!(40)),
            ],
            Pass,
        ),
        (
            "report-current",
            "exactly a day old",
            vec![("/centres/0/statusAsOf", json!("2026-07-01T01:20:00+05:30"))],
            Pass,
        ),
        (
            "report-current",
            "a minute more",
            vec![("/centres/0/statusAsOf", json!("2026-07-01T01:19:00+05:30"))],
            Fail,
        ),
        (
            "report-current",
            "the unit long not looked at",
            vec![("/units/0/capacityAsOf", json!("2026-05-30T01:00:00+05:30"))],
            Fail,
        ),
        ("report-current", "nobody said", vec![("/centres/0/statusAsOf", gone())], CannotCheck),
    ]
}

//! Rules about a unit.

use haulout_placement::Verdict::{CannotCheck, Fail, Pass};
use serde_json::json;

use super::{Row, gone, mugger};

/// The pool has 70 m2 of water, 45 m2 of land, 1.5 m deep; K is half of the total length.
pub fn the_unit() -> Vec<Row> {
    vec![
        ("unit-suits", "its order", vec![], Pass),
        ("unit-suits", "another genus", vec![("/units/0/suits", json!(["Gavialis"]))], Fail),
        (
            "unit-suits",
            "nobody said",
            vec![("/units/0/suits", json!([])), ("/units/1/suits", json!([]))],
            CannotCheck,
        ),
        ("unit-stay", "meant for it", vec![], Pass),
        ("unit-stay", "meant for another", vec![("/units/0/stays", json!(["stabilise"]))], Fail),
        ("unit-stay", "unknown: no limit stated", vec![("/units/0/stays", gone())], Pass),
        (
            "length-limit",
            "exactly",
            vec![
                ("/requests/0/length/value", json!(3.2)),
                ("/requests/0/length/high", json!(3.5)),
                ("/units/0/lengthLimit/metre", json!(3.5)),
            ],
            Pass,
        ),
        (
            "length-limit",
            "a centimetre more at the upper end",
            vec![
                ("/requests/0/length/value", json!(3.2)),
                ("/requests/0/length/high", json!(3.51)),
                ("/units/0/lengthLimit/metre", json!(3.5)),
            ],
            Fail,
        ),
        (
            "length-limit",
            "in the limit's own measure",
            vec![("/units/0/lengthLimit", json!({ "metre": 1.0, "measure": "snoutVentLength" }))],
            Pass,
        ),
        (
            "length-limit",
            "beyond it in its own measure",
            vec![("/units/0/lengthLimit", json!({ "metre": 0.99, "measure": "snoutVentLength" }))],
            Fail,
        ),
        (
            "length-limit",
            "no relation to its measure",
            vec![("/units/0/lengthLimit", json!({ "metre": 9.0, "measure": "plastronLength" }))],
            CannotCheck,
        ),
        (
            "length-limit",
            "size not stated, the largest too long",
            vec![("/requests/0/length", gone())],
            CannotCheck,
        ),
        ("length-limit", "no limit stated", vec![("/units/0/lengthLimit", gone())], Pass),
        (
            "room",
            "water exactly",
            vec![("/requests/0/length/value", json!(3.5)), ("/units/0/waterSquareMetre", json!(61.25))],
            Pass,
        ),
        (
            "room",
            "water a hair short",
            vec![("/requests/0/length/value", json!(3.5)), ("/units/0/waterSquareMetre", json!(61.249))],
            Fail,
        ),
        (
            "room",
            "land exactly",
            vec![("/requests/0/length/value", json!(3.5)), ("/units/0/landSquareMetre", json!(36.75))],
            Pass,
        ),
        (
            "room",
            "land a hair short",
            vec![("/requests/0/length/value", json!(3.5)), ("/units/0/landSquareMetre", json!(36.749))],
            Fail,
        ),
        (
            "room",
            "depth exactly",
            vec![("/requests/0/length/value", json!(3.5)), ("/units/0/depthMetre", json!(0.525))],
            Pass,
        ),
        (
            "room",
            "depth a hair short",
            vec![("/requests/0/length/value", json!(3.5)), ("/units/0/depthMetre", json!(0.524))],
            Fail,
        ),
        (
            "room",
            "the second counts a fifth: exactly",
            vec![
                ("/requests/0/batchID", json!("B1")),
                ("/units/0/occupants", json!([mugger(2.0)])),
                ("/units/0/waterSquareMetre", json!(24.0)),
            ],
            Pass,
        ),
        (
            "room",
            "the second counts a fifth: short",
            vec![
                ("/requests/0/batchID", json!("B1")),
                ("/units/0/occupants", json!([mugger(2.0)])),
                ("/units/0/waterSquareMetre", json!(23.99)),
            ],
            Fail,
        ),
        (
            "room",
            "a promised place counts",
            vec![
                ("/requests/0/batchID", json!("B1")),
                ("/units/0/reserved", json!([mugger(2.0)])),
                ("/units/0/waterSquareMetre", json!(23.99)),
            ],
            Fail,
        ),
        (
            "room",
            "an expected animal counts",
            vec![
                ("/requests/0/batchID", json!("B1")),
                ("/units/0/expected", json!([mugger(2.0)])),
                ("/units/0/waterSquareMetre", json!(23.99)),
            ],
            Fail,
        ),
        (
            "room",
            "sized by the largest there",
            vec![("/requests/0/batchID", json!("B1")), ("/units/0/occupants", json!([mugger(3.5)]))],
            Fail,
        ),
        ("room", "water not known", vec![("/units/0/waterSquareMetre", gone())], CannotCheck),
        (
            "room",
            "size not stated, no room for the largest",
            vec![("/requests/0/length", gone())],
            CannotCheck,
        ),
        (
            "room",
            "somebody unknown there",
            vec![("/units/0/occupants", json!([{ "scientificName": "Ignota ignota" }]))],
            CannotCheck,
        ),
        ("unit-heads", "the last head", vec![("/units/0/headsLimit", json!(1))], Pass),
        (
            "unit-heads",
            "one too many",
            vec![
                ("/requests/0/batchID", json!("B1")),
                ("/units/0/headsLimit", json!(1)),
                ("/units/0/occupants", json!([mugger(2.0)])),
            ],
            Fail,
        ),
        ("unit-heads", "unknown: no limit stated", vec![("/units/0/headsLimit", gone())], Pass),
        (
            "room",
            "a stay of which the region asks half: exactly",
            vec![
                (
                    "/settings",
                    json!({ "spaceShares": { "stabilise": 1.0, "quarantine": 0.5, "long": 1.0, "lifelong": 1.0 } }),
                ),
                ("/units/0/waterSquareMetre", json!(10.0)),
            ],
            Pass,
        ),
        (
            "room",
            "a stay of which the region asks half: short",
            vec![
                (
                    "/settings",
                    json!({ "spaceShares": { "stabilise": 1.0, "quarantine": 0.5, "long": 1.0, "lifelong": 1.0 } }),
                ),
                ("/units/0/waterSquareMetre", json!(9.999)),
            ],
            Fail,
        ),
        // Two metres, K = 1: a square metre of floor for the body.
        (
            "room-least",
            "the floor exactly",
            vec![("/units/0/landSquareMetre", json!(0.6)), ("/units/0/waterSquareMetre", json!(0.4))],
            Pass,
        ),
        (
            "room-least",
            "the floor a hair short",
            vec![("/units/0/landSquareMetre", json!(0.6)), ("/units/0/waterSquareMetre", json!(0.399))],
            Fail,
        ),
        ("room-least", "as long as the unit", vec![("/units/0/longestSideMetre", json!(2.0))], Pass),
        ("room-least", "longer than the unit", vec![("/units/0/longestSideMetre", json!(1.999))], Fail),
        (
            "room-least",
            "no order makes it longer",
            vec![
                ("/units/0/longestSideMetre", json!(1.999)),
                ("/requests/0/waivers", super::waiver("room-least", "2026-07-30")),
            ],
            Fail,
        ),
        (
            "room-least",
            "neither land nor water known",
            vec![("/units/0/landSquareMetre", gone()), ("/units/0/waterSquareMetre", gone())],
            CannotCheck,
        ),
        (
            "room-least",
            "size not stated, and the largest is longer",
            vec![("/requests/0/length", gone()), ("/units/0/longestSideMetre", json!(4.499))],
            CannotCheck,
        ),
    ]
}

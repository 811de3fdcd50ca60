//! Rules about who is there already.

use haulout_placement::Verdict::{CannotCheck, Fail, Pass};
use serde_json::{Value, json};

use super::{Row, gone, mugger, taped};

/// For the company the stay is long, so that no quarantine speaks.
pub fn the_company() -> Vec<Row> {
    let long = || ("/requests/0/stay", json!("long"));
    let any = || ("/units/0/stays", gone());
    let with_one = |one: Value| vec![long(), any(), ("/units/0/occupants", json!([one]))];
    let mut other = mugger(2.0);
    other["scientificName"] = json!("Crocodylus porosus");
    let mut male = mugger(2.0);
    male["sex"] = json!("male");
    let mut unsexed = mugger(2.0);
    unsexed["sex"] = gone();
    let mut unmeasured = mugger(2.0);
    unmeasured["length"] = gone();
    let mut two_males = with_one(male.clone());
    two_males.push(("/requests/0/sex", json!("male")));
    let mut perhaps = with_one(unsexed);
    perhaps.push(("/requests/0/sex", json!("male")));
    let mut same_batch = with_one(male.clone());
    same_batch.extend([("/requests/0/sex", json!("male")), ("/requests/0/batchID", json!("B1"))]);
    vec![
        ("living-together", "alone", vec![], Pass),
        ("living-together", "a female of its kind", with_one(mugger(2.0)), Pass),
        ("living-together", "one and a half times as long", with_one(mugger(3.0)), Pass),
        ("living-together", "a little more than that", with_one(mugger(3.01)), Fail),
        ("living-together", "another species", with_one(other), Fail),
        ("living-together", "one of them male", with_one(male), Pass),
        ("living-together", "two adult males", two_males, Fail),
        ("living-together", "perhaps two adult males", perhaps, CannotCheck),
        ("living-together", "two adult males of one batch", same_batch, Pass),
        ("living-together", "size not known", with_one(unmeasured), CannotCheck),
    ]
}

pub fn batches() -> Vec<Row> {
    let running = |clear: &str| json!({ "batchID": "B1", "order": "Crocodylia", "clearDay": clear });
    let agreed = || ("/requests/0/mayRedateBatchIDs", json!(["B1"]));
    vec![
        ("quarantine-batch", "empty", vec![], Pass),
        (
            "quarantine-batch",
            "the same batch",
            vec![
                ("/requests/0/batchID", json!("B1")),
                ("/units/0/quarantine", running("2026-07-20")),
                ("/units/0/occupants", json!([mugger(2.0)])),
            ],
            Pass,
        ),
        (
            "quarantine-batch",
            "another batch",
            vec![
                ("/requests/0/batchID", json!("B2")),
                ("/units/0/quarantine", running("2026-07-20")),
                ("/units/0/occupants", json!([mugger(2.0)])),
            ],
            Fail,
        ),
        (
            "quarantine-batch",
            "another batch, the vet agrees",
            vec![
                agreed(),
                ("/units/0/quarantine", running("2026-07-20")),
                ("/units/0/occupants", json!([mugger(2.0)])),
            ],
            Pass,
        ),
        (
            "quarantine-batch",
            "clear on the day of arrival",
            vec![("/units/0/quarantine", running("2026-07-02"))],
            Fail,
        ),
        (
            "quarantine-batch",
            "clear the day before",
            vec![("/units/0/quarantine", running("2026-07-01"))],
            Pass,
        ),
        (
            "quarantine-batch",
            "unknown: of no known batch",
            vec![(
                "/units/0/occupants",
                json!([{ "scientificName": "Crocodylus palustris", "length": taped(2.0, "totalLength"), "sex": "female" }]),
            )],
            Fail,
        ),
        (
            "quarantine-batch",
            "a full row",
            vec![
                ("/units/0/units", json!(3)),
                ("/units/0/arrangement", json!("isolating")),
                ("/units/0/freeUnits", json!(0)),
            ],
            Fail,
        ),
        (
            "quarantine-batch",
            "a row with one empty unit",
            vec![
                ("/units/0/units", json!(3)),
                ("/units/0/arrangement", json!("isolating")),
                ("/units/0/freeUnits", json!(1)),
                ("/units/0/occupants", json!([mugger(2.0), mugger(2.0)])),
            ],
            Pass,
        ),
        (
            "quarantine-batch",
            "a row of which nobody said how many are empty",
            vec![
                ("/units/0/units", json!(2)),
                ("/units/0/arrangement", json!("isolating")),
                (
                    "/units/0/occupants",
                    json!([{ "scientificName": "Crocodylus palustris", "individualCount": 2, "length": taped(2.0, "totalLength"), "sex": "female" }]),
                ),
            ],
            Fail,
        ),
        ("water-circuit", "nobody else on it", vec![], Pass),
        (
            "water-circuit",
            "a batch of the same order",
            vec![("/units/1/quarantine", running("2026-07-02"))],
            Fail,
        ),
        ("water-circuit", "clear the day before", vec![("/units/1/quarantine", running("2026-07-01"))], Pass),
        (
            "water-circuit",
            "a batch of another order",
            vec![(
                "/units/1/quarantine",
                json!({ "batchID": "B1", "order": "Testudines", "clearDay": "2026-07-20" }),
            )],
            Pass,
        ),
        (
            "water-circuit",
            "unknown: a batch of an order nobody told",
            vec![("/units/1/quarantine", json!({ "batchID": "B1", "clearDay": "2026-07-20" }))],
            Fail,
        ),
        (
            "water-circuit",
            "the vet agrees",
            vec![agreed(), ("/units/1/quarantine", running("2026-07-20"))],
            Pass,
        ),
        (
            "water-circuit",
            "its own water",
            vec![("/units/0/waterCircuit", json!("KW2")), ("/units/1/quarantine", running("2026-07-20"))],
            Pass,
        ),
    ]
}

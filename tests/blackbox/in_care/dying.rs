//! Deaths in a centre's care: of how many, too many at once, and what was found in them.

use super::{DESHARU, accepted, posting, told};
use serde_json::{Value, json};

const FLAPSHELL: &str = "Lissemys punctata";

fn lot(number: &str, unit: &str, count: u32) -> Vec<Value> {
    let subject = format!("lot:{number}");
    vec![
        told(
            &format!("r{number}"),
            "rescue",
            "2026-06-01",
            &subject,
            FLAPSHELL,
            &json!({
                "event": "fromWild", "source": "wild", "individualCount": count, "countMethod": "counted", "lifeStage": "adult",
            }),
        ),
        told(
            &format!("h{number}"),
            "housing",
            "2026-06-01",
            &subject,
            FLAPSHELL,
            &json!({
                "event": "housed", "units": [{ "unitID": unit, "individualCount": count }],
            }),
        ),
    ]
}

/// By hand: 110 in care, 4 die: 0.009995 to 0.090492 (inverting the binomial sum). The row of ten held
/// 10 + 10 + 10 + 7 x 6 = 72 animal-days of 1072 with the dead of the day, so 4 x 72 / 1072 x 7 / 10 =
/// 0.18806 deaths are to be expected in a week, and four or more have the chance 4.4858e-5; four windows in
/// each of two units are eight looks: 3.5886e-4.
#[test]
fn deaths_are_told_with_interval_cluster_and_necropsy() {
    let posting = posting();
    let desharu = posting.party(DESHARU);
    let mut records = [lot("L1", "W1", 10), lot("L2", "W2", 100)].concat();
    records.extend([
        told("dead", "mortality", "2026-07-03", "lot:L1", FLAPSHELL, &json!({ "event": "death", "individualCount": 4, "when": "inCare", "causeOfDeath": "unknown" })),
        told("opened", "mortality", "2026-07-12", "lot:L1", FLAPSHELL, &json!({
            "event": "necropsy", "individualCount": 1, "necropsyDone": true, "agent": "ranavirus", "causeOfDeath": "infection",
            "deathOf": { "authorID": DESHARU, "recordID": "dead" },
        })),
        told("early", "mortality", "2026-06-20", "lot:L1", FLAPSHELL, &json!({ "event": "necropsy", "individualCount": 1, "necropsyDone": true, "deathOf": { "authorID": DESHARU, "recordID": "another" } })),
    ]);
    accepted(&desharu.submit(&records));
    let path = format!("/v1/welfare/deaths?centre={DESHARU}&from=2026-07-01&to=2026-07-10");
    let answer = desharu.get(&path);
    accepted(&answer);
    let told = answer.json();
    let deaths = &told["deaths"];
    assert_eq!(
        (&deaths["rate"]["ofThem"], &deaths["rate"]["all"], &deaths["animalDays"]),
        (&json!(4), &json!(110), &json!(1072)),
        "{told:#}"
    );
    let share = &deaths["rate"]["share"];
    assert!((share["low"].as_f64().unwrap() - 0.009_995).abs() < 1e-6, "{share}");
    assert!((share["high"].as_f64().unwrap() - 0.090_492).abs() < 1e-6, "{share}");
    let clusters = deaths["clusters"].as_array().unwrap();
    assert_eq!(
        (clusters.len(), &clusters[0]["place"], &clusters[0]["looks"]),
        (1, &json!("W1"), &json!(8)),
        "{told:#}"
    );
    assert!((clusters[0]["expected"].as_f64().unwrap() - 0.188_06).abs() < 1e-5);
    assert!((clusters[0]["corrected"].as_f64().unwrap() - 3.588_6e-4).abs() < 1e-8);
    assert_eq!((&clusters[0]["opened"], &clusters[0]["agents"]), (&json!(1), &json!({ "ranavirus": 1 })));
    assert_eq!(clusters[0]["records"], json!([format!("{DESHARU}/dead")]));
    let found = &deaths["necropsies"];
    assert_eq!(
        (&found["opened"], &found["notOpened"], &found["causes"]),
        (&json!(1), &json!(3), &json!({ "infection": 1, "unknown": 3 }))
    );
    assert!(told["caution"].as_str().unwrap().contains("never a cause"));
    // A later period has no deaths; one before anybody came has nobody.
    let later =
        desharu.get(&format!("/v1/welfare/deaths?centre={DESHARU}&from=2026-07-11&to=2026-07-20")).json();
    assert_eq!(
        (&later["deaths"]["rate"]["ofThem"], &later["deaths"]["rate"]["all"], &later["deaths"]["clusters"]),
        (&json!(0), &json!(106), &json!([])),
        "{later:#}"
    );
    let none = desharu.get(&format!("/v1/welfare/deaths?centre={DESHARU}&from=2026-01-01&to=2026-01-31"));
    assert_eq!((none.status, &none.json()["refusal"]["code"]), (422, &json!("proportion-of-none")));
    let wrong = desharu.get(&format!("/v1/welfare/deaths?centre={DESHARU}&from=2026-07-10&to=2026-07-01"));
    assert_eq!(wrong.status, 400);
    assert_eq!(desharu.get(&format!("{path}&days=30")).status, 422);
    assert_eq!(posting.party("meruva.thulmar").get(&path).status, 404);
    assert_eq!(posting.hub.nobody().get(&path).status, 401);
}

/// Three stand in the opening count; one of them is housed by its number on the same day. All three came
/// with the count, and one died: one of three.
#[test]
fn those_of_the_opening_count_are_counted_once() {
    let posting = posting();
    let desharu = posting.party(DESHARU);
    accepted(&desharu.submit(&[
        told(
            "housed",
            "housing",
            "2026-07-01",
            "animal:1",
            FLAPSHELL,
            &json!({
                "event": "housed", "units": [{ "unitID": "W1", "individualCount": 1 }],
            }),
        ),
        told(
            "opening",
            "census",
            "2026-07-01",
            "",
            "",
            &json!({
                "opening": true, "method": "headCount", "complete": true,
                "lines": [{ "scientificName": FLAPSHELL, "individualCount": 3 }],
            }),
        ),
        told(
            "dead",
            "mortality",
            "2026-07-03",
            "animal:1",
            FLAPSHELL,
            &json!({ "event": "death", "individualCount": 1, "when": "inCare" }),
        ),
    ]));
    let path = format!("/v1/welfare/deaths?centre={DESHARU}&from=2026-07-01&to=2026-07-10");
    let told = desharu.get(&path).json();
    let deaths = &told["deaths"];
    assert_eq!((&deaths["atStart"], &deaths["arrived"]), (&json!(0), &json!(3)), "{told:#}");
    assert_eq!((&deaths["rate"]["ofThem"], &deaths["rate"]["all"]), (&json!(1), &json!(3)), "{told:#}");
    // Three at the close of two days, the dead of the third, and two on each of eight.
    assert_eq!(deaths["animalDays"], 3 + 3 + 1 + 2 * 8, "{told:#}");
}

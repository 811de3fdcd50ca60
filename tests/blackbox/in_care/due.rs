//! What is due at a centre on a day, worked out by hand for one small house.

use super::{DESHARU, accepted, posting, told};
use crate::basin::Posting;
use serde_json::{Value, json};

fn unit(id: &str, kind: &str, fields: &Value) -> Value {
    let mut all = json!({ "event": "stated", "unitID": id, "unitKind": kind, "arrangement": "communal" });
    all.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    told(&format!("unit-{id}"), "capacity", "2025-06-01", "", "", &all)
}

fn rescue(id: &str, day: &str, subject: &str, name: &str, count: u32, stage: &str) -> Value {
    told(
        id,
        "rescue",
        day,
        subject,
        name,
        &json!({
            "event": "fromWild", "source": "wild", "individualCount": count, "countMethod": "counted", "lifeStage": stage,
        }),
    )
}

fn housed(id: &str, day: &str, subject: &str, name: &str, unit: &str, count: u32) -> Value {
    told(
        id,
        "housing",
        day,
        subject,
        name,
        &json!({
            "event": "housed", "units": [{ "unitID": unit, "individualCount": count }],
        }),
    )
}

fn entered(id: &str, day: &str, subject: &str, name: &str, batch: &str, unit: &str) -> Value {
    told(
        id,
        "quarantine",
        day,
        subject,
        name,
        &json!({ "event": "entered", "batchID": batch, "unitID": unit }),
    )
}

fn care(id: &str, day: &str, unit: &str, fields: &Value) -> Value {
    let mut all = json!({ "event": "water", "unitID": unit });
    all.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    told(id, "care", day, "", "", &all)
}

/// A house: a row in quarantine, two that share water, a pond, an incubator.
fn house() -> Vec<Value> {
    let flapshell = "Lissemys punctata";
    let mugger = "Crocodylus palustris";
    let clutch = |id: &str, name: &str, day: &str| {
        told(
            &format!("laid-{id}"),
            "clutch",
            day,
            &format!("lot:{id}"),
            name,
            &json!({
                "event": "laid", "individualCount": 20, "unitID": "E1", "incubation": "box",
            }),
        )
    };
    vec![
        unit("W1", "isolation", &json!({ "waterType": "static" })),
        unit("W2", "isolation", &json!({ "waterType": "static", "waterCircuit": "C2" })),
        unit("W3", "isolation", &json!({ "waterType": "static", "waterCircuit": "C2" })),
        unit("P1", "pool", &json!({ "waterType": "earthenPond" })),
        unit("E1", "incubator", &json!({})),
        told(
            "opening",
            "census",
            "2026-07-16",
            "",
            "",
            &json!({
                "opening": true, "method": "headCount", "complete": true, "lines": [],
            }),
        ),
        told(
            "night-18",
            "census",
            "2026-07-18",
            "",
            "",
            &json!({
                "method": "headCount", "complete": false, "lines": [],
            }),
        ),
        rescue("r1", "2026-04-01", "lot:L1", flapshell, 10, "adult"),
        housed("h1", "2026-04-01", "lot:L1", flapshell, "W1", 10),
        entered("q1", "2026-04-01", "lot:L1", flapshell, "B1", "W1"),
        rescue("r2", "2026-04-02", "lot:L2", flapshell, 5, "juvenile"),
        housed("h2", "2026-04-02", "lot:L2", flapshell, "W2", 5),
        entered("q2", "2026-04-02", "lot:L2", flapshell, "B2", "W2"),
        told(
            "s2",
            "result",
            "2026-06-20",
            "lot:L2",
            flapshell,
            &json!({
                "sampleID": "S2", "sampleType": "swab", "test": "PCR", "agent": "testudinid herpesvirus", "outcome": "positive",
            }),
        ),
        rescue("r3", "2026-07-10", "animal:3", flapshell, 1, "adult"),
        housed("h3", "2026-07-10", "animal:3", flapshell, "W3", 1),
        rescue("r7", "2026-06-01", "animal:7", mugger, 1, "adult"),
        housed("h7", "2026-06-01", "animal:7", mugger, "P1", 1),
        told(
            "on-jaws",
            "treatment",
            "2026-07-17T06:00:00+05:30",
            "animal:7",
            mugger,
            &json!({ "event": "bindingOn", "bindingSite": "jaws" }),
        ),
        told(
            "on-limbs",
            "treatment",
            "2026-07-17T06:00:00+05:30",
            "animal:7",
            mugger,
            &json!({ "event": "bindingOn", "bindingSite": "limbs" }),
        ),
        told(
            "off-limbs",
            "treatment",
            "2026-07-17T08:00:00+05:30",
            "animal:7",
            mugger,
            &json!({ "event": "bindingOff", "bindingSite": "limbs" }),
        ),
        told(
            "weighed",
            "assessment",
            "2026-07-01",
            "animal:7",
            mugger,
            &json!({ "event": "examination", "massKilogram": 150 }),
        ),
        care("warm", "2026-07-20", "P1", &json!({ "waterCelsius": 31 })),
        care("changed", "2026-07-17", "W1", &json!({ "waterChangedShare": 0.2 })),
        care("scrubbed", "2026-07-01", "W1", &json!({ "scrubbed": true })),
        clutch("C1", mugger, "2026-05-20"),
        clutch("C2", "Nilssonia gangetica", "2025-01-05"),
    ]
}

fn at(posting: &Posting, day: &str) -> Value {
    let answer = posting.party(DESHARU).get(&format!("/v1/centres/{DESHARU}/today?at={day}"));
    accepted(&answer);
    answer.json()
}

/// The lines of a list, by kind of work.
fn lines<'a>(told: &'a Value, list: &str, task: &str) -> Vec<&'a Value> {
    told[list].as_array().unwrap().iter().filter(|line| line["task"] == task).collect()
}

#[test]
fn what_is_due_follows_from_what_is_posted() {
    let posting = posting();
    accepted(&posting.party(DESHARU).submit(&house()));
    let told = at(&posting, "2026-07-20");
    assert_eq!((&told["animals"], &told["eggs"]), (&json!(17), &json!(40)), "{told:#}");

    // Jaws bound on the 17th, limbs freed two hours later.
    let bound = lines(&told, "overdue", "binding");
    assert_eq!(bound.len(), 1, "{told:#}");
    assert_eq!(
        (&bound[0]["organismID"], &bound[0]["since"]),
        (&json!("meruva.desharu:7"), &json!("2026-07-17"))
    );
    assert!(bound[0]["caution"].as_str().unwrap().contains("gaping"));

    // 90 days from 1 April are there on 30 June (29 + 31 + 30); nothing was tested and nobody gave the word.
    let ending = lines(&told, "overdue", "quarantine");
    assert_eq!(ending.len(), 1, "{told:#}");
    assert_eq!((&ending[0]["batchID"], &ending[0]["since"]), (&json!("B1"), &json!("2026-06-30")));
    let why = ending[0]["why"].to_string();
    assert!(why.contains("no test is recorded") && why.contains("no veterinarian"), "{why}");
    // A newcomer in the shared water on 10 July starts the other batch's 90 days again: 8 October.
    let standing = lines(&told, "notDue", "quarantine");
    let stays = standing.iter().find(|line| line["from"].is_string()).unwrap();
    assert_eq!((&stays["batchID"], &stays["from"]), (&json!("B2"), &json!("2026-10-08")), "{told:#}");
    let carriers =
        standing.iter().find(|line| line["what"].as_str().unwrap().contains("herpesvirus")).unwrap();
    assert!(carriers["what"].as_str().unwrap().contains("no number of days"), "{carriers}");
    assert_eq!(carriers["grounds"]["standing"], "fromMemory");

    // A fifth on the 17th serves through the 19th; the scrub of 1 July serves 30 days.
    let water = lines(&told, "due", "water");
    let of = |unit: &str| *water.iter().find(|line| line["unitID"] == unit).unwrap();
    assert_eq!(of("W1")["since"], "2026-07-20");
    assert!(of("W2")["why"].to_string().contains("no record of the last two months"), "{told:#}");
    let scrub = lines(&told, "notDue", "scrub");
    assert_eq!((&scrub[0]["unitID"], &scrub[0]["from"]), (&json!("W1"), &json!("2026-07-31")));
    let pond = lines(&told, "notDue", "water");
    assert!(
        pond.iter().any(|line| line["unitID"] == "P1" && line["why"].to_string().contains("earthen pond"))
    );

    // 55 to 75 days from 20 May: 14 July to 3 August. The other eggs pause, and are never overdue.
    let hatching = lines(&told, "due", "eggs");
    assert_eq!(hatching.len(), 1, "{told:#}");
    assert!(hatching[0]["what"].as_str().unwrap().contains("2026-08-03"), "{}", hatching[0]);
    assert!(hatching[0]["caution"].as_str().unwrap().contains("Tops not marked"));
    let pausing = lines(&told, "notDue", "eggs");
    assert!(pausing[0]["what"].as_str().unwrap().contains("do not open or discard"), "{}", pausing[0]);
    assert!(lines(&told, "overdue", "eggs").is_empty());

    // Two nights without a census between the opening one and the day: the 17th and the 19th.
    let nights = lines(&told, "overdue", "census");
    assert_eq!((nights.len(), &nights[0]["since"]), (1, &json!("2026-07-17")));
    assert!(nights[0]["what"].as_str().unwrap().contains("2 nights"), "{}", nights[0]);
    assert_eq!(lines(&told, "due", "census").len(), 1);

    // 0.196 x 150000^0.889 = 7830.7 kJ; at 6.75 kJ/g 1.160 kg. Nobody weighed the turtles.
    let food = &told["food"];
    assert!((food["kilogramByFood"]["whole prey"].as_f64().unwrap() - 1.160).abs() < 0.001, "{food:#}");
    assert_eq!(food["animalsFed"], 1);
    assert!(food["without"].to_string().contains("mass-unknown"), "{food:#}");
    assert!(!told.to_string().contains("is safe"));

    // The day after, water of W1 is overdue, for the centre does post its changes.
    let next = at(&posting, "2026-07-21");
    assert!(lines(&next, "overdue", "water").iter().any(|line| line["unitID"] == "W1"), "{next:#}");
    let before = at(&posting, "2026-07-19");
    assert!(lines(&before, "tomorrow", "water").iter().any(|line| line["unitID"] == "W1"), "{before:#}");
}

#[test]
fn a_veterinarians_word_ends_a_quarantine_and_a_days_work_is_no_longer_due() {
    let posting = posting();
    let desharu = posting.party(DESHARU);
    accepted(&desharu.submit(&house()));
    let flapshell = "Lissemys punctata";
    accepted(&desharu.submit(&[
        told(
            "end",
            "quarantine",
            "2026-07-19",
            "lot:L1",
            flapshell,
            &json!({
                "event": "ended", "batchID": "B1", "unitID": "W1", "byVeterinarian": true, "reason": "Clear.",
            }),
        ),
        told(
            "off-jaws",
            "treatment",
            "2026-07-20T07:00:00+05:30",
            "animal:7",
            "Crocodylus palustris",
            &json!({ "event": "bindingOff", "bindingSite": "jaws" }),
        ),
        care("changed-again", "2026-07-20", "W1", &json!({ "waterChangedShare": 0.25 })),
    ]));
    let told = at(&posting, "2026-07-20");
    assert!(!told.to_string().contains("\"B1\""), "{told:#}");
    assert!(lines(&told, "overdue", "binding").is_empty());
    assert!(!lines(&told, "due", "water").iter().any(|line| line["unitID"] == "W1"));
    // As the day before stood, the binding was on.
    assert_eq!(lines(&at(&posting, "2026-07-19"), "overdue", "binding").len(), 1);
}

#[test]
fn in_the_cool_season_some_are_kept_warm_and_some_are_left_to_rest() {
    let posting = posting();
    accepted(&posting.party(DESHARU).submit(&[
        unit("W1", "tank", &json!({ "waterType": "static" })),
        unit("W2", "tank", &json!({ "waterType": "static" })),
        rescue("r1", "2026-01-02", "animal:1", "Crocodylus porosus", 1, "juvenile"),
        housed("h1", "2026-01-02", "animal:1", "Crocodylus porosus", "W1", 1),
        rescue("r2", "2026-01-02", "animal:2", "Crocodylus palustris", 1, "juvenile"),
        housed("h2", "2026-01-02", "animal:2", "Crocodylus palustris", "W2", 1),
        care("cold", "2026-01-10", "W1", &json!({ "waterCelsius": 24.5 })),
    ]));
    let told = at(&posting, "2026-01-10");
    let due = lines(&told, "due", "heat");
    assert_eq!((due.len(), &due[0]["unitID"]), (1, &json!("W1")), "{told:#}");
    assert!(due[0]["what"].as_str().unwrap().contains("24.5"), "{}", due[0]);
    let resting = lines(&told, "notDue", "heat");
    assert!(
        resting
            .iter()
            .any(|line| line["unitID"] == "W2" && line["why"].to_string().contains("neither fed nor warmed"))
    );
    // In July nobody is told to heat anything.
    let summer = at(&posting, "2026-07-10");
    assert!(lines(&summer, "due", "heat").is_empty() && lines(&summer, "notDue", "heat").is_empty());
}

#[test]
fn the_list_is_for_those_who_may_see_the_centre_and_says_where_it_ends() {
    let posting = posting();
    let path = format!("/v1/centres/{DESHARU}/today");
    let desharu = posting.party(DESHARU);
    let nothing = desharu.get(&path).json();
    assert_eq!(nothing["unknown"][0]["code"], "no-records", "{nothing:#}");
    accepted(&desharu.submit(&house()));
    let early = at(&posting, "2024-06-01");
    assert_eq!(early["unknown"][0]["code"], "before-first-record");
    assert!(early["unknown"][0]["why"].as_str().unwrap().contains("2025-01-05"), "{early:#}");
    assert_eq!(posting.party("meruva.thulmar").get(&path).status, 404);
    assert_eq!(posting.authority.get(&path).status, 200);
    assert_eq!(posting.hub.nobody().get(&path).status, 401);
    assert_eq!(posting.operator.get(&path).status, 403);
    assert_eq!(posting.authority.get("/v1/centres/meruva.nowhere/today").status, 404);
    assert_eq!(desharu.get(&format!("{path}?at=20%20July")).status, 400);
    assert_eq!(desharu.get(&format!("{path}?format=csv")).status, 406);
    let page = desharu.get_with(&path, &[("accept", "text/html")]);
    assert_eq!(page.header("content-type"), Some("text/html; charset=utf-8"));
    let text = page.text();
    assert!(text.contains("<h2>Overdue</h2>") && text.contains("do not open or discard"), "{text}");
    assert!(!text.contains("<script") && !text.contains("http://"), "{text}");
}

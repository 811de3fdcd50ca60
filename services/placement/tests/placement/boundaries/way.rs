//! Rules about the way: hours, night bans, ferries.

use haulout_placement::Verdict::{CannotCheck, Fail, Pass};
use serde_json::{Value, json};

use super::Row;

/// The call is at 01:20, the road takes an hour.
pub fn the_way() -> Vec<Row> {
    let minutes = |minutes: u32| ("/roads/travel/0/minutes", json!(minutes));
    let nowhere = || ("/requests/0/from", json!({}));
    let stops =
        |at: &str, minutes: u32| ("/requests/0/stops", json!([{ "placeID": at, "minutes": minutes }]));
    let yellow = || ("/requests/0/triage", json!("yellow"));
    let mut rows: Vec<Row> = vec![
        ("bearable-hours", "a day, green", vec![minutes(1440)], Pass),
        ("bearable-hours", "a minute more", vec![minutes(1441)], Fail),
        ("bearable-hours", "twelve hours, yellow", vec![minutes(720), yellow()], Pass),
        ("bearable-hours", "a minute more, yellow", vec![minutes(721), yellow()], Fail),
        (
            "bearable-hours",
            "with the wait at a ferry",
            vec![minutes(1430), ferry("00:00", "23:59", 10)],
            Pass,
        ),
        (
            "bearable-hours",
            "a minute more at the ferry",
            vec![minutes(1430), ferry("00:00", "23:59", 11)],
            Fail,
        ),
        ("bearable-hours", "with an earlier drop", vec![minutes(1430), stops("meruva.desharu", 10)], Pass),
        ("bearable-hours", "a longer earlier drop", vec![minutes(1430), stops("meruva.desharu", 11)], Fail),
        (
            "bearable-hours",
            "a drop here adds nothing",
            vec![minutes(1430), stops("meruva.kolvani", 11)],
            Pass,
        ),
        (
            "bearable-hours",
            "the team's way is not the animal's",
            vec![minutes(1440), ("/requests/0/team", json!({ "minutesOut": 300, "captureMinutes": 90 }))],
            Pass,
        ),
        ("bearable-hours", "no journey known", vec![nowhere()], CannotCheck),
    ];
    rows.extend(night_bans());
    rows.extend(ferries());
    rows
}

fn ferry(first: &str, last: &str, wait: u32) -> (&'static str, Value) {
    (
        "/roads/ferries",
        json!([{ "placeID": "meruva.yard", "otherPlaceID": "meruva.kolvani", "minutesToLanding": 30,
            "firstCrossing": first, "lastCrossing": last, "waitMinutes": wait }]),
    )
}

fn night_bans() -> Vec<Row> {
    let ban = |begins: &str, ends: &str| {
        ("/roads/nightBans", json!([{ "placeID": "meruva.kolvani", "begins": begins, "ends": ends }]))
    };
    let between = |other: &str| {
        (
            "/roads/nightBans",
            json!([{ "placeID": "meruva.kolvani", "otherPlaceID": other, "begins": "23:00", "ends": "05:00" }]),
        )
    };
    let dated = |member: &str, at: &str| {
        let mut ban = json!({ "placeID": "meruva.kolvani", "begins": "23:00", "ends": "05:00" });
        ban[member] = json!(at);
        ("/roads/nightBans", json!([ban]))
    };
    vec![
        ("night-ban", "none", vec![], Pass),
        ("night-ban", "opens when setting out", vec![ban("23:00", "01:20")], Pass),
        ("night-ban", "opens a minute later", vec![ban("23:00", "01:21")], Fail),
        ("night-ban", "begins on arrival", vec![ban("02:20", "05:00")], Fail),
        ("night-ban", "begins a minute after arrival", vec![ban("02:21", "05:00")], Pass),
        ("night-ban", "another road", vec![between("meruva.saivera")], Pass),
        ("night-ban", "this road", vec![between("meruva.yard")], Fail),
        ("night-ban", "lifted before", vec![dated("until", "2026-07-02T01:20:00+05:30")], Pass),
        ("night-ban", "in force only from tomorrow", vec![dated("from", "2026-07-03T00:00:00+05:30")], Pass),
        (
            "night-ban",
            "loaded after the way out and the catch",
            vec![ban("23:00", "05:00"), ("/requests/0/team", json!({ "captureMinutes": 160 }))],
            Pass,
        ),
        (
            "night-ban",
            "loaded a minute too early",
            vec![ban("23:00", "05:00"), ("/requests/0/team", json!({ "captureMinutes": 159 }))],
            Fail,
        ),
        (
            "night-ban",
            "no journey known",
            vec![ban("23:00", "05:00"), ("/requests/0/from", json!({}))],
            CannotCheck,
        ),
    ]
}

/// The animal comes to the landing at 01:50, half way.
fn ferries() -> Vec<Row> {
    let from_here = (
        "/roads/ferries",
        json!([{ "placeID": "meruva.kolvani", "otherPlaceID": "meruva.yard", "minutesToLanding": 20,
            "firstCrossing": "02:00", "lastCrossing": "18:00", "waitMinutes": 0 }]),
    );
    let mut too_early = from_here.clone();
    too_early.1[0]["firstCrossing"] = json!("02:01");
    let mut other = from_here.clone();
    other.1[0]["otherPlaceID"] = json!("meruva.saivera");
    other.1[0]["firstCrossing"] = json!("12:00");
    let mut from_anywhere = from_here.clone();
    from_anywhere.1[0]["otherPlaceID"] = Value::Null;
    vec![
        ("ferry", "none", vec![], Pass),
        ("ferry", "the first crossing", vec![ferry("01:50", "18:00", 0)], Pass),
        ("ferry", "a minute before the first", vec![ferry("01:51", "18:00", 0)], Fail),
        ("ferry", "the last crossing", vec![ferry("00:10", "01:50", 0)], Pass),
        ("ferry", "a minute after the last", vec![ferry("00:10", "01:49", 0)], Fail),
        ("ferry", "runs past midnight", vec![ferry("05:00", "01:50", 0)], Pass),
        ("ferry", "stops past midnight", vec![ferry("05:00", "01:49", 0)], Fail),
        ("ferry", "counted from the other end", vec![from_here], Pass),
        ("ferry", "counted from the other end, a minute early", vec![too_early], Fail),
        ("ferry", "another road", vec![other], Pass),
        ("ferry", "no journey known", vec![from_anywhere, ("/requests/0/from", json!({}))], CannotCheck),
    ]
}

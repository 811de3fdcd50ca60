//! No double booking: 64 clients race for the last places of one unit, on SQLite and on PostgreSQL
//! with two hub processes; then expiry, promises, refusals, cancellations and standstills race too.

mod course;

use chrono::{DateTime, Duration, FixedOffset};
use course::{Course, Waits, place};
use haulout_tests::Client;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

const CLIENTS: usize = 64;
const OMBARI: &str = "meruva.ombari";
const COORDINATION: &str = "meruva.coordination";
/// Heads that pool OT2 of the story's region may hold; it stands empty.
const PLACES: usize = 20;
const UNIT: &str = "OT2";
const BEGIN: &str = "2026-07-05T08:00:00+05:30";

/// One race at a time, or the figures would tell of the other.
static TURN: Mutex<()> = Mutex::new(());

fn attempts() -> usize {
    if std::env::var("HAULOUT_FULL").is_ok_and(|full| full == "1") { 20_000 } else { 600 }
}

fn last_places(course: &Course) {
    let (waits, next) = (Waits::default(), AtomicUsize::new(0));
    let kept: Mutex<Vec<String>> = Mutex::default();
    let attempts = attempts();
    std::thread::scope(|scope| {
        for nth in 0..CLIENTS {
            let client = course.client(nth, COORDINATION);
            let (waits, next, kept) = (&waits, &next, &kept);
            scope.spawn(move || {
                loop {
                    let attempt = next.fetch_add(1, Ordering::Relaxed);
                    if attempt >= attempts {
                        return;
                    }
                    let body = place(&format!("race-{attempt}"), 120);
                    let answer = waits.timed(|| client.post_json("/v1/reservations", &body));
                    match answer.status {
                        201 => kept.lock().unwrap().push(
                            answer.json()["reservations"][0]["reservationID"].as_str().unwrap().to_owned(),
                        ),
                        409 => {
                            let problem = answer.json();
                            assert_eq!(problem["code"], "place-taken", "{problem}");
                            assert!(problem["noLonger"][0]["alternatives"].is_array(), "{problem}");
                        }
                        other => panic!("{other}: {}", answer.text()),
                    }
                }
            });
        }
    });
    let kept = kept.into_inner().unwrap();
    let taken: BTreeSet<&str> = kept.iter().map(String::as_str).collect();
    let open = course.open();
    let listed: BTreeSet<&str> = open.iter().map(|one| one["reservationID"].as_str().unwrap()).collect();
    println!("{}: {} of {PLACES} places, {}", course.name, taken.len(), waits.told());
    assert_eq!((taken.len(), kept.len()), (PLACES, PLACES), "places taken = places there");
    assert_eq!(taken, listed, "no reservation lost, none made up");
    let units = course.posting.party(COORDINATION).get(&format!("/v1/centres/{OMBARI}/units")).json();
    let unit = units["units"].as_array().unwrap().iter().find(|unit| unit["unitID"] == UNIT).unwrap();
    assert_eq!(unit["reserved"].as_array().unwrap().len(), PLACES);
    course.verify();
}

/// Steps that were answered with 200, by reservation and kind of act.
type Acknowledged = BTreeMap<String, BTreeMap<&'static str, usize>>;

/// Steps and acts: path, kind of the act, whether it has a reason.
const STEPS: [(&str, &str, bool); 5] = [
    ("promise", "reservationPromised", false),
    ("confirmation", "reservationConfirmed", false),
    ("refusal", "reservationRefused", true),
    ("cancellation", "reservationCancelled", true),
    ("departure", "reservationDeparted", false),
];

fn everything(course: &Course) {
    let (waits, next) = (Waits::default(), AtomicUsize::new(0));
    let ids: Mutex<Vec<String>> = Mutex::default();
    let acknowledged: Mutex<Acknowledged> = Mutex::default();
    let over = AtomicBool::new(false);
    let attempts = attempts();
    let counts: Mutex<BTreeMap<String, usize>> = Mutex::default();
    std::thread::scope(|scope| {
        let racers: Vec<_> = (0..CLIENTS)
            .map(|nth| {
                let (desk, centre) = (course.client(nth, COORDINATION), course.client(nth, OMBARI));
                let (waits, next, ids, acknowledged, counts) = (&waits, &next, &ids, &acknowledged, &counts);
                scope.spawn(move || {
                    let mut luck = ChaCha8Rng::seed_from_u64(nth as u64);
                    loop {
                        let attempt = next.fetch_add(1, Ordering::Relaxed);
                        if attempt >= attempts {
                            return;
                        }
                        let said = if luck.random_bool(0.5) {
                            ask(&desk, attempt, luck.random_range(1..=3), waits, ids, acknowledged)
                        } else {
                            step(&desk, &centre, &mut luck, waits, ids, acknowledged)
                        };
                        *counts.lock().unwrap().entry(said).or_default() += 1;
                    }
                })
            })
            .collect();
        // The calendar goes on, so that what nobody answered lapses.
        let over = &over;
        scope.spawn(move || {
            let mut now: DateTime<FixedOffset> = DateTime::parse_from_rfc3339(BEGIN).unwrap();
            while !over.load(Ordering::Relaxed) {
                now += Duration::seconds(20);
                course.posting.hub.set_clock(&course.posting.operator, &now.to_rfc3339());
                std::thread::sleep(std::time::Duration::from_millis(150));
            }
        });
        // The unit is closed by a standstill and opened again.
        scope.spawn(move || {
            let centre = course.client(1, OMBARI);
            let mut nth = 0;
            while !over.load(Ordering::Relaxed) {
                std::thread::sleep(std::time::Duration::from_millis(400));
                nth += 1;
                let event = if nth % 2 == 1 { "declared" } else { "lifted" };
                let answer = centre.submit(&[standstill(nth, event)]);
                assert_eq!(answer.status, 200, "{}", answer.text());
            }
        });
        // Whoever looks never sees more than fits, and alarms can be read throughout.
        scope.spawn(move || {
            let desk = course.client(1, COORDINATION);
            while !over.load(Ordering::Relaxed) {
                let open = course.open();
                assert!(open.len() <= PLACES, "{} places kept of {PLACES}", open.len());
                let alarms = desk.get("/v1/alarms");
                assert_eq!(alarms.status, 200, "{}", alarms.text());
                std::thread::sleep(std::time::Duration::from_millis(100));
            }
        });
        let ended: Vec<_> = racers.into_iter().map(|racer| racer.join()).collect();
        over.store(true, Ordering::Relaxed);
        for end in ended {
            if let Err(why) = end {
                std::panic::resume_unwind(why);
            }
        }
    });
    println!("{}: {}; {:?}", course.name, waits.told(), counts.into_inner().unwrap());
    let acknowledged = acknowledged.into_inner().unwrap();
    let desk = course.posting.party(COORDINATION);
    let mut told = Vec::new();
    for (id, steps) in &acknowledged {
        let answer = desk.get(&format!("/v1/reservations/{id}"));
        assert_eq!(answer.status, 200, "{id} is lost: {}", answer.text());
        let reservation = answer.json();
        let mut found: BTreeMap<&str, usize> = BTreeMap::new();
        for step in reservation["steps"].as_array().unwrap() {
            *found.entry(step["kind"].as_str().unwrap()).or_default() += 1;
        }
        let expected: BTreeMap<&str, usize> = steps.iter().map(|(kind, count)| (*kind, *count)).collect();
        assert_eq!(found, expected, "{id}: a step was lost or made up");
        lawful(&reservation);
        told.push(reservation);
    }
    assert!(told.len() > PLACES, "places were given back and taken again: {}", told.len());
    never_over(&told);
    course.verify();
}

fn ask(
    desk: &Client,
    attempt: usize,
    minutes: u32,
    waits: &Waits,
    ids: &Mutex<Vec<String>>,
    acknowledged: &Mutex<Acknowledged>,
) -> String {
    let body = place(&format!("race-{attempt}"), minutes);
    let answer = waits.timed(|| desk.post_json("/v1/reservations", &body));
    match answer.status {
        201 => {
            let id = answer.json()["reservations"][0]["reservationID"].as_str().unwrap().to_owned();
            acknowledged.lock().unwrap().entry(id.clone()).or_default().insert("reservationAsked", 1);
            ids.lock().unwrap().push(id);
            "kept".to_owned()
        }
        409 => {
            assert_eq!(answer.json()["code"], "place-taken", "{}", answer.text());
            "too late".to_owned()
        }
        // The calendar went on past a short deadline while the request waited for its turn.
        422 if answer.text().contains("deadline") => "deadline passed".to_owned(),
        other => panic!("{other}: {}", answer.text()),
    }
}

/// A step of a place that somebody keeps: several may try the same.
fn step(
    desk: &Client,
    centre: &Client,
    luck: &mut ChaCha8Rng,
    waits: &Waits,
    ids: &Mutex<Vec<String>>,
    acknowledged: &Mutex<Acknowledged>,
) -> String {
    let id = {
        let ids = ids.lock().unwrap();
        if ids.is_empty() {
            return "nothing to step".to_owned();
        }
        // The newest are those that others are busy with too.
        let newest = ids.len().min(12);
        ids[ids.len() - 1 - luck.random_range(0..newest)].clone()
    };
    let (path, kind, reasoned) = STEPS[luck.random_range(0..STEPS.len())];
    let by_centre = path == "confirmation" || (path != "cancellation" && luck.random_bool(0.5));
    let mut body = json!({});
    if reasoned {
        body["reason"] = json!("the race goes on");
    }
    if !by_centre && path != "confirmation" {
        body["onBehalfOf"] = json!({ "office": "duty desk", "channel": "telephone" });
    }
    let client = if by_centre { centre } else { desk };
    let answer = waits.timed(|| client.post_json(&format!("/v1/reservations/{id}/{path}"), &body));
    match answer.status {
        200 => {
            *acknowledged.lock().unwrap().entry(id).or_default().entry(kind).or_default() += 1;
            path.to_owned()
        }
        409 => {
            assert_eq!(answer.json()["code"], "state-conflict", "{}", answer.text());
            format!("no {path}")
        }
        other => panic!("{path} {other}: {}", answer.text()),
    }
}

fn standstill(nth: usize, event: &str) -> Value {
    let number = nth.div_ceil(2);
    let mut record = json!({
        "recordID": format!("standstill-{nth}"), "revision": 1, "kind": "biosecurity", "schemaVersion": "1.0",
        "authorID": OMBARI, "centreID": OMBARI, "eventDate": "2026-07-05T08:00+05:30",
        "event": event, "standstillID": format!("S-{number}"),
    });
    if event == "declared" {
        record["scope"] = json!("unit");
        record["unitID"] = json!(UNIT);
        record["direction"] = json!("in");
        record["agent"] = json!("not yet known");
    }
    record
}

/// Asked first; promised once at most; nothing but a confirmation after the end.
fn lawful(reservation: &Value) {
    let kinds: Vec<&str> =
        reservation["steps"].as_array().unwrap().iter().map(|step| step["kind"].as_str().unwrap()).collect();
    assert_eq!(kinds[0], "reservationAsked", "{reservation}");
    let many = |kind: &str| kinds.iter().filter(|one| **one == kind).count();
    assert!(many("reservationPromised") <= 1, "{kinds:?}");
    assert!(many("reservationRefused") + many("reservationCancelled") <= 1, "{kinds:?}");
    let end = kinds.iter().position(|kind| matches!(*kind, "reservationRefused" | "reservationCancelled"));
    for after in end.into_iter().flat_map(|end| &kinds[end + 1..]) {
        assert_eq!(*after, "reservationConfirmed", "{kinds:?}");
    }
}

/// The whole history again, from the stamps alone: whenever a place was granted, no more were kept
/// than there are.
fn never_over(reservations: &[Value]) {
    struct Life {
        asked: DateTime<FixedOffset>,
        promised: Option<DateTime<FixedOffset>>,
        ended: Option<DateTime<FixedOffset>>,
        deadline: DateTime<FixedOffset>,
    }
    let instant = |value: &Value| DateTime::parse_from_rfc3339(value.as_str().unwrap()).unwrap();
    let lives: Vec<Life> = reservations
        .iter()
        .map(|reservation| {
            let at = |kinds: &[&str]| {
                let steps = reservation["steps"].as_array().unwrap();
                let step = steps.iter().find(|step| kinds.contains(&step["kind"].as_str().unwrap()));
                step.map(|step| instant(&step["knownFrom"]))
            };
            Life {
                asked: at(&["reservationAsked"]).unwrap(),
                promised: at(&["reservationPromised"]),
                ended: at(&["reservationRefused", "reservationCancelled"]),
                deadline: instant(&reservation["deadline"]),
            }
        })
        .collect();
    let mut most = 0;
    for granted in &lives {
        let now = granted.asked;
        let kept = lives.iter().filter(|life| {
            let begun = life.asked <= now;
            let ended = life.ended.is_some_and(|ended| ended <= now);
            let promised = life.promised.is_some_and(|promised| promised <= now);
            begun && !ended && (promised || life.deadline >= now)
        });
        most = most.max(kept.count());
    }
    println!("at most {most} of {PLACES} places were kept at once, {} granted in all", lives.len());
    assert!(most <= PLACES, "{most} places kept of {PLACES}");
    assert!(most > PLACES / 2, "the race was for the last places: {most}");
}

#[test]
fn sixty_four_race_for_the_last_places_on_sqlite() {
    let _turn = TURN.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
    last_places(&Course::on_sqlite());
}

#[test]
fn sixty_four_race_for_the_last_places_on_two_hubs_of_one_postgresql() {
    let _turn = TURN.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
    let Some(course) = Course::on_postgres() else { return };
    last_places(&course);
}

#[test]
fn every_step_races_on_sqlite() {
    let _turn = TURN.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
    everything(&Course::on_sqlite());
}

#[test]
fn every_step_races_on_two_hubs_of_one_postgresql() {
    let _turn = TURN.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
    let Some(course) = Course::on_postgres() else { return };
    everything(&course);
}

//! The routine and the title, worked out by hand.

use super::*;
use crate::findings::Held;
use crate::findings::Records;
use crate::findings::tests::{rescue, world};
use crate::keys::Key;
use haulout_schemas::Kind;
use haulout_schemas::profile::Profiles;
use haulout_schemas::text::PartyId;

const CROCODILE: &str = "Crocodylus porosus";
const TURTLE: &str = "Nilssonia gangetica";

/// What the hub gathers, from one list of records.
pub(super) fn in_hand(records: &[Arc<Effective>]) -> InHand {
    let held = Held::through(records, Names::standard(), day("2099-12-31"));
    let centres = REGION.centres().map(|centre| centre.party_id.clone());
    let places: Vec<PartyId> =
        centres.chain(REGION.points.iter().map(|point| point.point_id.clone())).collect();
    let of =
        |kinds: &[Kind]| records.iter().filter(|one| kinds.contains(&one.record.kind())).cloned().collect();
    InHand {
        floors: places.iter().map(|place| (place.clone(), held.of(&Key::units(place)))).collect(),
        places: places.into_iter().collect(),
        others: of(&[Kind::Outlook, Kind::Receipt]),
        care: of(&[Kind::Care]),
        settings: Arc::new(crate::RuleSettings::standard()),
        profiles: Arc::new(Profiles::standard().clone()),
    }
}

fn lines(records: &[Arc<Effective>], period: &str) -> Vec<RoutineLine> {
    let period = Period::parse(period).unwrap();
    let world = world(&period.last.to_string());
    routine::routine(&in_hand(records), &period, &world)
}

/// Due, without a record, kept.
fn told(lines: &[RoutineLine], routine: Routine) -> (i64, i64, i64) {
    let line = lines.iter().find(|line| line.routine == routine).unwrap();
    (line.due, line.without_record, line.kept)
}

fn housed(lot: &str, name: &str, date: &str, unit: &str) -> Arc<Effective> {
    record(
        "housing",
        "desharu",
        &format!("h-{lot}-{date}"),
        date,
        json!({ "event": "housed", "lotID": lot, "scientificName": name,
            "units": [{ "unitID": unit, "individualCount": 10 }] }),
    )
}

fn water(unit: &str, word: &str) -> Arc<Effective> {
    record(
        "capacity",
        "desharu",
        &format!("w-{unit}"),
        "2026-06-01",
        json!({ "event": "stated", "unitID": unit, "unitKind": "tank", "arrangement": "communal", "waterType": word }),
    )
}

fn care(id: &str, date: &str, mut rest: Value) -> Arc<Effective> {
    rest["event"] = "water".into();
    record("care", "desharu", id, date, rest)
}

/// Ten crocodiles stand in still water from 1 to 10 December: three whole spans of three days, of which
/// the first has 20 % changed, the second 10 %, the third no word. Of ten days two have a reading, one of
/// them in the band. Ten days are no whole month, so no scrub is due. Ten turtles stand in another still
/// tank all of December: ten spans and one month without a word, and no heat, since they rest in the cool
/// season. An earthen pond and a unit of unknown water are not asked; an empty tank is nobody's.
#[test]
fn routine_is_of_what_records_tell() {
    let lot_of =
        |id: &str, name: &str| lot("desharu", id, "2026-12-01", &format!("meruva.desharu:{id}"), name, 10);
    let records = [
        lot_of("a", CROCODILE),
        lot_of("b", TURTLE),
        lot_of("c", CROCODILE),
        lot_of("d", CROCODILE),
        water("T1", "static"),
        water("T2", "static"),
        water("T3", "static"),
        water("P1", "earthenPond"),
        housed("meruva.desharu:a", CROCODILE, "2026-12-01", "T1"),
        housed("meruva.desharu:a", CROCODILE, "2026-12-11", "P1"),
        housed("meruva.desharu:b", TURTLE, "2026-12-01", "T2"),
        housed("meruva.desharu:c", CROCODILE, "2026-12-01", "P1"),
        housed("meruva.desharu:d", CROCODILE, "2026-12-01", "X9"),
        care("c1", "2026-12-02", json!({ "unitID": "T1", "waterChangedShare": 0.2, "waterCelsius": 29.5 })),
        // Of the lot, without a unit: of every unit in which it stands.
        care(
            "c2",
            "2026-12-05",
            json!({ "lotID": "meruva.desharu:a", "scientificName": CROCODILE,
            "waterChangedShare": 0.1, "waterCelsius": 31.0 }),
        ),
        care("c3", "2026-12-20", json!({ "unitID": "T3", "waterChangedShare": 1.0, "scrubbed": true })),
    ];
    let lines = lines(&records, "2026-12");
    assert!(lines.iter().all(|line| line.centre_id == "meruva.desharu"));
    assert_eq!(told(&lines, Routine::Water), (13, 11, 1));
    assert_eq!(told(&lines, Routine::Scrub), (1, 1, 0));
    assert_eq!(told(&lines, Routine::Heat), (10, 8, 1));
    let water = lines.iter().find(|line| line.routine == Routine::Water).unwrap();
    let share = water.share.as_ref().unwrap();
    assert_eq!((share.count, share.of, share.rate), (1, 2, 0.5));
    let left_out = |words: &[(&str, i64)]| -> BTreeMap<String, i64> {
        words.iter().map(|(why, units)| ((*why).to_owned(), *units)).collect()
    };
    assert_eq!(water.left_out, left_out(&[("earthenPond", 1), ("waterNotStated", 1)]));
    let heat = lines.iter().find(|line| line.routine == Routine::Heat).unwrap();
    assert_eq!(heat.left_out, left_out(&[("restsInCoolSeason", 1)]));
    // A month of which nothing is told has no share, and never one over zero.
    assert_eq!(lines.iter().find(|line| line.routine == Routine::Scrub).unwrap().share, None);
}

/// In July nothing is held warm, and a day beyond the evaluated one is not due.
#[test]
fn out_of_the_cool_season_and_beyond_the_evaluated_day_nothing_is_due() {
    let records = [
        lot("desharu", "a", "2026-07-01", "meruva.desharu:a", CROCODILE, 10),
        water("T1", "static"),
        housed("meruva.desharu:a", CROCODILE, "2026-07-01", "T1"),
    ];
    let told = |through: &str| {
        let world = world(through);
        routine::routine(&in_hand(&records), &Period::parse("2026-07").unwrap(), &world)
    };
    // 31 days: ten whole spans and one month. Through the seventh: two spans.
    let water = |lines: &[RoutineLine]| self::told(lines, Routine::Water);
    assert_eq!(water(&told("2026-07-31")), (10, 10, 0));
    assert_eq!(water(&told("2026-07-07")), (2, 2, 0));
    assert!(told("2026-07-31").iter().all(|line| line.routine != Routine::Heat));
    assert!(told("2026-06-30").is_empty());
}

/// Five batches of thirty days. Q1 was ended by a veterinarian, Q2 was sent on after twelve days, Q3
/// is still there and nobody ended it, Q4 is clear in October, Q5 died: three were due, of two of them
/// records tell, one was kept.
#[test]
fn quarantine_is_of_the_batches_whose_clear_day_fell_in_the_period() {
    let animal = |n: u32| format!("meruva.desharu:{n}");
    let step = |id: &str, n: u32, date: &str, rest: Value| {
        let mut whole = json!({ "organismID": animal(n), "scientificName": TURTLE, "batchID": format!("Q{n}"),
            "unitID": format!("ISO{n}"), "event": "entered", "days": 30 });
        for (member, value) in rest.as_object().unwrap() {
            whole[member] = value.clone();
        }
        record("quarantine", "desharu", id, date, whole)
    };
    let mut records = Vec::new();
    for (n, date) in
        [(1, "2026-07-01"), (2, "2026-07-01"), (3, "2026-07-01"), (4, "2026-09-15"), (5, "2026-07-01")]
    {
        records.push(rescue("desharu", &format!("r{n}"), date, &animal(n), TURTLE));
        records.push(step(&format!("q{n}"), n, date, json!({})));
    }
    records.push(step(
        "e1",
        1,
        "2026-08-02",
        json!({ "event": "ended", "byVeterinarian": true, "days": null }),
    ));
    records.push(record(
        "dispatch",
        "desharu",
        "d2",
        "2026-07-13",
        json!({ "consignmentID": "meruva.desharu:9", "destination": "outside",
            "lines": [{ "organismID": animal(2), "scientificName": TURTLE, "individualCount": 1 }] }),
    ));
    records.push(record(
        "mortality",
        "desharu",
        "m5",
        "2026-07-10",
        json!({ "event": "death", "organismID": animal(5), "scientificName": TURTLE, "individualCount": 1,
            "when": "inCare" }),
    ));
    let lines = lines(&records, "2026-Q3");
    assert_eq!(told(&lines, Routine::Quarantine), (3, 1, 1));
    assert_eq!(lines[0].share.as_ref().map(|share| (share.count, share.of)), Some((1, 2)));
}

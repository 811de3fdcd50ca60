//! Why some stay, the smallest changes, what would help: true when they are applied.

use haulout_placement::plan::{HelpKind, Limits, Plan};
use serde_json::{Value, json};

use super::{centre, file, helped, lot, planned, room, try_plan, with};

fn applied(document: &Value, changes: &[haulout_placement::Change]) -> Value {
    let patch: json_patch::Patch = serde_json::from_value(json!(changes)).unwrap();
    let mut changed = document.clone();
    json_patch::patch(&mut changed, &patch).unwrap();
    changed
}

fn staying(plan: &Plan) -> u64 {
    plan.stages[..3].iter().map(|stage| stage.objective).sum()
}

/// Each cause of staying, alone: what is proposed places as many as it says, and not without any one.
#[test]
fn the_smallest_changes_are_true() {
    let two = [lot("R1", 6), lot("R2", 4)];
    let rooms = [room("A1", "A"), room("A2", "A")];
    let limited = |members| with(centre("A"), members);
    let line = json!([{ "scope": ["Testudines"], "status": "inForce", "headsLimit": 7 }]);
    let suits_others = with(room("A2", "A"), json!({ "suits": ["Crocodylia"] }));
    for (shows, base, operations) in [
        ("no unit left", file(&[centre("A")], &rooms[..1], &two), 1),
        ("licence", file(&[limited(json!({ "licences": line }))], &rooms, &two), 1),
        ("arrivals", file(&[limited(json!({ "arrivalsPerDay": 6 }))], &rooms, &two), 1),
        ("no licence at all", file(&[limited(json!({ "licences": [] }))], &rooms, &two[..1]), 1),
        ("meant for others", file(&[centre("A")], &[suits_others], &two[..1]), 1),
        ("two things", file(&[limited(json!({ "arrivalsPerDay": 6 }))], &rooms[..1], &two), 2),
    ] {
        let plan = planned(&base);
        let one = plan.unplaced.first().unwrap_or_else(|| panic!("{shows}: nobody stays"));
        assert_eq!(one.changes.len(), operations, "{shows}: {:?}", one.changes);
        let placed = one.changes_place.as_ref().unwrap().individual_count;
        assert!(placed > 0, "{shows}");
        let better = planned(&applied(&base, &one.changes));
        assert!(staying(&better) + u64::from(placed) <= staying(&plan), "{shows}");
        for left_out in 0..one.changes.len() {
            let mut rest = one.changes.clone();
            rest.remove(left_out);
            let rest = planned(&applied(&base, &rest));
            assert_eq!(staying(&rest), staying(&plan), "{shows}, without {left_out}");
        }
    }
}

/// What placed nobody and was told without a change: a pin, a forbid, two reasons of which the plan is
/// one, animals that may not be divided, a road too long, vehicles and licence at once. By hand: with all
/// the changes the one who stays is placed; with any one left out, as many stay as before.
#[test]
fn whoever_stays_is_told_what_would_place_it() {
    let one = [lot("R1", 4)];
    let indivisible = [with(lot("R1", 9), json!({ "indivisible": true }))];
    let far = [with(lot("R1", 4), json!({ "minutes": { "A": 3000 } }))];
    let bound = |unit: Value| with(json!({ "requestID": "R1", "centreID": "A" }), unit);
    let small = file(&[centre("A")], &[with(room("A1", "A"), json!({ "headsLimit": 6 }))], &indivisible);
    let for_others = json!([{ "scope": ["Crocodylia"], "status": "inForce" }]);
    let closed = with(centre("A"), json!({ "licences": for_others, "vehicleMinutes": 10 }));
    let two = [lot("R1", 6), lot("R2", 4)];
    let unlicensed = json!([{ "scope": ["Crocodylia"], "status": "inForce", "headsLimit": 0 }]);
    let unlicensed = with(centre("A"), json!({ "licences": unlicensed }));
    for (shows, base, paths) in [
        (
            "forbidden",
            with(file(&[centre("A")], &[room("A1", "A")], &one), json!({ "forbids": [bound(json!({}))] })),
            vec!["/forbids/0"],
        ),
        (
            "pinned to a unit that another has",
            with(
                file(&[centre("A")], &[room("A1", "A")], &two),
                json!({ "pins": [bound(json!({ "unitID": "A1" })),
                                 { "requestID": "R2", "centreID": "A", "unitID": "A1" }] }),
            ),
            vec!["/units/-", "/pins/-"],
        ),
        ("more than any unit holds", small, vec!["/units/-"]),
        ("too far", file(&[centre("A")], &[room("A1", "A")], &far), vec!["/requests/0/minutes/A"]),
        (
            "licence and vehicles",
            file(&[closed], &[room("A1", "A")], &one),
            vec!["/centres/0/licences/0/scope", "/centres/0/vehicleMinutes"],
        ),
        (
            "licence, then its heads",
            file(&[unlicensed], &[room("A1", "A")], &one),
            vec!["/centres/0/licences/0/scope", "/centres/0/licences/0/headsLimit"],
        ),
    ] {
        let plan = planned(&base);
        let one = plan.unplaced.first().unwrap_or_else(|| panic!("{shows}: nobody stays"));
        assert_eq!(one.no_changes_because, None, "{shows}");
        let mut told: Vec<&str> = one.changes.iter().map(haulout_placement::Change::path).collect();
        told.sort_unstable();
        let mut paths = paths;
        paths.sort_unstable();
        assert_eq!(told, paths, "{shows}: {:?}", one.reasons);
        let placed = one.changes_place.as_ref().unwrap().individual_count;
        assert_eq!(placed, one.individual_count, "{shows}");
        assert_eq!(staying(&planned(&applied(&base, &one.changes))), 0, "{shows}");
        for left_out in 0..one.changes.len() {
            let mut rest = one.changes.clone();
            rest.remove(left_out);
            // A pin to a unit that is not built is no file to plan.
            let rest = applied(&base, &rest);
            if let Ok(rest) = try_plan(&rest, Limits { seconds: 20.0, helps_seconds: 0.0 }) {
                assert_eq!(staying(&rest), staying(&plan), "{shows}, without {left_out}");
            }
        }
    }
}

/// Minutes stated for another centre stay as they are.
#[test]
fn a_nearer_road_to_one_centre_moves_no_other() {
    let far = [with(lot("R1", 4), json!({ "minutes": { "A": 3000, "B": 4000 } }))];
    let base = file(&[centre("A"), centre("B")], &[room("A1", "A"), room("B1", "B")], &far);
    let plan = planned(&base);
    let changes = &plan.unplaced[0].changes;
    let changed = applied(&base, changes);
    let minutes = &changed["requests"][0]["minutes"];
    assert_eq!((&minutes["A"], &minutes["B"]), (&json!(1440), &json!(4000)), "{changes:?}");
    assert_eq!(staying(&planned(&changed)), 0);
}

/// Where no entry of the file helps, that is said.
#[test]
fn what_no_change_helps_is_said_in_words() {
    let unknown = [with(lot("R1", 2), json!({ "scientificName": "Ignota ignota" }))];
    let evacuation =
        json!([{ "centreID": "A", "triage": "green", "stay": "long", "fitToTravel": { "fit": "yes" } }]);
    for (base, says) in [
        (file(&[centre("A")], &[room("A1", "A")], &unknown), "determine it"),
        (
            with(
                file(&[centre("A")], &[room("A1", "A")], &[lot("R1", 2)]),
                json!({ "evacuate": evacuation }),
            ),
            "every centre is being emptied",
        ),
    ] {
        let plan = planned(&base);
        let one = &plan.unplaced[0];
        assert!(one.changes.is_empty());
        let why = one.no_changes_because.as_deref().unwrap_or_default();
        assert!(why.contains(says), "{why}");
    }
}

/// A second room for R2 at A places four; a licence line lifted places nobody. Then the road: B would
/// take them too, were it not closed.
#[test]
fn what_helps_most_is_solved_again() {
    let mut base =
        file(&[centre("A"), centre("B")], &[room("A1", "A"), room("B1", "B")], &[lot("R1", 6), lot("R2", 4)]);
    base = with(
        base,
        json!({ "roads": { "closures": [{ "placeID": "B", "from": "2026-07-01T00:00:00+05:30" }] } }),
    );
    let plan = helped(&base);
    assert_eq!(staying(&plan), 4);
    let told: Vec<(HelpKind, i64)> = plan.helps.iter().map(|help| (help.kind, help.places.green)).collect();
    assert_eq!(told, [(HelpKind::Unit, 4), (HelpKind::Road, 4)]);
    for help in &plan.helps {
        assert!(help.proven);
        let better = planned(&applied(&base, &help.changes));
        assert_eq!(staying(&better), 0, "{}", help.sentence);
        let minutes = |plan: &Plan| i64::try_from(plan.stages[3].objective).unwrap();
        assert_eq!(minutes(&plan) - minutes(&better), help.minutes_saved);
    }
    assert_eq!(plan.helps_untried, 0);
}

/// Where everyone has a place, minutes are what can be saved: a second room at A saves four animals
/// half an hour each.
#[test]
fn minutes_saved_where_all_are_placed() {
    let base =
        file(&[centre("A"), centre("B")], &[room("A1", "A"), room("B1", "B")], &[lot("R1", 6), lot("R2", 4)]);
    let plan = helped(&base);
    assert_eq!(plan.helps[0].minutes_saved, 120);
    assert_eq!(plan.helps[0].kind, HelpKind::Unit);
}

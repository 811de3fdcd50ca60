//! Why some stay, the smallest changes, what would help: true when they are applied.

use haulout_placement::plan::{HelpKind, Plan};
use serde_json::{Value, json};

use super::{centre, file, helped, lot, planned, room, with};

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

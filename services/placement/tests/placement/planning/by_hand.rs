//! Each family of the model's rows in an instance small enough to solve on paper.

use haulout_placement::plan::Limits;
use serde_json::{Value, json};

use super::{
    breaches, centre, codes, file, lot, objectives, places, planned, pool, room, stays, try_plan, with,
};

/// Ten: six to A, which is nearer and holds six, four to B. 6 x 30 + 4 x 60 = 420 minutes; six of A's
/// 100 heads are 60 per mille.
#[test]
fn the_nearest_first_and_the_rest_further_on() {
    let plan =
        planned(&file(&[centre("A"), centre("B")], &[room("A1", "A"), room("B1", "B")], &[lot("R", 10)]));
    assert_eq!(objectives(&plan), [0, 0, 0, 420, 60]);
    assert_eq!(places(&plan), [("R", "A1", 6, 1), ("R", "B1", 4, 1)]);
    assert!(plan.unplaced.is_empty() && !plan.time_limit_reached);
}

/// One place for six: the red three have it, although the green ones would fill it. Weight 3: 3 x 3 x 30.
#[test]
fn red_before_green() {
    let red = with(lot("red", 3), json!({ "triage": "red" }));
    let plan = planned(&file(&[centre("A")], &[room("A1", "A")], &[lot("green", 6), red]));
    assert_eq!(objectives(&plan), [0, 0, 6, 270, 30]);
    assert_eq!(places(&plan), [("red", "A1", 3, 1)]);
    assert_eq!(stays(&plan), [("green", 6)]);
    assert_eq!(codes(&plan, "green", "A"), ["room"]);
}

/// A row of three: eight take two units (four each), so another batch finds one.
#[test]
fn whole_units_of_a_row_for_each_batch() {
    let row = with(room("A1", "A"), json!({ "units": 3 }));
    let plan = planned(&file(&[centre("A")], &[row], &[lot("R1", 8), lot("R2", 2), lot("R3", 1)]));
    // The eight and the two, not the one: six, two and one would be one fewer.
    assert_eq!(objectives(&plan), [0, 0, 1, 300, 100]);
    assert_eq!(places(&plan), [("R1", "A1", 8, 2), ("R2", "A1", 2, 1)]);
    assert_eq!(plan.assignments[0].unit_numbers, [1, 2]);
    assert_eq!(plan.assignments[1].unit_numbers, [3]);
}

/// Three rooms alike are counted as one row and told apart again.
#[test]
fn rooms_alike_are_units_of_their_own() {
    let rooms = [room("A1", "A"), room("A2", "A"), room("A3", "A")];
    let plan = planned(&file(&[centre("A")], &rooms, &[lot("R1", 7), lot("R2", 2)]));
    assert_eq!(places(&plan), [("R1", "A1", 4, 1), ("R1", "A2", 3, 1), ("R2", "A3", 2, 1)]);
}

/// Two already kept and a line for five: three more.
#[test]
fn a_licence_line_counts_who_is_there() {
    let kept = json!({ "scientificName": "Hardella thurjii", "individualCount": 2 });
    let limited = with(
        centre("A"),
        json!({ "licences": [{ "scope": ["Testudines"], "status": "inForce", "headsLimit": 5 }], "unhoused": [kept] }),
    );
    let plan = planned(&file(&[limited], &[room("A1", "A")], &[lot("R", 6)]));
    assert_eq!(objectives(&plan)[2], 3);
    assert_eq!(codes(&plan, "R", "A"), ["licence-heads"]);
}

/// Four may arrive, one has: three more, of two batches together.
#[test]
fn arrivals_of_the_day() {
    let limited = with(centre("A"), json!({ "arrivalsPerDay": 4, "arrivedToday": 1 }));
    let rooms = [room("A1", "A"), room("A2", "A")];
    let plan = planned(&file(&[limited], &rooms, &[lot("R1", 2), lot("R2", 2)]));
    assert_eq!(objectives(&plan)[2], 1);
}

/// A crew for each of two batches and one crew there: the larger batch comes. A vehicle out for 70
/// minutes serves one journey of 60.
#[test]
fn crews_and_vehicles_of_a_night() {
    let rooms = [room("A1", "A"), room("A2", "A")];
    let lots = [with(lot("R1", 2), json!({ "crew": 1 })), with(lot("R2", 3), json!({ "crew": 1 }))];
    let crews = with(centre("A"), json!({ "crewsTonight": 1 }));
    let plan = planned(&file(&[crews], &rooms, &lots));
    assert_eq!(stays(&plan), [("R1", 2)]);
    assert_eq!(codes(&plan, "R1", "A"), ["crews-tonight"]);
    let vehicle = with(centre("A"), json!({ "vehicleMinutes": 70 }));
    let plan = planned(&file(&[vehicle], &rooms, &lots));
    assert_eq!(stays(&plan), [("R1", 2)]);
    assert_eq!(codes(&plan, "R1", "A"), ["vehicle-minutes"]);
    // The next night its crew and vehicle are there again.
    let later = with(lots[0].clone(), json!({ "earliestDeparture": "2026-07-03T01:20:00+05:30" }));
    let both = with(crews_and_vehicle(), json!({}));
    assert!(planned(&file(&[both], &rooms, &[later, lots[1].clone()])).unplaced.is_empty());
}

fn crews_and_vehicle() -> serde_json::Value {
    with(centre("A"), json!({ "crewsTonight": 1, "vehicleMinutes": 70 }))
}

/// Two rooms on one water take one batch; with the vet's yes on both sides, two.
#[test]
fn one_water_is_one_unit() {
    let rooms = ["A1", "A2"].map(|id| with(room(id, "A"), json!({ "waterCircuit": "W" })));
    let lots = [lot("R1", 2), lot("R2", 3)];
    let plan = planned(&file(&[centre("A")], &rooms, &lots));
    assert_eq!(stays(&plan), [("R1", 2)]);
    assert_eq!(codes(&plan, "R1", "A"), ["water-circuit"]);
    let agreed = [("R1", "b1", "b2"), ("R2", "b2", "b1")]
        .map(|(id, own, other)| with(lot(id, 2), json!({ "batchID": own, "mayRedateBatchIDs": [other] })));
    assert!(planned(&file(&[centre("A")], &rooms, &agreed)).unplaced.is_empty());
    // One batch over both rooms is one batch.
    assert!(planned(&file(&[centre("A")], &rooms, &[lot("R", 12)])).unplaced.is_empty());
}

/// For a long stay two batches of a kind may share a pool for six; a softshell and a tortoise may not,
/// nor may two in quarantine.
#[test]
fn who_may_share_a_pool() {
    let long = |one: serde_json::Value| with(one, json!({ "stay": "long" }));
    let pools = [pool("A1", "A")];
    let alike = [long(lot("R1", 2)), long(lot("R2", 4))];
    assert!(planned(&file(&[centre("A")], &pools, &alike)).unplaced.is_empty());
    let too_many = [long(lot("R1", 3)), long(lot("R2", 4))];
    assert_eq!(objectives(&planned(&file(&[centre("A")], &pools, &too_many)))[2], 1);
    let stranger = long(with(lot("R1", 2), json!({ "scientificName": "Nilssonia gangetica" })));
    let plan = planned(&file(&[centre("A")], &pools, &[stranger, long(lot("R2", 4))]));
    assert_eq!(stays(&plan), [("R1", 2)]);
    assert_eq!(codes(&plan, "R1", "A"), ["living-together"]);
    let newcomers = [lot("R1", 2), lot("R2", 3)];
    assert_eq!(stays(&planned(&file(&[centre("A")], &pools, &newcomers))), [("R1", 2)]);
}

/// The largest sizes the pool: with one of 0.25 m (0.78125 m2 for the first, 0.15625 m2 for each further)
/// it holds two, whoever else is small.
#[test]
fn the_largest_decides_for_all_in_a_pool() {
    let long = |id, count, metres: f64| {
        with(
            lot(id, count),
            json!({ "stay": "long", "length": { "value": metres, "measure": "straightCarapaceLength", "method": "taped" } }),
        )
    };
    let plan =
        planned(&file(&[centre("A")], &[pool("A1", "A")], &[long("large", 1, 0.25), long("small", 6, 0.2)]));
    // Six small ones, or the large one and one small.
    assert_eq!(objectives(&plan)[2], 1);
    assert_eq!(places(&plan), [("small", "A1", 6, 1)]);
    let red = with(long("large", 1, 0.25), json!({ "triage": "red" }));
    let plan = planned(&file(&[centre("A")], &[pool("A1", "A")], &[red, long("small", 6, 0.2)]));
    assert_eq!(objectives(&plan)[..3], [0, 0, 5]);
}

/// Eight that stay together do not go to two rooms for six; a row of two takes them.
#[test]
fn what_may_not_be_divided() {
    let whole = || with(lot("R", 8), json!({ "indivisible": true }));
    let rooms = [room("A1", "A"), room("A2", "A")];
    let plan = planned(&file(&[centre("A")], &rooms, &[whole()]));
    assert_eq!(stays(&plan), [("R", 8)]);
    let row = with(room("A1", "A"), json!({ "units": 2 }));
    assert_eq!(places(&planned(&file(&[centre("A")], &[row], &[whole()]))), [("R", "A1", 8, 2)]);
}

/// Pools of a row that others may share are places by themselves: eight that stay together do not go to
/// two of them, alone in the file or not.
#[test]
fn what_may_not_be_divided_and_pools_alike() {
    let whole = with(lot("R", 8), json!({ "indivisible": true, "stay": "long" }));
    let row = with(pool("A1", "A"), json!({ "units": 2 }));
    let other = with(lot("S", 1), json!({ "stay": "long" }));
    for beside in [vec![], vec![other]] {
        let requests: Vec<Value> = std::iter::once(whole.clone()).chain(beside).collect();
        let plan = planned(&file(&[centre("A")], std::slice::from_ref(&row), &requests));
        assert_eq!(stays(&plan), [("R", 8)]);
        assert_eq!(codes(&plan, "R", "A"), ["room"]);
    }
    let six = file(&[centre("A")], &[row], &[with(whole, json!({ "individualCount": 6 }))]);
    let mut plan = planned(&six);
    assert_eq!(places(&plan), [("R", "A1", 6, 1)]);
    plan.assignments[0].units = 2;
    assert!(breaches(&six, &plan).iter().any(|breach| breach.code == "indivisible"));
}

#[test]
fn pins_and_forbids() {
    let base = file(&[centre("A"), centre("B")], &[room("A1", "A"), room("B1", "B")], &[lot("R", 4)]);
    let pinned = with(base.clone(), json!({ "pins": [{ "requestID": "R", "centreID": "B" }] }));
    assert_eq!(places(&planned(&pinned)), [("R", "B1", 4, 1)]);
    let bound = [{ json!({ "requestID": "R", "centreID": "A", "unitID": "A1" }) }];
    let forbidden = with(base.clone(), json!({ "forbids": bound }));
    assert_eq!(places(&planned(&forbidden)), [("R", "B1", 4, 1)]);
    let both = with(base, json!({ "pins": bound, "forbids": bound }));
    let plan = planned(&both);
    assert_eq!(stays(&plan), [("R", 4)]);
    assert_eq!(codes(&plan, "R", "B"), ["pinned"]);
}

/// A is emptied: its five and its one go to B, and the newcomers may not take their places.
#[test]
fn a_centre_is_emptied() {
    let there = json!([{ "lotID": "L", "scientificName": "Lissemys punctata", "individualCount": 5,
        "sex": "female", "lifeStage": "juvenile", "batchID": "b",
        "length": { "value": 0.2, "measure": "straightCarapaceLength", "method": "taped" } }]);
    let full = with(room("A1", "A"), json!({ "occupants": there }));
    let row = with(room("B1", "B"), json!({ "units": 2 }));
    let mut base = file(&[centre("A"), centre("B")], &[full, room("A2", "A"), row], &[lot("R", 6)]);
    base = with(
        base,
        json!({ "evacuate": [{ "centreID": "A", "triage": "red", "stay": "quarantine",
            "fitToTravel": { "fit": "unknown", "vetsWord": "duty veterinarian" } }],
            "roads": { "travel": [{ "from": "A", "to": "B", "minutes": 20 }] } }),
    );
    let plan = planned(&base);
    assert_eq!(places(&plan), [("R", "B1", 6, 1), ("evacuate/A/A1/0", "B1", 5, 1)]);
    // 6 x 60 for the green ones, 3 x 5 x 20 for the red; A's load stays with its five, B's is 11.
    assert_eq!(objectives(&plan), [0, 0, 0, 660, 110]);
}

/// Two pairs cost 50 minutes each on top: all six at B (360 + 50) is dearer than four at A and two at
/// B without (4 x 30 + 2 x 60 = 240, + 100), so they are divided; at 150 a pair they are not.
#[test]
fn fixed_minutes_for_each_pair() {
    let small = with(room("A1", "A"), json!({ "headsLimit": 4 }));
    let base = file(&[centre("A"), centre("B")], &[small, room("B1", "B")], &[lot("R", 6)]);
    let plan = planned(&with(base.clone(), json!({ "costs": { "fixedMinutes": 50 } })));
    assert_eq!(objectives(&plan)[3], 340);
    let plan = planned(&with(base, json!({ "costs": { "fixedMinutes": 150 } })));
    assert_eq!(objectives(&plan)[3], 510);
    assert_eq!(places(&plan), [("R", "B1", 6, 1)]);
}

/// An order that waives the room lets in what was asked for.
#[test]
fn an_order_makes_room() {
    let order = json!([{ "rule": "room", "orderNumber": "O-1", "endDate": "2026-07-30" }]);
    let eight = with(lot("R", 8), json!({ "waivers": order }));
    let plan = planned(&file(&[centre("A")], &[room("A1", "A")], &[eight]));
    assert_eq!(places(&plan), [("R", "A1", 8, 1)]);
    let waived = &plan.assignments[0].waived_by;
    assert_eq!((waived[0].rule.as_str(), waived[0].order_number.as_str()), ("room", "O-1"));
}

/// Sizes 4, 3, 3 into a room of 6: the two of 3.
#[test]
fn sizes_stated_in_the_file() {
    let units = [with(pool("A1", "A"), json!({ "freeSize": 6 }))];
    let sized = |id, size: u32| {
        with(
            lot(id, 1),
            json!({ "stay": "long", "indivisible": true, "sizes": [{ "centreID": "A", "unitID": "A1", "size": size }] }),
        )
    };
    let plan = planned(&file(&[centre("A")], &units, &[sized("R1", 4), sized("R2", 3), sized("R3", 3)]));
    assert_eq!(stays(&plan), [("R1", 1)]);
    assert_eq!(codes(&plan, "R1", "A"), ["size"]);
}

#[test]
fn caps_stated_in_the_file() {
    let capped = with(lot("R", 5), json!({ "caps": [{ "centreID": "A", "unitID": "A1", "cap": 2 }] }));
    let row = with(room("A1", "A"), json!({ "units": 2 }));
    let plan = planned(&file(&[centre("A")], &[row], &[capped]));
    assert_eq!(places(&plan), [("R", "A1", 4, 2)]);
}

/// Four of 0.26 m would need more than there is; the file says that six of them fit, so to those of
/// 0.2 m beside them they are no more than heads, of which six fit.
#[test]
fn a_cap_stated_for_one_of_two_who_share() {
    let long = json!({ "stay": "long", "batchID": "flood" });
    let larger = json!({
        "length": { "value": 0.26, "measure": "straightCarapaceLength", "method": "taped" },
        "caps": [{ "centreID": "A", "unitID": "A1", "cap": 6 }],
    });
    let (small, large) = (with(lot("R1", 3), long.clone()), with(with(lot("R2", 4), long), larger));
    let plan = planned(&file(&[centre("A")], &[pool("A1", "A")], &[small, large]));
    assert_eq!(objectives(&plan)[..3], [0, 0, 1]);
    assert_eq!(places(&plan).iter().map(|(_, _, count, _)| count).sum::<u32>(), 6);
}

/// The team sets out from a centre that is not the one that takes the animals.
#[test]
fn a_team_of_another_centre() {
    let afield = with(
        lot("R", 2),
        json!({
            "from": { "latitude": 22.2, "longitude": 78.1 },
            "team": { "placeID": "B", "captureMinutes": 30 },
        }),
    );
    let away = with(centre("B"), json!({ "latitude": 22.3 }));
    let plan_of = |units: &[Value]| {
        let roads = json!({ "roads": { "roadFactor": 1.4, "speedKmh": 40 } });
        planned(&with(file(&[centre("A"), away.clone()], units, std::slice::from_ref(&afield)), roads))
    };
    assert_eq!(places(&plan_of(&[room("A1", "A")])), [("R", "A1", 2, 1)]);
    // Where there is no unit, one built at A would take them.
    let stays = &plan_of(&[]).unplaced[0];
    assert_eq!(stays.changes_place.as_ref().map(|place| place.centre_id.as_str()), Some("A"));
}

/// Nobody is placed and everybody is told why.
#[test]
fn no_centre_that_will_do() {
    let unlicensed = with(centre("A"), json!({ "licences": [] }));
    let plan = planned(&file(&[unlicensed], &[room("A1", "A")], &[lot("R", 2)]));
    assert_eq!(objectives(&plan), [0, 0, 2, 0, 0]);
    assert_eq!(codes(&plan, "R", "A"), ["licence"]);
    let on_the_bank = with(lot("R", 2), json!({ "from": { "latitude": 22.0, "longitude": 78.0 } }));
    assert!(planned(&file(&[], &[], &[on_the_bank])).unplaced[0].reasons.is_empty());
}

/// Without time there is a plan all the same, and it says what is proven.
#[test]
fn a_time_limit_gives_the_best_so_far() {
    let lots: Vec<_> = (0..12).map(|at| lot(&format!("R{at}"), 3 + at)).collect();
    let rooms: Vec<_> =
        (0..9).map(|at| room(&format!("U{at}"), if at % 2 == 0 { "A" } else { "B" })).collect();
    let plan = try_plan(
        &file(&[centre("A"), centre("B")], &rooms, &lots),
        Limits { seconds: 0.0, helps_seconds: 0.0 },
    )
    .unwrap();
    assert!(plan.time_limit_reached);
    assert!(!plan.assignments.is_empty());
    assert!(
        plan.stages.iter().all(|stage| stage.bound <= stage.objective && (0.0..=1.0).contains(&stage.gap))
    );
}

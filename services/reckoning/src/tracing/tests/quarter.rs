//! The deaths at Desharu, from the records of the basin's quarter (points 3 to 6 of the story).

use super::*;
use serde_json::Value;

const LISSEMYS: &str = "Lissemys punctata";

fn crates(prefix: &str, count: u32, disinfected: &str) -> Vec<Value> {
    (1..=count).map(|n| json!({"crateID": format!("{prefix}{n}"), "disinfected": disinfected})).collect()
}

/// The lorry of 9 July, its five lots on three journeys, the deaths of 20 and 21 July, the crates' return.
pub(super) fn story() -> Vec<Arc<Effective>> {
    let species = [
        ("L", LISSEMYS, 190, 7),
        ("N", "Nilssonia gangetica", 64, 2),
        ("P", "Pangshura tecta", 31, 0),
        ("H", "Hardella thurjii", 18, 0),
        ("G", "Geoclemys hamiltonii", 9, 0),
    ];
    let lines: Vec<Value> = species
        .iter()
        .map(|(lot, name, alive, dead)| json!({"lotID": format!("meruva.police:77-{lot}"), "scientificName": name, "alive": alive, "dead": dead, "when": "beforeRescue"}))
        .collect();
    let yard = |kind: &str, id: &str, date: &str, mut rest: Value| {
        rest["pointID"] = "meruva.yard".into();
        record(kind, "police", id, date, rest)
    };
    let line = |lot: &str, from: Option<&str>, name: &str, count: u32| {
        let mut line = json!({"lotID": format!("meruva.police:{lot}"), "scientificName": name, "individualCount": count});
        if let Some(from) = from {
            line["fromLot"] = format!("meruva.police:{from}").into();
        }
        line
    };
    let sent = |n: u32, to: &str, lines: Value, crates: Vec<Value>| {
        yard(
            "dispatch",
            &format!("dispatch-{n}"),
            "2026-07-09T20:40+05:30",
            json!({"consignmentID": format!("meruva.police:{n}"), "destination": "region", "destinationID": format!("meruva.{to}"), "lines": lines, "crates": crates}),
        )
    };
    let come = |n: u32, at: &str, time: &str, lines: Value| {
        record(
            "receipt",
            at,
            &format!("receipt-{n}"),
            &format!("2026-07-10T{time}+05:30"),
            json!({"consignmentID": format!("meruva.police:{n}"), "origin": "transit", "originID": "meruva.yard", "lines": lines}),
        )
    };
    let arrived = |lot: &str, how: &str, name: &str, count: u32| json!({"arrived": how, "lotID": format!("meruva.police:{lot}"), "scientificName": name, "individualCount": count});
    let unit = |at: &str, unit: &str, water: Option<&str>| {
        record(
            "capacity",
            at,
            &format!("unit-{unit}"),
            "2026-06-30",
            json!({"event": "stated", "unitID": unit, "waterCircuit": water}),
        )
    };
    let house = |at: &str, lot: &str, name: &str, date: &str, id: &str, units: Value| {
        record(
            "housing",
            at,
            id,
            date,
            json!({"lotID": format!("meruva.police:{lot}"), "scientificName": name, "event": "housed", "units": units}),
        )
    };
    let one = |unit: &str, count: u32| json!([{"unitID": unit, "individualCount": count}]);
    let rows = |first: u32| json!([{"unitID": "DR1", "individualCount": first}, {"unitID": "DR2", "individualCount": 95}]);
    let death = |id: &str, date: &str| {
        record(
            "mortality",
            "desharu",
            id,
            date,
            json!({"lotID": "meruva.police:77-L", "scientificName": LISSEMYS, "event": "death", "individualCount": 2, "when": "inCare"}),
        )
    };
    let necropsy = |id: &str, of: &str| {
        record(
            "mortality",
            "desharu",
            id,
            "2026-07-23",
            json!({"lotID": "meruva.police:77-L", "scientificName": LISSEMYS, "event": "necropsy", "individualCount": 2,
            "deathOf": {"authorID": "meruva.desharu", "recordID": of}, "necropsyDone": true, "causeOfDeath": "infection"}),
        )
    };
    let morning = "2026-07-10T05:30+05:30";
    vec![
        unit("desharu", "DR1", Some("DW1")),
        unit("desharu", "DR2", Some("DW1")),
        unit("desharu", "DN1", Some("DW2")),
        unit("desharu", "DTH", None),
        unit("velitha", "V1", Some("VW1")),
        unit("velitha", "V2", Some("VW2")),
        unit("velitha", "V3", Some("VW3")),
        unit("velitha", "V4", Some("VW4")),
        yard(
            "rescue",
            "seizure-77",
            "2026-07-09T12:40+05:30",
            json!({"lotID": "meruva.police:77", "scientificName": "Testudines", "event": "seizure", "source": "trade", "individualCount": 330, "countMethod": "estimated"}),
        ),
        yard(
            "tally",
            "tally-77",
            "2026-07-09T18:00+05:30",
            json!({"lotID": "meruva.police:77", "scientificName": "Testudines", "lotCount": 330, "lines": lines}),
        ),
        sent(
            1,
            "desharu",
            json!([
                line("77-L", None, LISSEMYS, 190),
                line("77-N2", Some("77-N"), "Nilssonia gangetica", 16)
            ]),
            crates("PC", 8, "yes"),
        ),
        sent(
            2,
            "velitha",
            json!([
                line("77-N1", Some("77-N"), "Nilssonia gangetica", 48),
                line("77-P", None, "Pangshura tecta", 31)
            ]),
            crates("VC", 4, "yes"),
        ),
        sent(
            3,
            "ombari",
            json!([
                line("77-H", None, "Hardella thurjii", 18),
                line("77-G", None, "Geoclemys hamiltonii", 9)
            ]),
            crates("OC", 2, "yes"),
        ),
        come(
            1,
            "desharu",
            "00:20",
            json!([
                arrived("77-L", "alive", LISSEMYS, 190),
                arrived("77-N2", "alive", "Nilssonia gangetica", 16)
            ]),
        ),
        come(
            2,
            "velitha",
            "00:50",
            json!([arrived("77-N1", "alive", "Nilssonia gangetica", 46), arrived("77-N1", "dead", "Nilssonia gangetica", 1),
            {"arrived": "alive", "organismID": "meruva.velitha:12", "scientificName": "Nilssonia hurum", "individualCount": 1}, arrived("77-P", "alive", "Pangshura tecta", 31)]),
        ),
        come(
            3,
            "ombari",
            "00:05",
            json!([
                arrived("77-H", "alive", "Hardella thurjii", 18),
                arrived("77-G", "alive", "Geoclemys hamiltonii", 9)
            ]),
        ),
        house("desharu", "77-L", LISSEMYS, morning, "house-77-L", rows(95)),
        house("desharu", "77-N2", "Nilssonia gangetica", morning, "house-77-N2", one("DTH", 16)),
        house("velitha", "77-N1", "Nilssonia gangetica", morning, "house-77-N1", one("V1", 46)),
        house("velitha", "77-P", "Pangshura tecta", morning, "house-77-P", one("V2", 31)),
        record(
            "housing",
            "velitha",
            "house-12",
            "2026-07-10T05:40+05:30",
            json!({"organismID": "meruva.velitha:12", "scientificName": "Nilssonia hurum", "event": "housed", "units": one("V3", 1)}),
        ),
        house("ombari", "77-H", "Hardella thurjii", morning, "house-77-H", one("OT1", 18)),
        house("ombari", "77-G", "Geoclemys hamiltonii", morning, "house-77-G", one("OT2", 9)),
        record(
            "dispatch",
            "desharu",
            "crates-back",
            "2026-07-12T17:00+05:30",
            json!({"consignmentID": "meruva.desharu:1", "destination": "region", "destinationID": "meruva.yard", "crates": crates("PC", 8, "no")}),
        ),
        yard(
            "receipt",
            "crates-home",
            "2026-07-12T19:00+05:30",
            json!({"consignmentID": "meruva.desharu:1", "origin": "transit", "originID": "meruva.desharu", "crates": crates("PC", 8, "unknown")}),
        ),
        death("death-1", "2026-07-20"),
        house("desharu", "77-L", LISSEMYS, "2026-07-20", "house-77-L-2", rows(93)),
        death("death-2", "2026-07-21"),
        house("desharu", "77-L", LISSEMYS, "2026-07-21", "house-77-L-3", rows(91)),
        necropsy("necropsy-1", "death-1"),
        necropsy("necropsy-3", "death-2"),
        house(
            "desharu",
            "77-N2",
            "Nilssonia gangetica",
            "2026-07-29T16:00+05:30",
            "house-77-N2-2",
            one("DN1", 16),
        ),
        record(
            "rescue",
            "velitha",
            "rescue-15",
            "2026-08-06T07:10+05:30",
            json!({"organismID": "meruva.velitha:15", "scientificName": "Trachemys scripta", "event": "leftAtGate", "source": "private", "individualCount": 1, "countMethod": "counted"}),
        ),
        housed(
            "velitha",
            "house-15",
            "2026-08-06T08:00+05:30",
            json!({"organismID": "meruva.velitha:15", "scientificName": "Trachemys scripta"}),
            "V4",
            1,
        ),
    ]
}

/// The first sign is the death of 20 July that the necropsy puts down to an infection; 30 days before it
/// is 20 June, so all of 9 July counts. In the yard that day: the whole load (77) and the five lots
/// counted out of it. On the road to Desharu with the *Lissemys*: 77-N2. All of these shared something
/// with 77-L itself. Two removes: 77-N1, which was taken out of 77-N and rode with 77-P, and the
/// *N. hurum* found in the same load. The slider of 6 August has water of its own.
#[test]
fn four_dead_lissemys_lead_back_to_the_lorry() {
    let traced = traced(&story(), &ask(lot("meruva.police:77-L"), "2026-09-30"));
    assert_eq!(traced.sources.len(), 1);
    assert_eq!(traced.sources[0].sign_day, day("2026-07-20"));
    assert_eq!(traced.sources[0].since, day("2026-06-20"));
    assert_eq!(
        told(&traced),
        [
            "2026-07-09 1 lot meruva.police:77",
            "2026-07-09 1 lot meruva.police:77-G",
            "2026-07-09 1 lot meruva.police:77-H",
            "2026-07-09 1 lot meruva.police:77-N",
            "2026-07-09 1 lot meruva.police:77-N2",
            "2026-07-09 1 lot meruva.police:77-P",
            "2026-07-09 2 animal meruva.velitha:12",
            "2026-07-09 2 lot meruva.police:77-N1",
        ]
    );
    assert_eq!(
        chain(of(&traced, "animal meruva.velitha:12")),
        [
            "2026-07-09 lot meruva.police:77-L > point > lot meruva.police:77-P",
            "2026-07-09 lot meruva.police:77-P > consignment > animal meruva.velitha:12",
        ]
    );
}

#[test]
fn where_they_are_now_and_what_to_close() {
    let traced = traced(&story(), &ask(lot("meruva.police:77-L"), "2026-09-30"));
    // Nothing is left under the number of the load but the nine of the tally, each dead under its lot.
    assert!(whereabouts(of(&traced, "lot meruva.police:77")).is_empty());
    // Seven of the nine were Lissemys, two Nilssonia.
    assert_eq!(whereabouts(of(&traced, "lot meruva.police:77-N")), ["dead meruva.yard - 2"]);
    assert_eq!(
        whereabouts(of(&traced, "lot meruva.police:77-N1")),
        ["housed meruva.velitha V1 46", "dead meruva.velitha - 1"]
    );
    assert_eq!(whereabouts(of(&traced, "lot meruva.police:77-N2")), ["housed meruva.desharu DN1 16"]);
    let closings: Vec<String> = traced
        .closings
        .iter()
        .map(|one| {
            let (unit, water) =
                (one.unit_id.as_deref().unwrap(), one.water_circuit.as_deref().unwrap_or("-"));
            format!("{} {unit} {water} {}", one.place_id, one.remove)
        })
        .collect();
    assert_eq!(
        closings,
        [
            "meruva.desharu DN1 DW2 1",
            "meruva.desharu DR1 DW1 0",
            "meruva.desharu DR2 DW1 0",
            "meruva.ombari OT1 - 1",
            "meruva.ombari OT2 - 1",
            "meruva.velitha V1 VW1 2",
            "meruva.velitha V2 VW2 1",
            "meruva.velitha V3 VW3 2",
        ]
    );
}

/// Eight crates stand in the yard as they came back; those of the other two loads where they arrived.
#[test]
fn eight_crates_went_back_undisinfected() {
    let traced = traced(&story(), &ask(lot("meruva.police:77-L"), "2026-09-30"));
    let at = |place: &str| {
        let there =
            traced.crates.iter().filter(|one| one.place_id.as_ref().is_some_and(|id| id.as_str() == place));
        there.map(|one| one.who.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(at("meruva.yard"), (1..=8).map(|n| format!("crate PC{n}")).collect::<Vec<_>>());
    assert_eq!(at("meruva.velitha").len(), 4);
    assert_eq!(at("meruva.ombari").len(), 2);
}

/// Seven days before 20 July is 13 July: the journeys are over and the crates went back empty.
#[test]
fn a_week_reaches_nobody() {
    let question = super::Question { window_days: 7, ..ask(lot("meruva.police:77-L"), "2026-09-30") };
    let traced = traced(&story(), &question);
    assert!(told(&traced).is_empty());
    assert!(traced.crates.is_empty());
    assert_eq!(traced.closings.len(), 2, "the rows in which the source itself stands");
}

/// One remove leaves out what shared nothing with the source itself; the order of records is nothing.
#[test]
fn depth_bounds_the_chain_and_order_changes_nothing() {
    let question = super::Question { depth: 1, ..ask(lot("meruva.police:77-L"), "2026-09-30") };
    assert_eq!(told(&traced(&story(), &question)).len(), 6);
    let whole = ask(lot("meruva.police:77-L"), "2026-09-30");
    let mut turned = story();
    turned.reverse();
    assert_eq!(traced(&story(), &whole), traced(&turned, &whole));
}

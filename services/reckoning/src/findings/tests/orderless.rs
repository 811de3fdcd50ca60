//! Findings are a function of the set of records: of no order, no stamp, and no way of judging.

use super::quarter::{
    arrivals, flood, flood_receipt, last_night, link, lorry, mugger, outbreak, readmission, settled,
};
use super::*;
use crate::findings::held::Held;
use crate::findings::{CaseLookups, Records, evaluate_key, judge_key, woken};
use crate::keys::{Key, keys};
use proptest::prelude::*;
use proptest::sample::subsequence;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// The story with both versions of what was revised, and records that make other rules fire.
pub(super) fn pool() -> Vec<Arc<Effective>> {
    let mut pool: Vec<Arc<Effective>> = [
        mugger(),
        lorry(),
        arrivals(),
        settled(),
        outbreak(),
        flood(),
        readmission(1),
        readmission(2),
        last_night(41),
    ]
    .concat();
    pool.extend([link(), flood_receipt(1, 11), flood_receipt(2, 12)]);
    let withdrawn = |kind: &str, author: &str, id: &str, date: &str, rest: Value| {
        let mut frame = json!({"revision": 7, "withdrawn": true, "withdrawnReason": "a test"});
        for (member, value) in rest.as_object().unwrap() {
            frame[member] = value.clone();
        }
        record(kind, author, id, date, frame)
    };
    pool.extend([
        // What binds, links, splits and allows is taken back: everything that rested on it changes.
        withdrawn("link", "coordination", "K3", "2026-07-10", json!({"centreID": null})),
        withdrawn("order", "authority", "OR-3", "2026-07-09", json!({"centreID": null})),
        withdrawn("tally", "police", "T3", "2026-07-09", json!({"pointID": "meruva.yard"})),
        withdrawn("custody", "police", "C3", "2026-07-09", json!({"pointID": "meruva.yard"})),
        withdrawn("marking", "saivera", "K9", "2026-08-22", json!({})),
        withdrawn("permit", "authority", "P9", "2026-01-01", json!({"centreID": null})),
        withdrawn("quarantine", "kolvani", "Q2z", "2026-08-03", json!({})),
        // Later moves of case property, a newcomer into a room, a case's lot housed and sent on.
        record("dispatch", "desharu", "D20", "2026-08-02", json!({"consignmentID": "meruva.desharu:20", "destination": "region", "destinationID": "meruva.velitha",
            "lines": [{"lotID": "meruva.desharu:P1", "fromLot": "meruva.police:L1", "scientificName": "Lissemys punctata", "individualCount": 20}]})),
        record("quarantine", "desharu", "Q20", "2026-07-10", json!({"lotID": "meruva.police:L1", "scientificName": "Lissemys punctata", "event": "entered", "batchID": "B1", "unitID": "ROW1"})),
        record("capacity", "desharu", "U20", "2026-06-01", json!({"event": "stated", "unitID": "ROW1", "unitKind": "tank", "arrangement": "isolating", "headsLimit": 100, "waterCircuit": "W1"})),
        record("capacity", "desharu", "U20", "2026-06-01", json!({"revision": 2, "event": "stated", "unitID": "ROW1", "unitKind": "tank", "arrangement": "isolating", "headsLimit": 300, "waterCircuit": "W2"})),
        record("capacity", "desharu", "U21", "2026-06-01", json!({"event": "stated", "unitID": "ROW2", "unitKind": "tank", "arrangement": "isolating", "waterCircuit": "W1"})),
        record("housing", "desharu", "N20", "2026-07-10", json!({"lotID": "meruva.police:L1", "scientificName": "Lissemys punctata", "event": "housed", "orderNumber": "ORD-4",
            "units": [{"unitID": "ROW1", "individualCount": 190}]})),
        record("housing", "desharu", "N21", "2026-07-25", json!({"organismID": "meruva.desharu:77", "scientificName": "Nilssonia gangetica", "event": "housed",
            "units": [{"unitID": "ROW2", "individualCount": 1}]})),
        record("regrouping", "desharu", "G20", "2026-07-26", json!({"event": "named",
            "from": [{"lotID": "meruva.police:L1", "scientificName": "Lissemys punctata", "individualCount": 1}],
            "to": [{"organismID": "meruva.desharu:77", "scientificName": "Lissemys punctata", "individualCount": 1}]})),
        record("release", "desharu", "F20", "2026-08-05", json!({"organismID": "meruva.desharu:77", "scientificName": "Lissemys punctata", "individualCount": 1,
            "markNumber": "356000000020239", "permitNumber": "P-9", "certificate": {"authorID": "meruva.desharu", "recordID": "A20"}})),
        record("assessment", "desharu", "A20", "2026-08-04", json!({"lotID": "meruva.police:L1", "scientificName": "Lissemys punctata", "event": "certificate", "certificateNumber": "H",
            "byVeterinarian": true, "validThrough": "2026-09-04"})),
        record("licence", "authority", "LI20", "2026-01-01", json!({"centreID": null, "licenceNumber": "LIC", "holderID": "meruva.desharu", "status": "inForce",
            "validThrough": "2026-08-15", "lines": [{"scientificName": "Lissemys punctata", "headsLimit": 150}]})),
        record("link", "coordination", "K20", "2026-08-30", json!({"centreID": null, "event": "same", "organismIDs": ["meruva.saivera:2023-4", "meruva.desharu:77"]})),
        record("rescue", "velitha", "R20", "2026-07-09", json!({"organismID": "meruva.kolvani:1", "scientificName": "Crocodylus palustris", "event": "fromWild", "source": "wild",
            "individualCount": 1, "countMethod": "counted"})),
        record("mortality", "kolvani", "M20", "2026-07-20", json!({"organismID": "meruva.kolvani:1", "scientificName": "Crocodylus palustris", "event": "death",
            "individualCount": 1, "when": "inCare"})),
        // One animal told by two centres, marked by one, parted by a link.
        rescue("ombari", "R30", "2026-08-20", "meruva.ombari:30", "Crocodylus palustris"),
        record("rescue", "thulmar", "R31", "2026-08-26", json!({"organismID": "meruva.thulmar:31", "scientificName": "Crocodylus palustris", "event": "fromWild", "source": "wild",
            "individualCount": 1, "countMethod": "counted", "sex": "female", "lifeStage": "adult", "place": {"decimalLatitude": 22.4, "decimalLongitude": 78.1},
            "lengthsMetre": [{"value": 2.1, "measure": "totalLength", "method": "taped"}]})),
        record("rescue", "velitha", "R32", "2026-09-01", json!({"organismID": "meruva.velitha:32", "scientificName": "Crocodylus palustris", "event": "fromWild", "source": "wild",
            "individualCount": 1, "countMethod": "counted", "sex": "female", "lifeStage": "adult", "place": {"decimalLatitude": 22.4, "decimalLongitude": 78.1},
            "lengthsMetre": [{"value": 2.1, "measure": "totalLength", "method": "taped"}]})),
        record("marking", "thulmar", "K31", "2026-08-25", json!({"organismID": "meruva.thulmar:31", "scientificName": "Crocodylus palustris", "event": "applied", "markType": "transponder", "markNumber": "900215000000031"})),
        record("marking", "velitha", "K32", "2026-09-02", json!({"organismID": "meruva.velitha:32", "scientificName": "Crocodylus palustris", "event": "applied", "markType": "transponder", "markNumber": "900215000000032"})),
        record("link", "coordination", "K33", "2026-09-03", json!({"centreID": null, "event": "notSame", "organismIDs": ["meruva.thulmar:31", "meruva.velitha:32"]})),
        // One animal told by two centres, the second of which housed it: once linked, it was never there.
        record("housing", "velitha", "N32", "2026-09-01", json!({"organismID": "meruva.velitha:32", "scientificName": "Crocodylus palustris", "event": "housed",
            "units": [{"unitID": "V1", "individualCount": 1}]})),
        record("capacity", "velitha", "U32", "2026-06-01", json!({"event": "stated", "unitID": "V1", "unitKind": "pool", "arrangement": "isolating", "headsLimit": 0})),
        record("link", "coordination", "K34", "2026-09-06", json!({"centreID": null, "event": "same", "counted": {"authorID": "meruva.thulmar", "recordID": "R31"},
            "notCounted": {"authorID": "meruva.velitha", "recordID": "N32", "centreID": "meruva.velitha", "scientificName": "Crocodylus palustris", "individualCount": 1,
                "source": "wild", "day": "2026-09-01"}})),
        // A confirmed case in a lot that shares water, crates and journeys with others.
        record("mortality", "desharu", "X20", "2026-07-24", json!({"lotID": "meruva.police:L1", "scientificName": "Lissemys punctata", "event": "necropsy", "individualCount": 1,
            "necropsyDone": true, "agent": "Ranavirus", "deathOf": {"authorID": "meruva.desharu", "recordID": "M6b"}})),
        record("result", "saivera", "S20", "2026-08-28", json!({"organismID": "meruva.saivera:2023-4", "sampleID": "S20", "sampleType": "swab", "test": "PCR", "agent": "Ranavirus", "outcome": "positive"})),
        record("order", "authority", "OR-20", "2026-08-01", json!({"centreID": null, "orderNumber": "ORD-20", "orderType": "leave", "form": "verbal", "lotIDs": ["meruva.police:L0"], "endDate": "2026-08-03"})),
    ]);
    pool.extend(later_rules());
    pool
}

/// Records that make the rules of clinic, papers, outlooks, histories and journeys fire, and mend them.
fn later_rules() -> Vec<Arc<Effective>> {
    let crocodile = |rest: Value| {
        let mut body = json!({"organismID": "meruva.kolvani:1", "scientificName": "Crocodylus palustris"});
        for (member, value) in rest.as_object().unwrap() {
            body[member] = value.clone();
        }
        body
    };
    let lot = |rest: Value| {
        let mut body = json!({"lotID": "meruva.police:L1", "scientificName": "Lissemys punctata"});
        for (member, value) in rest.as_object().unwrap() {
            body[member] = value.clone();
        }
        body
    };
    let shorter = |id: &str, date: &str, metre: f64| {
        let length = json!([{"value": metre, "measure": "totalLength", "method": "taped"}]);
        let body = crocodile(json!({"event": "examination", "lengthsMetre": length}));
        record("assessment", "kolvani", id, date, body)
    };
    let crates = json!([{"crateID": "LENT-1", "disinfected": "yes"}]);
    vec![
        shorter("A40", "2026-07-05", 3.3),
        shorter("A41", "2026-08-05", 2.9),
        // Lent in spring; sent home in August, and never signed for.
        record(
            "dispatch",
            "ombari",
            "D40",
            "2026-04-01",
            json!({"consignmentID": "meruva.ombari:40", "destination": "region", "destinationID": "meruva.velitha",
            "crates": crates}),
        ),
        record(
            "receipt",
            "velitha",
            "E40",
            "2026-04-02",
            json!({"consignmentID": "meruva.ombari:40", "origin": "transit", "originID": "meruva.ombari", "crates": crates}),
        ),
        record(
            "dispatch",
            "velitha",
            "D41",
            "2026-08-02",
            json!({"consignmentID": "meruva.velitha:41", "destination": "region", "destinationID": "meruva.ombari",
            "crates": crates}),
        ),
        record(
            "treatment",
            "desharu",
            "T30",
            "2026-07-12",
            lot(json!({"event": "drug", "drug": "ivermectin", "route": "oral"})),
        ),
        record(
            "treatment",
            "kolvani",
            "T31",
            "2026-07-02",
            crocodile(json!({"event": "bindingOn", "bindingSite": "jaws"})),
        ),
        record(
            "treatment",
            "kolvani",
            "T32",
            "2026-07-12",
            crocodile(json!({"event": "bindingOff", "bindingSite": "jaws"})),
        ),
        record(
            "treatment",
            "kolvani",
            "T33",
            "2026-06-30",
            crocodile(json!({"event": "drug", "drug": "meloxicam", "route": "oral"})),
        ),
        record(
            "order",
            "authority",
            "OR-20",
            "2026-08-01",
            json!({"revision": 2, "centreID": null, "orderNumber": "ORD-20", "orderType": "leave", "form": "written", "lotIDs": ["meruva.police:L0"], "endDate": "2026-08-03"}),
        ),
        record(
            "housing",
            "kolvani",
            "N30",
            "2026-07-21",
            crocodile(
                json!({"event": "housed", "orderNumber": "ORD-30", "units": [{"unitID": "K9", "individualCount": 1}]}),
            ),
        ),
        record(
            "order",
            "authority",
            "OR-30",
            "2026-08-02",
            json!({"centreID": null, "orderNumber": "ORD-30", "orderType": "destruction", "form": "written"}),
        ),
        record(
            "mortality",
            "kolvani",
            "M30",
            "2026-08-03",
            crocodile(
                json!({"event": "death", "individualCount": 1, "when": "inCare", "sex": "male", "end": "destroyedByOrder", "orderNumber": "ORD-30"}),
            ),
        ),
        record(
            "custody",
            "desharu",
            "C30",
            "2026-08-04",
            lot(json!({"event": "lifted", "caseNumber": "CASE-1"})),
        ),
        record(
            "outlook",
            "desharu",
            "U30",
            "2026-07-15",
            lot(json!({"decision": "neverRelease", "review": "2026-07-25"})),
        ),
        record(
            "outlook",
            "desharu",
            "U31",
            "2026-08-10",
            lot(json!({"decision": "loan", "review": "2026-08-15"})),
        ),
        record(
            "dispatch",
            "desharu",
            "D30",
            "2026-08-11",
            json!({"consignmentID": "meruva.desharu:30", "destination": "placement",
            "lines": [{"lotID": "meruva.police:L1", "scientificName": "Lissemys punctata", "individualCount": 5}]}),
        ),
        record(
            "receipt",
            "desharu",
            "E30",
            "2026-08-30",
            json!({"consignmentID": "meruva.desharu:31", "origin": "placement",
            "lines": [{"arrived": "alive", "lotID": "meruva.police:L1", "scientificName": "Lissemys punctata", "individualCount": 5}]}),
        ),
        record(
            "rescue",
            "kolvani",
            "R30",
            "2026-07-10",
            crocodile(
                json!({"event": "readmission", "source": "released", "individualCount": 1, "countMethod": "counted", "sex": "female"}),
            ),
        ),
        record(
            "determination",
            "kolvani",
            "X30",
            "2026-08-16",
            crocodile(json!({"event": "sex", "individualCount": 1, "sex": "female"})),
        ),
        record(
            "marking",
            "kolvani",
            "K30",
            "2026-07-03",
            crocodile(json!({"event": "noneFound", "markType": "transponder"})),
        ),
        record(
            "receipt",
            "ombari",
            "E31",
            "2026-08-01",
            json!({"consignmentID": "meruva.desharu:20", "origin": "transit",
            "lines": [{"arrived": "alive", "lotID": "meruva.desharu:P1", "scientificName": "Lissemys punctata", "individualCount": 20}]}),
        ),
        record(
            "receipt",
            "velitha",
            "E32",
            "2026-08-16",
            json!({"consignmentID": "meruva.desharu:20", "origin": "transit"}),
        ),
        record(
            "clutch",
            "ombari",
            "U40",
            "2026-04-02",
            json!({"lotID": "meruva.ombari:E40", "scientificName": "Batagur baska", "event": "collected", "individualCount": 10, "laidOn": "2026-04-01"}),
        ),
        record(
            "clutch",
            "ombari",
            "U41",
            "2026-07-25",
            json!({"lotID": "meruva.ombari:E40", "scientificName": "Batagur baska", "event": "hatched", "individualCount": 11, "hatchlingsLotID": "meruva.ombari:L41"}),
        ),
        record(
            "incident",
            "kolvani",
            "I40",
            "2026-07-20",
            json!({"organismID": "meruva.kolvani:40", "scientificName": "Crocodylus palustris", "event": "dangerousEscape", "severity": "serious"}),
        ),
        record(
            "loss",
            "kolvani",
            "V40",
            "2026-08-16",
            json!({"organismID": "meruva.kolvani:40", "scientificName": "Crocodylus palustris", "event": "found", "lostAs": "escaped", "individualCount": 1}),
        ),
        record(
            "order",
            "authority",
            "OR-40",
            "2026-08-02",
            json!({"centreID": null, "orderNumber": "ORD-40", "orderType": "hold", "form": "written", "about": {"authorID": "meruva.kolvani", "recordID": "I40"}}),
        ),
        record(
            "housing",
            "kolvani",
            "N40",
            "2026-07-11",
            json!({"organismID": "meruva.kolvani:40", "scientificName": "Crocodylus palustris", "event": "housed", "stay": "stabilise", "units": [{"unitID": "K8", "individualCount": 1}]}),
        ),
        rescue("kolvani", "R40", "2026-07-11", "meruva.kolvani:40", "Crocodylus palustris"),
        record(
            "assessment",
            "kolvani",
            "A40",
            "2026-07-12",
            json!({"organismID": "meruva.kolvani:40", "scientificName": "Crocodylus palustris", "event": "triage", "triage": "red", "fitToTravel": "no"}),
        ),
        record(
            "assessment",
            "kolvani",
            "A41",
            "2026-07-13",
            json!({"organismID": "meruva.kolvani:40", "scientificName": "Crocodylus palustris", "event": "beforeTransport", "fitToTravel": "yes"}),
        ),
        record(
            "dispatch",
            "kolvani",
            "D40",
            "2026-08-20",
            json!({"consignmentID": "meruva.kolvani:40", "destination": "outside", "lines": [{"organismID": "meruva.kolvani:40", "scientificName": "Crocodylus palustris", "individualCount": 1}]}),
        ),
        rescue("kolvani", "R41", "2026-07-11", "meruva.kolvani:41", "Crocodylus palustris"),
        record(
            "housing",
            "kolvani",
            "N41",
            "2026-07-11",
            json!({"organismID": "meruva.kolvani:41", "scientificName": "Crocodylus palustris", "event": "housed", "orderNumber": "ORD-41", "units": [{"unitID": "K8", "individualCount": 1}]}),
        ),
        record(
            "order",
            "authority",
            "OR-41",
            "2026-07-11",
            json!({"centreID": null, "orderNumber": "ORD-41", "orderType": "waiver", "form": "verbal", "endDate": "2026-07-20"}),
        ),
        record(
            "order",
            "authority",
            "OR-42",
            "2026-08-01",
            json!({"centreID": null, "orderNumber": "ORD-41", "orderType": "waiver", "form": "written", "endDate": "2026-08-20"}),
        ),
    ]
}

/// The highest revision of each record.
pub(super) fn effective(records: &[Arc<Effective>]) -> Vec<Arc<Effective>> {
    let mut highest: BTreeMap<(String, String), Arc<Effective>> = BTreeMap::new();
    for one in records {
        let frame = &one.record.envelope;
        let name = (frame.author_id.to_string(), frame.record_id.to_string());
        if highest.get(&name).is_none_or(|known| known.record.envelope.revision <= frame.revision) {
            highest.insert(name, Arc::clone(one));
        }
    }
    highest.into_values().collect()
}

/// Records as far as they were loaded, as a store holds them; what is asked for beyond is noted.
#[derive(Default)]
struct Loaded {
    by_key: BTreeMap<Key, Vec<Arc<Effective>>>,
    missing: RefCell<BTreeSet<Key>>,
}

impl Records for Loaded {
    fn of(&self, key: &Key) -> Vec<Arc<Effective>> {
        self.by_key.get(key).cloned().unwrap_or_else(|| {
            self.missing.borrow_mut().insert(key.clone());
            Vec::new()
        })
    }
}

/// A hub that re-judges woken keys only, after each record.
#[derive(Default)]
struct Incremental {
    known: Vec<Arc<Effective>>,
    by_key: BTreeMap<Key, Vec<Finding>>,
}

impl Incremental {
    fn take(&mut self, one: &Arc<Effective>, world: &World<'_>) {
        let before = effective(&self.known);
        self.known.push(Arc::clone(one));
        let after = effective(&self.known);
        let name = |one: &Arc<Effective>| {
            (one.record.envelope.author_id.clone(), one.record.envelope.record_id.clone())
        };
        let replaced = before.iter().filter(|old| name(old) == name(one));
        let stands = after.iter().filter(|new| name(new) == name(one));
        let touched: BTreeSet<Key> =
            replaced.chain(stands).flat_map(|one| keys(&one.record, world.names)).collect();
        let held = Held::through(&after, world.names, world.evaluated_through);
        for key in woken(touched, &held, &CaseLookups::of(&held)) {
            let findings = evaluate_key(&key, &held, world);
            self.by_key.insert(key, findings);
        }
    }

    fn findings(&self) -> Vec<Finding> {
        let all: BTreeSet<Finding> = self.by_key.values().flatten().cloned().collect();
        all.into_iter().collect()
    }
}

pub(super) fn some_of_the_pool() -> impl Strategy<Value = Vec<Arc<Effective>>> {
    let pool = pool();
    let most = pool.len();
    subsequence(pool, most / 2..=most).prop_shuffle()
}

fn some_day() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "2026-07-09",
        "2026-07-12",
        "2026-07-31",
        "2026-08-03",
        "2026-08-16",
        "2026-09-30",
        "2026-12-31",
    ])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn order_and_stamps_change_nothing(records in some_of_the_pool(), through in some_day(), stamp in 1_i64..1_000_000) {
        let world = world(through);
        let straight = evaluate_all(&effective(&records), &world);
        let mut other: Vec<Arc<Effective>> = effective(&records)
            .iter()
            .enumerate()
            .map(|(at, one)| Arc::new(Effective { record: one.record.clone(), known_from: stamp * at as i64 }))
            .collect();
        other.reverse();
        prop_assert_eq!(&straight, &evaluate_all(&other, &world));
    }

    #[test]
    fn judging_what_woke_equals_judging_everything(records in some_of_the_pool(), through in some_day()) {
        let world = world(through);
        let mut hub = Incremental::default();
        for (at, one) in records.iter().enumerate() {
            hub.take(one, &world);
            if at % 9 == 0 {
                prop_assert_eq!(hub.findings(), evaluate_all(&effective(&hub.known), &world), "after {} records", at + 1);
            }
        }
        prop_assert_eq!(hub.findings(), evaluate_all(&effective(&records), &world));
    }

    #[test]
    fn what_is_loaded_bit_by_bit_gives_the_same(records in some_of_the_pool(), through in some_day()) {
        let world = world(through);
        let all = Held::through(&effective(&records), world.names, world.evaluated_through);
        for key in all.keys() {
            // A judgement that lacked records is done again once they are there.
            let mut loaded = Loaded::default();
            let judged = loop {
                let judged = evaluate_key(key, &loaded, &world);
                let missing = loaded.missing.take();
                if missing.is_empty() {
                    break judged;
                }
                for key in missing {
                    let records = all.of(&key);
                    loaded.by_key.insert(key, records);
                }
            };
            prop_assert_eq!(judged, evaluate_key(key, &all, &world), "{}", key);
        }
    }

    #[test]
    fn time_alone_changes_findings_on_foretold_days_only(records in some_of_the_pool()) {
        let today = day("2026-08-03");
        let known: Vec<_> = effective(&records).into_iter().filter(|one| one.record.envelope.event_date.day() <= today).collect();
        let held = Held::through(&known, Names::standard(), today);
        for key in held.keys() {
            let now = judge_key(key, &held, &world("2026-08-03"));
            for later in today.iter_days().skip(1).take(120) {
                if now.next_change.is_some_and(|change| change <= later) {
                    break;
                }
                prop_assert_eq!(&now.findings, &evaluate_key(key, &held, &world(&later.to_string())), "{} on {}", key, later);
            }
        }
    }
}

#[test]
fn the_pool_makes_most_rules_fire() {
    let fired: BTreeSet<String> =
        ["2026-07-09", "2026-07-31", "2026-08-03", "2026-08-25", "2026-09-30", "2026-12-31"]
            .iter()
            .flat_map(|through| codes(&pool(), through))
            .collect();
    assert!(fired.len() >= 34 && fired.contains("exposed-to-disease"), "{fired:?}");
    assert!(fired.contains("crates-not-back") && fired.contains("shrinking-length"), "{fired:?}");
    let open = |one: &Arc<Effective>| !["K32", "K33"].contains(&one.record.envelope.record_id.as_str());
    let unparted: Vec<_> = pool().into_iter().filter(open).collect();
    assert!(codes(&unparted, "2026-09-30").iter().any(|code| code == "likely-duplicate"));
}

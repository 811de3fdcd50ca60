//! Three scenarios of about twenty records, with answers worked out by hand in the comments.

use crate::ledger::{checked, closing, effective};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// A record in few words: `author/place-kind` decides the place member.
fn record(author: &str, place: &str, id: &str, kind: &str, day: &str, fields: Value) -> Value {
    let member = if place.contains("yard") { "pointID" } else { "centreID" };
    let mut record = json!({
        "recordID": id, "revision": 1, "kind": kind, "schemaVersion": "1.0",
        "authorID": author, "eventDate": day, member: place,
    });
    record.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    record
}

fn figures(records: &[Value], day: &str) -> BTreeMap<(String, String, &'static str), i64> {
    closing(&effective(checked(records)), day.parse().unwrap())
}

fn expected(rows: &[(&str, &str, &'static str, i64)]) -> BTreeMap<(String, String, &'static str), i64> {
    rows.iter().map(|(a, n, c, q)| (((*a).to_owned(), (*n).to_owned(), *c), *q)).collect()
}

#[test]
fn a_season_at_the_hatchery() {
    const O: &str = "meruva.ombari";
    const NAME: &str = "Gavialis gangeticus";
    let at = |id: &str, kind: &str, day: &str, fields: Value| record(O, O, id, kind, day, fields);
    let clutch = |id: &str, lot: &str, event: &str, day: &str, count: u32| {
        at(
            id,
            "clutch",
            day,
            json!({ "lotID": format!("{O}:{lot}"), "scientificName": NAME, "event": event, "individualCount": count }),
        )
    };
    let of_lot = |lot: &str, fields: Value| {
        let mut all = json!({ "lotID": format!("{O}:{lot}"), "scientificName": NAME });
        all.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
        all
    };
    let records = vec![
        at(
            "o",
            "census",
            "2026-02-28",
            json!({ "opening": true, "method": "headCount", "complete": true, "lines": [{ "scientificName": NAME, "lifeStage": "juvenile", "individualCount": 10 }] }),
        ),
        // eggs: 40 collected + 25 laid = 65
        clutch("c1", "A", "collected", "2026-04-02", 40),
        clutch("c2", "B", "laid", "2026-04-05", 25),
        at(
            "c1-light",
            "clutch",
            "2026-04-20",
            of_lot("A", json!({ "event": "candled", "fertileCount": 36 })),
        ), // posts nothing
        clutch("c1-bad", "A", "failed", "2026-05-01", 4), // eggs 61
        clutch("c2-bad", "B", "failed", "2026-05-03", 5), // eggs 56
        clutch("c1-out", "A", "hatched", "2026-06-10", 30), // eggs 26, animals 40
        clutch("c2-out", "B", "hatched", "2026-06-12", 18), // eggs 8, animals 58
        clutch("c1-late", "A", "failed", "2026-06-20", 6), // eggs 2
        clutch("c2-late", "B", "failed", "2026-06-20", 2), // eggs 0
        clutch("c3", "C", "foundHatched", "2026-06-21", 7), // animals 65, no egg was ever known
        at(
            "d1",
            "mortality",
            "2026-06-25",
            of_lot(
                "A",
                json!({ "event": "death", "individualCount": 3, "when": "inCare", "lifeStage": "hatchling" }),
            ),
        ), // 62
        at(
            "n1",
            "mortality",
            "2026-06-26",
            of_lot(
                "A",
                json!({ "event": "necropsy", "individualCount": 3, "deathOf": { "authorID": O, "recordID": "d1" }, "necropsyDone": true }),
            ),
        ),
        at(
            "g1",
            "regrouping",
            "2026-07-01",
            json!({ "event": "merged", // posts nothing
            "from": [{ "lotID": format!("{O}:A"), "scientificName": NAME, "individualCount": 27 }, { "lotID": format!("{O}:B"), "scientificName": NAME, "individualCount": 18 }],
            "to": [{ "lotID": format!("{O}:D"), "scientificName": NAME, "individualCount": 45 }] }),
        ),
        at(
            "e1",
            "loss",
            "2026-07-05",
            of_lot("D", json!({ "event": "escaped", "individualCount": 2, "lifeStage": "hatchling" })),
        ), // 60
        at(
            "e2",
            "loss",
            "2026-07-06",
            of_lot(
                "D",
                json!({ "event": "found", "lostAs": "escaped", "individualCount": 1, "lifeStage": "hatchling" }),
            ),
        ), // 61
        at(
            "r1",
            "release",
            "2026-11-20",
            of_lot("D", json!({ "individualCount": 20, "lifeStage": "juvenile", "permitNumber": "P-1" })),
        ), // 41
        at(
            "b1",
            "rescue",
            "2026-12-02",
            json!({ "organismID": format!("{O}:77"), "scientificName": NAME, "event": "readmission", "source": "released", "individualCount": 1, "countMethod": "counted" }),
        ), // 42
        at(
            "x1",
            "mortality",
            "2026-12-05",
            json!({ "organismID": format!("{O}:78"), "scientificName": NAME, "event": "death", "individualCount": 1, "takenFrom": "released", "when": "inCare" }),
        ), // a released one found dead: 42
    ];
    assert_eq!(
        figures(&records, "2026-05-31"),
        expected(&[
            ("centre/meruva.ombari", NAME, "animals", 10),
            ("centre/meruva.ombari", NAME, "eggs", 56),
        ])
    );
    assert_eq!(figures(&records, "2026-06-30"), expected(&[("centre/meruva.ombari", NAME, "animals", 62)]));
    assert_eq!(figures(&records, "2026-12-31"), expected(&[("centre/meruva.ombari", NAME, "animals", 42)]));
}

#[test]
fn journeys_that_go_wrong() {
    const K: &str = "meruva.kolvani";
    const S: &str = "meruva.saivera";
    const NAME: &str = "Crocodylus palustris";
    let lot = |id: &str, count: u32| json!({ "lotID": id, "scientificName": NAME, "individualCount": count });
    let arrived = |id: &str, how: &str, count: u32| json!({ "arrived": how, "lotID": id, "scientificName": NAME, "individualCount": count });
    let away = |author: &str, id: &str, day: &str, consignment: &str, destination: &str, lines: Value| {
        let mut fields = json!({ "consignmentID": consignment, "destination": destination, "lines": lines });
        if destination == "region" {
            fields["destinationID"] = json!(if author == K { S } else { K });
        }
        record(author, author, id, "dispatch", day, fields)
    };
    let home = |author: &str, id: &str, day: &str, consignment: &str, origin: &str, lines: Value| {
        record(
            author,
            author,
            id,
            "receipt",
            day,
            json!({ "consignmentID": consignment, "origin": origin, "lines": lines }),
        )
    };
    let settle = |author: &str, id: &str, day: &str, consignment: &str, settled_as: &str, count: i32| {
        record(
            author,
            author,
            id,
            "settlement",
            day,
            json!({ "event": "settled", "consignmentID": consignment,
            "lines": [{ "scientificName": NAME, "settledAs": settled_as, "individualCount": count, "reason": "seen by both ends" }] }),
        )
    };
    let (c1, c2, c3, c4) =
        ("meruva.kolvani:c1", "meruva.kolvani:c2", "meruva.saivera:c3", "meruva.saivera:c4");
    let mut withdrawn =
        away(K, "d9", "2026-03-30", "meruva.kolvani:c9", "region", json!([lot("meruva.kolvani:Z", 5)]));
    let first = withdrawn.clone();
    withdrawn = json!({
        "recordID": withdrawn["recordID"], "revision": 2, "kind": "dispatch", "schemaVersion": "1.0", "authorID": K,
        "centreID": K, "eventDate": "2026-03-30", "withdrawn": true, "withdrawnReason": "It never left.",
    });
    let records = vec![
        record(
            K,
            K,
            "o",
            "census",
            "2026-02-28",
            json!({ "opening": true, "method": "headCount", "complete": true, "lines": [{ "scientificName": NAME, "individualCount": 30 }] }),
        ),
        record(
            S,
            S,
            "o",
            "census",
            "2026-02-28",
            json!({ "opening": true, "method": "headCount", "complete": true, "lines": [{ "scientificName": NAME, "individualCount": 8 }] }),
        ),
        // c1: 10 leave (K 20); 7 alive, 1 dead on arrival, 1 on no list, 2 not in the crate: S 16, road 10-7-1-1 = 1.
        away(K, "d1", "2026-03-01", c1, "region", json!([lot("meruva.kolvani:A", 10)])),
        home(
            S,
            "r1",
            "2026-03-02",
            c1,
            "transit",
            json!([
                arrived("meruva.kolvani:A", "alive", 7),
                arrived("meruva.kolvani:A", "dead", 1),
                arrived("meruva.saivera:x", "extra", 1),
                arrived("meruva.kolvani:A", "notInCrate", 2)
            ]),
        ),
        // Settled: 1 missing; road 0.
        settle(S, "s1", "2026-03-05", c1, "missing", 1),
        record(
            K,
            K,
            "a1",
            "settlement",
            "2026-03-06",
            json!({ "event": "agreed", "consignmentID": c1, "agreesTo": { "authorID": S, "recordID": "s1" } }),
        ),
        // c2: 4 leave (K 16), one dies on the way, 3 are turned back: the sender's own receipt (K 19), road 0.
        away(K, "d2", "2026-03-10", c2, "region", json!([lot("meruva.kolvani:B", 4)])),
        record(
            K,
            K,
            "m2",
            "mortality",
            "2026-03-10",
            json!({ "lotID": "meruva.kolvani:B", "scientificName": NAME, "event": "death", "individualCount": 1, "when": "inTransit", "consignmentID": c2 }),
        ),
        home(K, "r2", "2026-03-11", c2, "transit", json!([arrived("meruva.kolvani:B", "turnedBack", 3)])),
        // c3: 5 leave (S 11), 1 escapes on the way, 5 counted at the other end (K 24): road -1, mended as a recount.
        away(S, "d3", "2026-03-15", c3, "region", json!([lot("meruva.saivera:C", 5)])),
        record(
            S,
            S,
            "l3",
            "loss",
            "2026-03-15",
            json!({ "lotID": "meruva.saivera:C", "scientificName": NAME, "event": "escaped", "individualCount": 1, "consignmentID": c3 }),
        ),
        home(K, "r3", "2026-03-16", c3, "transit", json!([arrived("meruva.saivera:C", "alive", 5)])),
        settle(K, "s3", "2026-03-18", c3, "recount", -1),
        // A loan of 2 goes out (S 9), 1 comes back (S 10). 3 to their owner (K 21), 1 handed to the authority (K 20), 2 from outside (K 22).
        away(S, "d4", "2026-03-20", c4, "placement", json!([lot("meruva.saivera:D", 2)])),
        home(S, "r4", "2026-03-25", c4, "placement", json!([arrived("meruva.saivera:D", "alive", 1)])),
        away(K, "d5", "2026-03-21", "meruva.kolvani:c5", "owner", json!([lot("meruva.kolvani:E", 3)])),
        away(K, "d6", "2026-03-22", "meruva.kolvani:c6", "authority", json!([lot("meruva.kolvani:F", 1)])),
        home(
            K,
            "r7",
            "2026-03-23",
            "meruva.outside:c7",
            "outside",
            json!([arrived("meruva.outside:G", "alive", 2)]),
        ),
        // A dispatch that was written by mistake and taken back: nothing.
        first,
        withdrawn,
    ];
    assert_eq!(
        figures(&records, "2026-03-02"),
        expected(&[
            ("centre/meruva.kolvani", NAME, "animals", 20),
            ("centre/meruva.saivera", NAME, "animals", 16),
            ("transit/meruva.kolvani:c1", NAME, "animals", 1),
        ])
    );
    assert_eq!(
        figures(&records, "2026-03-16"),
        expected(&[
            ("centre/meruva.kolvani", NAME, "animals", 24),
            ("centre/meruva.saivera", NAME, "animals", 11),
            ("transit/meruva.saivera:c3", NAME, "animals", -1),
        ])
    );
    assert_eq!(
        figures(&records, "2026-03-31"),
        expected(&[
            ("centre/meruva.kolvani", NAME, "animals", 22),
            ("centre/meruva.saivera", NAME, "animals", 10),
        ])
    );
}

#[test]
fn a_seizure_with_second_thoughts() {
    const V: &str = "meruva.velitha";
    const POLICE: &str = "meruva.police";
    const RANGE: &str = "meruva.rangeoffice";
    const YARD: &str = "meruva.yard";
    let lot = |id: &str| format!("{POLICE}:{id}");
    let seizure = |author: &str, place: &str, count: u32| {
        record(
            author,
            place,
            "seized",
            "rescue",
            "2026-05-01",
            json!({
            "lotID": format!("{author}:1"), "scientificName": "Testudines", "event": "seizure", "source": "trade",
            "individualCount": count, "countMethod": "estimated", "low": 80, "high": 130, "incidentReferences": ["M-9"] }),
        )
    };
    let link = json!({
        "recordID": "link", "revision": 1, "kind": "link", "schemaVersion": "1.0", "authorID": "meruva.coordination", "eventDate": "2026-05-02",
        "event": "same", "counted": { "authorID": POLICE, "recordID": "seized" },
        "notCounted": { "authorID": RANGE, "recordID": "seized", "pointID": "meruva.yard2", "scientificName": "Testudines",
            "individualCount": 90, "source": "trade", "day": "2026-05-01" },
    });
    let mut unlinked = link.clone();
    unlinked["revision"] = json!(2);
    unlinked["event"] = json!("notSame");
    let mut records = vec![
        seizure(POLICE, YARD, 100),
        seizure(RANGE, "meruva.yard2", 90),
        link,
        // 110 were there: 104 alive, 6 dead; recount -10 (ten more than booked).
        record(
            POLICE,
            YARD,
            "tally",
            "tally",
            "2026-05-01",
            json!({ "lotID": lot("1"), "scientificName": "Testudines", "lotCount": 100, "lines": [
            { "lotID": lot("1-p"), "scientificName": "Pangshura tecta", "alive": 60, "dead": 4 },
            { "lotID": lot("1-k"), "scientificName": "Kachuga kachuga", "alive": 30, "dead": 2 }, // a synonym of Batagur kachuga
            { "lotID": lot("1-t"), "scientificName": "Testudines", "alive": 14, "dead": 0 }] }),
        ), // not yet named: in the lot's own commodity
        // 14 unnamed: 10 are Pangshura smithii, 4 stay unnamed.
        record(
            POLICE,
            YARD,
            "det",
            "determination",
            "2026-05-02",
            json!({ "lotID": lot("1-t"), "event": "species", "fromScientificName": "Testudines", "toScientificName": "Pangshura smithii", "individualCount": 10 }),
        ),
        // 1 carcass was brought by a villager: never in any stock.
        record(
            V,
            V,
            "carcass",
            "rescue",
            "2026-05-03",
            json!({ "organismID": "meruva.velitha:c", "scientificName": "Nilssonia hurum", "event": "fromWild", "source": "wild", "individualCount": 1, "countMethod": "counted", "vitality": "dead" }),
        ),
        // 60 go to Velitha; 2 destroyed by order in the yard; 1 stolen.
        record(
            POLICE,
            YARD,
            "out",
            "dispatch",
            "2026-05-03",
            json!({ "consignmentID": "meruva.police:9", "destination": "region", "destinationID": V, "lines": [{ "lotID": lot("1-p"), "scientificName": "Pangshura tecta", "individualCount": 60 }] }),
        ),
        record(
            V,
            V,
            "in",
            "receipt",
            "2026-05-03",
            json!({ "consignmentID": "meruva.police:9", "origin": "transit", "lines": [{ "arrived": "alive", "lotID": lot("1-p"), "scientificName": "Pangshura tecta", "individualCount": 60 }] }),
        ),
        record(
            POLICE,
            YARD,
            "end",
            "mortality",
            "2026-05-04",
            json!({ "lotID": lot("1-k"), "scientificName": "Batagur kachuga", "event": "death", "individualCount": 2, "when": "inCare", "end": "destroyedByOrder", "orderNumber": "O-2" }),
        ),
        record(
            POLICE,
            YARD,
            "gone",
            "loss",
            "2026-05-04",
            json!({ "lotID": lot("1-k"), "scientificName": "Batagur kachuga", "event": "stolen", "individualCount": 1 }),
        ),
        // Velitha's first count of its own, later and with an account already open: it posts too (a finding): +5 Lissemys.
        record(
            V,
            V,
            "open",
            "census",
            "2026-05-10",
            json!({ "opening": true, "method": "headCount", "complete": true, "lines": [{ "scientificName": "Lissemys punctata", "individualCount": 5 }, { "scientificName": "Lissemys punctata", "individualCount": 9, "notCountable": true }] }),
        ),
        record(
            V,
            V,
            "adj",
            "adjustment",
            "2026-05-12",
            json!({ "scientificName": "Lissemys punctata", "individualCount": -1, "reason": "One cage was counted twice." }),
        ),
        // Freed the same day, and a nest: on lines of their own, nothing in the books.
        record(
            V,
            V,
            "well",
            "relocation",
            "2026-05-13",
            json!({ "scientificName": "Crocodylus palustris", "individualCount": 1 }),
        ),
        record(
            V,
            V,
            "nest",
            "nest",
            "2026-05-13",
            json!({ "scientificName": "Pangshura tecta", "event": "protected", "nestID": "N1", "individualCount": 12 }),
        ),
        record(
            V,
            V,
            "named",
            "regrouping",
            "2026-05-14",
            json!({ "event": "named",
            "from": [{ "lotID": lot("1-p"), "scientificName": "Pangshura tecta", "individualCount": 1 }],
            "to": [{ "organismID": "meruva.velitha:5", "scientificName": "Pangshura tecta", "individualCount": 1 }] }),
        ),
        record(
            V,
            V,
            "no",
            "refusal",
            "2026-05-15",
            json!({ "consignmentID": "meruva.police:10", "reason": "noRoom" }),
        ),
        record(
            V,
            V,
            "count",
            "census",
            "2026-05-15",
            json!({ "method": "headCount", "complete": true, "lines": [{ "scientificName": "Pangshura tecta", "individualCount": 60 }] }),
        ),
    ];
    let rows = [
        ("centre/meruva.velitha", "Lissemys punctata", "animals", 4),
        ("centre/meruva.velitha", "Pangshura tecta", "animals", 60),
        ("point/meruva.yard", "Batagur kachuga", "animals", 27), // 30 - 2 - 1
        ("point/meruva.yard", "Pangshura smithii", "animals", 10),
        ("point/meruva.yard", "Testudines", "animals", 4),
    ];
    assert_eq!(figures(&records, "2026-05-31"), expected(&rows));
    // The link is reversed by its own revision: the range office's 90 stand again.
    records.push(unlinked);
    let mut with_range = rows.to_vec();
    with_range.push(("point/meruva.yard2", "Testudines", "animals", 90));
    assert_eq!(figures(&records, "2026-05-31"), expected(&with_range));
}

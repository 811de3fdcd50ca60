//! Figures beside the account, worked out by hand.

#![allow(clippy::unwrap_used)]

mod balance;
mod in_hand;
mod title;

use super::rows::account;
use super::*;
use crate::account::Account as Ledger;
use crate::findings::tests::{REGION, day, lot, record};
use crate::posting::Direction;
use haulout_schemas::vocabulary::DeathWhen;
use serde_json::json;

const SOFTSHELL: &str = "Lissemys punctata";

fn quarter() -> Period {
    Period::parse("2026-Q3").unwrap()
}

fn sum(account: Ledger, counter: Ledger, direction: Direction, before: i64, within: i64) -> Sum {
    Sum {
        account,
        counter,
        direction,
        scientific_name: SOFTSHELL.into(),
        eggs: false,
        life_stage: None,
        death_when: None,
        before,
        within,
    }
}

fn question() -> Question {
    Question { period: "2026-Q3".into(), centre_id: None, scientific_name: None }
}

/// Desharu begins with 100 and 10 are on the road to it. A load of 200 is told by two agencies and
/// taken back once; it is counted out as 205, 9 of them dead. 10 come off the road. 4 die within 48
/// hours, 2 later.
#[test]
fn who_came_by_road_within_the_region_is_counted_once() {
    let desharu = || Ledger::centre(&"meruva.desharu".into());
    let text = |text: &str| Ledger::from_text(text.to_owned());
    let dead =
        |when, count| Sum { death_when: Some(when), ..sum(Ledger::DEAD, desharu(), Direction::In, 0, count) };
    let sums = [
        sum(desharu(), text("opening"), Direction::In, 100, 0),
        sum(desharu(), text("trade"), Direction::In, 0, 400),
        sum(desharu(), text("trade"), Direction::Out, 0, -200),
        sum(desharu(), text("transit/t1"), Direction::In, 0, 10),
        sum(desharu(), text("recount"), Direction::In, 0, 5),
        sum(desharu(), text("dead"), Direction::Out, 0, -15),
        sum(text("transit/t1"), text("centre/meruva.velitha"), Direction::In, 10, 0),
        sum(text("transit/t1"), desharu(), Direction::Out, 0, -10),
        dead(DeathWhen::BeforeRescue, 9),
        dead(DeathWhen::Within48h, 4),
        dead(DeathWhen::InCare, 2),
    ];
    let account = account(&sums, &[]);
    let whole = mortality::mortality(&account, false);
    // 100 there, 10 on the road; 205 counted, of which 196 alive.
    assert_eq!((whole.in_care, whole.arrived), (306, 196));
    let within48h = whole.within48h.unwrap();
    assert_eq!((within48h.count, within48h.of, within48h.rate), (4, 196, 0.0204));
    let together = whole.together.unwrap();
    assert_eq!((together.count, together.of), (6, 306));
    assert!(together.low < together.rate && together.rate < together.high);
    let one = mortality::mortality(&account, true);
    assert_eq!((one.in_care, one.arrived), (306, 206));

    let [total] = totals::totals(&account.rows, &account.transit).try_into().unwrap();
    assert_eq!((total.opening, total.closing), (100, 300));
    assert_eq!((total.opening_in_transit, total.closing_in_transit), (10, 0));
    assert_eq!(total.gains.get("trade"), Some(&400));
}

#[test]
fn no_rate_of_nothing_or_of_more_than_the_whole() {
    assert_eq!(Proportion::of(0, 0), None);
    assert_eq!(Proportion::of(3, 2), None);
    assert_eq!(Proportion::of(-1, 2), None);
}

/// Nine dead in a lorry, counted by its tally: five examined, three too rotten, one open. A death of
/// the spring that is examined in the quarter belongs to the spring.
#[test]
fn necropsies_are_of_the_deaths_of_the_period() {
    let step = |id: &str, date: &str, of: &str, rest: Value| {
        let mut whole = json!({ "event": "necropsy", "lotID": "meruva.desharu:l1", "scientificName": SOFTSHELL,
            "deathOf": { "authorID": "meruva.desharu", "recordID": of } });
        for (member, value) in rest.as_object().unwrap() {
            whole[member] = value.clone();
        }
        record("mortality", "desharu", id, date, whole)
    };
    let death = |id: &str, date: &str, count: u32| {
        record(
            "mortality",
            "desharu",
            id,
            date,
            json!({ "event": "death", "lotID": "meruva.desharu:l1",
            "scientificName": SOFTSHELL, "individualCount": count, "when": "inCare" }),
        )
    };
    let records = [
        lot("desharu", "a", "2026-07-01", "meruva.desharu:l1", SOFTSHELL, 100),
        death("spring", "2026-06-30", 1),
        death("summer", "2026-07-20", 9),
        step("n1", "2026-07-02", "spring", json!({ "individualCount": 1, "necropsyDone": true })),
        step("n2", "2026-07-21", "summer", json!({ "individualCount": 5, "necropsyDone": true })),
        step(
            "n3",
            "2026-07-22",
            "summer",
            json!({ "individualCount": 3, "necropsyDone": false, "notPossibleBecause": "decomposed" }),
        ),
    ];
    let told = necropsies(&records, &quarter());
    assert_eq!((told.deaths, told.done, told.not_possible, told.open), (9, 5, 3, 1));
    assert_eq!(told.reasons, [Reason { because: "decomposed".into(), individual_count: 3 }]);
}

/// A permit for six muggers: one freed before the records begin, two in spring, two in the quarter.
#[test]
fn a_permit_is_drawn_down_to_the_end_of_the_period() {
    let permit = |author: &str| {
        record(
            "permit",
            author,
            "P-7",
            "2026-01-05",
            json!({ "centreID": null, "permitNumber": "P-7",
            "permitType": "release", "species": ["Crocodylus palustris"], "holderIDs": ["meruva.saivera"],
            "quantity": 6, "usedBefore": 1, "validThrough": "2026-12-31" }),
        )
    };
    let release = |id: &str, date: &str| {
        record(
            "release",
            "saivera",
            id,
            date,
            json!({ "event": "released", "organismID": format!("meruva.saivera:{id}"),
            "scientificName": "Crocodylus palustris", "individualCount": 2, "permitNumber": "P-7" }),
        )
    };
    let mut records = vec![permit("authority"), release("r1", "2026-05-02"), release("r2", "2026-08-02")];
    let told = |records: &[_], question: &Question| {
        papers::permits(records, &REGION, Names::standard(), &quarter(), question)
    };
    let [line] = told(&records, &question()).try_into().unwrap();
    assert_eq!((line.used, line.used_in_all, line.left), (2, 5, 1));
    let kolvani = Question { centre_id: Some("meruva.kolvani".into()), ..question() };
    assert!(told(&records, &kolvani).is_empty());
    let turtle = Question { scientific_name: Some(SOFTSHELL.into()), ..question() };
    assert!(told(&records, &turtle).is_empty());
    // A permit that a centre writes is a claim, and no permit.
    records[0] = permit("saivera");
    assert!(told(&records, &question()).is_empty());
}

/// Velitha may keep softshells by one licence; another of its licences has ended, and Kolvani's names
/// crocodilians only.
#[test]
fn a_licence_covers_what_it_names_while_it_is_in_force() {
    let licence = |number: &str, holder: &str, taxon: &str, through: &str| {
        record(
            "licence",
            "authority",
            number,
            "2026-01-01",
            json!({ "centreID": null, "licenceNumber": number,
            "holderID": format!("meruva.{holder}"), "status": "inForce", "validThrough": through,
            "lines": [{ "scientificName": taxon, "headsLimit": 40 }] }),
        )
    };
    let records = [
        licence("L1", "velitha", "Trionychidae", "2026-12-31"),
        licence("L2", "velitha", SOFTSHELL, "2026-06-30"),
        licence("L3", "kolvani", "Crocodylia", "2026-12-31"),
    ];
    let sums = ["velitha", "kolvani", "ombari"].map(|centre| {
        let centre = Ledger::from_text(format!("centre/meruva.{centre}"));
        sum(centre, Ledger::from_text("opening".to_owned()), Direction::In, 3, 0)
    });
    let told = papers::species(&account(&sums, &[]), &records, &REGION, Names::standard(), day("2026-09-30"));
    let scopes: Vec<_> =
        told.iter().map(|line| (line.centre_id.as_str(), line.licence, line.heads_limit)).collect();
    assert_eq!(
        scopes,
        [
            ("meruva.kolvani", LicenceScope::Outside, None),
            ("meruva.ombari", LicenceScope::NoneKnown, None),
            ("meruva.velitha", LicenceScope::Within, Some(40)),
        ]
    );
    assert!(told.iter().all(|line| line.treaty_appendix.is_some() && line.treaty_as_of.is_some()));
}

#[test]
fn a_ledger_that_does_not_balance_is_named() {
    let sums = [(SOFTSHELL.to_owned(), false, 0), (SOFTSHELL.to_owned(), true, 2)];
    let trial = TrialBalance::of(&sums);
    assert_eq!(trial.commodities, 2);
    assert_eq!(trial.out_of_balance, BTreeMap::from([("Lissemys punctata (eggs)".to_owned(), 2)]));
}

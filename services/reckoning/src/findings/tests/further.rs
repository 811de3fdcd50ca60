//! Going on from a milestone finds what judging from the first record finds.

use super::orderless::{effective, pool, some_of_the_pool};
use super::*;
use crate::findings::held::Held;
use crate::findings::{Judged, Milestone, Records, goes_on, judge_further, judge_key, reaches_back};
use crate::keys::Key;
use chrono::{Days, NaiveDate};
use haulout_schemas::Kind;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// The records of a key as a store reads them again: dated after the milestone, or reaching back.
fn since(all: &Held, key: &Key, milestone: Option<&Milestone>) -> Vec<Arc<Effective>> {
    let mut own = all.of(key);
    own.retain(|one| {
        let after =
            milestone.is_none_or(|milestone| milestone.through < one.record.envelope.event_date.day());
        after || reaches_back(&one.record)
    });
    own
}

/// What a store would keep of it.
fn read_back(milestone: &Milestone) -> Milestone {
    serde_json::from_str(&serde_json::to_string(milestone).unwrap()).unwrap()
}

/// Judges a key that goes on; where it cannot, from its first record.
fn went_on(
    key: &Key,
    from: Option<&Milestone>,
    keep: NaiveDate,
    all: &Held,
    world: &World<'_>,
) -> (bool, Judged, Option<Milestone>) {
    let own = since(all, key, from);
    match judge_further(key, from, &own, keep, all, world) {
        Some((judged, left)) => (true, judged, left),
        None => {
            let (judged, left) = judge_further(key, None, &all.of(key), keep, all, world).unwrap();
            (false, judged, left)
        }
    }
}

#[test]
fn from_week_to_week_nothing_is_lost() {
    let records = effective(&pool());
    let mut milestones: BTreeMap<Key, Milestone> = BTreeMap::new();
    let (mut on, mut anew, mut told) = (0, 0, 0);
    let mut through = day("2026-04-01");
    while through < day("2026-10-01") {
        let world = World { evaluated_through: through, ..world("2026-04-01") };
        let all = Held::through(&records, world.names, through);
        for key in all.keys().filter(|key| goes_on(key)) {
            let from = milestones.get(key).cloned();
            let (gone_on, judged, left) = went_on(key, from.as_ref(), through - Days::new(2), &all, &world);
            assert_eq!(judged, judge_key(key, &all, &world), "{key} through {through}");
            told += judged.findings.len();
            match (from.is_some(), gone_on) {
                (true, true) => on += 1,
                (true, false) => anew += 1,
                _ => {}
            }
            if let Some(left) = left {
                milestones.insert(key.clone(), read_back(&left));
            }
        }
        through = through + Days::new(7);
    }
    // Links, licences, orders and first openings that come of age are the few that begin anew.
    assert!(on > 5 * anew && on > 100 && told > 100, "{on} went on, {anew} began anew, {told} findings");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// What comes later is dated after the milestone, reaches back, or is filed elsewhere (an order).
    #[test]
    fn what_comes_later_changes_as_much_as_if_it_had_been_there(
        records in some_of_the_pool(),
        known in prop::collection::vec(any::<bool>(), 400),
        kept in 0_u64..120,
        later in 1_u64..40,
        later_still in 0_u64..60,
    ) {
        let keep = day("2026-06-20") + Days::new(kept);
        let settled = |one: &Arc<Effective>| {
            one.record.envelope.event_date.day() <= keep && !reaches_back(&one.record) && one.record.kind() != Kind::Order
        };
        let all = effective(&records);
        let some: Vec<Arc<Effective>> =
            all.iter().zip(&known).filter(|(one, known)| **known || settled(one)).map(|(one, _)| Arc::clone(one)).collect();
        let first = World { evaluated_through: keep + Days::new(later), ..world("2026-07-09") };
        let second = World { evaluated_through: first.evaluated_through + Days::new(later_still), ..first };
        let before = Held::through(&some, first.names, first.evaluated_through);
        let after = Held::through(&all, second.names, second.evaluated_through);
        for key in after.keys().filter(|key| goes_on(key)) {
            let (_, judged, left) = went_on(key, None, keep, &before, &first);
            prop_assert_eq!(&judged, &judge_key(key, &before, &first), "{} at first", key);
            let left = left.map(|left| read_back(&left));
            let (_, judged, _) = went_on(key, left.as_ref(), first.evaluated_through, &after, &second);
            prop_assert_eq!(&judged, &judge_key(key, &after, &second), "{} later", key);
        }
    }
}

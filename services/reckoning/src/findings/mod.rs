//! What does not add up, is missing or overdue: the rules over the records of a region.
//!
//! A finding is a function of the set of effective records dated through the evaluated day, of the
//! region file and of the rules. Arrival has no part in it: nothing here reads `known_from`.
//!
//! Every rule is judged for a key, from the records filed under that key and under the keys it leads
//! to. [`woken`] tells which keys must be judged again when some were touched, and
//! [`Judged::next_change`] on which day a key must be judged again although nothing was touched.

mod catalogue;
mod census;
mod consignments;
pub(crate) mod coverage;
mod crates;
mod custody;
pub(crate) mod deaths;
pub(crate) mod descent;
mod duplicates;
mod exposure;
mod finding;
mod fitness;
mod floors;
mod held;
mod histories;
mod in_hand;
mod incidents;
mod journeys;
mod judging;
mod ledger;
mod lengths;
mod licence;
mod lots;
mod marks;
mod milestone;
mod not_counted;
mod orders;
pub(crate) mod outlooks;
mod papers;
mod permits;
mod place;
pub(crate) mod quarantine;
mod releases;
mod reports;
pub(crate) mod sequence;
mod settings;
mod shrinking;
mod stays;
mod treatments;
mod units;
mod waking;
mod whereabouts;

use crate::effective::Effective;
use crate::keys::{Family, Key};
use crate::region::Region;
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use haulout_schemas::{Kind, Record};
use judging::Judging;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

pub use catalogue::RULES;
pub(crate) use custody::forbidding_cases;
pub use exposure::CaseLookups;
pub use finding::{Finding, Parameter, RecordName};
pub use held::Held;
pub use milestone::{MILESTONE_VERSION, Milestone, goes_on, reaches_back};
pub use quarantine::standing::{BatchStanding, batch_standing};
pub use sequence::by_order;
pub use settings::{RuleSettings, rule_set_digest};
pub(crate) use treatments::{BOUND, is_still_on};
pub use waking::woken;

/// Effective records by key.
///
/// An answer holds every effective record that [`counts_through`] the evaluated day and that
/// [`crate::keys::keys`] files under the key, each once, in any order.
pub trait Records {
    /// The records of a key; none where the key is not known.
    fn of(&self, key: &Key) -> Vec<Arc<Effective>>;
}

/// What the rules are judged with, beside the records.
#[derive(Clone, Copy, Debug)]
pub struct World<'w> {
    /// The day through which deadlines are judged and records count.
    pub evaluated_through: NaiveDate,
    /// Severities and thresholds.
    pub settings: &'w RuleSettings,
    /// The name list.
    pub names: &'w Names,
    /// Species profiles.
    pub profiles: &'w Profiles,
    /// Who is who.
    pub region: &'w Region,
}

/// What was found for a key.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Judged {
    /// The findings, sorted, each once.
    pub findings: Vec<Finding>,
    /// The first later day on which the same records, by the mere passing of time, may give other
    /// findings; `None` where time alone changes nothing.
    pub next_change: Option<NaiveDate>,
}

/// Whether a record counts when findings are judged through a day: it is dated through it. A link
/// holds from the beginning, whatever its date.
pub fn counts_through(record: &Record, day: NaiveDate) -> bool {
    record.kind() == Kind::Link || record.envelope.event_date.day() <= day
}

/// The findings of one key, sorted, each once.
pub fn evaluate_key(key: &Key, records: &dyn Records, world: &World<'_>) -> Vec<Finding> {
    judge_key(key, records, world).findings
}

/// The findings of one key, and when time alone may change them.
pub fn judge_key(key: &Key, records: &dyn Records, world: &World<'_>) -> Judged {
    let mut judging = Judging::new(key, records, world);
    match key.family() {
        Some(family) => judge(family, &mut judging),
        None => return Judged::default(),
    }
    judging.judged()
}

/// The findings of one of the keys that [`goes_on`], from a milestone where there is one, and the
/// milestone left at the close of `keep` where that day is later. `own` are the records filed under the
/// key that are dated after the milestone, and all that [`reaches_back`]. `None`: the key must be judged
/// from its first record.
pub fn judge_further(
    key: &Key,
    from: Option<&Milestone>,
    own: &[Arc<Effective>],
    keep: NaiveDate,
    records: &dyn Records,
    world: &World<'_>,
) -> Option<(Judged, Option<Milestone>)> {
    let mut judging = Judging::new(key, records, world).going_on(from, own, keep);
    judge(key.family()?, &mut judging);
    judging.went_on()
}

/// The findings of a whole region, sorted, each once. `effective` may hold records dated later than
/// the evaluated day; they are left aside.
pub fn evaluate_all(effective: &[Arc<Effective>], world: &World<'_>) -> Vec<Finding> {
    let held = Held::through(effective, world.names, world.evaluated_through);
    let keys: Vec<&Key> = held.keys().collect();
    let found: BTreeSet<Finding> =
        keys.par_iter().flat_map_iter(|key| evaluate_key(key, &held, world)).collect();
    found.into_iter().collect()
}

fn judge(family: Family, judging: &mut Judging<'_>) {
    match family {
        Family::Animal => {
            deaths::after_death(judging);
            whereabouts::judge(judging);
            histories::judge(judging);
            releases::judge(judging);
            treatments::judge(judging);
            outlooks::judge(judging);
            papers::destroyed(judging);
            incidents::loose(judging);
            fitness::judge(judging);
            shrinking::judge(judging);
        }
        Family::Lot => {
            lots::judge(judging);
            releases::judge(judging);
            treatments::judge(judging);
            outlooks::judge(judging);
            papers::destroyed(judging);
        }
        Family::Batch => quarantine::judge(judging),
        Family::Case => {
            custody::judge(judging);
            papers::lifted(judging);
        }
        Family::Consignment => {
            consignments::judge(judging);
            journeys::judge(judging);
        }
        Family::Incident => reports::judge(judging),
        Family::Likeness => duplicates::judge(judging),
        Family::Mark => marks::judge(judging),
        Family::Order => {
            orders::judge(judging);
            papers::judge(judging);
        }
        Family::Permit => permits::judge(judging),
        Family::Place => place::judge(judging),
        Family::Record => {
            deaths::necropsies(judging);
            exposure::judge(judging);
            incidents::followed(judging);
        }
        Family::Units => floors::judge(judging),
        Family::Crate => crates::judge(judging),
        // Looked up by the rules of batches and of disease only.
        Family::Unit | Family::Circuit | Family::Disease => {}
    }
}

#[cfg(test)]
pub(crate) mod tests;

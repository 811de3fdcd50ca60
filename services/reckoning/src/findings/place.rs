//! The rules on the stock of one centre or point, day by day.

use super::census::Differences;
use super::judging::Judging;
use super::ledger::{BelowZero, Closes, Deaths, Ledger, Openings, is_opening};
use super::licence::Excesses;
use super::milestone::{Carried, Grounds};
use haulout_schemas::Record;
use haulout_schemas::text::PartyId;
use serde::{Deserialize, Serialize};

/// What these rules carry from day to day.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct PlaceSoFar {
    closes: Closes,
    below_zero: BelowZero,
    openings: Openings,
    differences: Differences,
    excesses: Excesses,
    deaths: Deaths,
    grounds: Grounds,
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let records: Vec<&Record> = own.iter().map(|one| &one.record).collect();
    let from = judging.milestone().and_then(|milestone| match &milestone.carried {
        Carried::Place(so_far) => Some((milestone.through, so_far)),
        Carried::Floor(_) => None,
    });
    let grounds = Grounds::of(&own);
    if let Some((_, so_far)) = from {
        // The first opening is held against all that came before it.
        let opens = !so_far.openings.any() && records.iter().any(|record| is_opening(record));
        if opens || so_far.grounds != grounds {
            return judging.begin_anew();
        }
    }
    let ledger = Ledger::of(judging, &records, from.map(|(through, so_far)| (through, &so_far.closes)));
    let mut so_far = from.map(|(_, so_far)| so_far.clone()).unwrap_or_default();
    so_far.grounds = grounds;
    // A holding point needs no licence, and deaths there are told by its own longest hours.
    let is_point = judging.world.region.point(&PartyId::from(judging.key.id())).is_some();
    for span in judging.spans() {
        so_far.below_zero.go_on(judging, &ledger, span);
        so_far.openings.go_on(&records, &ledger, span);
        so_far.differences.go_on(judging, &records, &ledger, span);
        if !is_point {
            so_far.excesses.go_on(judging, &records, &ledger, span);
            so_far.deaths.go_on(&ledger, span);
        }
        so_far.closes = ledger.closes_of(span.through);
        judging.leave_milestone(span, || Carried::Place(so_far.clone()));
    }
    so_far.below_zero.tell(judging);
    so_far.openings.tell(judging);
    so_far.differences.tell(judging);
    so_far.excesses.tell(judging);
    so_far.deaths.tell(judging);
}

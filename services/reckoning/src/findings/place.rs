//! The rules on the stock of one centre or point.

use super::judging::Judging;
use super::ledger::{Ledger, below_zero, deaths_cluster, openings};
use super::{census, licence};
use haulout_schemas::Record;
use haulout_schemas::text::PartyId;

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let records: Vec<&Record> = own.iter().map(|one| &one.record).collect();
    let ledger = Ledger::of(judging, &records);
    below_zero(judging, &ledger);
    openings(judging, &records, &ledger);
    census::judge(judging, &records, &ledger);
    // A holding point needs no licence, and deaths there are told by its own longest hours.
    if judging.world.region.point(&PartyId::from(judging.key.id())).is_none() {
        licence::judge(judging, &records, &ledger);
        deaths_cluster(judging, &ledger);
    }
}

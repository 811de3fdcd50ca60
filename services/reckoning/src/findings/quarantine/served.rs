//! How the quarantine of a batch went, for the shares of a statement: the same days and departures by
//! which it is judged.

use super::members::Members;
use super::rooms::Rooms;
use super::{Batch, Judging, SHORT, leaves, left_early};
use crate::findings::{Records, World};
use crate::keys::{Key, place_of};
use chrono::NaiveDate;
use haulout_schemas::text::PartyId;

/// What records tell of the quarantine of a batch at its clear day or after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Served {
    /// A veterinarian ended it, or nobody left before the clear day and some did after it.
    Kept,
    /// Some left before it.
    Short,
    /// They are still there, and no veterinarian ended it.
    Untold,
}

/// The place of a batch, its clear day, and how it went; `None` where the key is of no batch, and
/// where nobody of it is left and nobody went: what died was not kept to the end.
pub(crate) fn served(
    key: &Key,
    records: &dyn Records,
    world: &World<'_>,
) -> Option<(PartyId, NaiveDate, Served)> {
    let mut judging = Judging::new(key, records, world);
    let own = judging.own();
    let batch = Batch::of(&judging, &own)?;
    let members = Members::of(&judging, &batch, &super::batch_id(&judging));
    let filed = members.filed(&judging);
    let rooms = Rooms::of(&judging, &batch.place, &own);
    let newcomers = rooms.newcomers(&judging, &batch, &members);
    let (clear, _) = batch.clear_day(&newcomers, |_| true)?;
    left_early(&mut judging, &batch, &filed, &members, &rooms, &newcomers);
    let heads = batch.heads(&judging, &filed, &members);
    let here = |one: &&std::sync::Arc<crate::Effective>| place_of(&one.record.envelope) == Some(&batch.place);
    let went = filed.iter().filter(here).any(|one| leaves(&one.record, &members, &rooms));
    let short = judging.judged().findings.iter().any(|finding| finding.code == SHORT.code);
    let how = match (short, batch.is_ended(), heads > 0) {
        (true, ..) => Served::Short,
        (false, true, _) => Served::Kept,
        (false, false, true) => Served::Untold,
        (false, false, false) if went => Served::Kept,
        (false, false, false) => return None,
    };
    Some((batch.place, clear, how))
}

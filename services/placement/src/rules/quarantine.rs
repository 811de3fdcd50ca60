//! Batches: who is isolated from whom, in the unit and on its water.

use haulout_schemas::profile::{QuarantineRestart, TaxonOrder};
use haulout_schemas::vocabulary::Stay;
use haulout_welfare::quarantine::{concerns, would_redate};

use super::set;
use super::space::moved;
use crate::answer::Change;
use crate::case::{Companions, InUnit, Place};
use crate::view::{Occupant, Quarantine, Unit};
use crate::word::{Word, say};

/// A newcomer that is not cleared stands alone or with its own batch; a running batch is put off
/// only with the vet's yes.
pub(super) fn batch(case: &InUnit<'_>) -> Word {
    let unit = &case.unit.unit_id;
    if case.asked().eggs() {
        return Word::pass("eggs are in no quarantine; what hatches is");
    }
    if full(case) {
        return Word::fail(say!(case, "no unit of {unit} stands empty"));
    }
    if let Some(running) = running_here(case) {
        let (batch, clear) = (&running.batch_id, running.clear_day);
        if !agreed(case, batch) {
            return Word::fail(say!(
                case,
                "{unit} holds batch {batch}, clear on {clear}: a newcomer would put that off, \
                 which needs the vet's yes"
            ));
        }
    }
    let put_off = running_here(case).map(|running| &running.batch_id);
    match strangers(case).next() {
        Some((_, stranger)) => Word::fail(say!(
            case,
            "{unit} holds {} of another batch, and newcomers are isolated",
            stranger.scientific_name
        )),
        None => {
            let word = Word::pass(say!(case, "{unit} stands empty, or holds no other batch"));
            match put_off {
                Some(batch) => word.noting(say!(
                    case,
                    "batch {batch} in {unit} is put off by this arrival, as the vet agreed"
                )),
                None => word,
            }
        }
    }
}

/// A row that is said to have no empty unit although nobody is in it.
fn full(case: &InUnit<'_>) -> bool {
    case.empty == 0 && case.unit.everyone().all(|one| one.individual_count == 0)
}

/// The batch running in the very unit the animal would come into. In a row of several, it comes
/// into an empty one.
fn running_here<'a>(case: &InUnit<'a>) -> Option<&'a Quarantine> {
    let into_empty_one = case.unit.units > 1 && case.companions.is_empty();
    let running = case.unit.quarantine.as_ref()?;
    let own = Some(&running.batch_id) == case.asked().request.batch_id.as_ref();
    let running_then = would_redate(running.clear_day, case.here.arrival_day());
    (!into_empty_one && !own && running_then).then_some(running)
}

/// Companions a newcomer may not be put with.
fn strangers<'a>(case: &InUnit<'a>) -> impl Iterator<Item = (Place, &'a Occupant)> {
    let request = case.asked().request;
    let newcomer = matches!(request.stay, Stay::Quarantine | Stay::Stabilise);
    let isolating = case.unit.arrangement == haulout_schemas::records::standing::Arrangement::Isolating;
    let stranger = move |one: &Occupant| match &one.batch_id {
        Some(batch) => Some(batch) != request.batch_id.as_ref() && !agreed(case, batch),
        None => true,
    };
    let companions = Some(case.companions).filter(|_| newcomer || isolating);
    companions.into_iter().flat_map(Companions::iter).filter(move |(_, one)| stranger(one))
}

fn agreed(case: &InUnit<'_>, batch: &str) -> bool {
    let agreed = &case.asked().request.may_redate_batch_ids;
    agreed.iter().any(|one| one == batch)
}

pub(super) fn mend_batch(case: &InUnit<'_>) -> Vec<Change> {
    if full(case) {
        return set(format!("/units/{}/freeUnits", case.unit_at), 1);
    }
    if let Some(running) = running_here(case)
        && !agreed(case, &running.batch_id)
    {
        return agree(case, vec![running.batch_id.clone()]);
    }
    let places = strangers(case).map(|(place, _)| place);
    moved(case, places.collect())
}

fn agree(case: &InUnit<'_>, batches: Vec<String>) -> Vec<Change> {
    let mut agreed = case.asked().request.may_redate_batch_ids.clone();
    agreed.extend(batches);
    set("/requests/0/mayRedateBatchIDs".to_owned(), agreed)
}

/// No batch runs elsewhere on the unit's water that this arrival would put off.
pub(super) fn circuit(case: &InUnit<'_>) -> Word {
    let unit = &case.unit.unit_id;
    if case.asked().eggs() {
        return Word::pass("eggs are in no water");
    }
    let Some(circuit) = &case.unit.water_circuit else {
        return Word::pass(say!(case, "{unit} shares no water, as far as reported"));
    };
    let put_off = put_off(case);
    match put_off.first() {
        Some((other, running)) => Word::fail(say!(
            case,
            "{unit} shares the water {circuit} with {}, where batch {} runs until {}: that needs \
             the vet's yes",
            other.unit_id,
            running.batch_id,
            running.clear_day
        )),
        None => Word::pass(say!(case, "no batch on the water {circuit} would be put off")),
    }
}

/// Batches on the same water that the arrival would put off without the vet's yes.
fn put_off<'a>(case: &InUnit<'a>) -> Vec<(&'a Unit, &'a Quarantine)> {
    let request = case.asked().request;
    let shares =
        |other: &Unit| other.water_circuit.is_some() && other.water_circuit == case.unit.water_circuit;
    // In the unit itself the rule of the batch speaks, except in a row, whose other units share the water.
    let elsewhere = |at: usize| at != case.unit_at || (case.unit.units > 1 && case.companions.is_empty());
    case.here
        .units
        .iter()
        .filter_map(|(at, other)| Some((*at, *other, other.quarantine.as_ref()?)))
        .filter(|(at, other, _)| elsewhere(*at) && shares(other))
        .map(|(_, other, running)| (other, running))
        .filter(|(_, running)| Some(&running.batch_id) != request.batch_id.as_ref())
        .filter(|(_, running)| would_redate(running.clear_day, case.here.arrival_day()))
        .filter(|(_, running)| restarts(case, running.order))
        .filter(|(_, running)| !agreed(case, &running.batch_id))
        .collect()
}

/// True when one of the species the animal may be starts a batch of that order again.
fn restarts(case: &InUnit<'_>, order: Option<TaxonOrder>) -> bool {
    case.asked().candidates.iter().any(|candidate| {
        let how: QuarantineRestart = candidate.profile.quarantine_restart.value;
        concerns(how, Some(candidate.profile.order), order)
    })
}

pub(super) fn mend_circuit(case: &InUnit<'_>) -> Vec<Change> {
    let batches = put_off(case).into_iter();
    agree(case, batches.map(|(_, running)| running.batch_id.clone()).collect())
}

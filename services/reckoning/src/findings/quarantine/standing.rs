//! How a batch stands, for whoever asks what is wanting before it may end.

use super::members::Members;
use super::rooms::{Rooms, order_of};
use super::{Batch, Judging, batch_id, still_there};
use crate::findings::{Records, World};
use crate::keys::Key;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::Body;
use haulout_schemas::records::health::{Quarantine, QuarantineEvent};
use haulout_schemas::text::{LotId, OrganismId};
use haulout_welfare::quarantine::Entry;
use std::collections::{BTreeMap, BTreeSet};

/// A batch that nobody with the right to it has ended, and of which somebody is still there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BatchStanding {
    /// Its number.
    pub batch_id: String,
    /// Its animals that are still there.
    pub organism_ids: Vec<OrganismId>,
    /// Its lots that are still there, with what was split from them.
    pub lot_ids: Vec<LotId>,
    /// How many animals.
    pub heads: u32,
    /// Names under which they entered, accepted.
    pub scientific_names: BTreeSet<String>,
    /// All that entered the batch, its room or its water.
    pub entries: Vec<Entry>,
    /// Days as its records state them; those by which it was made longer stand before the others.
    pub days: Option<u16>,
    /// Units of its room and water.
    pub units: BTreeSet<String>,
    /// Its water circuits.
    pub circuits: BTreeSet<String>,
    /// Whether its water is shared, or named without a word on who shares it.
    pub shares_water: bool,
    /// Day on which somebody who is not said to be a veterinarian ended it.
    pub ended_without_veterinarian: Option<NaiveDate>,
}

/// How the batch of a key stands; `None` where it was ended by a veterinarian since its last entry, where
/// nobody of it is left, or where the key is of no batch.
pub fn batch_standing(key: &Key, records: &dyn Records, world: &World<'_>) -> Option<BatchStanding> {
    let judging = Judging::new(key, records, world);
    let own = judging.own();
    let batch = Batch::of(&judging, &own)?;
    if batch.is_ended() {
        return None;
    }
    let members = Members::of(&judging, &batch, &batch_id(&judging));
    let filed = members.filed(&judging);
    let there = still_there(&judging, &batch.place, &filed, &members);
    if there.is_empty() {
        return None;
    }
    let rooms = Rooms::of(&judging, &batch.place, &own);
    let others = rooms.others(&judging, &batch, &members);
    let entered = batch.entered.iter().map(|(record, _)| *record).chain(others.iter().map(|one| one.record));
    let entries = entered
        .map(|record| Entry { day: record.envelope.event_date.day(), order: order_of(&judging, record) })
        .collect();
    let mut stated: BTreeMap<bool, u16> = BTreeMap::new();
    let mut ended_without_veterinarian = None;
    for one in &own {
        let Some(Body::Quarantine(step)) = &one.record.body else { continue };
        if let Some(days) = step.days {
            let longest = stated.entry(step.event == QuarantineEvent::Extended).or_default();
            *longest = (*longest).max(days);
        }
        if ended_by_another(step) {
            ended_without_veterinarian = Some(one.record.envelope.event_date.day());
        }
    }
    let names = batch.entered.iter().filter_map(|(record, _)| record.envelope.scientific_name.as_ref());
    Some(BatchStanding {
        batch_id: batch_id(&judging),
        organism_ids: there
            .iter()
            .filter_map(|(subject, _)| match subject {
                Subject::Animal(id) => Some(id.clone()),
                Subject::Lot(_) => None,
            })
            .collect(),
        lot_ids: there
            .iter()
            .filter_map(|(subject, _)| match subject {
                Subject::Lot(id) => Some(id.clone()),
                Subject::Animal(_) => None,
            })
            .collect(),
        heads: u32::try_from(there.iter().map(|(_, heads)| heads).sum::<i64>()).unwrap_or(u32::MAX),
        scientific_names: names.map(|name| world.names.commodity(name.as_str()).into_owned()).collect(),
        entries,
        days: stated.get(&true).or_else(|| stated.get(&false)).copied(),
        shares_water: rooms.units().len() > 1 || names_water(&own),
        units: rooms.units().clone(),
        circuits: rooms.circuits().clone(),
        ended_without_veterinarian,
    })
}

fn ended_by_another(step: &Quarantine) -> bool {
    step.event == QuarantineEvent::Ended && step.by_veterinarian != Some(true)
}

/// Whether the batch's own records name a water circuit.
fn names_water(own: &[std::sync::Arc<crate::Effective>]) -> bool {
    own.iter().any(|one| match &one.record.body {
        Some(Body::Quarantine(step)) => step.water_circuit.is_some(),
        _ => false,
    })
}

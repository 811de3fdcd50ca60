//! The units and the water that a batch shares, and who else entered them.

use super::members::Members;
use super::{Batch, Judging};
use crate::effective::Effective;
use crate::findings::descent::ancestors;
use crate::findings::sequence::by_order;
use crate::keys::{Key, place_of};
use crate::subject::Subject;
use haulout_schemas::profile::{QuarantineRestart, TaxonOrder};
use haulout_schemas::records::health::QuarantineEvent;
use haulout_schemas::records::keeping::HousingEvent;
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Units and water circuits of one batch.
pub(super) struct Rooms {
    units: BTreeSet<String>,
    circuits: BTreeSet<String>,
    filed: Vec<Arc<Effective>>,
}

/// A record by which somebody else entered the batch's room or water.
pub(super) struct Newcomer<'r> {
    pub(super) record: &'r Record,
}

impl Rooms {
    /// The units and circuits that the batch's own records name, and the units that share their water
    /// as the capacity records state it.
    pub(super) fn of(judging: &Judging<'_>, place: &PartyId, own: &[Arc<Effective>]) -> Self {
        let mut units = BTreeSet::new();
        let mut circuits = BTreeSet::new();
        for one in own {
            if let Some(Body::Quarantine(quarantine)) = &one.record.body {
                units.extend(quarantine.unit_id.as_ref().map(ToString::to_string));
                circuits.extend(quarantine.water_circuit.as_ref().map(ToString::to_string));
            }
        }
        let mut filed: BTreeMap<(String, String), Arc<Effective>> = BTreeMap::new();
        let mut file = |records: Vec<Arc<Effective>>| {
            for one in records {
                let frame = &one.record.envelope;
                filed.insert((frame.author_id.to_string(), frame.record_id.to_string()), one);
            }
        };
        for unit in &units {
            let records = judging.records.of(&Key::unit(place, unit));
            circuits.extend(circuit_of(&records, unit));
            file(records);
        }
        for circuit in &circuits {
            let records = judging.records.of(&Key::circuit(place, circuit));
            let sharing = records.iter().filter_map(|one| match &one.record.body {
                Some(Body::Capacity(capacity)) => Some(capacity.unit_id.to_string()),
                _ => None,
            });
            for unit in sharing.collect::<BTreeSet<_>>() {
                let of_unit = judging.records.of(&Key::unit(place, &unit));
                // A unit that was moved to other water since is no longer among them.
                if circuit_of(&of_unit, &unit).as_ref() == Some(circuit) {
                    file(of_unit);
                    units.insert(unit);
                }
            }
            file(records);
        }
        Self { units, circuits, filed: filed.into_values().collect() }
    }

    /// Whether any room is known.
    pub(super) fn known(&self) -> bool {
        !self.units.is_empty()
    }

    /// Whether a unit is among them.
    pub(super) fn holds(&self, unit: &str) -> bool {
        self.units.contains(unit)
    }

    /// The units.
    pub(super) fn units(&self) -> &BTreeSet<String> {
        &self.units
    }

    /// The water circuits.
    pub(super) fn circuits(&self) -> &BTreeSet<String> {
        &self.circuits
    }

    /// Who entered beside the batch, as far as it starts the batch's days again, in the order of their
    /// days.
    pub(super) fn newcomers<'s>(
        &'s self,
        judging: &Judging<'_>,
        batch: &Batch<'_>,
        members: &Members,
    ) -> Vec<Newcomer<'s>> {
        let all = self.others(judging, batch, members).into_iter();
        all.filter(|newcomer| concerns(judging, batch, newcomer.record)).collect()
    }

    /// Who entered beside the batch: the entries of other batches, and the first housing of anyone else,
    /// in the order of their days.
    pub(super) fn others<'s>(
        &'s self,
        judging: &Judging<'_>,
        batch: &Batch<'_>,
        members: &Members,
    ) -> Vec<Newcomer<'s>> {
        let mut records: Vec<&Record> = self.filed.iter().map(|one| &one.record).collect();
        records.sort_by(|one, other| by_order(one, other));
        // What the batch itself descends from is no newcomer.
        let above: BTreeSet<Subject> =
            members.subjects().flat_map(|member| ancestors(member, judging.records)).collect();
        let mut known: BTreeSet<Subject> = BTreeSet::new();
        let mut found = Vec::new();
        for record in records {
            let Some(subject) = Subject::of_frame(&record.envelope) else { continue };
            let first = known.insert(subject.clone());
            let enters = match &record.body {
                Some(Body::Quarantine(quarantine)) => quarantine.event == QuarantineEvent::Entered,
                Some(Body::Housing(housing)) => housing.event == HousingEvent::Housed && first,
                _ => false,
            };
            let own = above.contains(&subject) || members.holds(&subject);
            if enters && !own && place_of(&record.envelope) == Some(&batch.place) {
                found.push(Newcomer { record });
            }
        }
        found
    }
}

/// The water circuit of a unit, as its latest capacity record states it.
fn circuit_of(records: &[Arc<Effective>], unit: &str) -> Option<String> {
    let stated = records.iter().filter_map(|one| match &one.record.body {
        Some(Body::Capacity(capacity)) if capacity.unit_id.as_str() == unit => Some((&one.record, capacity)),
        _ => None,
    });
    let latest = stated.max_by(|(one, _), (other, _)| by_order(one, other))?;
    latest.1.water_circuit.as_ref().map(ToString::to_string)
}

/// Whether a newcomer starts the batch's days again: of the same order or, where the species' profile
/// says so, any. An animal whose order is not known counts as any.
fn concerns(judging: &Judging<'_>, batch: &Batch<'_>, record: &Record) -> bool {
    let entering = order_of(judging, record);
    let own = batch.entered.iter().filter_map(|(entry, _)| entry.envelope.scientific_name.as_ref());
    let by_class = own
        .flat_map(|name| judging.world.names.members(name.as_str()))
        .any(|profile| profile.quarantine_restart.value == QuarantineRestart::Class);
    match (entering, batch.order) {
        (Some(entering), Some(batch)) => by_class || entering == batch,
        _ => true,
    }
}

/// The order of what a record names; `None` where nobody knows.
pub(super) fn order_of(judging: &Judging<'_>, record: &Record) -> Option<TaxonOrder> {
    let name = record.envelope.scientific_name.as_ref()?;
    judging.world.names.members(name.as_str()).first().map(|profile| profile.order)
}

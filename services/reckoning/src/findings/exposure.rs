//! Who shared something with a confirmed case of disease.

use super::Records;
use super::judging::{Judging, parameters};
use crate::effective::Effective;
use crate::keys::Key;
use crate::tracing::{confirmed, direct};
use haulout_schemas::Record;
use haulout_schemas::names::Names;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::PartyId;
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Somebody shared something with a confirmed case. Parameters: `agent`, `caseOf`, `exposed` (kind and
/// number), `firstDay`, `shared`, and `unitID`, `waterCircuit`, `consignmentID`, `crateID` where known.
pub(super) static EXPOSED: Rule = Rule {
    code: "exposed-to-disease",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Exposed to a confirmed disease",
    meaning: "A necropsy or a positive result names an agent, and within the days before its sign, or since, another animal or lot shared a unit, water, a crate, a journey or a holding point with the case, or was part of one lot with it. Direct contacts only; `GET /v1/tracing` follows the chain further and proposes the units to close.",
    why: "What was exposed may carry the agent to the next unit and the next centre.",
    mend: "Close the unit named here until the vet in charge has sampled what is in it, and trace on from the case. The finding stands as long as the case does.",
    source: "common practice; 30 days are the least quarantine of the AZA guidelines",
    thresholds: &[Threshold {
        name: "days",
        value: 30,
        unit: "day",
        source: "AZA quarantine guidelines: least quarantine",
    }],
};

/// The exposed of the key's own record, if it confirms a case.
pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let Some(case) = own.iter().map(|one| &one.record).find(|record| is(judging.key, record)) else { return };
    let Some((agent, _)) = confirmed(case) else { return };
    let agent = agent.trim().to_owned();
    let window = u32::try_from(judging.threshold(&EXPOSED, "days")).unwrap_or(u32::MAX);
    for (source, exposed) in direct(judging.records, judging.world.names, case, window) {
        let Some(last) = exposed.chain.last() else { continue };
        let mut told = parameters([
            ("agent", agent.as_str().into()),
            ("caseOf", source.who.to_string().into()),
            ("exposed", exposed.who.to_string().into()),
            ("firstDay", exposed.first_day.into()),
            ("shared", last.shared.as_str().into()),
        ]);
        let at = [
            ("unitID", last.at.other_unit_id.clone().or_else(|| last.at.unit_id.clone())),
            ("waterCircuit", last.at.water_circuit.clone()),
            ("consignmentID", last.at.consignment_id.as_ref().map(ToString::to_string)),
            ("crateID", last.at.crate_id.clone()),
        ];
        told.extend(at.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?.into()))));
        let rests_on =
            source.records.into_iter().chain(exposed.chain.iter().flat_map(|one| one.records.clone()));
        let places: BTreeSet<PartyId> = exposed
            .chain
            .iter()
            .filter_map(|one| one.at.place_id.clone())
            .chain(crate::keys::place_of(&case.envelope).cloned())
            .collect();
        let finding = judging.finding(&EXPOSED, places, rests_on, None, told);
        judging.tell([finding]);
    }
}

fn is(key: &Key, record: &Record) -> bool {
    let frame = &record.envelope;
    Key::record(&frame.author_id, frame.record_id.as_str()) == *key
}

/// Confirmed cases of disease, each with the keys that its judgement looks up.
#[derive(Clone, Debug, Default)]
pub struct CaseLookups(Vec<(Key, BTreeSet<Key>)>);

impl CaseLookups {
    /// Which keys a case looks up depends neither on names nor on the days of the threshold, so the
    /// longest window and the standard names stand for all.
    pub fn of(records: &dyn Records) -> Self {
        let cases = records.of(&Key::disease()).into_iter().map(|case| {
            let noting = Noting { records, asked: RefCell::default() };
            direct(&noting, Names::standard(), &case.record, u32::MAX);
            let frame = &case.record.envelope;
            (Key::record(&frame.author_id, frame.record_id.as_str()), noting.asked.into_inner())
        });
        Self(cases.collect())
    }

    /// The cases that look up one of some keys.
    pub(super) fn woken(&self, touched: &BTreeSet<Key>) -> impl Iterator<Item = &Key> {
        self.0.iter().filter(|(_, asked)| !asked.is_disjoint(touched)).map(|(case, _)| case)
    }
}

/// Records, with a note of every key asked for.
struct Noting<'r> {
    records: &'r dyn Records,
    asked: RefCell<BTreeSet<Key>>,
}

impl Records for Noting<'_> {
    fn of(&self, key: &Key) -> Vec<Arc<Effective>> {
        self.asked.borrow_mut().insert(key.clone());
        self.records.of(key)
    }
}

//! Units that hold more heads than stated.

use super::finding::{Finding, RecordName};
use super::judging::{Judging, parameters};
use super::orders::number_in_force;
use crate::keys::place_of;
use crate::occupancy::Floor;
use chrono::NaiveDate;
use haulout_schemas::records::standing::CapacityEvent;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Too many in a unit. Parameters: `unitID`, `heads` (the most), `headsLimit`, `firstDay`, `lastDay`
/// once it is over.
pub(super) static OVERFULL: Rule = Rule {
    code: "unit-overfull",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Unit overfull",
    meaning: "At the close of a day a unit, or a row of units, held more heads than its `capacity` states. Only the stated heads are judged here; what the space rule of a species allows is judged when a place is sought. Animals housed under an order in force are left out, eggs are no heads, a reservation is no occupant.",
    why: "Crowding hurts and spreads disease.",
    mend: "House some elsewhere, or state the right limit; where an order allows it, the housing names the order.",
    source: "the centre's own capacity record",
    thresholds: &[],
};

/// Units that are overfull, and what of it is over.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Crowding {
    /// Most heads as stated, and by which record.
    limits: BTreeMap<String, (i64, RecordName)>,
    open: BTreeMap<String, Run>,
    over: Vec<Finding>,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
struct Run {
    first: NaiveDate,
    most: i64,
    limit: i64,
    records: BTreeSet<RecordName>,
}

impl Crowding {
    /// The close of a day: the floor after its records, and the units that may hold others than before.
    pub(super) fn close(
        &mut self,
        judging: &Judging<'_>,
        floor: &Floor<'_>,
        mut touched: BTreeSet<String>,
        day: NaiveDate,
        records: &[&Record],
    ) {
        let place = PartyId::from(judging.key.id());
        for record in records {
            if let Some((unit, limit)) = limit(record, &place) {
                touched.insert(unit.to_owned());
                match limit {
                    Some(limit) => self.limits.insert(unit.to_owned(), (limit, (*record).into())),
                    None => self.limits.remove(unit),
                };
            }
        }
        for unit in touched {
            let (heads, housings) = heads(judging, floor, &unit, day);
            match self.limits.get(&unit) {
                Some((limit, capacity)) if heads > *limit => {
                    let run = self.open.entry(unit).or_insert_with(|| Run {
                        first: day,
                        most: 0,
                        limit: *limit,
                        records: housings.into_iter().chain([capacity.clone()]).collect(),
                    });
                    run.most = run.most.max(heads);
                }
                _ => {
                    if let Some(run) = self.open.remove(&unit) {
                        self.over.push(finding(judging, &place, &unit, &run, day.pred_opt()));
                    }
                }
            }
        }
    }

    pub(super) fn tell(self, judging: &mut Judging<'_>, place: &PartyId) {
        let open: Vec<Finding> =
            self.open.iter().map(|(unit, run)| finding(judging, place, unit, run, None)).collect();
        judging.tell(self.over.into_iter().chain(open));
    }
}

/// The unit and the most heads of the unit or the whole row, as a record states it.
fn limit<'r>(record: &'r Record, place: &PartyId) -> Option<(&'r str, Option<i64>)> {
    match &record.body {
        Some(Body::Capacity(capacity))
            if place_of(&record.envelope) == Some(place) && capacity.event == CapacityEvent::Stated =>
        {
            let units = i64::from(capacity.units.unwrap_or(1));
            Some((capacity.unit_id.as_str(), capacity.heads_limit.map(|heads| i64::from(heads) * units)))
        }
        _ => None,
    }
}

/// Heads in a unit that no order in force keeps there, and the records that put them there.
fn heads(
    judging: &Judging<'_>,
    floor: &Floor<'_>,
    unit: &str,
    day: NaiveDate,
) -> (i64, BTreeSet<RecordName>) {
    let mut heads = 0;
    let mut housings = BTreeSet::new();
    for (standing, housed) in floor.in_unit(unit) {
        let waived = standing.order.as_ref().is_some_and(|number| number_in_force(judging, number, day));
        let eggs_only = standing.animals <= 0 && standing.eggs > 0;
        if !waived && !eggs_only {
            heads += housed.count;
            housings.insert(housed.by.clone());
        }
    }
    (heads, housings)
}

fn finding(
    judging: &Judging<'_>,
    place: &PartyId,
    unit: &str,
    run: &Run,
    last: Option<NaiveDate>,
) -> Finding {
    let mut told = parameters([
        ("unitID", unit.into()),
        ("heads", run.most.into()),
        ("headsLimit", run.limit.into()),
        ("firstDay", run.first.into()),
    ]);
    told.extend(last.map(|last| ("lastDay".to_owned(), last.into())));
    judging.finding(&OVERFULL, [place.clone()], run.records.iter().cloned(), None, told)
}

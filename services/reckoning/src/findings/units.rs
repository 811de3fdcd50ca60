//! Units that hold more heads than stated.

use super::judging::{Judging, parameters};
use super::orders::{number_in_force, numbered, order};
use crate::keys::place_of;
use crate::occupancy::Floor;
use chrono::NaiveDate;
use haulout_schemas::records::standing::CapacityEvent;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
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

struct Run<'r> {
    first: NaiveDate,
    most: i64,
    limit: i64,
    records: Vec<&'r Record>,
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let place = PartyId::from(judging.key.id());
    // A holding point has no stated units; its longest hours are judged where stays are.
    if judging.world.region.point(&place).is_some() {
        return;
    }
    let ordered = crate::occupancy::in_order(&own);
    let mut days: BTreeMap<NaiveDate, Vec<usize>> = BTreeMap::new();
    for (at, one) in &ordered {
        days.entry(one.record.envelope.event_date.day()).or_default().push(*at);
    }
    let ends = orders_end(judging, own.iter().map(|one| &one.record));
    let any_order = !ends.is_empty();
    for day in ends {
        if day <= judging.today() {
            days.entry(day).or_default();
        } else {
            judging.changes_on(day);
        }
    }
    let mut floor = Floor::new(&place, judging.world.names, &own);
    let mut limits: BTreeMap<&str, (i64, &Record)> = BTreeMap::new();
    let mut open: BTreeMap<String, Run<'_>> = BTreeMap::new();
    for (day, of_day) in days.range(..=judging.today()) {
        let mut touched = BTreeSet::new();
        for at in of_day {
            let record = &own[*at].record;
            floor.apply(*at, record);
            if let Some((unit, limit)) = limit(record, &place) {
                touched.insert(unit.to_owned());
                match limit {
                    Some(limit) => limits.insert(unit, (limit, record)),
                    None => limits.remove(unit),
                };
            }
        }
        touched.extend(floor.take_touched());
        // A unit with animals under an order may change when the order ends, untouched.
        if any_order {
            touched.extend(floor.under_orders());
        }
        for unit in touched {
            let state = limits.get(unit.as_str()).map(|(limit, capacity)| (*limit, *capacity));
            let (heads, housings) = heads(judging, &floor, &unit, *day);
            match state {
                Some((limit, capacity)) if heads > limit => {
                    let run = open.entry(unit).or_insert_with(|| Run {
                        first: *day,
                        most: 0,
                        limit,
                        records: housings.into_iter().map(|at| &own[at].record).chain([capacity]).collect(),
                    });
                    run.most = run.most.max(heads);
                }
                _ => {
                    if let Some(run) = open.remove(&unit) {
                        tell(judging, &place, &unit, &run, day.pred_opt());
                    }
                }
            }
        }
    }
    for (unit, run) in open {
        tell(judging, &place, &unit, &run, None);
    }
}

/// The days after the last days of all orders that housings name.
fn orders_end<'r>(judging: &Judging<'_>, records: impl Iterator<Item = &'r Record>) -> BTreeSet<NaiveDate> {
    let numbers: BTreeSet<&str> = records
        .filter_map(|record| match &record.body {
            Some(Body::Housing(housing)) => housing.order_number.as_ref().map(|number| number.as_str()),
            _ => None,
        })
        .collect();
    let ends = numbers
        .into_iter()
        .flat_map(|number| numbered(judging, number))
        .filter_map(|one| order(judging, &one.record)?.end_date);
    ends.filter_map(|end| end.0.succ_opt()).collect()
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
fn heads(judging: &Judging<'_>, floor: &Floor<'_>, unit: &str, day: NaiveDate) -> (i64, BTreeSet<usize>) {
    let mut heads = 0;
    let mut housings = BTreeSet::new();
    for (standing, housed) in floor.in_unit(unit) {
        let waived = standing.order.as_ref().is_some_and(|number| number_in_force(judging, number, day));
        let eggs_only = standing.animals <= 0 && standing.eggs > 0;
        if !waived && !eggs_only {
            heads += housed.count;
            housings.insert(housed.by);
        }
    }
    (heads, housings)
}

fn tell(judging: &mut Judging<'_>, place: &PartyId, unit: &str, run: &Run<'_>, last: Option<NaiveDate>) {
    let mut told = parameters([
        ("unitID", unit.into()),
        ("heads", run.most.into()),
        ("headsLimit", run.limit.into()),
        ("firstDay", run.first.into()),
    ]);
    told.extend(last.map(|last| ("lastDay".to_owned(), last.into())));
    judging.find_at(&OVERFULL, [place.clone()], run.records.iter().copied(), None, told);
}

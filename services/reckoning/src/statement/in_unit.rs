//! Who stood in the units of a centre on each day of a period, and what was done for them there.

use super::in_hand::InHand;
use crate::effective::Effective;
use crate::keys::place_of;
use crate::occupancy::{Floor, Who, in_order};
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::Body;
use haulout_schemas::envelope::Envelope;
use haulout_schemas::names::Names;
use haulout_schemas::records::keeping::Care;
use haulout_schemas::records::standing::{CapacityEvent, WaterType as Stated};
use haulout_schemas::text::PartyId;
use haulout_welfare::routine::{Done, WaterType};
use haulout_welfare::units::{Celsius, Share};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// One unit, or one row of identical ones: its records do not tell them apart.
#[derive(Default)]
pub(super) struct InUnit {
    /// Its water as last stated.
    pub(super) water: Option<WaterType>,
    /// It is said to have none.
    pub(super) dry: bool,
    /// Days at whose close animals stood in it.
    pub(super) days: BTreeSet<NaiveDate>,
    /// Their accepted names.
    pub(super) species: BTreeSet<String>,
    /// What was done.
    pub(super) done: Vec<Done>,
}

/// The units of a centre in which animals stood, from one day through another. Care that names no
/// unit counts for every unit in which its animal or lot then stood.
pub(super) fn in_units(
    in_hand: &InHand,
    centre: &PartyId,
    names: &Names,
    (first, through): (NaiveDate, NaiveDate),
) -> BTreeMap<String, InUnit> {
    let none = Vec::new();
    let records = in_hand.floors.get(centre).unwrap_or(&none);
    let mut floor = Floor::new(centre, names, records);
    let mut open = in_order(records);
    // Those that began earlier and ended later count on their last day, as in the ledger.
    open.sort_by_key(|one| day(one));
    let mut open = open.into_iter().peekable();
    let mut cared: BTreeMap<NaiveDate, Vec<(&Envelope, &Care)>> = BTreeMap::new();
    for one in in_hand.care.iter().filter(|one| place_of(&one.record.envelope) == Some(centre)) {
        if let Some(Body::Care(care)) = &one.record.body {
            cared.entry(day(one)).or_default().push((&one.record.envelope, care));
        }
    }
    let mut units: BTreeMap<String, InUnit> = BTreeMap::new();
    for today in first.iter_days().take_while(|today| *today <= through) {
        while let Some(one) = open.next_if(|one| day(one) <= today) {
            floor.apply(&one.record);
        }
        for standing in floor.standings().values().filter(|standing| standing.animals > 0) {
            for unit in standing.units.keys() {
                let unit = units.entry(unit.clone()).or_default();
                unit.days.insert(today);
                unit.species.insert(standing.name.clone());
            }
        }
        for (frame, care) in cared.get(&today).into_iter().flatten() {
            let standing = Subject::of_frame(frame).and_then(|who| floor.standings().get(&Who::Named(who)));
            let of_subject = standing.into_iter().flat_map(|standing| standing.units.keys().cloned());
            let named: Vec<String> =
                care.unit_id.as_ref().map_or_else(|| of_subject.collect(), |unit| vec![unit.to_string()]);
            for unit in named {
                if let Some(unit) = units.get_mut(&unit) {
                    unit.done.push(done(today, care));
                }
            }
        }
    }
    waters(records, through, &mut units);
    units
}

fn day(one: &Arc<Effective>) -> NaiveDate {
    one.record.envelope.event_date.day()
}

/// Numbers out of range are refused by the schema; here they would tell nothing.
fn done(on: NaiveDate, care: &Care) -> Done {
    Done {
        on,
        water_changed_share: care.water_changed_share.and_then(|share| Share::new(share).ok()),
        scrubbed: care.scrubbed,
        water_celsius: care.water_celsius.and_then(|at| Celsius::new(at).ok()),
    }
}

fn waters(records: &[Arc<Effective>], through: NaiveDate, units: &mut BTreeMap<String, InUnit>) {
    for one in in_order(records).into_iter().filter(|one| day(one) <= through) {
        let Some(Body::Capacity(capacity)) = &one.record.body else { continue };
        let stated = capacity.water_type.filter(|_| capacity.event == CapacityEvent::Stated);
        if let (Some(stated), Some(unit)) = (stated, units.get_mut(capacity.unit_id.as_str())) {
            (unit.water, unit.dry) = match stated {
                Stated::Static => (Some(WaterType::StaticIndoor), false),
                Stated::FlowThrough => (Some(WaterType::FlowThrough), false),
                Stated::EarthenPond => (Some(WaterType::EarthenPond), false),
                Stated::RiverPen => (Some(WaterType::RiverPen), false),
                Stated::None => (None, true),
            };
        }
    }
}

//! Who is where in one centre or point at the close of a day.
//!
//! Units are occupancy, never accounts: `housing` says where a subject is from now on, and what
//! leaves the stock leaves its unit. What no record states is not guessed: animals of a lot that
//! stood in several units are unhoused once the lot is counted out, until a `housing` places them.

mod floor;

use crate::effective::Effective;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::text::{LotId, OrganismId, PartyId};
use haulout_schemas::vocabulary::{LifeStage, Stay};
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Arc;

pub(crate) use floor::{Floor, Housed, Standing, Who, in_order};

/// Who is where at the close of a day.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Occupancy {
    /// Units that are not empty, by identifier.
    pub units: Vec<UnitOccupancy>,
    /// In the stock and in no unit.
    pub unhoused: Vec<Occupant>,
}

/// Who is in one unit, or in one row of identical units.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct UnitOccupancy {
    /// The unit or row.
    #[serde(rename = "unitID")]
    pub unit_id: String,
    /// Its occupants, animals before lots, by identifier.
    pub occupants: Vec<Occupant>,
}

/// An animal, or a number of one lot.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Occupant {
    /// One animal.
    #[serde(rename = "organismID", skip_serializing_if = "Option::is_none")]
    pub organism_id: Option<OrganismId>,
    /// A lot. Neither is given for what was counted without a number of its own.
    #[serde(rename = "lotID", skip_serializing_if = "Option::is_none")]
    pub lot_id: Option<LotId>,
    /// Accepted name.
    pub scientific_name: String,
    /// Age class as last stated; `egg` for eggs, which are no heads.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub life_stage: Option<LifeStage>,
    /// How many.
    pub count: u32,
    /// The day since which it is in this unit; for the unhoused, in the stock.
    pub since: NaiveDate,
    /// The quarantine batch that it entered and that no `ended` closed.
    #[serde(rename = "batchID", skip_serializing_if = "Option::is_none")]
    pub batch_id: Option<String>,
    /// Why it is here, as its housing says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stay: Option<Stay>,
    /// The order that its housing names.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub order_number: Option<String>,
}

impl Occupancy {
    /// The occupants of a unit.
    pub fn of_unit(&self, unit_id: &str) -> &[Occupant] {
        let at = self.units.binary_search_by(|unit| unit.unit_id.as_str().cmp(unit_id));
        at.map_or(&[], |at| &self.units[at].occupants)
    }
}

/// Who is where in `place` at the close of `through`. `records` are the effective records filed under
/// [`crate::keys::Key::units`] of the place (others are left aside), in any order.
pub fn occupancy(
    records: &[Arc<Effective>],
    place: &PartyId,
    names: &Names,
    through: NaiveDate,
) -> Occupancy {
    let mut floor = Floor::new(place, names, records);
    for one in in_order(records) {
        if one.record.envelope.event_date.day() <= through {
            floor.apply(&one.record);
        }
    }
    closed(&floor)
}

fn closed(floor: &Floor<'_>) -> Occupancy {
    let mut units: BTreeMap<&str, Vec<Occupant>> = BTreeMap::new();
    let mut unhoused: Vec<(&Who, Occupant)> = Vec::new();
    let mut beyond: BTreeMap<&str, i64> = BTreeMap::new();
    for (who, standing) in floor.standings() {
        let occupant = |count: i64, since: NaiveDate, eggs: bool| Occupant {
            organism_id: match who {
                Who::Named(Subject::Animal(id)) => Some(id.clone()),
                _ => None,
            },
            lot_id: match who {
                Who::Named(Subject::Lot(id)) => Some(id.clone()),
                _ => None,
            },
            scientific_name: standing.name.clone(),
            life_stage: if eggs { Some(LifeStage::Egg) } else { standing.stage },
            count: u32::try_from(count).unwrap_or_default(),
            since,
            batch_id: standing.batch.clone(),
            stay: standing.stay,
            order_number: standing.order.clone(),
        };
        let eggs = standing.animals <= 0 && standing.eggs > 0;
        for (unit, housed) in &standing.units {
            units.entry(unit).or_default().push(occupant(housed.count, housed.since, eggs));
        }
        let rest = standing.animals + standing.eggs - standing.housed();
        if rest > 0 {
            unhoused.push((who, occupant(rest, standing.since, eggs)));
        } else if rest < 0 {
            *beyond.entry(&standing.name).or_default() -= rest;
        }
    }
    // Animals housed under a number that never entered the stock came in under none, or in a lot of
    // their species: they are counted once, where they are housed.
    unhoused.sort_by_key(|(who, _)| matches!(who, Who::Named(_)));
    for (_, occupant) in &mut unhoused {
        let Some(beyond) = beyond.get_mut(occupant.scientific_name.as_str()) else { continue };
        let known = (*beyond).min(i64::from(occupant.count));
        *beyond -= known;
        occupant.count -= u32::try_from(known).unwrap_or_default();
    }
    unhoused.sort_by_key(|(who, _)| *who);
    Occupancy {
        units: units
            .into_iter()
            .map(|(unit, occupants)| UnitOccupancy { unit_id: unit.to_owned(), occupants })
            .collect(),
        unhoused: unhoused
            .into_iter()
            .map(|(_, occupant)| occupant)
            .filter(|occupant| occupant.count > 0)
            .collect(),
    }
}

#[cfg(test)]
mod tests;

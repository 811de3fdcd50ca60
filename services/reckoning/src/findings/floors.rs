//! The rules on who is where in one centre or point, day by day.

use super::judging::Judging;
use super::milestone::{Carried, Grounds};
use super::units::Crowding;
use super::{lengths, orders};
use crate::occupancy::{Floor, Standing, Who, in_order};
use chrono::NaiveDate;
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// What these rules carry from day to day.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct FloorSoFar {
    standings: Vec<(Who, Standing)>,
    crowding: Crowding,
    /// When the orders that housings have named were in force.
    orders: Orders,
    grounds: Grounds,
}

/// First and last days of the authority's orders, by number.
type Orders = BTreeMap<String, BTreeSet<(NaiveDate, Option<NaiveDate>)>>;

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let place = PartyId::from(judging.key.id());
    let so_far = match judging.milestone().map(|milestone| &milestone.carried) {
        Some(Carried::Floor(so_far)) => Some(so_far),
        _ => None,
    };
    let before = so_far.map(|so_far| so_far.orders.keys().map(String::as_str)).into_iter().flatten();
    let orders = in_force(judging, before.chain(own.iter().filter_map(|one| order_named(&one.record))));
    let grounds = Grounds::of(&own);
    let holds = |so_far: &FloorSoFar| {
        so_far.grounds == grounds
            && so_far.orders.iter().all(|(number, days)| orders.get(number) == Some(days))
    };
    if so_far.is_some_and(|so_far| !holds(so_far)) {
        return judging.begin_anew();
    }
    let mut floor = Floor::new(&place, judging.world.names, &own);
    let mut crowding = Crowding::default();
    if let Some(so_far) = so_far {
        floor = floor.resume(so_far.standings.clone());
        crowding = so_far.crowding.clone();
    }
    let mut days: BTreeMap<NaiveDate, Vec<&Record>> = BTreeMap::new();
    for one in in_order(&own) {
        days.entry(one.record.envelope.event_date.day()).or_default().push(&one.record);
    }
    // What an order lets stand changes when it is given and when it ends, untouched.
    for day in changes(&orders) {
        judging.changes_on(day);
        days.entry(day).or_default();
    }
    let is_point = judging.world.region.point(&place).is_some();
    for span in judging.spans() {
        for (day, records) in days.iter().filter(|(day, _)| span.holds(**day)) {
            for record in records {
                floor.apply(record);
            }
            // A holding point has no stated units; its longest hours are judged where stays are.
            if !is_point {
                let mut touched = floor.take_touched();
                if !orders.is_empty() {
                    touched.extend(floor.under_orders());
                }
                crowding.close(judging, &floor, touched, *day, records);
            }
        }
        // At a point who came when is looked up in the records themselves.
        if !is_point {
            let named: BTreeSet<&str> = days
                .range(..=span.through)
                .flat_map(|(_, records)| records)
                .filter_map(|one| order_named(one))
                .collect();
            let known = so_far.map(|so_far| &so_far.orders);
            let kept = |number: &String| {
                named.contains(number.as_str()) || known.is_some_and(|known| known.contains_key(number))
            };
            judging.leave_milestone(span, || {
                Carried::Floor(FloorSoFar {
                    standings: floor.standings().clone().into_iter().collect(),
                    crowding: crowding.clone(),
                    orders: orders.clone().into_iter().filter(|(number, _)| kept(number)).collect(),
                    grounds: grounds.clone(),
                })
            });
        }
    }
    crowding.tell(judging, &place);
    lengths::judge(judging, &place, &floor, &own);
}

/// The order that a housing names.
fn order_named(record: &Record) -> Option<&str> {
    match &record.body {
        Some(Body::Housing(housing)) => housing.order_number.as_ref().map(|number| number.as_str()),
        _ => None,
    }
}

/// When the authority's orders of these numbers are in force.
fn in_force<'n>(judging: &Judging<'_>, numbers: impl Iterator<Item = &'n str>) -> Orders {
    let numbers: BTreeSet<&str> = numbers.collect();
    let days = |number: &str| {
        let numbered = orders::numbered(judging, number);
        numbered.iter().filter_map(|one| orders::days(judging, &one.record)).collect()
    };
    numbers.into_iter().map(|number| (number.to_owned(), days(number))).collect()
}

/// The days from which orders are in force or no longer are.
fn changes(orders: &Orders) -> BTreeSet<NaiveDate> {
    let days = orders.values().flatten();
    days.flat_map(|(given, end)| [Some(*given), end.and_then(|end| end.succ_opt())]).flatten().collect()
}

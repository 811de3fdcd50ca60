//! Plots of those who stand too long where they stand.

use haulout_schemas::Body;
use haulout_schemas::event_date::Day;
use haulout_schemas::records::authority::OrderType;
use haulout_schemas::records::keeping::{HousedIn, Housing, HousingEvent};
use haulout_schemas::vocabulary::{LifeStage, Stay};

use super::{Faults, Plot, Script, kind};
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[YARDED, HOUSED];

const YARDED: &str = "Melanochelys trijuga";
const HOUSED: &str = "Batagur kachuga";

impl Faults {
    /// Five are put down in the police yard, and nobody fetches them.
    pub(super) fn left_in_yard(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let species = kind(YARDED);
        let Some((yard, _)) = world.basin.points_of(script.base / 6) else { return };
        match step {
            0 => {
                let lot = world.reserved_group(yard, species, 5, false);
                let arrival = world.tell_arrival(lot, yard, |_| ());
                script.records.push(arrival);
            }
            // Two days: the longest hours of the basin's points.
            2 => {
                let records = script.records.clone();
                let fault = self.plant(world, "point-stay-too-long", &[], Some(species), records, None);
                let keeper = world.keeper(yard);
                self.planted[fault].parties = vec![world.basin.parties[keeper].id.clone()];
            }
            _ => {}
        }
    }

    /// A room for a few days, or for as long as an order allows; and then for longer.
    pub(super) fn stays_on(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(0), kind(HOUSED));
        let ordered = script.plot == Plot::BeyondOrder;
        match step {
            0 => {
                let animal = world.reserved_group(place, species, 1, true);
                world.tell_arrival(animal, place, |_| ());
                let order_number = ordered.then(|| {
                    let end = Day(world.desk.date(world.night + 5));
                    world.order(OrderType::Waiver, |order| order.end_date = Some(end)).as_str().into()
                });
                let pond = world.pond_for(place, species, LifeStage::Adult, 1);
                world.settle_in(animal, place, pond);
                let unit_id = world.units[place][pond].id.as_str().into();
                let body = Housing {
                    event: HousingEvent::Housed,
                    units: vec![HousedIn { unit_id, individual_count: 1 }],
                    stay: Some(if ordered { Stay::Long } else { Stay::Stabilise }),
                    order_number,
                };
                let when = world.when(place, 12, 20);
                let housing = world.tell(animal, place, when, Body::Housing(body));
                script.records.push(housing);
            }
            // Three days: the common length of the rule.
            3 if !ordered => {
                let records = script.records.clone();
                self.plant(world, "stabilising-too-long", &[place], Some(species), records, None);
            }
            6 if ordered => {
                let records = script.records.clone();
                let root =
                    self.plant(world, "stay-beyond-order", &[place], Some(species), records.clone(), None);
                self.plant(world, "stay-under-order", &[place], Some(species), records, Some(root));
            }
            _ => {}
        }
    }
}

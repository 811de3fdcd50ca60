//! Plots of papers: an order that stays a word, one that nobody wrote, a death by order without one,
//! custody lifted on nobody's word.

use haulout_schemas::Body;
use haulout_schemas::records::authority::{OrderForm, OrderType};
use haulout_schemas::records::ending::{DeathEnd, MortalityEvent};
use haulout_schemas::records::keeping::{CustodyEvent, Forbidden, HousedIn, Housing, HousingEvent};
use haulout_schemas::vocabulary::{DeathWhen, LifeStage, Stay};

use super::{Faults, Script, kind};
use crate::blank::{custody, mortality, order};
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[ROOMED, DESTROYED, LIFTED];

const ROOMED: &str = "Cyclemys gemeli";
const DESTROYED: &str = "Pangshura sylhetensis";
const LIFTED: &str = "Melanochelys trijuga";

impl Faults {
    /// The authority telephones, and never writes.
    pub(super) fn only_spoken(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let place = script.centre(0);
        match step {
            0 => {
                let number = world.paper('O');
                let mut body = order(&number, OrderType::TakeIn);
                body.form = OrderForm::Verbal;
                body.party_ids = vec![world.basin.places[place].id.as_str().into()];
                body.text = Some("Take in what the fishermen bring.".to_owned());
                let when = world.desk.on(world.night);
                let spoken = world.tell_of_office(world.basin.authority, when, Body::Order(body));
                script.records.push(spoken);
            }
            // Three days' grace: the common length of the rule.
            3 => {
                self.plant(world, "order-not-in-writing", &[place], None, script.records.clone(), None);
            }
            _ => {}
        }
    }

    /// An animal is housed under an order whose number nobody issued.
    pub(super) fn unknown_order(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(1), kind(ROOMED));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            1 => {
                let pond = world.pond_for(place, species, LifeStage::Adult, 1);
                world.settle_in(script.animals[0], place, pond);
                let unit_id = world.units[place][pond].id.as_str().into();
                let body = Housing {
                    event: HousingEvent::Housed,
                    units: vec![HousedIn { unit_id, individual_count: 1 }],
                    stay: Some(Stay::Long),
                    order_number: Some(format!("MA-O-LOST-{}", script.base).into()),
                };
                let when = world.when(place, 10, 0);
                let housing = world.tell(script.animals[0], place, when, Body::Housing(body));
                script.records.push(housing);
            }
            // Known from its first day on; unknown after a week.
            8 => {
                let records = script.records.clone();
                let root =
                    self.plant(world, "order-not-known", &[place], Some(species), records.clone(), None);
                self.plant(world, "stay-under-order", &[place], Some(species), records, Some(root));
            }
            _ => {}
        }
    }

    /// A death is booked as by order, and no order is named.
    pub(super) fn no_order(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(DESTROYED));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            4 => {
                let animal = script.animals[0];
                let mut body = mortality(MortalityEvent::Death, 1);
                body.when = Some(DeathWhen::InCare);
                body.life_stage = Some(LifeStage::Adult);
                body.end = Some(DeathEnd::DestroyedByOrder);
                let when = world.desk.on(world.night);
                let death = world.tell(animal, place, when, Body::Mortality(body));
                world.plan_necropsy(animal, place, 1, death.clone());
                world.lessen(animal, 1);
                self.plant(world, "destruction-without-order", &[place], Some(species), vec![death], None);
            }
            _ => {}
        }
    }

    /// Case property is called free by the centre that keeps it.
    pub(super) fn lifted_alone(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(5), kind(LIFTED));
        match step {
            0 => {
                let (lot, _) = world.reserved_arrival(place, species, 3, false, |_| ());
                script.animals.push(lot);
                let number = world.number(world.basin.authority, 'C');
                script.permit = format!("C-{number:04}");
                let mut body = custody(CustodyEvent::Bound, &script.permit);
                body.forbids = vec![Forbidden::Movement, Forbidden::Release];
                let when = world.when(place, 13, 0);
                world.tell(lot, place, when, Body::Custody(body));
            }
            6 => {
                let body = custody(CustodyEvent::Lifted, &script.permit);
                let when = world.when(place, 12, 0);
                let lifted = world.tell(script.animals[0], place, when, Body::Custody(body));
                self.plant(
                    world,
                    "custody-lifted-without-order",
                    &[place],
                    Some(species),
                    vec![lifted],
                    None,
                );
            }
            _ => {}
        }
    }
}

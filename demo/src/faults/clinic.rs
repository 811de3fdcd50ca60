//! Plots in the clinic: a drug that turtles do not bear, jaws that stay bound, deaths that come
//! together.

use haulout_schemas::Body;
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::records::health::{BindingSite, DrugRoute, TreatmentEvent};
use haulout_schemas::vocabulary::{DeathWhen, LifeStage};

use super::{Faults, Script, kind};
use crate::blank::{mortality, treatment};
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[DOSED, BOUND, SICK];

const DOSED: &str = "Cyclemys gemeli";
const BOUND: &str = "Crocodylus porosus";
const SICK: &str = "Pangshura smithii";

impl Faults {
    /// A turtle is given what a crocodile would bear.
    pub(super) fn wrong_drug(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(0), kind(DOSED));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            3 => {
                let mut body = treatment(TreatmentEvent::Drug);
                body.drug = Some("Ivermectin".to_owned());
                body.route = Some(DrugRoute::Subcutaneous);
                body.reason = Some("worms".to_owned());
                let when = world.when(place, 9, 0);
                let given = world.tell(script.animals[0], place, when, Body::Treatment(body));
                self.plant(world, "drug-dangerous-to-group", &[place], Some(species), vec![given], None);
            }
            _ => {}
        }
    }

    /// Jaws are bound for an examination, and the band stays on.
    pub(super) fn left_bound(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(5), kind(BOUND));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            2 => {
                let mut body = treatment(TreatmentEvent::BindingOn);
                body.binding_site = Some(BindingSite::Jaws);
                let when = world.when(place, 15, 0);
                let on = world.tell(script.animals[0], place, when, Body::Treatment(body));
                script.records.push(on);
            }
            // A day's grace: the common length of the rule.
            3 => {
                self.plant(world, "bound-too-long", &[place], Some(species), script.records.clone(), None);
            }
            _ => {}
        }
    }

    /// Four of six die within a day.
    pub(super) fn die_together(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(SICK));
        match step {
            0 => {
                let (lot, _) = world.reserved_arrival(place, species, 6, false, |_| ());
                script.animals.push(lot);
            }
            5 => {
                let lot = script.animals[0];
                let mut body = mortality(MortalityEvent::Death, 4);
                body.when = Some(DeathWhen::InCare);
                body.life_stage = Some(LifeStage::Adult);
                let when = world.desk.on(world.night);
                let death = world.tell(lot, place, when, Body::Mortality(body));
                world.plan_necropsy(lot, place, 4, death.clone());
                world.lessen(lot, 4);
                self.plant(world, "deaths-cluster", &[place], Some(species), vec![death], None);
            }
            _ => {}
        }
    }
}

//! Plots of lots and of danger: a guess that stays one, eggs that do not add up, a clutch that is
//! forgotten, a crocodile at large, a bite that nobody looks into.

use haulout_schemas::Body;
use haulout_schemas::records::breeding::ClutchEvent;
use haulout_schemas::records::ending::{Incident, IncidentEvent, IncidentSeverity, LossEvent};
use haulout_schemas::vocabulary::{CountMethod, LifeStage, Stay};

use super::{Faults, Script, kind};
use crate::basin::PlaceIx;
use crate::blank::{clutch, loss};
use crate::stock::{Group, GroupIx, Where};
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[GUESSED, MISCOUNTED, FORGOTTEN, LOOSE, BITER];

const GUESSED: &str = "Pangshura sylhetensis";
const MISCOUNTED: &str = "Batagur baska";
const FORGOTTEN: &str = "Crocodylus porosus";
const LOOSE: &str = "Crocodylus porosus";
const BITER: &str = "Chitra indica";

impl World {
    /// Eggs of a plot stand in a place, and nobody has written of them.
    fn reserved_eggs(&mut self, place: PlaceIx, name: &str, count: u32) -> GroupIx {
        let keeper = self.keeper(place);
        let id = self.coin(keeper, 'E');
        let mut eggs = Group::new(id, false, kind(name), LifeStage::Egg, count);
        eggs.reserved = true;
        self.stock.add(eggs, Where::Place(place), self.night)
    }
}

impl Faults {
    /// A basket full is taken for six, and nobody counts.
    pub(super) fn never_counted(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(1), kind(GUESSED));
        match step {
            0 => {
                let (_, arrival) = world.reserved_arrival(place, species, 6, false, |rescue| {
                    rescue.count_method = CountMethod::Estimated;
                    rescue.low = Some(4);
                    rescue.high = Some(9);
                });
                script.records.push(arrival);
            }
            // A week's grace: the common length of the rule.
            7 => {
                let records = script.records.clone();
                self.plant(world, "lot-never-tallied", &[place], Some(species), records, None);
            }
            _ => {}
        }
    }

    /// Twelve eggs are written down as ten; nine hatch and three fail. So two more are counted than
    /// the books hold, and at last the books hold fewer than none.
    pub(super) fn miscounted_eggs(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(MISCOUNTED));
        match step {
            0 => {
                let eggs = world.reserved_eggs(place, MISCOUNTED, 12);
                script.animals.push(eggs);
                let when = world.when(place, 7, 30);
                let collected =
                    world.tell(eggs, place, when, Body::Clutch(clutch(ClutchEvent::Collected, Some(10))));
                let root =
                    self.plant(world, "eggs-beyond-clutch", &[place], Some(species), vec![collected], None);
                script.unit = root;
                self.plant_difference(world, place, species, Some(root));
                self.part_in_eggs(world, place, species, -2, root);
            }
            6 => {
                let eggs = script.animals[0];
                let day = world.desk.on(world.night);
                let failed = Body::Clutch(clutch(ClutchEvent::Failed, Some(3)));
                let failed = world.tell(eggs, place, day.clone(), failed);
                let keeper = world.keeper(place);
                let id = world.coin(keeper, 'L');
                let mut body = clutch(ClutchEvent::Hatched, Some(9));
                body.hatchlings_lot_id = Some(id.as_str().into());
                let hatched = world.tell(eggs, place, day, Body::Clutch(body));
                world.lessen(eggs, 12);
                let mut young = Group::new(id, false, species, LifeStage::Hatchling, 9);
                young.reserved = true;
                let young = world.stock.add(young, Where::Place(place), world.night);
                let tank = world.pond_for(place, species, LifeStage::Hatchling, 9);
                world.house(young, place, tank, Stay::Long, 20);
                let root = script.unit;
                self.planted[root].day = world.desk.date(world.night).to_string();
                self.planted[root].records.extend([failed.clone(), hatched.clone()]);
                let records = vec![failed, hatched];
                self.plant(world, "balance-below-zero", &[place], Some(species), records, Some(root));
            }
            _ => {}
        }
    }

    /// A clutch laid long ago lies in its box, and nobody writes what became of it.
    pub(super) fn forgotten_clutch(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(0), kind(FORGOTTEN));
        if step != 0 {
            return;
        }
        let eggs = world.reserved_eggs(place, FORGOTTEN, 30);
        let mut body = clutch(ClutchEvent::Collected, Some(30));
        body.tops_marked = Some(true);
        // The latest day by the species data is 95 after laying, and the rule gives two weeks.
        let laid = world.desk.on(world.night - 130);
        body.laid_on = Some(laid);
        let when = world.when(place, 7, 30);
        let collected = world.tell(eggs, place, when, Body::Clutch(body));
        self.plant(world, "clutch-overdue", &[place], Some(species), vec![collected], None);
    }

    /// A large crocodile is out, and stays out.
    pub(super) fn at_large(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(5), kind(LOOSE));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            3 => {
                let animal = script.animals[0];
                let when = world.when(place, 18, 30);
                let lost = loss(LossEvent::Escaped, None, LifeStage::Adult);
                world.tell(animal, place, when.clone(), Body::Loss(lost));
                let body = Incident {
                    event: IncidentEvent::DangerousEscape,
                    severity: IncidentSeverity::NearMiss,
                    people_hurt: Some(0),
                    place: None,
                    measures: Some("Villages warned, banks watched.".to_owned()),
                };
                let incident = world.tell(animal, place, when, Body::Incident(body));
                world.lessen(animal, 1);
                self.plant(world, "dangerous-escape", &[place], Some(species), vec![incident], None);
            }
            _ => {}
        }
    }

    /// A handler lies in hospital, and nobody writes what was done since.
    pub(super) fn not_followed(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(1), kind(BITER));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            2 => {
                let body = Incident {
                    event: IncidentEvent::Bite,
                    severity: IncidentSeverity::Serious,
                    people_hurt: Some(1),
                    place: None,
                    measures: None,
                };
                let when = world.when(place, 9, 30);
                let incident = world.tell(script.animals[0], place, when, Body::Incident(body));
                script.records.push(incident);
            }
            // A week's grace: the common length of the rule.
            9 => {
                let records = script.records.clone();
                self.plant(world, "incident-not-followed", &[place], Some(species), records, None);
            }
            _ => {}
        }
    }
}

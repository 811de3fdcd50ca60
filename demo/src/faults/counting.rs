//! Plots of counting and numbering: one chip on two animals, one overlooked, one lorry told twice,
//! one animal's number given to another, one night posted late.

use haulout_schemas::Body;
use haulout_schemas::records::arrival::{RescueCause, RescueEvent};
use haulout_schemas::records::keeping::MarkingEvent;
use haulout_schemas::vocabulary::{LifeStage, Source, Stay};

use super::{Faults, Script, kind};
use crate::blank::marking;
use crate::desk::{Draft, Subject};
use crate::simulate::arrivals::rescue;
use crate::species;
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[CHIPPED, OVERLOOKED, TOLD_TWICE, MISTAKEN];

const CHIPPED: &str = "Batagur kachuga";
const OVERLOOKED: &str = "Melanochelys trijuga";
const TOLD_TWICE: &str = "Melanochelys tricarinata";
const MISTAKEN: &str = "Chitra indica";

/// Days by which a night is posted later than usual.
const LATE_DAYS: i32 = 12;

impl Faults {
    /// The same number is written down for an animal at each of two centres.
    pub(super) fn one_chip_twice(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (first, second, species) = (script.centre(1), script.centre(3), kind(CHIPPED));
        match step {
            0 => {
                for place in [first, second] {
                    let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                    script.animals.push(animal);
                }
            }
            2 | 4 => {
                let at = usize::from(step == 4);
                let place = [first, second][at];
                let body = marking(MarkingEvent::Applied, &format!("96509{:010}", 40_000 + script.base));
                let when = world.when(place, 11, 0);
                let record = world.tell(script.animals[at], place, when, Body::Marking(body));
                script.records.push(record);
                if at == 1 {
                    self.plant(
                        world,
                        "mark-in-two-places",
                        &[first, second],
                        Some(species),
                        script.records.clone(),
                        None,
                    );
                }
            }
            _ => {}
        }
    }

    /// One of nine is overlooked in every census to the end.
    pub(super) fn one_overlooked(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(OVERLOOKED));
        match step {
            0 => {
                world.reserved_arrival(place, species, 9, false, |_| ());
            }
            8 => {
                self.overlooked.push((place, species, world.night));
                self.plant_difference(world, place, species, None);
            }
            _ => {}
        }
    }

    /// Two centres were at one seizure, both file it, and nobody links the two: the second one's
    /// books hold twelve that it never saw.
    pub(super) fn told_twice(&mut self, script: &mut Script, step: i32, world: &mut World) {
        if step != 0 {
            return;
        }
        let (holder, helper, species) = (script.centre(0), script.centre(3), kind(TOLD_TWICE));
        let reference = format!("FIR-TWICE-{}", script.base);
        let (_, first) = world.reserved_arrival(holder, species, 12, false, |rescue| {
            rescue.event = RescueEvent::Seizure;
            rescue.source = Source::Trade;
            rescue.cause = Some(RescueCause::Trade);
            rescue.incident_references = vec![reference.as_str().into()];
        });
        let author = world.keeper(helper);
        let lot = world.coin(author, 'L');
        let mut body = rescue(RescueEvent::Seizure, Source::Trade, 12);
        body.cause = Some(RescueCause::Trade);
        body.life_stage = Some(LifeStage::Adult);
        body.incident_references = vec![reference.as_str().into()];
        let when = world.when(helper, 14, 0);
        let second = world.write(Draft {
            author,
            place: Some(helper),
            when,
            subject: Subject::Lot(lot),
            name: Some(species::ALL[species].name),
            body: Body::Rescue(body),
        });
        let root =
            self.plant(world, "reported-twice", &[holder, helper], Some(species), vec![first, second], None);
        self.plant_difference(world, helper, species, Some(root));
        self.part_at_place(world, helper, species, 12, root);
    }

    /// A centre takes in an animal and writes down the number of another one, which stands elsewhere.
    pub(super) fn wrong_number(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (first, second, species) = (script.centre(1), script.centre(0), kind(MISTAKEN));
        match step {
            0 => {
                let (animal, record) = world.reserved_arrival(first, species, 1, true, |_| ());
                script.animals.push(animal);
                script.records.push(record);
            }
            10 => {
                let other = world.reserved_group(second, species, 1, true);
                world.stock.groups[other].id = world.stock.groups[script.animals[0]].id.clone();
                let record = world.tell_arrival(other, second, |_| ());
                script.records.push(record);
                let pond = world.pond_for(second, species, LifeStage::Adult, 1);
                world.house(other, second, pond, Stay::Long, 12);
                self.plant(
                    world,
                    "animal-in-two-places",
                    &[first, second],
                    Some(species),
                    script.records.clone(),
                    None,
                );
            }
            _ => {}
        }
    }

    /// The line is down: one night's file is posted many days late.
    pub(super) fn late_night(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let place = script.centre(0);
        if step == 0 {
            let keeper = world.keeper(place);
            world.delays.insert((keeper, world.night), LATE_DAYS);
        } else if step == 1
            && let Some(census) = world.last_census[place].clone()
        {
            let fault = self.plant(world, "night-late", &[place], None, vec![census], None);
            self.planted[fault].day = world.desk.date(world.night - 1).to_string();
        }
    }
}

//! Plot of a disease that a necropsy names, in a pond that others share.

use haulout_schemas::records::ending::{CauseOfDeath, MortalityEvent};
use haulout_schemas::vocabulary::{DeathWhen, LifeStage, Stay};
use haulout_schemas::{Body, RecordRef};

use super::{Faults, Script, kind};
use crate::basin::PlaceIx;
use crate::blank::mortality;
use crate::simulate::agenda::{Carcass, Task};
use crate::species;
use crate::stock::GroupIx;
use crate::world::World;

/// Species of this plot.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[ILL];

const ILL: &str = "Batagur baska";

impl Faults {
    /// Four of a lot die within a day and are opened on it; the agent is named. One animal and another
    /// lot came into the same pond the day after them.
    pub(super) fn ill_in_company(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(0), kind(ILL));
        match step {
            0 => script.comes_to_pond(world, place, 6, false),
            1 => {
                script.comes_to_pond(world, place, 1, true);
                script.comes_to_pond(world, place, 3, false);
            }
            6 => {
                let ill = script.animals[0];
                let (death, necropsy) = die_and_name_it(world, ill, place);
                let of = |company: usize| {
                    let housed = [script.records[0].clone(), script.records[company].clone()];
                    [death.clone(), necropsy.clone()].into_iter().chain(housed).collect()
                };
                let code = "exposed-to-disease";
                let root = self.plant(world, code, &[place], Some(species), of(1), None);
                // The same disease, of another that was with it, and in the count of the dead.
                self.plant(world, code, &[place], Some(species), of(2), Some(root));
                self.plant(world, "deaths-cluster", &[place], Some(species), vec![death], Some(root));
            }
            _ => {}
        }
    }
}

impl Script {
    /// Some come in and are housed in the one pond of their species; the record of it is kept.
    fn comes_to_pond(&mut self, world: &mut World, place: PlaceIx, count: u32, single: bool) {
        let species = kind(ILL);
        let group = world.reserved_group(place, species, count, single);
        let arrival = world.tell_arrival(group, place, |_| ());
        world.stock.groups[group].arrival = Some(arrival);
        let pond = world.pond_for(place, species, LifeStage::Adult, count);
        let housed = world.house(group, place, pond, Stay::Long, 12);
        self.animals.push(group);
        self.records.push(housed);
    }
}

/// Four die, and the necropsy on the same day finds of what.
fn die_and_name_it(world: &mut World, lot: GroupIx, place: PlaceIx) -> (RecordRef, RecordRef) {
    let when = world.desk.on(world.night);
    let mut body = mortality(MortalityEvent::Death, 4);
    body.when = Some(DeathWhen::InCare);
    body.life_stage = Some(LifeStage::Adult);
    let death = world.tell(lot, place, when.clone(), Body::Mortality(body));
    let mut body = mortality(MortalityEvent::Necropsy, 4);
    body.life_stage = Some(LifeStage::Adult);
    body.death_of = Some(death.clone());
    body.necropsy_done = Some(true);
    body.cause_of_death = Some(CauseOfDeath::Infection);
    body.agent = Some("ranavirus".to_owned());
    body.findings = Some("necrosis of liver and spleen".to_owned());
    let necropsy = world.tell(lot, place, when, Body::Mortality(body));
    let carcass = Carcass {
        place,
        subject: world.stock.groups[lot].subject(),
        name: species::ALL[kind(ILL)].name,
        stage: LifeStage::Adult,
        count: 4,
        death_of: death.clone(),
    };
    world.plan(world.night + 1, Task::Disposal(carcass));
    world.lessen(lot, 4);
    (death, necropsy)
}

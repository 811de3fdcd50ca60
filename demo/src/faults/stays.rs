//! Plots in care: quarantine cut short or never ended, no necropsy, the dead treated, too many in a
//! pond, more than the licence allows.

use haulout_schemas::Body;
use haulout_schemas::RecordRef;
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::records::health::{DrugRoute, Quarantine, QuarantineEvent, TreatmentEvent};
use haulout_schemas::records::keeping::{HousedIn, Housing, HousingEvent};
use haulout_schemas::vocabulary::{DeathWhen, LifeStage, Stay};

use super::{Faults, NARROW_CENTRE, NARROW_LINE, Script, kind};
use crate::basin::PlaceIx;
use crate::blank::{mortality, treatment};
use crate::stock::GroupIx;
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[HURRIED, FORGOTTEN, UNOPENED, MISREAD, CROWDED];

const HURRIED: &str = "Melanochelys tricarinata";
const FORGOTTEN: &str = "Crocodylus porosus";
const UNOPENED: &str = "Batagur baska";
const MISREAD: &str = "Batagur baska";
const CROWDED: &str = "Morenia petersi";

impl World {
    /// An animal of a plot goes into a room built for it, as a batch of its own.
    fn reserved_quarantine(&mut self, group: GroupIx, place: PlaceIx) -> (String, RecordRef) {
        let species = self.stock.groups[group].species;
        let room = self.build_unit(place, species, 3, true, false);
        // Nobody else is ever brought into it.
        self.units[place][room].free_from = i32::MAX;
        self.house(group, place, room, Stay::Quarantine, 15);
        let number = self.number(self.keeper(place), 'B');
        let batch = format!("B{number:04}");
        let body = Quarantine {
            event: QuarantineEvent::Entered,
            batch_id: batch.as_str().into(),
            unit_id: Some(self.units[place][room].id.as_str().into()),
            water_circuit: None,
            days: Some(self.stock.groups[group].kind().quarantine_days()),
            by_veterinarian: None,
            reason: None,
        };
        let when = self.when(place, 16, 0);
        let record = self.tell(group, place, when, Body::Quarantine(body));
        (batch, record)
    }

    /// A death of a plot: told, and nothing planned after it.
    fn reserved_death(&mut self, group: GroupIx, place: PlaceIx) -> RecordRef {
        let mut body = mortality(MortalityEvent::Death, 1);
        body.when = Some(DeathWhen::InCare);
        body.life_stage = Some(LifeStage::Adult);
        let when = self.desk.on(self.night);
        let death = self.tell(group, place, when, Body::Mortality(body));
        self.lessen(group, 1);
        death
    }
}

impl Faults {
    /// Out of quarantine and into a pond after ten days of ninety; the vet's word comes at the end of
    /// them.
    pub(super) fn out_too_early(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(5), kind(HURRIED));
        match step {
            0 => {
                let animal = world.reserved_group(place, species, 1, true);
                world.tell_arrival(animal, place, |_| ());
                let (batch, entered) = world.reserved_quarantine(animal, place);
                script.animals.push(animal);
                script.records.push(entered);
                script.batch = batch;
            }
            10 => {
                let pond = world.pond_for(place, species, LifeStage::Adult, 1);
                world.settle_in(script.animals[0], place, pond);
                let unit_id = world.units[place][pond].id.as_str().into();
                let body = Housing {
                    event: HousingEvent::Housed,
                    units: vec![HousedIn { unit_id, individual_count: 1 }],
                    stay: Some(Stay::Long),
                    order_number: None,
                };
                let when = world.when(place, 10, 0);
                let housing = world.tell(script.animals[0], place, when, Body::Housing(body));
                script.records.push(housing);
                self.plant(world, "quarantine-short", &[place], Some(species), script.records.clone(), None);
            }
            90 => {
                let body = Quarantine {
                    event: QuarantineEvent::Ended,
                    batch_id: script.batch.as_str().into(),
                    unit_id: None,
                    water_circuit: None,
                    days: None,
                    by_veterinarian: Some(true),
                    reason: Some("the ninety days are over".to_owned()),
                };
                let when = world.when(place, 10, 0);
                world.tell(script.animals[0], place, when, Body::Quarantine(body));
            }
            _ => {}
        }
    }

    /// A crocodile's thirty days are over, and no vet ends them.
    pub(super) fn never_ended(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(0), kind(FORGOTTEN));
        match step {
            0 => {
                let animal = world.reserved_group(place, species, 1, true);
                world.tell_arrival(animal, place, |_| ());
                let (_, entered) = world.reserved_quarantine(animal, place);
                script.records.push(entered);
            }
            // Thirty days and a week's grace: the common length of the rule.
            37 => {
                self.plant(
                    world,
                    "quarantine-overdue",
                    &[place],
                    Some(species),
                    script.records.clone(),
                    None,
                );
            }
            _ => {}
        }
    }

    /// A death, and nobody opens the carcass.
    pub(super) fn no_necropsy(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(5), kind(UNOPENED));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            5 => {
                let death = world.reserved_death(script.animals[0], place);
                self.plant(world, "death-without-necropsy", &[place], Some(species), vec![death], None);
            }
            _ => {}
        }
    }

    /// The number of a dead animal is written on a living one's treatment.
    pub(super) fn treated_dead(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(3), kind(MISREAD));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            4 => {
                let death = world.reserved_death(script.animals[0], place);
                world.plan_necropsy(script.animals[0], place, 1, death.clone());
                script.records.push(death);
            }
            10 => {
                let mut body = treatment(TreatmentEvent::Drug);
                body.drug = Some("ceftazidime".to_owned());
                body.route = Some(DrugRoute::Intramuscular);
                body.by_veterinarian = Some(true);
                let when = world.when(place, 9, 0);
                let record = world.tell(script.animals[0], place, when, Body::Treatment(body));
                script.records.push(record);
                self.plant(world, "event-after-death", &[place], Some(species), script.records.clone(), None);
            }
            _ => {}
        }
    }

    /// Seven are put into a tank that is stated for four.
    pub(super) fn crowded(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(CROWDED));
        match step {
            0 => {
                let lot = world.reserved_group(place, species, 7, false);
                world.tell_arrival(lot, place, |_| ());
                let tank = world.build_unit(place, species, 4, false, false);
                script.animals.push(lot);
                script.unit = tank;
                world.settle_in(lot, place, tank);
                let unit_id = world.units[place][tank].id.as_str().into();
                let body = Housing {
                    event: HousingEvent::Housed,
                    units: vec![HousedIn { unit_id, individual_count: 7 }],
                    stay: Some(Stay::Long),
                    order_number: None,
                };
                let when = world.when(place, 12, 0);
                let housing = world.tell(lot, place, when, Body::Housing(body));
                script.records.push(housing);
            }
            // The unit may have been stated once more on the evening before.
            1 => {
                script.records.extend(world.units[place][script.unit].stated.clone());
                let fault =
                    self.plant(world, "unit-overfull", &[place], Some(species), script.records.clone(), None);
                self.planted[fault].day = world.desk.date(world.night - 1).to_string();
            }
            _ => {}
        }
    }

    /// Three, and then four more, of a species of which the licence allows five.
    pub(super) fn beyond_licence(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(NARROW_CENTRE), kind(NARROW_LINE.0));
        match step {
            0 => {
                world.reserved_arrival(place, species, 3, false, |_| ());
            }
            10 => {
                let (_, second) = world.reserved_arrival(place, species, 4, false, |_| ());
                let licence = world.licences[place].1.clone();
                self.plant(world, "licence-exceeded", &[place], Some(species), vec![second, licence], None);
            }
            _ => {}
        }
    }
}

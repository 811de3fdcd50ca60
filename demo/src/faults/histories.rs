//! Plots of histories that cannot be: treated before it came, male and female, scanned in one place
//! only, shorter than it was, signed for too early, elsewhere, or after nights on the road, sent though unfit.

use haulout_schemas::Body;
use haulout_schemas::RecordRef;
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::records::health::{AssessmentEvent, DrugRoute, TreatmentEvent};
use haulout_schemas::records::keeping::MarkingEvent;
use haulout_schemas::records::transfer::{Arrived, Origin, Receipt};
use haulout_schemas::vocabulary::{DeathWhen, Known, LifeStage, Sex};

use super::{Faults, Plot, Script, kind};
use crate::basin::PlaceIx;
use crate::blank::{assessment, marking, mortality, treatment};
use crate::species;
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[EARLY, SEXED, SCANNED, SHRUNK, SENT, UNFIT];

const EARLY: &str = "Morenia petersi";
const SEXED: &str = "Pangshura smithii";
const SCANNED: &str = "Cyclemys gemeli";
const SHRUNK: &str = "Morenia petersi";
const SENT: &str = "Melanochelys trijuga";
const UNFIT: &str = "Nilssonia nigricans";

impl Faults {
    /// A treatment is dated two days before the animal came.
    pub(super) fn treated_before(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(EARLY));
        if step != 0 {
            return;
        }
        let (animal, arrival) = world.reserved_arrival(place, species, 1, true, |_| ());
        let mut body = treatment(TreatmentEvent::Drug);
        body.drug = Some("meloxicam".to_owned());
        body.route = Some(DrugRoute::Intramuscular);
        let when = world.desk.on(world.night - 2);
        let given = world.tell(animal, place, when, Body::Treatment(body));
        self.plant(world, "event-before-arrival", &[place], Some(species), vec![given, arrival], None);
    }

    /// Female when it came, male when it died.
    pub(super) fn both_sexes(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(1), kind(SEXED));
        match step {
            0 => {
                let (animal, arrival) = world.reserved_arrival(place, species, 1, true, |rescue| {
                    rescue.sex = Some(Sex::Female);
                });
                script.animals.push(animal);
                script.records.push(arrival);
            }
            3 => {
                let animal = script.animals[0];
                let mut body = mortality(MortalityEvent::Death, 1);
                body.when = Some(DeathWhen::InCare);
                body.life_stage = Some(LifeStage::Adult);
                body.sex = Some(Sex::Male);
                let when = world.desk.on(world.night);
                let death = world.tell(animal, place, when, Body::Mortality(body));
                world.plan_necropsy(animal, place, 1, death.clone());
                world.lessen(animal, 1);
                script.records.push(death);
                let records = script.records.clone();
                self.plant(world, "sex-contradicted", &[place], Some(species), records, None);
            }
            _ => {}
        }
    }

    /// The reader is held to one limb, and nothing answers.
    pub(super) fn scanned_here_only(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(SCANNED));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            1 => {
                let mut body = marking(MarkingEvent::NoneFound, "");
                body.mark_number = None;
                let when = world.when(place, 11, 0);
                let record = world.tell(script.animals[0], place, when, Body::Marking(body));
                self.plant(world, "unmarked-without-scan", &[place], Some(species), vec![record], None);
            }
            _ => {}
        }
    }

    /// Thirty centimetres when it was first measured, twenty-seven a week later.
    pub(super) fn shorter(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(SHRUNK));
        let length = match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
                return;
            }
            1 => 0.30,
            7 => 0.27,
            _ => return,
        };
        let mut body = assessment(AssessmentEvent::Examination);
        body.lengths_metre = vec![species::ALL[species].taped(length)];
        let when = world.when(place, 10, 30);
        let measured = world.tell(script.animals[0], place, when, Body::Assessment(body));
        script.records.push(measured);
        if step == 7 {
            let records = script.records.clone();
            self.plant(world, "shrinking-length", &[place], Some(species), records, None);
        }
    }

    /// Four are sent from one centre to another: signed for an hour before they left, at a third
    /// centre, or three nights later.
    pub(super) fn strangely_sent(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let species = kind(SENT);
        let (from, to, end, code, nights) = match script.plot {
            Plot::SignedBefore => (0, 1, 1, "received-before-sent", 0),
            Plot::SignedElsewhere => (0, 1, 3, "received-elsewhere", 1),
            _ => (0, 1, 1, "journey-too-long", 3),
        };
        let (from, to, end) = (script.centre(from), script.centre(to), script.centre(end));
        if step == 0 {
            let (lot, _) = world.reserved_arrival(from, species, 4, false, |_| ());
            script.animals.push(lot);
        }
        if step == 2 {
            script.send(world, from, to);
            let journey = script.journey.unwrap_or_default();
            world.consignments[journey].to = end;
        }
        if step == 2 + nights {
            script.arrives(world);
            let hour = if nights == 0 { 20 } else { 3 };
            let receipt = script.sign(world, from, end, hour);
            script.records.push(receipt);
            let records = script.records.clone();
            self.plant(world, code, &[from, end], Some(species), records, None);
        }
    }

    /// The vet says no, and it goes all the same.
    pub(super) fn sent_unfit(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (from, to, species) = (script.centre(1), script.centre(0), kind(UNFIT));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(from, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            1 => {
                let mut body = assessment(AssessmentEvent::Examination);
                body.fit_to_travel = Some(Known::No);
                body.by_veterinarian = Some(true);
                let when = world.when(from, 9, 40);
                let word = world.tell(script.animals[0], from, when, Body::Assessment(body));
                script.records.push(word);
            }
            2 => {
                script.send(world, from, to);
                let records = script.records.clone();
                self.plant(world, "sent-unfit", &[from], Some(species), records, None);
            }
            3 => {
                script.arrives(world);
                script.sign(world, from, to, 3);
            }
            _ => {}
        }
    }
}

impl Script {
    /// The receipt of the plot's lot, all alive, at an hour of tonight.
    fn sign(&self, world: &mut World, from: PlaceIx, to: PlaceIx, hour: u32) -> RecordRef {
        let lot = self.animals[0];
        let line = world.receipt_line(lot, Arrived::Alive, world.stock.groups[lot].count);
        let journey = &world.consignments[self.journey.unwrap_or_default()];
        let body = Receipt {
            consignment_id: journey.id.as_str().into(),
            origin: Origin::Transit,
            origin_id: Some(world.basin.places[from].id.as_str().into()),
            lines: vec![line],
            crates: Vec::new(),
        };
        let when = world.desk.at(world.night, hour, 10);
        world.tell_of_place(to, when, Body::Receipt(body))
    }
}

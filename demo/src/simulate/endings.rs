//! Deaths and their necropsies, losses and returns, incidents.

use haulout_schemas::records::arrival::{CaptureMethod, RescueCause, RescueEvent};
use haulout_schemas::records::authority::OrderType;
use haulout_schemas::records::ending::{
    CauseOfDeath, DeathEnd, DisposalMethod, Incident, IncidentEvent, IncidentSeverity, LossEvent, LostAs,
    Mortality, MortalityEvent, TakenFrom,
};
use haulout_schemas::vocabulary::{DeathWhen, LifeStage, Source};
use haulout_schemas::{Body, RecordRef};

use super::agenda::{Carcass, Task};
use super::arrivals::rescue;
use crate::basin::PlaceIx;
use crate::blank::{loss, mortality};
use crate::desk::{Draft, Subject};
use crate::stock::{GroupIx, Where};
use crate::world::World;

impl World {
    /// What chance does to the animals of a centre in a day: deaths, losses.
    pub(super) fn chances_of_animals(&mut self, place: PlaceIx) {
        for group in self.stock.standing(place) {
            let animal = &self.stock.groups[group];
            if animal.reserved || animal.eggs() || animal.since >= self.night || animal.free_from > self.night
            {
                continue;
            }
            let (count, fresh) =
                (animal.count, self.night - animal.since < 15 && animal.quarantine.is_some());
            let small = animal.stage == LifeStage::Hatchling;
            let hazard = f64::from(count.min(60))
                * if fresh {
                    0.0025
                } else if small {
                    0.0012
                } else {
                    0.0003
                };
            if self.luck.chance(hazard) && self.death_is_no_cluster(group, place) {
                self.die(group, place, 1);
            } else if !fresh && self.at_leisure(group, place) && self.luck.chance(0.0007) {
                self.lose(group, place);
            }
        }
    }

    /// At most two deaths of a species at a centre within four days: more would be a cluster.
    fn death_is_no_cluster(&mut self, group: GroupIx, place: PlaceIx) -> bool {
        let night = self.night;
        let key = (place, self.stock.groups[group].species);
        let nights = self.deaths.entry(key).or_default();
        nights.retain(|other| night - other < 4);
        let may = nights.len() < 2;
        if may {
            nights.push(night);
        }
        may
    }

    /// So many of a group die in care.
    pub(crate) fn die(&mut self, group: GroupIx, place: PlaceIx, count: u32) -> RecordRef {
        let early = self.night - self.stock.groups[group].since <= 1;
        let (stage, sex) = (self.stock.groups[group].stage, self.stock.groups[group].sex);
        let mut body = mortality(MortalityEvent::Death, count);
        body.when = Some(if early { DeathWhen::Within48h } else { DeathWhen::InCare });
        let cause = [
            CauseOfDeath::Infection,
            CauseOfDeath::Trauma,
            CauseOfDeath::Starvation,
            CauseOfDeath::Euthanasia,
        ];
        body.cause_of_death = self.luck.pick(&cause).copied();
        body.life_stage = Some(stage);
        body.sex = sex;
        if self.stock.groups[group].single && self.luck.chance(0.02) {
            let order = self.destruction_order(group);
            body.end = Some(DeathEnd::DestroyedByOrder);
            body.order_number = Some(order.as_str().into());
            body.cause_of_death = Some(CauseOfDeath::Euthanasia);
        }
        let when = self.desk.on(self.night);
        let death = self.tell(group, place, when, Body::Mortality(body));
        self.plan_necropsy(group, place, count, death.clone());
        if self.stock.groups[group].count == count {
            self.end_emptied_quarantine(group, place);
        }
        self.lessen(group, count);
        // What keepers do with a lot by day is dated before an evening's count of its dead.
        self.rest(group, 1);
        death
    }

    fn destruction_order(&mut self, group: GroupIx) -> String {
        let id = self.stock.groups[group].id.clone();
        self.order(OrderType::Destruction, |order| {
            order.organism_ids = vec![id.into()];
            order.text =
                Some("Suffering that cannot be relieved; put to death by a veterinarian.".to_owned());
        })
    }

    /// Plans the necropsy of a group's dead, and the disposal.
    pub(crate) fn plan_necropsy(&mut self, group: GroupIx, place: PlaceIx, count: u32, death_of: RecordRef) {
        let animal = &self.stock.groups[group];
        let carcass = Carcass {
            place,
            subject: animal.subject(),
            name: animal.kind().name,
            stage: animal.stage,
            count,
            death_of,
        };
        let night = self.night + self.luck.days(1, 8);
        self.plan(night, Task::Necropsy(carcass));
    }

    /// The carcass is opened, or it is said why not.
    pub(super) fn necropsy(&mut self, carcass: Carcass) {
        let mut body = mortality(MortalityEvent::Necropsy, carcass.count);
        body.life_stage = Some(carcass.stage);
        body.death_of = Some(carcass.death_of.clone());
        let done = self.luck.chance(0.9);
        body.necropsy_done = Some(done);
        if done {
            body.findings = Some(
                self.luck
                    .word(&[
                        "pneumonia of both lungs",
                        "septicaemia",
                        "shell fracture with peritonitis",
                        "no finding by the naked eye",
                    ])
                    .to_owned(),
            );
        } else {
            body.not_possible_because = Some("too far decomposed".to_owned());
        }
        self.tell_of_carcass(&carcass, body);
        let night = self.night + self.luck.days(1, 3);
        self.plan(night, Task::Disposal(carcass));
    }

    /// The carcass is buried, burnt or kept.
    pub(super) fn disposal(&mut self, carcass: Carcass) {
        let mut body = mortality(MortalityEvent::Disposal, carcass.count);
        body.life_stage = Some(carcass.stage);
        body.death_of = Some(carcass.death_of.clone());
        let ways = [DisposalMethod::Burnt, DisposalMethod::Buried, DisposalMethod::Kept];
        body.disposal_method = self.luck.pick(&ways).copied();
        self.tell_of_carcass(&carcass, body);
    }

    fn tell_of_carcass(&mut self, carcass: &Carcass, body: Mortality) {
        let when = self.desk.on(self.night);
        let author = self.keeper(carcass.place);
        let draft = Draft {
            author,
            place: Some(carcass.place),
            when,
            subject: carcass.subject.clone(),
            name: Some(carcass.name),
            body: Body::Mortality(body),
        };
        self.write(draft);
    }

    /// One of a group escapes, is stolen, or is not to be found.
    fn lose(&mut self, group: GroupIx, place: PlaceIx) {
        let event = match self.luck.weighted(&[5, 1, 3]) {
            0 => LossEvent::Escaped,
            1 => LossEvent::Stolen,
            _ => LossEvent::Missing,
        };
        let stage = self.stock.groups[group].stage;
        let dangerous = {
            let animal = &self.stock.groups[group];
            animal.single && animal.kind().crocodilian && animal.length_m > 1.5 && event == LossEvent::Escaped
        };
        // A dangerous one is looked for until it is found, within a week.
        if dangerous && self.night + 7 > self.desk.last_night() {
            return;
        }
        let when = self.when(place, 18, 30);
        self.tell(group, place, when.clone(), Body::Loss(loss(event, None, stage)));
        if dangerous {
            self.incident(group, place, IncidentEvent::DangerousEscape);
        }
        self.lessen(group, 1);
        self.rest(group, 1);
        let (night, days) = (self.night, self.luck.days(1, 6));
        let lost_as = match event {
            LossEvent::Escaped => LostAs::Escaped,
            LossEvent::Stolen => LostAs::Stolen,
            _ => LostAs::Missing,
        };
        let (single, species) = (self.stock.groups[group].single, self.stock.groups[group].species);
        if dangerous {
            self.plan(night + days, Task::Found(group, place, lost_as));
        } else if event == LossEvent::Escaped && single && self.luck.chance(0.4) {
            if let Some(other) = self.other_centre(place, species) {
                self.plan(night + days, Task::BroughtBack(group, other));
            }
        } else if self.luck.chance(0.6) {
            self.plan(night + days, Task::Found(group, place, lost_as));
        }
    }

    /// The centre finds again what it had lost.
    pub(super) fn found(&mut self, group: GroupIx, place: PlaceIx, lost_as: LostAs) {
        let night = self.night;
        let still = self.stands_still(group, place);
        let animal = &mut self.stock.groups[group];
        if animal.single && animal.at == Where::Gone {
            animal.count = 1;
            animal.free_from = night + 2;
            self.stock.put(group, Where::Place(place), night);
        } else if !animal.single && animal.stands_in(place) && animal.quarantine.is_none() && !still {
            // It joins its lot again, in the lot's unit.
            let unit = animal.unit;
            self.vacate(group);
            self.stock.groups[group].count += 1;
            self.stock.groups[group].unit = unit;
            if let Some(unit) = unit {
                let heads = self.stock.groups[group].count;
                self.units[place][unit].heads += heads;
            }
        } else {
            return;
        }
        self.rest(group, 1);
        let stage = self.stock.groups[group].stage;
        let when = self.when(place, 7, 40);
        self.tell(group, place, when, Body::Loss(loss(LossEvent::Found, Some(lost_as), stage)));
        let animal = &self.stock.groups[group];
        let (species, count) = (animal.species, animal.count);
        let unit = animal.unit.unwrap_or_else(|| self.pond_for(place, species, stage, count));
        self.restate_housing(group, place, Some(unit), 8);
    }

    /// An escaped animal is brought to another centre: back from `escaped`, no new rescue.
    pub(super) fn brought_back(&mut self, group: GroupIx, place: PlaceIx) {
        if self.stock.groups[group].at != Where::Gone {
            return;
        }
        let night = self.night;
        self.stock.groups[group].count = 1;
        self.stock.groups[group].free_from = night + 2;
        self.stock.put(group, Where::Place(place), night);
        let mut body = rescue(RescueEvent::Readmission, Source::Escaped, 1);
        body.cause = Some(RescueCause::Other);
        body.capture_method = Some(CaptureMethod::Brought);
        body.life_stage = Some(self.stock.groups[group].stage);
        body.sex = self.stock.groups[group].sex;
        let when = self.when(place, 13, 0);
        let arrival = self.tell(group, place, when, Body::Rescue(body));
        self.stock.groups[group].arrival = Some(arrival);
        let triage = self.triage(group, place, 13);
        self.treat(group, place, triage, 14);
        self.enter_quarantine(group, place, 17);
    }

    /// A bite, an attack, an escape that may hurt people.
    pub(super) fn incident(&mut self, group: GroupIx, place: PlaceIx, event: IncidentEvent) {
        let severity =
            if self.luck.chance(0.7) { IncidentSeverity::NearMiss } else { IncidentSeverity::Minor };
        let body = Incident {
            event,
            severity,
            people_hurt: Some(u16::from(severity == IncidentSeverity::Minor)),
            place: None,
            measures: Some("Crew called, area closed; local codes followed.".to_owned()),
        };
        let when = self.when(place, 18, 40);
        self.tell(group, place, when, Body::Incident(body));
    }

    /// A death on a journey, posted against the consignment by this end.
    pub(super) fn die_on_the_road(&mut self, group: GroupIx, place: PlaceIx, consignment: &str) -> RecordRef {
        let stage = self.stock.groups[group].stage;
        let mut body = mortality(MortalityEvent::Death, 1);
        body.taken_from = Some(TakenFrom::Transit);
        body.consignment_id = Some(consignment.into());
        body.when = Some(DeathWhen::InTransit);
        body.cause_of_death = Some(CauseOfDeath::Temperature);
        body.life_stage = Some(stage);
        let when = self.desk.on(self.night);
        let death = self.tell(group, place, when, Body::Mortality(body));
        self.plan_necropsy(group, place, 1, death.clone());
        self.stock.lessen(group, 1, self.night);
        death
    }

    /// A carcass: counted as dead, never in the stock.
    pub(super) fn carcass(
        &mut self,
        place: PlaceIx,
        subject: Subject,
        name: &'static str,
        stage: LifeStage,
        death_of: RecordRef,
    ) {
        let night = self.night + self.luck.days(1, 6);
        self.plan(night, Task::Necropsy(Carcass { place, subject, name, stage, count: 1, death_of }));
    }
}

//! From arrival to the end of quarantine: triage, treatment, samples, marks, outlook.

use haulout_schemas::Body;
use haulout_schemas::records::health::{
    AssessmentEvent, BindingSite, BodyCondition, DrugRoute, LaboratoryResult, Quarantine, QuarantineEvent,
    ResultOutcome, SampleType, TreatmentEvent,
};
use haulout_schemas::records::identity::{Determination, DeterminationEvent, DeterminationMethod};
use haulout_schemas::records::keeping::{MarkingEvent, Outlook, OutlookDecision};
use haulout_schemas::vocabulary::{Known, LifeStage, Sex, Stay, Triage};

use super::agenda::Task;
use crate::basin::PlaceIx;
use crate::blank::{assessment, marking, result, treatment};
use crate::desk::{Draft, Subject};
use crate::stock::{Batch, GroupIx};
use crate::world::World;

impl World {
    /// Triage on arrival.
    pub(super) fn triage(&mut self, group: GroupIx, place: PlaceIx, hour: u32) -> Triage {
        let triage = match self.luck.weighted(&[2, 4, 6]) {
            0 => Triage::Red,
            1 => Triage::Yellow,
            _ => Triage::Green,
        };
        let animal = &self.stock.groups[group];
        let (kind, length) = (animal.kind(), animal.length_m);
        let mut body = assessment(AssessmentEvent::Triage);
        body.triage = Some(triage);
        body.body_condition =
            Some(if triage == Triage::Red { BodyCondition::Thin } else { BodyCondition::Good });
        body.lengths_metre = vec![kind.taped(length)];
        body.mass_kilogram = Some(kind.mass_kg(length));
        body.fit_to_travel = Some(if triage == Triage::Red { Known::No } else { Known::Yes });
        body.by_veterinarian = Some(self.luck.chance(0.6));
        if triage != Triage::Green {
            body.injuries = vec![
                self.luck
                    .word(&[
                        "shell crack",
                        "hook in the jaw",
                        "net cuts",
                        "bite wound",
                        "abrasion of the plastron",
                    ])
                    .to_owned(),
            ];
        }
        let when = self.when(place, hour, 25);
        self.tell(group, place, when, Body::Assessment(body));
        triage
    }

    /// First aid, and bindings put on and taken off.
    pub(super) fn treat(&mut self, group: GroupIx, place: PlaceIx, triage: Triage, hour: u32) {
        let large = {
            let animal = &self.stock.groups[group];
            animal.single && animal.kind().crocodilian && animal.length_m > 1.0
        };
        if large {
            for (event, minute) in [(TreatmentEvent::BindingOn, 5), (TreatmentEvent::BindingOff, 50)] {
                let mut body = treatment(event);
                body.binding_site = Some(BindingSite::Jaws);
                let when = self.when(place, hour, minute);
                self.tell(group, place, when, Body::Treatment(body));
            }
        }
        if triage == Triage::Green {
            return;
        }
        let mut drug = treatment(TreatmentEvent::Drug);
        // Drugs and doses of the demo are from memory and no advice.
        let (name, dose, route) = if triage == Triage::Red {
            ("ceftazidime", 20.0, DrugRoute::Intramuscular)
        } else {
            ("meloxicam", 0.2, DrugRoute::Intramuscular)
        };
        drug.drug = Some(name.to_owned());
        drug.dose_milligram_per_kilogram = Some(dose);
        drug.route = Some(route);
        drug.by_veterinarian = Some(true);
        let when = self.when(place, hour, 55);
        self.tell(group, place, when, Body::Treatment(drug));
        if triage == Triage::Red {
            let mut surgery = treatment(TreatmentEvent::Procedure);
            surgery.procedure = Some("wound cleaned and closed".to_owned());
            surgery.by_veterinarian = Some(true);
            let when = self.when(place, hour + 1, 30);
            self.tell(group, place, when, Body::Treatment(surgery));
            let when = self.when(place, hour + 2, 10);
            self.tell(group, place, when, Body::Treatment(treatment(TreatmentEvent::Recovery)));
        }
    }

    /// Into a quarantine room of its own, as a batch of its own.
    pub(super) fn enter_quarantine(&mut self, group: GroupIx, place: PlaceIx, hour: u32) {
        let (species, count) = (self.stock.groups[group].species, self.stock.groups[group].count);
        let room = self.quarantine_room(place, species, count);
        self.house(group, place, room, Stay::Quarantine, hour);
        let number = self.number(self.keeper(place), 'B');
        let batch = format!("B{number:04}");
        let kind = self.stock.groups[group].kind();
        let body = Quarantine {
            event: QuarantineEvent::Entered,
            batch_id: batch.as_str().into(),
            unit_id: Some(self.units[place][room].id.as_str().into()),
            water_circuit: None,
            days: self.luck.chance(0.5).then_some(kind.quarantine_days()),
            by_veterinarian: None,
            reason: None,
        };
        let when = self.when(place, hour, 30);
        self.tell(group, place, when, Body::Quarantine(body));
        self.stock.groups[group].quarantine = Some(Batch { id: batch.clone(), unit: room });
        // Chelonians are let out early on the vet's word; crocodilians at their time.
        let stay = if kind.crocodilian { self.luck.days(30, 36) } else { self.luck.days(32, 75) };
        let night = self.night;
        self.plan(night + stay, Task::EndQuarantine(group));
        if self.luck.chance(0.6) {
            let number = self.number(self.basin.laboratory, 'S');
            let sample = format!("S-{batch}-{number:05}");
            let days = self.luck.days(4, 9);
            self.plan(night + days, Task::Answer(group, place, sample));
        }
        if kind.crocodilian && self.luck.chance(0.1) {
            self.extend_quarantine(group, place);
        }
    }

    fn extend_quarantine(&mut self, group: GroupIx, place: PlaceIx) {
        let body = Quarantine {
            days: Some(45),
            ..self.quarantine_step(
                group,
                place,
                QuarantineEvent::Extended,
                "until the second sample is answered",
            )
        };
        let when = self.when(place, 19, 5);
        self.tell(group, place, when, Body::Quarantine(body));
    }

    fn quarantine_step(
        &self,
        group: GroupIx,
        place: PlaceIx,
        event: QuarantineEvent,
        reason: &str,
    ) -> Quarantine {
        let batch = self.stock.groups[group].quarantine.as_ref();
        Quarantine {
            event,
            batch_id: batch.map_or("B0000", |batch| batch.id.as_str()).into(),
            unit_id: batch.map(|batch| self.units[place][batch.unit].id.as_str().into()),
            water_circuit: None,
            days: None,
            by_veterinarian: Some(true),
            reason: Some(reason.to_owned()),
        }
    }

    /// The laboratory's answer to a sample. A dead animal's sample is answered without naming it.
    pub(super) fn answer(&mut self, group: GroupIx, place: PlaceIx, sample: &str) {
        let animal = &self.stock.groups[group];
        let there = animal.stands_in(place);
        let subject = if there { animal.subject() } else { Subject::Nobody };
        let name = there.then_some(animal.kind().name);
        let collected = self.desk.on(self.night - 3);
        let outcome = match self.luck.weighted(&[14, 1, 1]) {
            0 => ResultOutcome::Negative,
            1 => ResultOutcome::Inconclusive,
            _ => ResultOutcome::NotTestable,
        };
        let sample_type = if self.luck.chance(0.5) { SampleType::Swab } else { SampleType::Blood };
        let agent = self.luck.word(&["ranavirus", "herpesvirus", "Mycoplasma"]).to_owned();
        let body = LaboratoryResult {
            collected: Some(collected),
            agent: Some(agent),
            laboratory_id: Some(self.basin.parties[self.basin.laboratory].id.as_str().into()),
            ..result(sample, sample_type, "polymerase chain reaction", outcome)
        };
        let when = self.desk.on(self.night);
        let author = self.basin.laboratory;
        self.write(Draft { author, place: Some(place), when, subject, name, body: Body::Result(body) });
    }

    /// The vet lets a batch out, into a pond; marks and an outlook follow.
    pub(super) fn end_quarantine(&mut self, group: GroupIx) {
        let Some(place) = self.place_of(group) else { return };
        let Some(batch) = self.stock.groups[group].quarantine.clone() else { return };
        let body = self.quarantine_step(
            group,
            place,
            QuarantineEvent::Ended,
            "two rounds of samples without a finding",
        );
        let when = self.when(place, 9, 10);
        self.tell(group, place, when, Body::Quarantine(body));
        self.stock.groups[group].quarantine = None;
        let (species, stage, count) = {
            let animal = &self.stock.groups[group];
            (animal.species, animal.stage, animal.count)
        };
        let pond = self.pond_for(place, species, stage, count);
        self.house(group, place, pond, Stay::Long, 10);
        self.units[place][batch.unit].free_from = self.night + 3;
        if self.stock.groups[group].single && self.stock.groups[group].mark.is_none() {
            self.determine_sex(group, place);
            self.mark(group, place, None);
        }
        self.rest(group, 1);
        self.consider_release(group, place, 6, 30);
    }

    /// A quarantine that ends because nobody is left in it. Day only, as the death itself.
    pub(crate) fn end_emptied_quarantine(&mut self, group: GroupIx, place: PlaceIx) {
        let Some(batch) = self.stock.groups[group].quarantine.clone() else { return };
        let body = self.quarantine_step(group, place, QuarantineEvent::Ended, "nobody is left in the batch");
        let when = self.desk.on(self.night);
        self.tell(group, place, when, Body::Quarantine(body));
        self.stock.groups[group].quarantine = None;
        self.units[place][batch.unit].free_from = self.night + 3;
    }

    fn determine_sex(&mut self, group: GroupIx, place: PlaceIx) {
        if self.stock.groups[group].sex.is_some() || !self.luck.chance(0.5) {
            return;
        }
        let sex = if self.luck.chance(0.6) { Sex::Female } else { Sex::Male };
        self.stock.groups[group].sex = Some(sex);
        let body = Determination {
            event: DeterminationEvent::Sex,
            individual_count: 1,
            from_scientific_name: None,
            to_scientific_name: None,
            to_lot_id: None,
            life_stage: None,
            sex: Some(sex),
            method: Some(DeterminationMethod::Imaging),
            consignment_id: None,
        };
        let when = self.when(place, 11, 0);
        self.tell(group, place, when, Body::Determination(body));
    }

    /// Marks an animal, today or so many days before the opening.
    pub(crate) fn mark(&mut self, group: GroupIx, place: PlaceIx, night: Option<i32>) {
        let number =
            format!("96500{:010}", u64::from(self.number(self.basin.authority, 'M')) * 7919 % 10_000_000_000);
        let body = marking(MarkingEvent::Applied, &number);
        let when = match night {
            Some(night) => self.desk.on(night),
            None => self.when(place, 11, 20),
        };
        self.tell(group, place, when, Body::Marking(body));
        self.stock.groups[group].mark = Some(number);
    }

    /// Decides what is to become of a group, and plans the release of some.
    pub(super) fn consider_release(&mut self, group: GroupIx, place: PlaceIx, soonest: u32, latest: u32) {
        let animal = &self.stock.groups[group];
        let kind = animal.kind();
        let (single, stage) = (animal.single, animal.stage);
        let decision = if !kind.native {
            OutlookDecision::NeverRelease
        } else {
            match self.luck.weighted(&[6, 2, 1, 1]) {
                0 => OutlookDecision::ReleaseCandidate,
                1 => OutlookDecision::Undecided,
                2 => OutlookDecision::LifelongCare,
                _ => OutlookDecision::BreedingProgramme,
            }
        };
        let body = Outlook {
            decision,
            reason: Some("decided at the weekly round".to_owned()),
            review: None,
            site: None,
            companion_id: None,
        };
        let when = self.when(place, 16, 0);
        self.tell(group, place, when, Body::Outlook(body));
        if decision != OutlookDecision::ReleaseCandidate {
            return;
        }
        let night = self.night + self.luck.days(soonest, latest);
        if single || stage == LifeStage::Hatchling {
            self.plan(night, Task::Certify(group));
        } else if !self.lots_only(place) {
            self.plan(night, Task::NameForRelease(group));
        }
    }
}

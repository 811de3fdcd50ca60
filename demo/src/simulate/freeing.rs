//! Back to the river, and back from it: certificates, releases, sightings, readmissions.

use haulout_schemas::Body;
use haulout_schemas::RecordRef;
use haulout_schemas::envelope::RevisionReason;
use haulout_schemas::event_date::Day;
use haulout_schemas::records::arrival::{CaptureMethod, RescueCause, RescueEvent};
use haulout_schemas::records::freeing::{Release, ReleaseMethod, Sighting};
use haulout_schemas::records::health::AssessmentEvent;
use haulout_schemas::records::keeping::MarkingEvent;
use haulout_schemas::vocabulary::{Known, LifeStage, Source, Vitality};

use super::agenda::Task;
use super::arrivals::rescue;
use crate::basin::PlaceIx;
use crate::blank::{assessment, marking};
use crate::desk::{Draft, Subject};
use crate::stock::{GroupIx, Where};
use crate::world::World;

impl World {
    /// A veterinarian certifies a group before its release; a grown animal is marked first.
    pub(super) fn certify(&mut self, group: GroupIx) {
        let Some(place) = self.place_of(group) else { return };
        let animal = &self.stock.groups[group];
        let hatchlings = !animal.single && animal.stage == LifeStage::Hatchling;
        if !self.at_leisure(group, place) || !(animal.single || hatchlings) || !animal.kind().native {
            return;
        }
        if animal.single && animal.mark.is_none() {
            self.mark(group, place, None);
        }
        let certificate = self.certificate(group, place);
        let (night, days) = (self.night, self.luck.days(1, 3));
        self.rest(group, days + 1);
        self.plan(night + days, Task::Release(group, certificate));
    }

    /// Writes the certificate.
    pub(crate) fn certificate(&mut self, group: GroupIx, place: PlaceIx) -> RecordRef {
        let keeper = self.keeper(place);
        let number = self.number(keeper, 'V');
        let number = format!("{}-V{number:04}", self.basin.parties[keeper].mark);
        let mut body = assessment(AssessmentEvent::Certificate);
        body.certificate_number = Some(number.into());
        body.by_veterinarian = Some(true);
        body.fit_to_travel = Some(Known::Yes);
        body.valid_through = Some(Day(self.desk.date(self.night + 30)));
        let animal = &self.stock.groups[group];
        body.lengths_metre = vec![animal.kind().taped(animal.length_m)];
        let when = self.when(place, 15, 0);
        self.tell(group, place, when, Body::Assessment(body))
    }

    /// The group goes free.
    pub(super) fn release(&mut self, group: GroupIx, certificate: RecordRef) {
        let Some(place) = self.place_of(group) else { return };
        let animal = &self.stock.groups[group];
        let bound = animal.quarantine.is_some() || animal.case.is_some() || self.stands_still(group, place);
        if bound || !animal.stands_in(place) {
            return;
        }
        let (species, count) = (animal.species, animal.count);
        let permit = self.permit_for(place, species, count);
        let mut body = self.release_body(group, place);
        body.permit_number = Some(permit.into());
        body.certificate = Some(certificate);
        let when = self.when(place, 17, 0);
        self.tell(group, place, when, Body::Release(body));
        self.let_go(group);
    }

    /// A release that names the mark, and neither permit nor certificate.
    pub(crate) fn release_body(&mut self, group: GroupIx, place: PlaceIx) -> Release {
        let site = self.somewhere_near(place);
        let animal = &self.stock.groups[group];
        Release {
            individual_count: animal.count,
            life_stage: Some(animal.stage),
            sex: animal.sex,
            permit_number: None,
            certificate: None,
            mark_number: animal.mark.as_deref().map(Into::into),
            method: Some(ReleaseMethod::Direct),
            site: Some(site),
        }
    }

    /// The group is in the river.
    pub(crate) fn let_go(&mut self, group: GroupIx) {
        self.send(group, Where::Gone);
        let animal = &self.stock.groups[group];
        if animal.single && animal.mark.is_some() && !animal.reserved {
            self.at_large.push((group, self.night));
        }
    }

    /// Now and then a released animal is seen, or comes back.
    pub(super) fn returns(&mut self) {
        let night = self.night;
        let ready: Vec<usize> =
            (0..self.at_large.len()).filter(|at| night - self.at_large[*at].1 >= 10).collect();
        let Some(at) = self.luck.pick(&ready).copied() else { return };
        let group = self.at_large[at].0;
        let species = self.stock.groups[group].species;
        let last = u32::try_from(self.basin.centres - 1).unwrap_or(0);
        let place = self.luck.int(0, last) as usize;
        if !self.basin.places[place].keeps.contains(&species) {
            return;
        }
        if self.luck.chance(0.25) {
            self.at_large.remove(at);
            self.readmit(group, place);
        } else if self.luck.chance(0.4) {
            self.sight(group, place);
        }
    }

    fn sight(&mut self, group: GroupIx, place: PlaceIx) {
        let near = self.somewhere_near(place);
        let animal = &self.stock.groups[group];
        let body = Sighting {
            individual_count: 1,
            vitality: Vitality::Alive,
            mark_number: animal.mark.as_deref().map(Into::into),
            life_stage: Some(animal.stage),
            sex: None,
            lengths_metre: Vec::new(),
            place: Some(near),
        };
        let when = self.when(place, 15, 30);
        self.tell(group, place, when, Body::Sighting(body));
    }

    /// Back from `released`: known by its chip at once, or only on the next day's full scan.
    fn readmit(&mut self, group: GroupIx, place: PlaceIx) {
        let night = self.night;
        self.stock.groups[group].count = 1;
        self.stock.put(group, Where::Place(place), night);
        self.stock.groups[group].free_from = night + 3;
        let near = self.somewhere_near(place);
        let animal = &self.stock.groups[group];
        let mut known = rescue(RescueEvent::Readmission, Source::Released, 1);
        known.cause = Some(RescueCause::FishingGear);
        known.capture_method = Some(CaptureMethod::Net);
        known.life_stage = Some(animal.stage);
        known.sex = animal.sex;
        known.place = Some(near);
        if self.lots_only(place) || night >= self.desk.last_night() || self.luck.chance(0.5) {
            let when = self.when(place, 10, 0);
            let arrival = self.tell(group, place, when, Body::Rescue(known));
            self.stock.groups[group].arrival = Some(arrival);
            self.settle_back(group, place);
            return;
        }
        let keeper = self.keeper(place);
        let new_id = self.coin(keeper, 'A');
        let unknown = {
            let mut body = known.clone();
            body.event = RescueEvent::FromWild;
            body.source = Source::Wild;
            body
        };
        known.local_id = Some(new_id.as_str().into());
        let when = self.when(place, 10, 0);
        let old_id = self.stock.groups[group].id.clone();
        let name = self.stock.groups[group].kind().name;
        let draft = Draft {
            author: keeper,
            place: Some(place),
            when,
            subject: Subject::Animal(new_id),
            name: Some(name),
            body: Body::Rescue(unknown),
        };
        let written = self.desk.write_plain(&self.basin, draft);
        self.stock.groups[group].arrival = Some(written.reference.clone());
        self.desk.revise_framed(
            &written,
            &Body::Rescue(known),
            RevisionReason::NewKnowledge,
            night + 1,
            |envelope| {
                envelope.organism_id = Some(old_id.into());
            },
        );
        self.plan(night + 1, Task::SettleBack(group, place));
    }

    /// The chip is read; then the round of every arrival.
    pub(super) fn settle_back(&mut self, group: GroupIx, place: PlaceIx) {
        if !self.stock.groups[group].stands_in(place) {
            return;
        }
        if let Some(number) = self.stock.groups[group].mark.clone() {
            let mut read = marking(MarkingEvent::Read, &number);
            read.full_body_scan = Some(true);
            let when = self.when(place, 11, 0);
            self.tell(group, place, when, Body::Marking(read));
        }
        let triage = self.triage(group, place, 11);
        self.treat(group, place, triage, 12);
        self.enter_quarantine(group, place, 16);
    }
}

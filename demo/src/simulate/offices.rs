//! What the authority and the coordination write: permits with balances, orders, cases, roads.

use chrono::Datelike;
use haulout_schemas::envelope::RevisionReason;
use haulout_schemas::event_date::Day;
use haulout_schemas::records::authority::{Order, OrderForm, OrderType, Permit as PermitBody, PermitType};
use haulout_schemas::records::keeping::{Custody, CustodyEvent, Forbidden};
use haulout_schemas::records::standing::{Readiness, ReadinessEvent, Route, RouteStatus};
use haulout_schemas::{Body, RecordRef};

use super::agenda::Task;
use super::season;
use crate::basin::PlaceIx;
use crate::blank::{custody, order, readiness};
use crate::desk::{Draft, Subject};
use crate::species::{self, SpeciesIx};
use crate::stock::GroupIx;
use crate::world::World;

/// A release permit and what is left of it.
pub(crate) struct Permit {
    pub number: String,
    pub species: SpeciesIx,
    pub reach: usize,
    pub left: u32,
    pub through: i32,
}

/// A case, and the lots that are its property.
pub(crate) struct Case {
    pub number: String,
    pub lots: Vec<String>,
    /// The leave under which they may move.
    pub leave: String,
    pub reach: usize,
}

impl World {
    /// Identifiers of the centres of a reach.
    pub(crate) fn centres_of(&self, reach: usize) -> Vec<String> {
        let centres = self.basin.places.iter().take(self.basin.centres);
        centres.filter(|place| place.reach == reach).map(|place| place.id.clone()).collect()
    }

    /// A permit under which so many of a species may be released here today; the authority issues
    /// another when the last one is nearly used up.
    pub(super) fn permit_for(&mut self, place: PlaceIx, species: SpeciesIx, count: u32) -> String {
        let (reach, night) = (self.basin.places[place].reach, self.night);
        let found = self.permits.iter_mut().find(|permit| {
            permit.species == species
                && permit.reach == reach
                && permit.left >= count
                && permit.through >= night
        });
        if let Some(permit) = found {
            permit.left -= count;
            return permit.number.clone();
        }
        let number = self.paper('P');
        let used_before = self.luck.int(0, 8);
        let quantity = count + used_before + self.luck.int(20, 60);
        let through = night + 180;
        self.issue_permit(&number, species, self.centres_of(reach), quantity, used_before, night, through);
        self.permits.push(Permit {
            number: number.clone(),
            species,
            reach,
            left: quantity - used_before - count,
            through,
        });
        number
    }

    /// The authority writes a release permit.
    #[allow(clippy::too_many_arguments, reason = "a permit is just these figures")]
    pub(crate) fn issue_permit(
        &mut self,
        number: &str,
        species: SpeciesIx,
        holders: Vec<String>,
        quantity: u32,
        used_before: u32,
        from: i32,
        through: i32,
    ) -> RecordRef {
        let body = PermitBody {
            permit_number: number.into(),
            permit_type: PermitType::Release,
            species: vec![species::ALL[species].name.into()],
            holder_ids: holders.into_iter().map(Into::into).collect(),
            quantity,
            used_before: Some(used_before),
            site: None,
            valid_from: Some(Day(self.desk.date(from))),
            valid_through: Some(Day(self.desk.date(through))),
        };
        let when = self.desk.on(self.night);
        self.tell_of_office(self.basin.authority, when, Body::Permit(body))
    }

    /// The authority writes an order; its number.
    pub(crate) fn order(&mut self, order_type: OrderType, say: impl FnOnce(&mut Order)) -> String {
        let number = self.paper('O');
        let mut body = order(&number, order_type);
        body.end_date = Some(Day(self.desk.date(self.night + 30)));
        say(&mut body);
        let when = self.desk.on(self.night);
        self.tell_of_office(self.basin.authority, when, Body::Order(body));
        number
    }

    /// An order given by voice; the next night it stands in writing.
    pub(super) fn order_spoken_then_written(
        &mut self,
        order_type: OrderType,
        about: RecordRef,
        place: PlaceIx,
    ) {
        let number = self.paper('O');
        let mut body = order(&number, order_type);
        body.form = OrderForm::Verbal;
        body.about = Some(about);
        body.party_ids = vec![self.basin.places[place].id.as_str().into()];
        body.end_date = Some(Day(self.desk.date(self.night + 7)));
        body.text = Some("Take in and keep until decided.".to_owned());
        let (when, author) = (self.desk.on(self.night), self.basin.authority);
        let mut written = body.clone();
        written.form = OrderForm::Written;
        let draft = Draft {
            author,
            place: None,
            when,
            subject: Subject::Nobody,
            name: None,
            body: Body::Order(body),
        };
        let spoken = self.desk.write_plain(&self.basin, draft);
        let night = (self.night + 1).min(self.desk.last_night());
        self.desk.revise(&spoken, &Body::Order(written), RevisionReason::PutInWriting, night);
    }

    /// The court lets the animals of a case go: a leave without end, custody lifted where they are.
    pub(super) fn court_day(&mut self, case: usize) {
        let (number, lots, reach) = {
            let case = &self.cases[case];
            (case.number.clone(), case.lots.clone(), case.reach)
        };
        let parties = self.centres_of(reach);
        let leave = self.order(OrderType::Leave, |order| {
            order.case_number = Some(number.as_str().into());
            order.lot_ids = lots.into_iter().map(Into::into).collect();
            order.party_ids = parties.into_iter().map(Into::into).collect();
            order.end_date = None;
            order.allows = vec![Forbidden::Movement, Forbidden::Release, Forbidden::HandingOver];
            order.text = Some("The animals may be moved within the basin and released.".to_owned());
        });
        for place in 0..self.basin.centres {
            for group in self.stock.standing(place) {
                if self.stock.groups[group].case == Some(case) {
                    self.lift_custody(group, place, &number, &leave);
                }
            }
        }
    }

    fn lift_custody(&mut self, group: GroupIx, place: PlaceIx, case: &str, leave: &str) {
        let body = Custody { order_number: Some(leave.into()), ..custody(CustodyEvent::Lifted, case) };
        let when = self.when(place, 12, 0);
        self.tell(group, place, when, Body::Custody(body));
        let night = self.night;
        let animal = &mut self.stock.groups[group];
        animal.case = None;
        animal.leave = Some(leave.to_owned());
        animal.free_from = animal.free_from.max(night + 1);
        if animal.quarantine.is_none() {
            let days = self.luck.days(3, 20);
            self.plan(night + days, Task::NameForRelease(group));
        }
    }

    /// In the monsoon a road is closed now and then; the coordination says so, and when it opens.
    pub(super) fn roads(&mut self) {
        if !season::monsoon(self.desk.date(self.night).month())
            || !self.luck.chance(0.05)
            || self.basin.centres < 2
        {
            return;
        }
        let last = u32::try_from(self.basin.centres - 1).unwrap_or(1);
        let from = self.luck.int(0, last - 1) as usize;
        let until = self.night + self.luck.days(1, 4);
        self.closed.push((from, from + 1, until));
        let until_date = self.desk.on(until);
        let body = Readiness {
            route: Some(Route {
                from_id: self.basin.places[from].id.as_str().into(),
                to_id: self.basin.places[from + 1].id.as_str().into(),
                status: RouteStatus::Closed,
                until: Some(until_date),
                reason: Some("ford under water".to_owned()),
            }),
            ..readiness(ReadinessEvent::Route)
        };
        let when = self.desk.at(self.night, 6, 0);
        self.tell_of_office(self.basin.coordination, when, Body::Readiness(body));
    }
}

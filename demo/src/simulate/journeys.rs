//! On the road: transfers between centres, out of the region and back.

use haulout_schemas::Body;
use haulout_schemas::records::health::AssessmentEvent;
use haulout_schemas::records::transfer::{
    Arrived, Crate, Destination, Dispatch, DispatchLine, Origin, Receipt, ReceiptLine,
};
use haulout_schemas::vocabulary::{Known, LifeStage, Sex};

use super::agenda::Task;
use crate::basin::PlaceIx;
use crate::blank::assessment;
use crate::desk::{Draft, Subject, Written};
use crate::stock::{Group, GroupIx, Where};
use crate::world::World;

/// What happens on a journey, beside nothing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Turn {
    Smooth,
    /// One is dead in the crate.
    DeadOnArrival,
    /// One dies and is posted against the consignment.
    DiedOnTheRoad,
    /// One was left dead on the way; both ends settle it.
    SettledDead,
    /// One got out on the way, nobody saw it; both ends settle it.
    SettledMissing,
    /// One fled before the crew's eyes.
    Fled,
    /// Some are of another species; both ends settle it.
    SettledSpecies,
    /// Some are determined anew against the consignment.
    Determined,
    /// The receiver first overlooks one.
    Overlooked,
    /// The sender first counted one too few.
    SentMore,
    /// Refused at the gate.
    TurnedBack,
    /// A female lays in the crate.
    Laid,
}

/// Animals travelling together.
pub(crate) struct Consignment {
    pub id: String,
    pub from: PlaceIx,
    pub to: PlaceIx,
    pub groups: Vec<GroupIx>,
    pub crates: Vec<Crate>,
    pub turn: Turn,
    /// It arrives in the small hours.
    pub overnight: bool,
    /// The dispatch, where the sender has to revise it, and what it should say.
    pub mending: Option<(Written, Dispatch)>,
}

/// A dispatch without lines.
pub(crate) fn dispatch(consignment: &str, destination: Destination, to: Option<&str>) -> Dispatch {
    Dispatch {
        consignment_id: consignment.into(),
        destination,
        destination_id: to.map(Into::into),
        lines: Vec::new(),
        crates: Vec::new(),
        expected_arrival: None,
        order_number: None,
        permit_number: None,
    }
}

impl World {
    /// Identifier of a journey that the keeper of a place coins.
    pub(crate) fn coin_journey(&mut self, place: PlaceIx) -> String {
        let keeper = self.keeper(place);
        self.coin(keeper, 'T')
    }

    /// Crates of a place, all disinfected.
    pub(super) fn crates(&mut self, place: PlaceIx, number: u32) -> Vec<Crate> {
        let mark = self.basin.parties[self.keeper(place)].mark.clone();
        let first = self.luck.int(1, 40);
        (0..number)
            .map(|k| Crate { crate_id: format!("{mark}-C{:02}", first + k).into(), disinfected: Known::Yes })
            .collect()
    }

    /// A line of a dispatch for a whole group.
    pub(crate) fn dispatch_line(
        &self,
        group: GroupIx,
        from_lot: Option<&str>,
        crate_id: Option<&Crate>,
    ) -> DispatchLine {
        let line = self.line_of(group, self.stock.groups[group].count);
        DispatchLine {
            organism_id: line.organism_id,
            lot_id: line.lot_id,
            from_lot: from_lot.map(Into::into),
            scientific_name: line.scientific_name,
            identification_qualifier: None,
            life_stage: line.life_stage,
            sex: self.stock.groups[group].sex,
            individual_count: line.individual_count,
            crate_id: crate_id.map(|one| one.crate_id.clone()),
        }
    }

    /// A line of a receipt for so many of a group.
    pub(crate) fn receipt_line(&self, group: GroupIx, arrived: Arrived, count: u32) -> ReceiptLine {
        let line = self.line_of(group, count);
        ReceiptLine {
            arrived,
            organism_id: line.organism_id,
            lot_id: line.lot_id,
            scientific_name: line.scientific_name,
            identification_qualifier: None,
            life_stage: line.life_stage,
            sex: self.stock.groups[group].sex,
            individual_count: count,
            documented_count: None,
            local_id: None,
            crate_id: None,
        }
    }

    /// The transfers of a day from a centre.
    pub(super) fn transfers(&mut self, place: PlaceIx) {
        let size = (f64::from(self.options.animals_per_centre) / 60.0).min(8.0);
        for _ in 0..self.luck.times(0.12 * size) {
            self.transfer(place);
        }
        if self.luck.chance(0.012 * size) {
            self.hand_on(place);
        }
        if self.luck.chance(0.02 * size) {
            self.sent_from_outside(place);
        }
    }

    fn some_at_leisure(&mut self, place: PlaceIx) -> Option<GroupIx> {
        let free: Vec<GroupIx> =
            self.stock.standing(place).into_iter().filter(|group| self.at_leisure(*group, place)).collect();
        self.luck.pick(&free).copied()
    }

    fn transfer(&mut self, place: PlaceIx) {
        let Some(chosen) = self.some_at_leisure(place) else { return };
        let species = self.stock.groups[chosen].species;
        let Some(to) = self.other_centre(place, species) else { return };
        if self.luck.chance(0.06) {
            return self.refuse_beforehand(chosen, place, to);
        }
        let count = self.stock.groups[chosen].count;
        let (group, from_lot) = if !self.stock.groups[chosen].single && count > 3 && self.luck.chance(0.7) {
            let keeper = self.keeper(place);
            let id = self.coin(keeper, 'L');
            let number = self.luck.int(2, count - 1);
            let part = self.part(chosen, number, id, false);
            (part, Some(self.stock.groups[chosen].id.clone()))
        } else {
            (chosen, None)
        };
        self.call_fit(chosen, place);
        let overnight = self.luck.chance(0.6);
        let turn = self.turn_of(group, to, from_lot.is_none());
        let order = self.stock.groups[group].leave.clone();
        self.depart(place, to, &[(group, from_lot)], order, turn, overnight);
        if group != chosen {
            self.rest(chosen, 2);
        }
    }

    /// A veterinarian looks at a group in the morning of its journey.
    fn call_fit(&mut self, group: GroupIx, place: PlaceIx) {
        let mut fit = assessment(AssessmentEvent::BeforeTransport);
        fit.fit_to_travel = Some(Known::Yes);
        fit.by_veterinarian = Some(true);
        let when = self.when(place, 9, 40);
        self.tell(group, place, when, Body::Assessment(fit));
    }

    fn turn_of(&mut self, group: GroupIx, to: PlaceIx, whole: bool) -> Turn {
        let animal = &self.stock.groups[group];
        let several = !animal.single && animal.count >= 4;
        let other_kind = animal.mark.is_none()
            && super::groups::alike(animal.species)
                .is_some_and(|other| self.basin.places[to].keeps.contains(&other));
        let lays = animal.single && animal.sex == Some(Sex::Female) && animal.stage == LifeStage::Adult;
        let open = [
            (Turn::Smooth, 30, true),
            (Turn::TurnedBack, 2, whole),
            (Turn::DeadOnArrival, 2, several),
            (Turn::DiedOnTheRoad, 2, several),
            (Turn::SettledDead, 2, several),
            (Turn::SettledMissing, 2, several),
            (Turn::Fled, 1, several),
            (Turn::SettledSpecies, 3, several && other_kind),
            (Turn::Determined, 2, several && other_kind),
            (Turn::Overlooked, 3, several),
            (Turn::SentMore, 2, several),
            (Turn::Laid, 1, lays && animal.kind().nesting.is_some()),
        ];
        let weights: Vec<u32> = open.iter().map(|(_, weight, may)| if *may { *weight } else { 0 }).collect();
        open[self.luck.weighted(&weights)].0
    }

    /// A consignment leaves, today at dusk; it arrives in the small hours of tomorrow, or still today.
    pub(super) fn depart(
        &mut self,
        from: PlaceIx,
        to: PlaceIx,
        groups: &[(GroupIx, Option<String>)],
        order: Option<String>,
        turn: Turn,
        overnight: bool,
    ) {
        let last = self.desk.last_night();
        let by_day = [Turn::Smooth, Turn::DeadOnArrival, Turn::Overlooked, Turn::SentMore];
        // Where a party writes days without hours, two ends of one day could not be told in order.
        let overnight =
            overnight || !by_day.contains(&turn) || self.writes_days(from) || self.writes_days(to);
        let turn = if overnight && self.night + 2 > last { Turn::Smooth } else { turn };
        let id = self.coin_journey(from);
        let to_id = self.basin.places[to].id.clone();
        let mut body = dispatch(&id, Destination::Region, Some(&to_id));
        body.crates = self.crates(from, u32::try_from(groups.len()).unwrap_or(1) + 1);
        for (at, (group, from_lot)) in groups.iter().enumerate() {
            let line = self.dispatch_line(*group, from_lot.as_deref(), body.crates.get(at));
            body.lines.push(line);
        }
        body.order_number = order.map(Into::into);
        let arrival = if overnight { (self.night + 1, 3) } else { (self.night, 20) };
        body.expected_arrival = Some(self.desk.at(arrival.0, arrival.1, 0));
        let when = if overnight { self.when(from, 22, 0) } else { self.when(from, 14, 0) };
        let crates = body.crates.clone();
        let mending = if turn == Turn::SentMore {
            let right = body.clone();
            body.lines[0].individual_count -= 1;
            let draft = self.place_draft(from, when, Body::Dispatch(body));
            Some((self.desk.write_plain(&self.basin, draft), right))
        } else {
            self.tell_of_place(from, when, Body::Dispatch(body));
            None
        };
        let index = self.consignments.len();
        for (group, _) in groups {
            self.send(*group, Where::Road(index));
        }
        let groups = groups.iter().map(|(group, _)| *group).collect();
        self.consignments.push(Consignment { id, from, to, groups, crates, turn, mending, overnight });
        self.under_way.push(index);
        if overnight {
            self.plan(self.night + 1, Task::Arrive(index));
        } else {
            self.arrive(index);
        }
    }

    /// A record of a place about nobody in particular, not yet written.
    pub(crate) fn place_draft(&self, place: PlaceIx, when: haulout_schemas::EventDate, body: Body) -> Draft {
        Draft {
            author: self.keeper(place),
            place: Some(place),
            when,
            subject: Subject::Nobody,
            name: None,
            body,
        }
    }

    /// Out of the region, back to an owner, into a placement, into the authority's hands.
    fn hand_on(&mut self, place: PlaceIx) {
        let Some(group) = self.some_at_leisure(place) else { return };
        let ways = [Destination::Outside, Destination::Owner, Destination::Placement, Destination::Authority];
        let destination = self.luck.pick(&ways).copied().unwrap_or(Destination::Outside);
        self.call_fit(group, place);
        let id = self.coin_journey(place);
        let mut body = dispatch(&id, destination, None);
        body.crates = self.crates(place, 1);
        body.lines = vec![self.dispatch_line(group, None, body.crates.first())];
        let when = self.when(place, 10, 0);
        self.tell_of_place(place, when, Body::Dispatch(body));
        if destination == Destination::Placement && self.stock.groups[group].single {
            let (night, days) = (self.night, self.luck.days(10, 40));
            self.plan(night + days, Task::BackFromPlacement(group, place));
        }
        self.send(group, Where::Gone);
    }

    /// A placement ends.
    pub(super) fn back_from_placement(&mut self, group: GroupIx, place: PlaceIx) {
        self.stock.put(group, Where::Place(place), self.night);
        self.rest(group, 1);
        self.arrive_from_elsewhere(group, place, Origin::Placement);
    }

    /// A centre outside the region sends an animal.
    fn sent_from_outside(&mut self, place: PlaceIx) {
        if self.lots_only(place) {
            return;
        }
        let Some(species) = self.arriving_species(place) else { return };
        let keeper = self.keeper(place);
        let id = self.coin(keeper, 'A');
        let stage = self.some_stage();
        let mut animal = Group::new(id, true, species, stage, 1);
        animal.sex = Some(Sex::Female);
        animal.free_from = self.night + 1;
        let group = self.stock.add(animal, Where::Place(place), self.night);
        self.arrive_from_elsewhere(group, place, Origin::Outside);
    }

    fn arrive_from_elsewhere(&mut self, group: GroupIx, place: PlaceIx, origin: Origin) {
        let body = Receipt {
            consignment_id: self.coin_journey(place).into(),
            origin,
            origin_id: None,
            lines: vec![self.receipt_line(group, Arrived::Alive, 1)],
            crates: self.crates(place, 1),
        };
        let when = self.when(place, 11, 0);
        let receipt = self.tell_of_place(place, when, Body::Receipt(body));
        self.stock.groups[group].arrival = Some(receipt);
        self.triage(group, place, 12);
        self.enter_quarantine(group, place, 14);
    }
}

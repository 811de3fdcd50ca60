//! The other end of a journey: receipts, what was found in the crates, settlements, refusals.

use haulout_schemas::Body;
use haulout_schemas::RecordRef;
use haulout_schemas::envelope::RevisionReason;
use haulout_schemas::records::breeding::{Clutch, ClutchEvent};
use haulout_schemas::records::ending::LossEvent;
use haulout_schemas::records::transfer::{
    Arrived, Destination, Origin, Receipt, ReceiptLine, Refusal, RefusalReason, SettledAs, Settlement,
    SettlementEvent, SettlementLine,
};
use haulout_schemas::vocabulary::{LifeStage, Stay};

use super::agenda::Task;
use super::groups::{alike, determination_of_species};
use super::journeys::{Consignment, Turn, dispatch};
use crate::basin::PlaceIx;
use crate::blank::{clutch, loss};
use crate::desk::{Draft, Subject};
use crate::species;
use crate::stock::{Group, GroupIx, Where};
use crate::world::World;

/// Nights that crates stay with the receiver where they do not go home at once.
const CRATES_KEPT: i32 = 6;

/// A settlement line, with its reason.
pub(crate) fn settled(
    name: &str,
    stage: LifeStage,
    as_what: SettledAs,
    count: i32,
    reason: &str,
) -> SettlementLine {
    SettlementLine {
        scientific_name: name.into(),
        life_stage: Some(stage),
        settled_as: as_what,
        individual_count: count,
        reason: reason.to_owned(),
    }
}

impl World {
    /// A consignment reaches its end.
    pub(super) fn arrive(&mut self, index: usize) {
        self.under_way.retain(|other| *other != index);
        let (from, to, turn) = {
            let journey = &self.consignments[index];
            (journey.from, journey.to, journey.turn)
        };
        let groups = self.consignments[index].groups.clone();
        if turn == Turn::TurnedBack {
            return self.turn_back(index, from, to, &groups);
        }
        let mut lines = Vec::new();
        let mut deaths = Vec::new();
        let mut settle = Vec::new();
        let mut arrived = groups.clone();
        // What befalls the first group; the others travel smoothly.
        if let Some(first) = groups.first().copied() {
            self.befall(index, first, &mut lines, &mut deaths, &mut settle, &mut arrived);
        }
        for group in groups.iter().skip(1) {
            lines.push(self.receipt_line(*group, Arrived::Alive, self.stock.groups[*group].count));
        }
        let receipt = self.tell_receipt(index, from, to, lines);
        for (group, count) in deaths {
            self.plan_necropsy(group, to, count, receipt.clone());
        }
        if !settle.is_empty() {
            self.settle(index, from, to, settle);
        }
        for group in arrived {
            self.take_in(group, to, &receipt);
        }
        if self.luck.chance(0.3) {
            self.crates_home(index);
        } else {
            self.plan(self.night + CRATES_KEPT, Task::CratesHome(index));
        }
    }

    fn tell_receipt(
        &mut self,
        index: usize,
        from: PlaceIx,
        to: PlaceIx,
        lines: Vec<ReceiptLine>,
    ) -> RecordRef {
        let journey = &self.consignments[index];
        let body = Receipt {
            consignment_id: journey.id.as_str().into(),
            origin: Origin::Transit,
            origin_id: Some(self.basin.places[from].id.as_str().into()),
            lines,
            crates: journey.crates.clone(),
        };
        let turn = journey.turn;
        let hour = if journey.overnight { 3 } else { 20 };
        let when = self.when(to, hour, 10);
        let last = self.desk.last_night();
        if turn == Turn::Overlooked && self.night < last {
            let mut wrong = body.clone();
            if let Some(line) = wrong.lines.first_mut() {
                line.individual_count -= 1;
            }
            let draft = self.place_draft(to, when, Body::Receipt(wrong));
            let written = self.desk.write_plain(&self.basin, draft);
            let night = self.night + 1;
            self.desk.revise(&written, &Body::Receipt(body), RevisionReason::Overlooked, night);
            return written.reference;
        }
        if turn == Turn::SentMore
            && let Some((written, right)) = self.consignments[index].mending.take()
        {
            let night = (self.night + 1).min(last);
            self.desk.revise(&written, &Body::Dispatch(right), RevisionReason::Overlooked, night);
        }
        self.tell_of_place(to, when, Body::Receipt(body))
    }

    /// What happened to the first group on the way: its lines, deaths told by the receipt, what is
    /// to be settled.
    fn befall(
        &mut self,
        index: usize,
        group: GroupIx,
        lines: &mut Vec<ReceiptLine>,
        deaths: &mut Vec<(GroupIx, u32)>,
        settle: &mut Vec<SettlementLine>,
        arrived: &mut Vec<GroupIx>,
    ) {
        let (to, turn) = (self.consignments[index].to, self.consignments[index].turn);
        let id = self.consignments[index].id.clone();
        let count = self.stock.groups[group].count;
        let stage = self.stock.groups[group].stage;
        let name = self.stock.groups[group].kind().name;
        let night = self.night;
        match turn {
            Turn::DeadOnArrival => {
                lines.push(self.receipt_line(group, Arrived::Alive, count - 1));
                lines.push(self.receipt_line(group, Arrived::Dead, 1));
                self.stock.lessen(group, 1, night);
                deaths.push((group, 1));
            }
            Turn::DiedOnTheRoad => {
                self.die_on_the_road(group, to, &id);
                lines.push(self.receipt_line(group, Arrived::Alive, count - 1));
            }
            Turn::SettledDead | Turn::SettledMissing => {
                lines.push(self.receipt_line(group, Arrived::Alive, count - 1));
                lines.push(self.receipt_line(group, Arrived::NotInCrate, 1));
                self.stock.lessen(group, 1, night);
                let (what, why) = if turn == Turn::SettledDead {
                    (SettledAs::Dead, "died at the ford, the carcass was left with the ferry post")
                } else {
                    (SettledAs::Missing, "a slat was loose, nobody saw it go")
                };
                settle.push(settled(name, stage, what, 1, why));
            }
            Turn::Fled => {
                let mut body = loss(LossEvent::Escaped, None, stage);
                body.consignment_id = Some(id.as_str().into());
                let when = self.desk.on(night);
                self.tell(group, to, when, Body::Loss(body));
                self.stock.lessen(group, 1, night);
                lines.push(self.receipt_line(group, Arrived::Alive, count - 1));
            }
            Turn::SettledSpecies | Turn::Determined => {
                let Some(right) = alike(self.stock.groups[group].species) else {
                    lines.push(self.receipt_line(group, Arrived::Alive, count));
                    return;
                };
                let others = self.luck.int(1, 2);
                let keeper = self.keeper(to);
                let lot = self.coin(keeper, 'L');
                if turn == Turn::Determined {
                    let mut body =
                        determination_of_species(self.stock.groups[group].species, right, others, stage);
                    body.to_lot_id = Some(lot.as_str().into());
                    body.consignment_id = Some(id.as_str().into());
                    let when = self.desk.on(night);
                    self.tell(group, to, when, Body::Determination(body));
                } else {
                    let many = i32::try_from(others).unwrap_or(1);
                    settle.push(settled(name, stage, SettledAs::Redetermined, many, "seen by daylight"));
                    settle.push(settled(
                        species::ALL[right].name,
                        stage,
                        SettledAs::Redetermined,
                        -many,
                        "seen by daylight",
                    ));
                }
                let part = self.part(group, others, lot, false);
                self.stock.groups[part].species = right;
                lines.push(self.receipt_line(group, Arrived::Alive, count - others));
                lines.push(self.receipt_line(part, Arrived::Alive, others));
                arrived.push(part);
            }
            Turn::SentMore => {
                lines.push(self.receipt_line(group, Arrived::Alive, count - 1));
                lines.push(self.receipt_line(group, Arrived::Extra, 1));
            }
            Turn::Laid => {
                let eggs = self.lay_on_the_road(group, to, &id);
                lines.push(self.receipt_line(group, Arrived::Alive, count));
                lines.push(self.receipt_line(eggs, Arrived::Alive, self.stock.groups[eggs].count));
            }
            Turn::Smooth | Turn::Overlooked | Turn::TurnedBack => {
                lines.push(self.receipt_line(group, Arrived::Alive, count));
            }
        }
    }

    fn lay_on_the_road(&mut self, mother: GroupIx, to: PlaceIx, consignment: &str) -> GroupIx {
        let species = self.stock.groups[mother].species;
        let (low, high) = species::ALL[species].nesting.as_ref().map_or((2, 4), |nesting| nesting.eggs);
        let count = self.luck.int(low, high);
        let keeper = self.keeper(to);
        let id = self.coin(keeper, 'E');
        let eggs = self.stock.add(
            Group::new(id, false, species, LifeStage::Egg, count),
            Where::Place(to),
            self.night,
        );
        let mut body: Clutch = clutch(ClutchEvent::Laid, Some(count));
        body.mother_id = Some(self.stock.groups[mother].id.as_str().into());
        body.consignment_id = Some(consignment.into());
        let when = self.desk.on(self.night);
        self.tell(eggs, to, when, Body::Clutch(body));
        self.plan_hatching(eggs, 0);
        eggs
    }

    /// Both ends agree on the evening of the arrival, by telephone.
    fn settle(&mut self, index: usize, from: PlaceIx, to: PlaceIx, lines: Vec<SettlementLine>) {
        let dead = lines.iter().any(|line| line.settled_as == SettledAs::Dead);
        let id = self.consignments[index].id.clone();
        let body = Settlement {
            event: SettlementEvent::Settled,
            consignment_id: id.as_str().into(),
            lines,
            agrees_to: None,
        };
        let when = self.when(to, 21, 30);
        let settled = self.tell_of_place(to, when, Body::Settlement(body));
        let agreed = Settlement {
            event: SettlementEvent::Agreed,
            consignment_id: id.as_str().into(),
            lines: Vec::new(),
            agrees_to: Some(settled.clone()),
        };
        let when = self.when(from, 21, 50);
        self.tell_of_place(from, when, Body::Settlement(agreed));
        if dead && let Some(group) = self.consignments[index].groups.first().copied() {
            self.plan_necropsy(group, to, 1, settled);
        }
    }

    /// Into the receiver's quarantine; at a point, just there.
    fn take_in(&mut self, group: GroupIx, to: PlaceIx, receipt: &RecordRef) {
        if self.stock.groups[group].count == 0 {
            return;
        }
        let night = self.night;
        self.stock.put(group, Where::Place(to), night);
        let animal = &mut self.stock.groups[group];
        animal.arrival = Some(receipt.clone());
        animal.free_from = animal.free_from.max(night + 1);
        if !animal.eggs() {
            self.triage(group, to, 21);
            self.enter_quarantine(group, to, 22);
        }
    }

    /// The receiver will not have them; the sender signs for its own animals.
    fn turn_back(&mut self, index: usize, from: PlaceIx, to: PlaceIx, groups: &[GroupIx]) {
        let id = self.consignments[index].id.clone();
        let lines =
            groups.iter().map(|group| self.line_of(*group, self.stock.groups[*group].count)).collect();
        let body = Refusal { consignment_id: id.as_str().into(), reason: RefusalReason::NoStaff, lines };
        let when = self.when(to, 3, 0);
        self.tell_of_place(to, when, Body::Refusal(body));
        let lines = groups
            .iter()
            .map(|group| self.receipt_line(*group, Arrived::TurnedBack, self.stock.groups[*group].count))
            .collect();
        let body = Receipt {
            consignment_id: id.into(),
            origin: Origin::Transit,
            origin_id: Some(self.basin.places[from].id.as_str().into()),
            lines,
            crates: self.consignments[index].crates.clone(),
        };
        let when = self.when(from, 7, 0);
        let receipt = self.tell_of_place(from, when, Body::Receipt(body));
        let night = self.night;
        for group in groups {
            self.stock.put(*group, Where::Place(from), night);
            let animal = &mut self.stock.groups[*group];
            animal.arrival = Some(receipt.clone());
            animal.free_from = animal.free_from.max(night + 1);
            let (species, stage, count) = (animal.species, animal.stage, animal.count);
            let pond = self.pond_for(from, species, stage, count);
            self.house(*group, from, pond, Stay::Long, 22);
        }
    }

    /// A place is refused before anything leaves.
    pub(super) fn refuse_beforehand(&mut self, group: GroupIx, from: PlaceIx, to: PlaceIx) {
        let id = self.coin_journey(from);
        let body = Refusal {
            consignment_id: id.into(),
            reason: RefusalReason::NoRoom,
            lines: vec![self.line_of(group, self.stock.groups[group].count)],
        };
        let when = self.when(to, 15, 0);
        self.tell_of_place(to, when, Body::Refusal(body));
    }

    /// The crates go back empty and clean.
    pub(super) fn crates_home(&mut self, index: usize) {
        let Consignment { from, to, .. } = self.consignments[index];
        let crates = self.consignments[index].crates.clone();
        let id = self.coin_journey(to);
        let sender = self.basin.places[from].id.clone();
        let mut body = dispatch(&id, Destination::Region, Some(&sender));
        body.crates = crates.clone();
        let when = self.desk.on(self.night);
        self.tell_of_place(to, when.clone(), Body::Dispatch(body));
        let body = Receipt {
            consignment_id: id.into(),
            origin: Origin::Transit,
            origin_id: Some(self.basin.places[to].id.as_str().into()),
            lines: Vec::new(),
            crates,
        };
        self.tell_of_place(from, when, Body::Receipt(body));
    }

    /// A record about a subject that is no group of the stock.
    pub(super) fn tell_of(
        &mut self,
        place: PlaceIx,
        subject: Subject,
        name: &'static str,
        body: Body,
    ) -> RecordRef {
        let when = self.desk.on(self.night);
        let author = self.keeper(place);
        self.write(Draft { author, place: Some(place), when, subject, name: Some(name), body })
    }
}

//! Plots on the road: a receipt never written, a wrong number, a wrong name, no leave, a settlement
//! that stands alone, dirty crates.

use haulout_schemas::Body;
use haulout_schemas::RecordRef;
use haulout_schemas::records::arrival::{RescueCause, RescueEvent};
use haulout_schemas::records::keeping::{CustodyEvent, Forbidden};
use haulout_schemas::records::transfer::{
    Arrived, Crate, Destination, Origin, Receipt, ReceiptLine, SettledAs, Settlement, SettlementEvent,
};
use haulout_schemas::vocabulary::{Known, LifeStage, Source, Stay};

use super::{Faults, Script, kind};
use crate::basin::PlaceIx;
use crate::blank::custody;
use crate::simulate::journeys::{Consignment, Turn, dispatch};
use crate::simulate::receipts::settled;
use crate::stock::Where;
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[UNRECEIVED, MISCOUNTED, SENT, SEEN, BOUND, SETTLED];

/// Nights since crates were lent that nobody has seen again: more than a quarter.
const SPRING: i32 = 100;

const UNRECEIVED: &str = "Morenia petersi";
const MISCOUNTED: &str = "Cyclemys gemeli";
const SENT: &str = "Pangshura smithii";
const SEEN: &str = "Pangshura sylhetensis";
const BOUND: &str = "Pangshura smithii";
const SETTLED: &str = "Cyclemys gemeli";

impl Script {
    /// The lot of the plot leaves; it arrives on the next night.
    pub(super) fn send(&mut self, world: &mut World, from: PlaceIx, to: PlaceIx) -> RecordRef {
        let group = self.animals[0];
        let id = world.coin_journey(from);
        let to_id = world.basin.places[to].id.clone();
        let mut body = dispatch(&id, Destination::Region, Some(&to_id));
        body.lines = vec![world.dispatch_line(group, None, None)];
        let expected = world.desk.at(world.night + 1, 3, 0);
        body.expected_arrival = Some(expected);
        let when = world.when(from, 21, 0);
        let record = world.tell_of_place(from, when, Body::Dispatch(body));
        let index = world.consignments.len();
        world.send(group, Where::Road(index));
        let groups = vec![group];
        world.consignments.push(Consignment {
            id,
            from,
            to,
            groups,
            crates: Vec::new(),
            turn: Turn::Smooth,
            overnight: true,
            mending: None,
        });
        world.under_way.push(index);
        self.journey = Some(index);
        self.records.push(record.clone());
        record
    }

    /// The lot is there, whatever is written of it.
    pub(super) fn arrives(&self, world: &mut World) -> usize {
        let index = self.journey.unwrap_or_default();
        world.under_way.retain(|other| *other != index);
        let to = world.consignments[index].to;
        world.stock.put(self.animals[0], Where::Place(to), world.night);
        index
    }

    /// The receipt as it was written.
    fn tell_receipt(&mut self, world: &mut World, lines: Vec<ReceiptLine>) {
        let journey = &world.consignments[self.journey.unwrap_or_default()];
        let (from, to) = (journey.from, journey.to);
        let body = Receipt {
            consignment_id: journey.id.as_str().into(),
            origin: Origin::Transit,
            origin_id: Some(world.basin.places[from].id.as_str().into()),
            lines,
            crates: Vec::new(),
        };
        let when = world.when(to, 3, 30);
        let record = world.tell_of_place(to, when, Body::Receipt(body));
        self.records.push(record);
        let group = self.animals[0];
        let (species, count) = (world.stock.groups[group].species, world.stock.groups[group].count);
        let pond = world.pond_for(to, species, LifeStage::Adult, count);
        world.house(group, to, pond, Stay::Long, 9);
    }
}

impl Faults {
    /// Six arrive, and nobody writes the receipt: the receiver counts six that its books do not know.
    pub(super) fn unreceived(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (from, to, species) = (script.centre(0), script.centre(1), kind(UNRECEIVED));
        match step {
            0 => {
                let (lot, _) = world.reserved_arrival(from, species, 6, false, |_| ());
                script.animals.push(lot);
            }
            3 => {
                script.send(world, from, to);
            }
            4 => {
                let journey = script.arrives(world);
                let root = self.plant(
                    world,
                    "consignment-unreceived",
                    &[from, to],
                    Some(species),
                    script.records.clone(),
                    None,
                );
                self.plant_difference(world, to, species, Some(root));
                self.part_at_place(world, to, species, -6, root);
                self.part_on_the_road(world, journey, species, 6, root);
            }
            _ => {}
        }
    }

    /// Eight leave, one gets out on the way, seven are signed for, and nobody settles it.
    pub(super) fn miscounted_journey(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (from, to, species) = (script.centre(1), script.centre(2), kind(MISCOUNTED));
        match step {
            0 => {
                let (lot, _) = world.reserved_arrival(from, species, 8, false, |_| ());
                script.animals.push(lot);
            }
            2 => {
                script.send(world, from, to);
            }
            3 => {
                let journey = script.arrives(world);
                world.lessen(script.animals[0], 1);
                let line = world.receipt_line(script.animals[0], Arrived::Alive, 7);
                script.tell_receipt(world, vec![line]);
                let root = self.plant(
                    world,
                    "consignment-count",
                    &[from, to],
                    Some(species),
                    script.records.clone(),
                    None,
                );
                self.part_on_the_road(world, journey, species, 1, root);
            }
            _ => {}
        }
    }

    /// Five leave under one name and are signed for under another.
    pub(super) fn misnamed(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (from, to, sent, seen) = (script.centre(3), script.centre(0), kind(SENT), kind(SEEN));
        match step {
            0 => {
                let (lot, _) = world.reserved_arrival(from, sent, 5, false, |_| ());
                script.animals.push(lot);
            }
            2 => {
                script.send(world, from, to);
            }
            3 => {
                let journey = script.arrives(world);
                world.stock.groups[script.animals[0]].species = seen;
                let line = world.receipt_line(script.animals[0], Arrived::Alive, 5);
                script.tell_receipt(world, vec![line]);
                let root = self.plant(
                    world,
                    "consignment-species",
                    &[from, to],
                    Some(sent),
                    script.records.clone(),
                    None,
                );
                self.part_on_the_road(world, journey, sent, 5, root);
                self.part_on_the_road(world, journey, seen, -5, root);
            }
            _ => {}
        }
    }

    /// Case property is sent on, and nobody asked for leave.
    pub(super) fn no_leave(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (from, to, species) = (script.centre(5), script.centre(2), kind(BOUND));
        match step {
            0 => {
                let (lot, _) = world.reserved_arrival(from, species, 9, false, |rescue| {
                    rescue.event = RescueEvent::Seizure;
                    rescue.source = Source::Trade;
                    rescue.cause = Some(RescueCause::Trade);
                });
                script.animals.push(lot);
                let number = world.number(world.basin.authority, 'C');
                let mut body = custody(CustodyEvent::Bound, &format!("C-{number:04}"));
                body.forbids = vec![Forbidden::Movement, Forbidden::Release];
                let when = world.when(from, 13, 0);
                let bound = world.tell(lot, from, when, Body::Custody(body));
                script.records.push(bound);
            }
            5 => {
                script.send(world, from, to);
                self.plant(world, "custody-breached", &[from], Some(species), script.records.clone(), None);
            }
            6 => {
                script.arrives(world);
                let line = world.receipt_line(script.animals[0], Arrived::Alive, 9);
                script.tell_receipt(world, vec![line]);
            }
            _ => {}
        }
    }

    /// One of five got out on the way; the receiver settles it, and the sender never agrees.
    pub(super) fn settled_alone(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (from, to, species) = (script.centre(2), script.centre(0), kind(SETTLED));
        match step {
            0 => {
                let (lot, _) = world.reserved_arrival(from, species, 5, false, |_| ());
                script.animals.push(lot);
            }
            2 => {
                script.send(world, from, to);
            }
            3 => {
                let journey = script.arrives(world);
                world.lessen(script.animals[0], 1);
                let line = world.receipt_line(script.animals[0], Arrived::Alive, 4);
                script.tell_receipt(world, vec![line]);
                let name = crate::species::ALL[species].name;
                let reason = "a slat was loose, nobody saw it go";
                let body = Settlement {
                    event: SettlementEvent::Settled,
                    consignment_id: world.consignments[journey].id.as_str().into(),
                    lines: vec![settled(name, LifeStage::Adult, SettledAs::Missing, 1, reason)],
                    agrees_to: None,
                };
                let when = world.when(to, 21, 30);
                let alone = world.tell_of_place(to, when, Body::Settlement(body));
                let places = [from, to];
                self.plant(world, "settlement-unconfirmed", &places, Some(species), vec![alone], None);
            }
            _ => {}
        }
    }

    /// Empty crates go back as they are.
    pub(super) fn dirty_crates(&mut self, script: &mut Script, step: i32, world: &mut World) {
        if step != 0 {
            return;
        }
        let (from, to) = (script.centre(1), script.centre(0));
        let id = world.coin_journey(from);
        let crates = |disinfected| vec![Crate { crate_id: "BORROWED-1".into(), disinfected }];
        let to_id = world.basin.places[to].id.clone();
        let mut body = dispatch(&id, Destination::Region, Some(&to_id));
        body.crates = crates(Known::No);
        let when = world.desk.on(world.night);
        let sent = world.tell_of_place(from, when.clone(), Body::Dispatch(body));
        let body = Receipt {
            consignment_id: id.into(),
            origin: Origin::Transit,
            origin_id: Some(world.basin.places[from].id.as_str().into()),
            lines: Vec::new(),
            crates: crates(Known::Unknown),
        };
        world.tell_of_place(to, when, Body::Receipt(body));
        self.plant(world, "crates-not-disinfected", &[from, to], None, vec![sent], None);
    }

    /// Crates were lent in spring, before the accounts were opened; both ends write it down late, and
    /// one of two has come home.
    pub(super) fn crates_kept(&mut self, script: &mut Script, step: i32, world: &mut World) {
        if step != 0 {
            return;
        }
        let (from, to) = (script.centre(1), script.centre(0));
        let crates = |numbers: &[&str]| {
            let one = |number: &&str| Crate { crate_id: (*number).into(), disinfected: Known::Yes };
            numbers.iter().map(one).collect::<Vec<_>>()
        };
        let ids = [from, to].map(|place| world.basin.places[place].id.clone());
        let signed = |id: &str, origin: usize, crates| Receipt {
            consignment_id: id.into(),
            origin: Origin::Transit,
            origin_id: Some(ids[origin].as_str().into()),
            lines: Vec::new(),
            crates,
        };
        let out = world.coin_journey(from);
        let mut body = dispatch(&out, Destination::Region, Some(&ids[1]));
        body.crates = crates(&["SPRING-1", "SPRING-2"]);
        let when = world.desk.on(world.night - SPRING);
        let sent = world.tell_of_place(from, when.clone(), Body::Dispatch(body));
        let arrived = signed(&out, 0, crates(&["SPRING-1", "SPRING-2"]));
        world.tell_of_place(to, when, Body::Receipt(arrived));
        let home = world.coin_journey(to);
        let mut body = dispatch(&home, Destination::Region, Some(&ids[0]));
        body.crates = crates(&["SPRING-1"]);
        let when = world.desk.on(world.night - SPRING + 9);
        world.tell_of_place(to, when.clone(), Body::Dispatch(body));
        world.tell_of_place(from, when, Body::Receipt(signed(&home, 1, crates(&["SPRING-1"]))));
        self.plant(world, "crates-not-back", &[from, to], None, vec![sent], None);
    }
}

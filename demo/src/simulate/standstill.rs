//! Standstills of single units: declared, changed, lifted; nothing moves meanwhile.

use haulout_schemas::Body;
use haulout_schemas::records::health::{LaboratoryResult, ResultOutcome, SampleType};
use haulout_schemas::records::standing::{Biosecurity, BiosecurityEvent, CapacityEvent, StandstillScope};
use haulout_schemas::vocabulary::Direction;

use super::agenda::Task;
use crate::basin::PlaceIx;
use crate::blank::result;
use crate::desk::{Draft, Subject};
use crate::world::World;

impl World {
    /// Now and then a pond stands still; now and then an empty one is closed for repair.
    pub(super) fn standstills(&mut self, place: PlaceIx) {
        if self.luck.chance(0.004) {
            self.stand_still(place);
        }
        if self.luck.chance(0.004) {
            self.repair(place);
        }
    }

    fn stand_still(&mut self, place: PlaceIx) {
        let night = self.night;
        let found = self.units[place].iter().position(|unit| {
            !unit.quarantine && unit.heads > 0 && unit.still_until < night && unit.moved < night
        });
        let Some(unit) = found else { return };
        let untouched = self.stock.standing(place).iter().all(|group| {
            let animal = &self.stock.groups[*group];
            animal.unit != Some(unit) || (animal.since < night && animal.free_from <= night)
        });
        if !untouched {
            return;
        }
        let until = night + self.luck.days(10, 25);
        self.units[place][unit].still_until = until;
        let number = self.number(self.keeper(place), 'Z');
        let id = format!("Z-{}-{number:03}", self.basin.parties[self.keeper(place)].mark);
        let reason = "two animals off their food, samples sent";
        self.tell_of_standstill(place, unit, &id, BiosecurityEvent::Declared, Direction::Both, reason);
        self.sample_water(place, unit, &id);
        self.plan(until, Task::Lift(place, unit, id));
    }

    /// Lifted after samples without a finding; on the evening of its last day.
    pub(super) fn lift(&mut self, place: PlaceIx, unit: usize, id: &str) {
        self.tell_of_standstill(
            place,
            unit,
            id,
            BiosecurityEvent::Lifted,
            Direction::Both,
            "two rounds without a finding",
        );
    }

    fn tell_of_standstill(
        &mut self,
        place: PlaceIx,
        unit: usize,
        id: &str,
        event: BiosecurityEvent,
        direction: Direction,
        reason: &str,
    ) {
        let body = Biosecurity {
            event,
            standstill_id: id.into(),
            taxa: Vec::new(),
            scope: Some(StandstillScope::Unit),
            unit_id: Some(self.units[place][unit].id.as_str().into()),
            water_circuit: None,
            direction: Some(direction),
            agent: Some("not known".to_owned()),
            effective_from: None,
            reason: Some(reason.to_owned()),
        };
        let when = self.when(place, 20, 0);
        self.tell_of_place(place, when, Body::Biosecurity(body));
    }

    fn sample_water(&mut self, place: PlaceIx, unit: usize, id: &str) {
        let unit = &self.units[place][unit];
        let body = LaboratoryResult {
            agent: Some("Aeromonas".to_owned()),
            unit_id: Some(unit.id.as_str().into()),
            water_circuit: unit.circuit.as_deref().map(Into::into),
            standstill_id: Some(id.into()),
            laboratory_id: Some(self.basin.parties[self.basin.laboratory].id.as_str().into()),
            ..result(&format!("{id}-W"), SampleType::Water, "culture", ResultOutcome::Negative)
        };
        let when = self.desk.on(self.night);
        let author = self.basin.laboratory;
        self.write(Draft {
            author,
            place: Some(place),
            when,
            subject: Subject::Nobody,
            name: None,
            body: Body::Result(body),
        });
    }

    /// An empty unit is closed for a day and stated again.
    fn repair(&mut self, place: PlaceIx) {
        let night = self.night;
        let found = self.units[place]
            .iter()
            .position(|unit| unit.heads == 0 && !unit.quarantine && unit.still_until < night);
        let Some(unit) = found else { return };
        self.close_unit(place, unit);
        self.units[place][unit].still_until = night;
        self.plan(night + 1, Task::Reopen(place, unit));
    }

    fn close_unit(&mut self, place: PlaceIx, unit: usize) {
        let mut body = self.capacity_of(place, unit);
        body.event = CapacityEvent::Closed;
        let when = self.desk.on(self.night);
        self.tell_of_place(place, when, Body::Capacity(body));
    }
}

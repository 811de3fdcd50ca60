//! The daily routine: rounds, food, water, heat, and what a centre can offer tonight.

use chrono::Datelike;
use haulout_schemas::Body;
use haulout_schemas::records::keeping::CareEvent;
use haulout_schemas::records::standing::{Crew, CrewSkill, Readiness, ReadinessEvent, VetLevel};

use super::season;
use crate::basin::PlaceIx;
use crate::blank::{care, readiness};
use crate::luck::{hundredth, thousandth};
use crate::stock::GroupIx;
use crate::world::World;

impl World {
    /// The routine of all centres.
    pub(super) fn routine(&mut self) {
        let month = self.desk.date(self.night).month();
        for place in 0..self.basin.centres {
            self.readiness(place);
            self.rounds(place, month);
            for group in self.stock.standing(place) {
                let animal = &self.stock.groups[group];
                if animal.since >= self.night || animal.eggs() || animal.reserved {
                    continue;
                }
                // An animal known by itself is fed every third day, a lot daily.
                let due = !animal.single || (group + self.night.unsigned_abs() as usize).is_multiple_of(3);
                if due {
                    self.feed(group, place);
                }
            }
        }
    }

    fn feed(&mut self, group: GroupIx, place: PlaceIx) {
        let animal = &self.stock.groups[group];
        let kind = animal.kind();
        let mass = kind.mass_kg(animal.length_m) * f64::from(animal.count);
        // About a hundredth of the mass: only the demo reckons so.
        let ration = mass * if animal.single { 0.03 } else { 0.01 };
        let mut body = care(CareEvent::Feeding);
        body.food = Some(kind.food.to_owned());
        body.food_kilogram = Some(thousandth(ration.clamp(0.005, 900.0)));
        body.unit_id = animal.unit.map(|unit| self.units[place][unit].id.as_str().into());
        let when = self.when(place, 8, 0);
        self.tell(group, place, when, Body::Care(body));
    }

    fn rounds(&mut self, place: PlaceIx, month: u32) {
        for unit in 0..self.units[place].len() {
            if self.units[place][unit].heads == 0 {
                continue;
            }
            let step = (unit + self.night.unsigned_abs() as usize) % 6;
            let mut body = care(match step {
                0 | 3 => CareEvent::Water,
                4 => CareEvent::Heat,
                5 => CareEvent::Enrichment,
                _ => CareEvent::Round,
            });
            body.unit_id = Some(self.units[place][unit].id.as_str().into());
            let celsius = hundredth(season::water_celsius(month) + self.luck.hundredths(0.0, 2.0) - 1.0);
            match body.event {
                CareEvent::Water => {
                    body.water_changed_share = Some(0.2);
                    body.water_celsius = Some(celsius);
                }
                CareEvent::Heat => body.air_celsius = Some(hundredth(celsius + 2.0)),
                _ => {}
            }
            let when = self.when(place, 7, 0);
            self.tell_of_place(place, when, Body::Care(body));
        }
    }

    fn readiness(&mut self, place: PlaceIx) {
        let large = self.basin.places[place].licensed.contains(&"Crocodylidae");
        let mut crews = vec![Crew { skill: CrewSkill::Chelonian, people: 2 }];
        if large {
            let people = if self.luck.chance(0.7) { 4 } else { 2 };
            crews.push(Crew { skill: CrewSkill::LargeCrocodilian, people });
        }
        let levels = [VetLevel::FirstAid, VetLevel::Clinic, VetLevel::Surgery];
        let body = Readiness {
            crews,
            vet_level: self.luck.pick(&levels).copied(),
            vehicle_minutes: Some(self.luck.int(0, 12) * 60),
            crates_free: Some(self.luck.int(4, 60)),
            arrivals_per_day: Some(self.luck.int(20, 80)),
            ..readiness(ReadinessEvent::Tonight)
        };
        let when = self.when(place, 17, 45);
        self.tell_of_place(place, when, Body::Readiness(body));
        // Units are stated anew once a month, a few each day.
        let today = self.night.unsigned_abs() as usize % 30;
        for unit in (0..self.units[place].len()).filter(|unit| unit % 30 == today) {
            if self.units[place][unit].still_until < self.night {
                self.state_capacity(place, unit);
            }
        }
    }
}

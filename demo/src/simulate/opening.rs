//! The day before the first night: licences, units, the opening census of every place.

use chrono::Datelike;
use haulout_schemas::Body;
use haulout_schemas::event_date::Day;
use haulout_schemas::records::authority::{Licence, LicenceLine, LicenceStatus};
use haulout_schemas::records::count::{Census, CensusLine, CensusMethod};
use haulout_schemas::vocabulary::{LifeStage, Sex, Stay};

use super::agenda::Task;
use crate::basin::PlaceIx;
use crate::desk::Subject;
use crate::species;
use crate::stock::{Group, GroupIx, Where};
use crate::world::World;

impl World {
    /// Opens the books of every place.
    pub(super) fn open(&mut self) {
        for place in 0..self.basin.places.len() {
            if place < self.basin.centres {
                self.license(place);
                self.first_units(place);
                self.first_animals(place);
                self.first_clutches(place);
            }
            self.opening_census(place);
        }
    }

    fn license(&mut self, place: PlaceIx) {
        let heads = 1500 + 12 * self.options.animals_per_centre + 8 * self.options.nights;
        let mut lines: Vec<LicenceLine> = self.basin.places[place]
            .licensed
            .iter()
            .map(|name| LicenceLine {
                scientific_name: (*name).into(),
                heads_limit: Some(heads),
                stays: Vec::new(),
            })
            .collect();
        if let Some((name, heads)) = crate::faults::extra_licence_line(self, place) {
            lines.push(LicenceLine {
                scientific_name: name.into(),
                heads_limit: Some(heads),
                stays: Vec::new(),
            });
        }
        let from = self.desk.date(-400);
        let through = self.desk.date(self.desk.last_night() + 900);
        let number = self.paper('L');
        let body = Licence {
            licence_number: number.as_str().into(),
            holder_id: self.basin.places[place].id.as_str().into(),
            status: LicenceStatus::InForce,
            valid_from: Some(Day(from)),
            valid_through: Some(Day(through)),
            lines,
        };
        let when = self.desk.on(0);
        let reference = self.tell_of_office(self.basin.authority, when, Body::Licence(body));
        self.licences.push((number, reference));
    }

    fn first_units(&mut self, place: PlaceIx) {
        let ponds = (self.options.animals_per_centre / 2).max(60);
        for kept in self.basin.places[place].keeps.clone() {
            self.build_unit(place, kept, ponds, false, false);
        }
        for kept in self.basin.places[place].keeps.clone() {
            self.build_unit(place, kept, 3, true, false);
        }
    }

    fn first_animals(&mut self, place: PlaceIx) {
        let keeper = self.keeper(place);
        let mut left = self.options.animals_per_centre;
        while left > 0 {
            let Some(species) = self.arriving_species(place) else { return };
            let stage = self.some_stage();
            let single = !self.lots_only(place) && self.luck.chance(0.75);
            let count = if single { 1 } else { self.luck.int(4, 24).min(left) };
            let id = self.coin(keeper, if single { 'A' } else { 'L' });
            let mut animal = Group::new(id, single, species, stage, count);
            animal.length_m *= f64::from(self.luck.int(92, 108)) / 100.0;
            animal.sex = match (single, self.luck.int(0, 3)) {
                (false, _) => Some(Sex::Mixed),
                (true, 0 | 1) => Some(Sex::Female),
                (true, 2) => Some(Sex::Male),
                (true, _) => None,
            };
            let group = self.stock.add(animal, Where::Place(place), -30);
            let unit = self.pond_for(place, species, stage, count);
            self.house(group, place, unit, Stay::Long, 8);
            if single && self.luck.chance(0.7) {
                let years = self.luck.days(200, 1500);
                self.mark(group, place, Some(-years));
            }
            self.consider_release(group, place, 3, 80);
            left -= count;
        }
    }

    /// Clutches laid before the opening that hatch after it.
    fn first_clutches(&mut self, place: PlaceIx) {
        let keeper = self.keeper(place);
        let opening = self.desk.date(0);
        for kept in self.basin.places[place].keeps.clone() {
            let Some(nesting) = &species::ALL[kept].nesting else { continue };
            for _ in 0..self.luck.int(1, 4) {
                let Some(month) = self.luck.pick(nesting.months).copied() else { continue };
                let day = self.luck.int(1, 28);
                let days = self.luck.days(nesting.days.0, nesting.days.1);
                let year = if month < opening.month() { opening.year() } else { opening.year() - 1 };
                let Some(laid) = chrono::NaiveDate::from_ymd_opt(year, month, day) else { continue };
                let hatch_night = i32::try_from((laid - opening).num_days()).unwrap_or(-9999) + days;
                if hatch_night < 2 || laid >= opening {
                    continue;
                }
                let count = self.luck.int(nesting.eggs.0, nesting.eggs.1);
                let id = self.coin(keeper, 'E');
                let eggs = Group::new(id, false, kept, LifeStage::Egg, count);
                let clutch = self.stock.add(eggs, Where::Place(place), -30);
                self.plan(hatch_night, Task::Hatch(clutch));
            }
        }
    }

    fn opening_census(&mut self, place: PlaceIx) {
        let lines = self.stock.standing(place).iter().map(|group| self.opening_line(*group)).collect();
        let body = Census {
            opening: Some(true),
            method: CensusMethod::HeadCount,
            complete: true,
            unit_id: None,
            lines,
        };
        let when = self.desk.on(0);
        let reference = self.tell_of_place(place, when, Body::Census(body));
        for group in self.stock.standing(place) {
            self.stock.groups[group].arrival = Some(reference.clone());
        }
    }

    fn opening_line(&self, group: GroupIx) -> CensusLine {
        let animal = &self.stock.groups[group];
        let (organism_id, lot_id) = match animal.subject() {
            Subject::Animal(id) => (Some(id.into()), None),
            Subject::Lot(id) => (None, Some(id.into())),
            Subject::Nobody => (None, None),
        };
        CensusLine {
            scientific_name: animal.kind().name.into(),
            life_stage: Some(animal.stage),
            sex: animal.sex,
            organism_id,
            lot_id,
            individual_count: animal.count,
            unit_id: None,
            not_countable: None,
        }
    }
}

//! Eggs and hatchlings: fetched, laid, looked through, hatched; nests left in place.

use chrono::Datelike;
use haulout_schemas::Body;
use haulout_schemas::records::breeding::{ClutchEvent, Incubation, Nest, NestEvent};
use haulout_schemas::vocabulary::{LifeStage, Sex, Stay};

use super::agenda::Task;
use crate::basin::PlaceIx;
use crate::blank::clutch;
use crate::desk::{Draft, Subject};
use crate::species::{self, SpeciesIx};
use crate::stock::{Group, GroupIx, Where};
use crate::world::World;

impl World {
    /// What happens with eggs and nests at a centre in a day.
    pub(super) fn nursery(&mut self, place: PlaceIx) {
        let month = self.desk.date(self.night).month();
        for kept in self.basin.places[place].keeps.clone() {
            let laying =
                species::ALL[kept].nesting.as_ref().is_some_and(|nesting| nesting.months.contains(&month));
            if laying {
                if self.luck.chance(0.018) {
                    self.collect(place, kept);
                }
                if self.luck.chance(0.03) {
                    self.protect_nest(place, kept);
                }
                self.layings(place, kept);
            } else if species::ALL[kept].nesting.is_some() && self.luck.chance(0.001) {
                self.found_hatched(place, kept);
            }
        }
        self.watch_nests(place);
    }

    fn clutch_size(&mut self, species: SpeciesIx) -> u32 {
        let (low, high) = species::ALL[species].nesting.as_ref().map_or((1, 1), |nesting| nesting.eggs);
        self.luck.int(low, high)
    }

    /// A crew takes a clutch that the river would take.
    fn collect(&mut self, place: PlaceIx, species: SpeciesIx) {
        let count = self.clutch_size(species);
        let keeper = self.keeper(place);
        let id = self.coin(keeper, 'E');
        let eggs = self.stock.add(
            Group::new(id, false, species, LifeStage::Egg, count),
            Where::Place(place),
            self.night,
        );
        let mut body = clutch(ClutchEvent::Collected, Some(count));
        body.tops_marked = Some(true);
        let laid = self.desk.on(self.night - 3);
        body.laid_on = Some(laid);
        body.place = Some(self.somewhere_near(place));
        body.nest_depth_metre = Some(self.luck.hundredths(0.15, 0.45));
        body.incubation = Some(if self.luck.chance(0.5) { Incubation::Box } else { Incubation::Burrow });
        let when = self.when(place, 7, 30);
        self.tell(eggs, place, when, Body::Clutch(body));
        self.plan_hatching(eggs, 3);
    }

    /// Plans looking through and hatching; a wild clutch is some days old already.
    pub(super) fn plan_hatching(&mut self, eggs: GroupIx, age: i32) {
        let species = self.stock.groups[eggs].species;
        let Some(nesting) = &species::ALL[species].nesting else { return };
        let night = self.night;
        let days = self.luck.days(nesting.days.0, nesting.days.1);
        self.plan(night + 14, Task::Candle(eggs));
        self.plan(night + (days - age).max(20), Task::Hatch(eggs));
    }

    fn layings(&mut self, place: PlaceIx, species: SpeciesIx) {
        for group in self.stock.standing(place) {
            let animal = &self.stock.groups[group];
            let may = animal.species == species
                && animal.single
                && animal.sex == Some(Sex::Female)
                && animal.stage == LifeStage::Adult
                && self.at_leisure(group, place);
            if may && self.luck.chance(0.004) {
                let mother = self.stock.groups[group].id.clone();
                let count = self.clutch_size(species);
                let keeper = self.keeper(place);
                let id = self.coin(keeper, 'E');
                let eggs = Group::new(id, false, species, LifeStage::Egg, count);
                let eggs = self.stock.add(eggs, Where::Place(place), self.night);
                let mut body = clutch(ClutchEvent::Laid, Some(count));
                body.mother_id = Some(mother.into());
                body.incubation = Some(Incubation::Incubator);
                let when = self.when(place, 6, 40);
                self.tell(eggs, place, when, Body::Clutch(body));
                self.plan_hatching(eggs, 0);
            }
        }
    }

    /// Looked through with a light; a few fail and are taken out.
    pub(super) fn candle(&mut self, eggs: GroupIx) {
        let Some(place) = self.place_of(eggs) else { return };
        let count = self.stock.groups[eggs].count;
        let bad = self.luck.int(0, 2).min(count - 1);
        let mut body = clutch(ClutchEvent::Candled, None);
        body.fertile_count = Some(count - bad);
        let when = self.when(place, 10, 30);
        self.tell(eggs, place, when, Body::Clutch(body));
        if bad > 0 {
            let when = self.when(place, 10, 50);
            self.tell(eggs, place, when, Body::Clutch(clutch(ClutchEvent::Failed, Some(bad))));
            self.lessen(eggs, bad);
        }
    }

    /// The clutch hatches, all but a few; those are taken out the same day.
    pub(super) fn hatch(&mut self, eggs: GroupIx) {
        let Some(place) = self.place_of(eggs) else { return };
        let count = self.stock.groups[eggs].count;
        let species = self.stock.groups[eggs].species;
        let failed = if self.luck.chance(0.05) { count } else { self.luck.int(0, count / 4) };
        let hatched = count - failed;
        let day = self.desk.on(self.night);
        if failed > 0 {
            self.tell(eggs, place, day.clone(), Body::Clutch(clutch(ClutchEvent::Failed, Some(failed))));
        }
        if hatched > 0 {
            let keeper = self.keeper(place);
            let id = self.coin(keeper, 'L');
            let mut body = clutch(ClutchEvent::Hatched, Some(hatched));
            body.hatchlings_lot_id = Some(id.as_str().into());
            self.tell(eggs, place, day, Body::Clutch(body));
            self.hatchlings(place, species, id, hatched);
        }
        self.lessen(eggs, count);
    }

    fn hatchlings(&mut self, place: PlaceIx, species: SpeciesIx, id: String, count: u32) {
        let mut lot = Group::new(id, false, species, LifeStage::Hatchling, count);
        lot.free_from = self.night + 1;
        let lot = self.stock.add(lot, Where::Place(place), self.night);
        let tank = self.pond_for(place, species, LifeStage::Hatchling, count);
        self.house(lot, place, tank, Stay::Long, 20);
        self.consider_release(lot, place, 25, 60);
    }

    /// Hatchlings of a clutch that nobody knew of.
    fn found_hatched(&mut self, place: PlaceIx, species: SpeciesIx) {
        let count = self.luck.int(2, 9);
        let keeper = self.keeper(place);
        let (eggs, lot) = (self.coin(keeper, 'E'), self.coin(keeper, 'L'));
        let mut body = clutch(ClutchEvent::FoundHatched, Some(count));
        body.hatchlings_lot_id = Some(lot.as_str().into());
        self.tell_of(place, Subject::Lot(eggs), species::ALL[species].name, Body::Clutch(body));
        self.hatchlings(place, species, lot, count);
    }

    fn protect_nest(&mut self, place: PlaceIx, species: SpeciesIx) {
        let keeper = self.keeper(place);
        let number = self.number(keeper, 'N');
        let id = format!("{}-N{number:04}", self.basin.parties[keeper].mark);
        let eggs = self.clutch_size(species);
        self.tell_of_nest(place, species, &id, NestEvent::Protected, Some(eggs));
        self.nests.push((place, species, id));
    }

    fn watch_nests(&mut self, place: PlaceIx) {
        let Some(at) = self.nests.iter().position(|(of, _, _)| *of == place) else { return };
        if !self.luck.chance(0.03) {
            return;
        }
        let (_, species, id) = self.nests.remove(at);
        let event = match self.luck.weighted(&[2, 2, 3]) {
            0 => NestEvent::Moved,
            1 => NestEvent::Lost,
            _ => NestEvent::Hatched,
        };
        self.tell_of_nest(place, species, &id, event, None);
    }

    fn tell_of_nest(
        &mut self,
        place: PlaceIx,
        species: SpeciesIx,
        id: &str,
        event: NestEvent,
        count: Option<u32>,
    ) {
        let higher = self.somewhere_near(place);
        let body = Nest {
            event,
            nest_id: id.into(),
            individual_count: count,
            place: Some(self.somewhere_near(place)),
            moved_to: (event == NestEvent::Moved).then_some(higher),
            measure: (event == NestEvent::Protected)
                .then(|| "fenced against dogs, pigs and people".to_owned()),
        };
        let when = self.when(place, 8, 50);
        let author = self.keeper(place);
        let name = Some(species::ALL[species].name);
        self.write(Draft {
            author,
            place: Some(place),
            when,
            subject: Subject::Nobody,
            name,
            body: Body::Nest(body),
        });
    }
}

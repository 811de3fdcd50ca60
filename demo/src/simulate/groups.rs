//! What and which they are: lots split and merged, animals named, species put right, hatchlings grown.

use haulout_schemas::Body;
use haulout_schemas::envelope::SubjectLine;
use haulout_schemas::records::identity::{
    Determination, DeterminationEvent, DeterminationMethod, Link, LinkEvent, Regrouping, RegroupingEvent,
};
use haulout_schemas::vocabulary::{LifeStage, Stay};

use super::agenda::Task;
use crate::basin::PlaceIx;
use crate::desk::Subject;
use crate::species::{self, SpeciesIx};
use crate::stock::{Group, GroupIx, Where};
use crate::world::World;

/// Kinds that are taken for each other, always of one family.
const ALIKE: [(&str, &str); 3] = [
    ("Nilssonia gangetica", "Nilssonia hurum"),
    ("Pangshura tecta", "Pangshura tentoria"),
    ("Hardella thurjii", "Batagur dhongoka"),
];

/// The species that this one is taken for.
pub(super) fn alike(species: SpeciesIx) -> Option<SpeciesIx> {
    let name = species::ALL[species].name;
    ALIKE.iter().find_map(|(a, b)| {
        if name == *a {
            species::named(b)
        } else if name == *b {
            species::named(a)
        } else {
            None
        }
    })
}

impl World {
    /// What the keepers of a centre sort out in a day.
    pub(super) fn regroup(&mut self, place: PlaceIx) {
        for group in self.stock.standing(place) {
            if !self.at_leisure(group, place) {
                continue;
            }
            let animal = &self.stock.groups[group];
            let (lot, count) = (!animal.single, animal.count);
            if lot && animal.stage == LifeStage::Hatchling && self.night - animal.since > 100 {
                self.grow_up(group, place);
            } else if lot && count >= 12 && self.luck.chance(0.01) {
                self.split(group, place);
            } else if lot && self.luck.chance(0.008) {
                self.merge(group, place);
            } else if animal.mark.is_none() && self.luck.chance(0.003) {
                self.put_species_right(group, place);
            }
        }
        if self.luck.chance(0.012) {
            self.not_the_same(place);
        }
    }

    /// A line that names a group and a number of it.
    pub(super) fn line_of(&self, group: GroupIx, count: u32) -> SubjectLine {
        let animal = &self.stock.groups[group];
        let (organism_id, lot_id) = match animal.subject() {
            Subject::Animal(id) => (Some(id.into()), None),
            Subject::Lot(id) => (None, Some(id.into())),
            Subject::Nobody => (None, None),
        };
        SubjectLine {
            organism_id,
            lot_id,
            scientific_name: animal.kind().name.into(),
            life_stage: Some(animal.stage),
            sex: None,
            individual_count: count,
        }
    }

    fn tell_regrouping(
        &mut self,
        place: PlaceIx,
        event: RegroupingEvent,
        from: Vec<SubjectLine>,
        to: Vec<SubjectLine>,
    ) {
        let when = self.when(place, 9, 0);
        self.tell_of_place(place, when, Body::Regrouping(Regrouping { event, from, to }));
    }

    fn split(&mut self, lot: GroupIx, place: PlaceIx) {
        let count = self.stock.groups[lot].count;
        let from = self.line_of(lot, count);
        let keeper = self.keeper(place);
        let id = self.coin(keeper, 'L');
        let unit = self.stock.groups[lot].unit;
        let part = self.part(lot, count / 2, id, false);
        let to = vec![self.line_of(lot, count - count / 2), self.line_of(part, count / 2)];
        self.tell_regrouping(place, RegroupingEvent::Split, vec![from], to);
        self.restate_housing(lot, place, unit, 9);
        self.restate_housing(part, place, unit, 9);
        self.rest(lot, 2);
        self.rest(part, 2);
    }

    fn merge(&mut self, lot: GroupIx, place: PlaceIx) {
        let wanted = self.stock.groups[lot].clone();
        let other = self.stock.standing(place).into_iter().find(|other| {
            let animal = &self.stock.groups[*other];
            *other != lot
                && !animal.single
                && animal.species == wanted.species
                && animal.stage == wanted.stage
                && animal.leave == wanted.leave
                && self.at_leisure(*other, place)
        });
        let Some(other) = other else { return };
        let (a, b) = (wanted.count, self.stock.groups[other].count);
        let from = vec![self.line_of(lot, a), self.line_of(other, b)];
        let keeper = self.keeper(place);
        let id = self.coin(keeper, 'L');
        self.lessen(lot, a);
        self.lessen(other, b);
        let merged = Group { id, count: a + b, at: Where::Gone, unit: None, ..wanted };
        let since = merged.since;
        let whole = self.stock.add(merged, Where::Place(place), self.night);
        self.stock.groups[whole].since = since;
        let to = vec![self.line_of(whole, a + b)];
        self.tell_regrouping(place, RegroupingEvent::Merged, from, to);
        let (species, stage) = (self.stock.groups[whole].species, self.stock.groups[whole].stage);
        let pond = self.pond_for(place, species, stage, a + b);
        self.house(whole, place, pond, Stay::Long, 9);
        self.rest(whole, 2);
        self.consider_release(whole, place, 10, 40);
    }

    /// Animals are named out of a lot and marked, to be certified and released.
    pub(super) fn name_for_release(&mut self, lot: GroupIx) {
        let Some(place) = self.place_of(lot) else { return };
        let animal = &self.stock.groups[lot];
        if animal.single
            || animal.stage == LifeStage::Hatchling
            || !self.at_leisure(lot, place)
            || self.lots_only(place)
        {
            return;
        }
        let (count, unit) = (animal.count, animal.unit);
        let named = count.min(self.luck.int(3, 8));
        let from = vec![self.line_of(lot, count)];
        let mut to = Vec::new();
        if count > named {
            to.push(self.line_of(lot, count - named));
        }
        let keeper = self.keeper(place);
        let mut animals = Vec::new();
        for _ in 0..named {
            let id = self.coin(keeper, 'A');
            let animal = self.part(lot, 1, id, true);
            self.stock.groups[animal].sex = None;
            to.push(self.line_of(animal, 1));
            animals.push(animal);
        }
        self.tell_regrouping(place, RegroupingEvent::Named, from, to);
        self.restate_housing(lot, place, unit, 10);
        let night = self.night;
        for animal in animals {
            self.restate_housing(animal, place, unit, 10);
            self.mark(animal, place, None);
            self.rest(animal, 1);
            let days = self.luck.days(2, 8);
            self.plan(night + days, Task::Certify(animal));
        }
        self.rest(lot, 1);
        if count > named {
            let days = self.luck.days(5, 14);
            self.plan(night + days, Task::NameForRelease(lot));
        }
    }

    /// Chance leaves a group alone for so many days.
    pub(super) fn rest(&mut self, group: GroupIx, days: i32) {
        let until = self.night + days;
        let animal = &mut self.stock.groups[group];
        animal.free_from = animal.free_from.max(until);
    }

    /// A part of a lot, or one animal, turns out to be of another species.
    fn put_species_right(&mut self, group: GroupIx, place: PlaceIx) {
        let Some(right) = alike(self.stock.groups[group].species) else { return };
        if !self.basin.places[place].keeps.contains(&right) {
            return;
        }
        let (single, count, stage) = {
            let animal = &self.stock.groups[group];
            (animal.single, animal.count, animal.stage)
        };
        let part = if single { 1 } else { self.luck.int(1, count.min(3)) };
        let before = self.stock.groups[group].unit;
        let (told, new, to_lot) = if part == count {
            (group, group, None)
        } else {
            let keeper = self.keeper(place);
            let id = self.coin(keeper, 'L');
            (group, self.part(group, part, id.clone(), false), Some(id))
        };
        let body = Determination {
            to_lot_id: to_lot.map(Into::into),
            ..determination_of_species(self.stock.groups[group].species, right, part, stage)
        };
        let when = self.when(place, 9, 0);
        self.tell(told, place, when, Body::Determination(body));
        self.stock.groups[new].species = right;
        if new != group {
            self.restate_housing(group, place, before, 9);
        }
        let pond = self.pond_for(place, right, stage, part);
        self.house(new, place, pond, Stay::Long, 10);
        self.rest(group, 2);
        self.rest(new, 2);
    }

    fn grow_up(&mut self, lot: GroupIx, place: PlaceIx) {
        let (species, count) = (self.stock.groups[lot].species, self.stock.groups[lot].count);
        self.stock.groups[lot].stage = LifeStage::Juvenile;
        self.stock.groups[lot].length_m = species::ALL[species].length_at(LifeStage::Juvenile);
        let body = Determination {
            event: DeterminationEvent::LifeStage,
            individual_count: count,
            from_scientific_name: None,
            to_scientific_name: None,
            to_lot_id: None,
            life_stage: Some(LifeStage::Juvenile),
            sex: None,
            method: Some(DeterminationMethod::Morphology),
            consignment_id: None,
        };
        let when = self.when(place, 9, 0);
        self.tell(lot, place, when, Body::Determination(body));
        let pond = self.pond_for(place, species, LifeStage::Juvenile, count);
        self.house(lot, place, pond, Stay::Long, 10);
        self.consider_release(lot, place, 20, 60);
    }

    /// Two numbers that somebody took for one animal are two animals.
    fn not_the_same(&mut self, place: PlaceIx) {
        let singles: Vec<GroupIx> = self
            .stock
            .standing(place)
            .into_iter()
            .filter(|group| self.stock.groups[*group].single && !self.stock.groups[*group].reserved)
            .collect();
        let (Some(a), Some(b)) = (self.luck.pick(&singles).copied(), self.luck.pick(&singles).copied())
        else {
            return;
        };
        if a == b || self.stock.groups[a].species != self.stock.groups[b].species {
            return;
        }
        let body = Link {
            event: LinkEvent::NotSame,
            counted: None,
            not_counted: None,
            organism_ids: vec![
                self.stock.groups[a].id.as_str().into(),
                self.stock.groups[b].id.as_str().into(),
            ],
            reason: Some("photographs compared: the patterns differ".to_owned()),
        };
        let when = self.desk.on(self.night);
        self.tell_of_office(self.basin.coordination, when, Body::Link(body));
    }
}

/// So many of one species are of another.
pub(super) fn determination_of_species(
    from: SpeciesIx,
    to: SpeciesIx,
    count: u32,
    stage: LifeStage,
) -> Determination {
    Determination {
        event: DeterminationEvent::Species,
        individual_count: count,
        from_scientific_name: Some(species::ALL[from].name.into()),
        to_scientific_name: Some(species::ALL[to].name.into()),
        to_lot_id: None,
        life_stage: Some(stage),
        sex: None,
        method: Some(DeterminationMethod::Morphology),
        consignment_id: None,
    }
}

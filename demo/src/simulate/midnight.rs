//! The close of a day: the census of every place, the true stock beside it, the night's files.

use std::collections::BTreeMap;

use haulout_schemas::Body;
use haulout_schemas::records::count::{Census, CensusLine, CensusMethod};
use haulout_schemas::vocabulary::LifeStage;

use crate::Error;
use crate::basin::{Habit, PlaceIx};
use crate::faults::Faults;
use crate::files::Shelf;
use crate::species::{self, SpeciesIx};
use crate::truth::{Holding, Post, listed};
use crate::world::World;

impl World {
    /// Counts every place, and notes what it really holds.
    pub(super) fn midnight(&mut self, mut faults: Option<&mut Faults>) {
        let night = self.desk.date(self.night).to_string();
        for place in 0..self.basin.places.len() {
            if self.night > 0 {
                self.census(place, faults.as_deref());
            }
            let stock = listed(self.stock.holds(place).into_iter());
            if !stock.is_empty() {
                let place_id = Some(self.basin.places[place].id.clone());
                self.truth.holdings.push(Holding {
                    night: night.clone(),
                    place_id,
                    consignment_id: None,
                    stock,
                });
            }
        }
        if let Some(faults) = &mut faults {
            faults.watch(self);
        }
        for index in &self.under_way {
            let journey = &self.consignments[*index];
            let stock = listed(self.stock.sum(journey.groups.iter().copied()).into_iter());
            if !stock.is_empty() {
                let consignment_id = Some(journey.id.clone());
                self.truth.holdings.push(Holding {
                    night: night.clone(),
                    place_id: None,
                    consignment_id,
                    stock,
                });
            }
        }
    }

    fn census(&mut self, place: PlaceIx, faults: Option<&Faults>) {
        let mut counted: BTreeMap<(SpeciesIx, LifeStage), u32> = BTreeMap::new();
        for group in self.stock.standing(place) {
            let animal = &self.stock.groups[group];
            *counted.entry((animal.species, animal.stage)).or_insert(0) += animal.count;
        }
        let mut lines = Vec::with_capacity(counted.len());
        for ((species, stage), count) in counted {
            let kind = &species::ALL[species];
            // Tortoises dig in now and then, and are then no statement of a number.
            let buried = kind.family == "Testudinidae"
                && stage != LifeStage::Egg
                && count > 2
                && self.luck.chance(0.02);
            let off = faults.map_or(0, |faults| faults.miscounted(place, species, self.night));
            lines.push(CensusLine {
                scientific_name: kind.name.into(),
                life_stage: Some(stage),
                sex: None,
                organism_id: None,
                lot_id: None,
                individual_count: if buried { count - count / 3 } else { count.saturating_sub(off) },
                unit_id: None,
                not_countable: buried.then_some(true),
            });
        }
        let method = if self.lots_only(place) { CensusMethod::Books } else { CensusMethod::HeadCount };
        let body = Census { opening: None, method, complete: true, unit_id: None, lines };
        let when = self.when(place, 23, 0);
        let reference = self.tell_of_place(place, when, Body::Census(body));
        if let Some(last) = self.last_census.get_mut(place) {
            *last = Some(reference);
        }
    }

    /// Puts the night's files on the shelf, and notes when each is posted.
    pub(super) fn shelve(&mut self, shelf: &mut dyn Shelf) -> Result<(), Error> {
        let date = self.desk.date(self.night);
        for (party, bytes) in self.desk.close()? {
            let who = &self.basin.parties[party];
            let file = format!("nights/{date}/{}.ndjson", who.id);
            let late = who.habit == Habit::Late && self.night > 0;
            let days = if late { self.luck.days(2, 4) } else { 1 };
            let days = days + self.delays.get(&(party, self.night)).copied().unwrap_or(0);
            let (hour, minute) = (self.luck.int(0, 4), self.luck.int(0, 59));
            let at = self.desk.rfc3339(self.night + days, hour, minute);
            self.truth.posts.push(Post { file: file.clone(), at });
            self.desk.summary.files += 1;
            shelf.file(&file, bytes)?;
        }
        Ok(())
    }
}

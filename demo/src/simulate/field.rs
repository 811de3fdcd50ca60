//! Work outside the gate: relocations, wild sightings, bites, adjustments nobody can explain, the landing.

use haulout_schemas::Body;
use haulout_schemas::records::arrival::{RescueCause, RescueEvent};
use haulout_schemas::records::count::Adjustment;
use haulout_schemas::records::ending::IncidentEvent;
use haulout_schemas::records::freeing::{Relocation, Sighting};
use haulout_schemas::vocabulary::{LifeStage, Source, Vitality};

use super::arrivals::rescue;
use super::journeys::Turn;
use crate::basin::PlaceIx;
use crate::desk::{Draft, Subject};
use crate::species;
use crate::stock::{Group, Where};
use crate::world::World;

impl World {
    /// What a centre's crews do outside in a day.
    pub(super) fn field_work(&mut self, place: PlaceIx) {
        if self.luck.chance(0.09) {
            self.relocate(place);
        }
        if self.luck.chance(0.06) {
            self.see(place);
        }
        if self.luck.chance(0.004) {
            self.bite(place);
        }
        if self.luck.chance(0.002) {
            self.adjust(place);
        }
        if self.basin.landing().is_some_and(|landing| self.keeper(landing) == place) && self.luck.chance(0.06)
        {
            self.at_the_landing(place);
        }
    }

    fn about_species(&mut self, place: PlaceIx, hour: u32, name: &'static str, body: Body) {
        let when = self.when(place, hour, 15);
        let author = self.keeper(place);
        self.write(Draft {
            author,
            place: Some(place),
            when,
            subject: Subject::Nobody,
            name: Some(name),
            body,
        });
    }

    /// Caught and freed the same day; no centre ever holds it.
    fn relocate(&mut self, place: PlaceIx) {
        let Some(kept) = self.arriving_species(place) else { return };
        if !species::ALL[kept].native {
            return;
        }
        let (from, to) = (self.somewhere_near(place), self.somewhere_near(place));
        let body = Relocation {
            individual_count: 1,
            life_stage: Some(self.some_stage()),
            sex: None,
            lengths_metre: Vec::new(),
            from: Some(from),
            to: Some(to),
            distance_kilometre: Some(self.luck.hundredths(0.5, 9.0)),
            reason: Some(
                self.luck.word(&["in a well", "in a yard", "on the road", "in a drained tank"]).to_owned(),
            ),
        };
        self.about_species(place, 9, species::ALL[kept].name, Body::Relocation(body));
    }

    fn see(&mut self, place: PlaceIx) {
        let Some(kept) = self.arriving_species(place) else { return };
        let near = self.somewhere_near(place);
        let body = Sighting {
            individual_count: self.luck.int(1, 6),
            vitality: if self.luck.chance(0.92) { Vitality::Alive } else { Vitality::Dead },
            mark_number: None,
            life_stage: Some(LifeStage::Adult),
            sex: None,
            lengths_metre: Vec::new(),
            place: Some(near),
        };
        self.about_species(place, 16, species::ALL[kept].name, Body::Sighting(body));
    }

    fn bite(&mut self, place: PlaceIx) {
        let night = self.night;
        let biter = self.stock.standing(place).into_iter().find(|group| {
            let animal = &self.stock.groups[*group];
            animal.single && !animal.reserved && animal.since < night && animal.free_from <= night
        });
        if let Some(biter) = biter {
            self.incident(biter, place, IncidentEvent::Bite);
        }
    }

    /// One of a lot of hatchlings or juveniles is gone and nobody can say how: put into the books
    /// the same evening.
    fn adjust(&mut self, place: PlaceIx) {
        let lot = self.stock.standing(place).into_iter().find(|group| {
            let animal = &self.stock.groups[*group];
            self.at_leisure(*group, place) && !animal.single && animal.count > 4
        });
        let Some(lot) = lot else { return };
        let body = Adjustment {
            individual_count: -1,
            life_stage: Some(self.stock.groups[lot].stage),
            reason: "one fewer at the evening count; the pen is whole, nothing was found".to_owned(),
        };
        let when = self.desk.on(self.night);
        self.tell(lot, place, when, Body::Adjustment(body));
        self.lessen(lot, 1);
        self.rest(lot, 1);
    }

    /// An animal is brought to the landing by boat, and taken up to the centre at dusk.
    fn at_the_landing(&mut self, place: PlaceIx) {
        let Some(landing) = self.basin.landing() else { return };
        let Some(kept) = self.arriving_species(place) else { return };
        let keeper = self.keeper(landing);
        let id = self.coin(keeper, 'A');
        let stage = self.some_stage();
        let group = self.stock.add(Group::new(id, true, kept, stage, 1), Where::Place(landing), self.night);
        let mut body = rescue(RescueEvent::FromWild, Source::Wild, 1);
        body.cause = Some(RescueCause::Stranded);
        body.life_stage = Some(stage);
        let when = self.when(landing, 7, 0);
        let arrival = self.tell(group, landing, when, Body::Rescue(body));
        self.stock.groups[group].arrival = Some(arrival);
        self.depart(landing, place, &[(group, None)], None, Turn::Smooth, false);
    }
}

//! Pools, pens and quarantine rooms: built with room to spare, and stated in `capacity`.

use haulout_schemas::records::keeping::{HousedIn, Housing, HousingEvent};
use haulout_schemas::records::standing::{Arrangement, Capacity, CapacityEvent, UnitKind, WaterType};
use haulout_schemas::vocabulary::{LifeStage, Stay};
use haulout_schemas::{Body, RecordRef};

use crate::basin::PlaceIx;
use crate::species::{self, SpeciesIx};
use crate::stock::GroupIx;
use crate::world::World;

/// One unit of a centre.
pub(crate) struct Unit {
    pub id: String,
    pub kind: UnitKind,
    /// For which species, of those that the centre keeps.
    pub species: SpeciesIx,
    pub heads_limit: u32,
    pub quarantine: bool,
    /// Small ones of this stage are kept apart from the grown.
    pub small: bool,
    /// Heads in it.
    pub heads: u32,
    /// No quarantine enters before this night: it is cleaned.
    pub free_from: i32,
    /// Under a standstill until this night.
    pub still_until: i32,
    pub circuit: Option<String>,
    /// Night on which somebody last came or went.
    pub moved: i32,
    /// The record that last stated it.
    pub stated: Option<RecordRef>,
}

impl World {
    /// Builds a unit and states it.
    pub(crate) fn build_unit(
        &mut self,
        place: PlaceIx,
        species: SpeciesIx,
        heads_limit: u32,
        quarantine: bool,
        small: bool,
    ) -> usize {
        let kind = &species::ALL[species];
        let number = self.units[place].len() + 1;
        let (unit_kind, letter) = match (quarantine, kind.family) {
            (true, _) => (UnitKind::Isolation, 'Q'),
            (false, "Testudinidae") => (UnitKind::Pen, 'G'),
            (false, _) if small => (UnitKind::Tank, 'T'),
            (false, _) => (UnitKind::Pool, 'P'),
        };
        let id = format!("{letter}{number}");
        let circuit = (!quarantine).then(|| format!("W{number}"));
        let unit = Unit {
            id: id.clone(),
            kind: unit_kind,
            species,
            heads_limit,
            quarantine,
            small,
            heads: 0,
            free_from: 0,
            still_until: -1,
            circuit,
            moved: -1,
            stated: None,
        };
        self.units[place].push(unit);
        self.state_capacity(place, number - 1);
        number - 1
    }

    /// The centre states a unit as it is.
    pub(crate) fn state_capacity(&mut self, place: PlaceIx, unit: usize) {
        let body = self.capacity_of(place, unit);
        let when = self.desk.on(self.night);
        let stated = self.tell_of_place(place, when, Body::Capacity(body));
        self.units[place][unit].stated = Some(stated);
    }

    /// What there is to state of a unit.
    pub(crate) fn capacity_of(&self, place: PlaceIx, unit: usize) -> Capacity {
        let unit = &self.units[place][unit];
        let kind = &species::ALL[unit.species];
        let (land, water, depth) = kind.room_for(unit.heads_limit);
        let suits = if unit.quarantine {
            self.basin.places[place].licensed.iter().map(|name| (*name).into()).collect()
        } else {
            vec![kind.name.into()]
        };
        Capacity {
            event: CapacityEvent::Stated,
            unit_id: unit.id.as_str().into(),
            unit_kind: Some(unit.kind),
            units: Some(1),
            arrangement: Some(if unit.quarantine { Arrangement::Isolating } else { Arrangement::Communal }),
            land_square_metre: Some(land),
            water_square_metre: Some(water),
            depth_metre: Some(depth),
            length_limit_metre: None,
            heads_limit: Some(unit.heads_limit),
            suits,
            stays: Vec::new(),
            heated: Some(unit.quarantine || unit.small),
            lowest_celsius: None,
            highest_celsius: None,
            longest_side_metre: None,
            keeps_orientation: None,
            water_circuit: unit.circuit.as_deref().map(Into::into),
            water_type: Some(if unit.quarantine { WaterType::Static } else { WaterType::EarthenPond }),
        }
    }

    /// A pond, pen or tank of the centre with room for so many of a species.
    pub(crate) fn pond_for(
        &mut self,
        place: PlaceIx,
        species: SpeciesIx,
        stage: LifeStage,
        heads: u32,
    ) -> usize {
        let small = stage == LifeStage::Hatchling;
        let night = self.night;
        let found = self.units[place].iter().position(|unit| {
            !unit.quarantine
                && unit.species == species
                && unit.small == small
                && unit.still_until < night
                && (unit.heads + heads) * 5 <= unit.heads_limit * 4
        });
        let size = (self.options.animals_per_centre / 2).max(60);
        found.unwrap_or_else(|| self.build_unit(place, species, size.max(heads * 2), false, small))
    }

    /// An empty quarantine room for so many.
    pub(crate) fn quarantine_room(&mut self, place: PlaceIx, species: SpeciesIx, heads: u32) -> usize {
        let night = self.night;
        let wanted = &species::ALL[species];
        let found = self.units[place].iter().position(|unit| {
            let built_for = &species::ALL[unit.species];
            unit.quarantine
                && unit.heads == 0
                && unit.free_from <= night
                && unit.heads_limit >= heads
                && unit.heads_limit <= heads * 8 + 4
                && built_for.crocodilian == wanted.crocodilian
                && (built_for.family == "Testudinidae") == (wanted.family == "Testudinidae")
                && built_for.largest_m >= wanted.largest_m
        });
        found.unwrap_or_else(|| self.build_unit(place, species, heads + heads / 4 + 2, true, false))
    }

    /// Puts a group into a unit, without a word.
    pub(crate) fn settle_in(&mut self, group: GroupIx, place: PlaceIx, unit: usize) {
        self.vacate(group);
        self.units[place][unit].heads += self.stock.groups[group].count;
        self.units[place][unit].moved = self.night;
        self.stock.groups[group].unit = Some(unit);
    }

    /// Takes a group out of its unit's head count; call it before the group's place or number changes.
    pub(crate) fn vacate(&mut self, group: GroupIx) {
        let animal = &mut self.stock.groups[group];
        if let (Some(unit), crate::stock::Where::Place(place)) = (animal.unit.take(), animal.at) {
            let unit = &mut self.units[place][unit];
            unit.heads = unit.heads.saturating_sub(animal.count);
            unit.moved = self.night;
        }
    }

    /// Puts a group into a unit and writes it down.
    pub(crate) fn house(
        &mut self,
        group: GroupIx,
        place: PlaceIx,
        unit: usize,
        stay: Stay,
        hour: u32,
    ) -> RecordRef {
        self.settle_in(group, place, unit);
        let animal = &self.stock.groups[group];
        let body = Housing {
            event: HousingEvent::Housed,
            units: vec![HousedIn {
                unit_id: self.units[place][unit].id.as_str().into(),
                individual_count: animal.count,
            }],
            stay: Some(stay),
            order_number: None,
        };
        let when = self.when(place, hour, 20);
        self.tell(group, place, when, Body::Housing(body))
    }

    /// After a lot has changed in number: its housing is written down anew.
    pub(crate) fn restate_housing(&mut self, group: GroupIx, place: PlaceIx, unit: Option<usize>, hour: u32) {
        if let Some(unit) = unit
            && self.stock.groups[group].stands_in(place)
        {
            let stay = if self.units[place][unit].quarantine { Stay::Quarantine } else { Stay::Long };
            self.house(group, place, unit, stay, hour);
        }
    }
}

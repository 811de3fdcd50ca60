//! Planted faults.

use haulout_schemas::RecordRef;

use crate::basin::PlaceIx;
use crate::species::SpeciesIx;
use crate::world::World;

pub(crate) struct Faults;

impl Faults {
    pub(crate) fn cast(_world: &World) -> Self {
        Self
    }
    pub(crate) fn tonight(&mut self, _world: &mut World) {}
    pub(crate) fn miscounted(&self, _place: PlaceIx, _species: SpeciesIx, _night: i32) -> u32 {
        0
    }
    pub(crate) fn tell(self, _world: &mut World) {}
}

pub(crate) fn extra_licence_line(_world: &World, _place: PlaceIx) -> Option<(&'static str, u32)> {
    None
}

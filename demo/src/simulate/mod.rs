//! The daily round: what was planned for the day, what chance brings, the evening's books, midnight.

pub(crate) mod agenda;
pub(crate) mod arrivals;
mod clinic;
mod endings;
mod field;
mod freeing;
mod groups;
pub(crate) mod journeys;
mod midnight;
mod nursery;
pub(crate) mod offices;
mod opening;
pub(crate) mod receipts;
mod routine;
mod season;
mod seizures;
mod standstill;

use crate::faults::Faults;
use crate::files::Shelf;
use crate::truth::Truth;
use crate::world::World;
use crate::{Error, Options, Summary, placement, region};

/// Simulates the basin and puts its files on the shelf.
pub(crate) fn run(options: &Options, shelf: &mut dyn Shelf) -> Result<(Truth, Summary), Error> {
    let mut world = World::new(options)?;
    let mut faults = options.faults.then(|| Faults::cast(&world));
    shelf.file("region.json", region::file(&world.basin)?)?;
    world.desk.begin(0);
    world.open();
    if let Some(faults) = &mut faults {
        faults.tonight(&mut world);
    }
    world.midnight(faults.as_mut());
    world.shelve(shelf)?;
    let nights = world.desk.last_night();
    for night in 1..=nights {
        world.night = night;
        world.desk.begin(night);
        world.day();
        if let Some(faults) = &mut faults {
            faults.tonight(&mut world);
        }
        world.routine();
        world.midnight(faults.as_mut());
        world.shelve(shelf)?;
    }
    if let Some(faults) = faults {
        faults.tell(&mut world);
    }
    shelf.file("placement.json", placement::file(&world)?)?;
    world.truth.posts.sort_by(|a, b| (&a.at, &a.file).cmp(&(&b.at, &b.file)));
    shelf.file("truth.json", serde_json::to_vec(&world.truth)?)?;
    let mut summary = std::mem::take(&mut world.desk.summary);
    for fault in world.truth.faults.iter().filter(|fault| fault.because.is_none()) {
        *summary.faults.entry(fault.code).or_insert(0) += 1;
    }
    Ok((world.truth, summary))
}

impl World {
    /// One day: first what was planned, then what chance brings.
    fn day(&mut self) {
        for task in self.agenda.remove(&self.night).unwrap_or_default() {
            self.carry_out(task);
        }
        for place in 0..self.basin.centres {
            self.arrivals(place);
            self.chances_of_animals(place);
            self.regroup(place);
            self.transfers(place);
            self.nursery(place);
            self.field_work(place);
            self.standstills(place);
        }
        self.seizures();
        self.returns();
        self.roads();
    }
}

//! Plot of one animal on two centres' papers, of which neither could read a mark.

use haulout_schemas::Body;
use haulout_schemas::envelope::Locality;
use haulout_schemas::records::arrival::{CaptureMethod, RescueCause, RescueEvent};
use haulout_schemas::vocabulary::{LifeStage, Sex, Source};

use super::{Faults, Script, kind};
use crate::desk::{Draft, Subject};
use crate::simulate::arrivals::rescue;
use crate::species;
use crate::world::World;

/// Species of this plot.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[TWIN];

const TWIN: &str = "Chitra indica";

impl Faults {
    /// Fishermen call two centres for one animal. One takes it in; two days later the other writes a
    /// rescue of it as well, by what it was told on the telephone, and its books hold one that it never saw.
    pub(super) fn one_reported_by_two(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (holder, caller, species) = (script.centre(2), script.centre(3), kind(TWIN));
        match step {
            0 => {
                let place = found_at(world, script, 0.0);
                let (animal, first) = world.reserved_arrival(holder, species, 1, true, |rescue| {
                    rescue.sex = Some(Sex::Female);
                    rescue.place = Some(place);
                    rescue.lengths_metre = vec![species::ALL[species].taped(0.8)];
                });
                script.animals.push(animal);
                script.records.push(first);
            }
            2 => {
                let author = world.keeper(caller);
                let animal = world.coin(author, 'A');
                let mut body = rescue(RescueEvent::FromWild, Source::Wild, 1);
                body.cause = Some(RescueCause::Stranded);
                body.capture_method = Some(CaptureMethod::Hand);
                body.life_stage = Some(LifeStage::Adult);
                body.sex = Some(Sex::Female);
                body.place = Some(found_at(world, script, 0.003));
                // Told by another pair of eyes, and so a little otherwise.
                body.lengths_metre = vec![species::ALL[species].taped(0.78)];
                let when = world.when(caller, 14, 0);
                let second = world.write(Draft {
                    author,
                    place: Some(caller),
                    when,
                    subject: Subject::Animal(animal),
                    name: Some(TWIN),
                    body: Body::Rescue(body),
                });
                script.records.push(second);
                let records = script.records.clone();
                let root =
                    self.plant(world, "likely-duplicate", &[holder, caller], Some(species), records, None);
                self.plant_difference(world, caller, species, Some(root));
                self.part_at_place(world, caller, species, 1, root);
            }
            _ => {}
        }
    }
}

/// The bank where it lay, near the centre that took it in; so many degrees aside.
fn found_at(world: &World, script: &Script, aside: f64) -> Locality {
    let (north, east) = world.basin.places[script.centre(2)].at;
    let thousandth = |degrees: f64| (degrees * 1000.0).round() / 1000.0;
    Locality {
        locality: Some("river bank".to_owned()),
        water_body: Some("Meruva".to_owned()),
        location_id: None,
        decimal_latitude: Some(thousandth(north + 0.02 + aside)),
        decimal_longitude: Some(thousandth(east + 0.01)),
        coordinate_uncertainty_in_meters: Some(100),
        country_code: Some("ZZ".to_owned()),
    }
}

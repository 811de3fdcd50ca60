//! Plots at the river: no permit, no certificate, no mark, more than the permit allows.

use haulout_schemas::Body;

use super::{Faults, Plot, Script, kind};
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[FREED, TOO_MANY];

const FREED: &str = "Nilssonia nigricans";
const TOO_MANY: &str = "Chitra indica";

impl Faults {
    /// One animal is freed, and one of its three papers is wanting.
    pub(super) fn freed_without(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let species = kind(FREED);
        let (place, code) = match script.plot {
            Plot::NoPermit => (script.centre(0), "release-without-permit"),
            Plot::NoCertificate => (script.centre(2), "release-without-certificate"),
            _ => (script.centre(1), "release-without-mark"),
        };
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            2 if script.plot != Plot::NoMark => world.mark(script.animals[0], place, None),
            3 if script.plot != Plot::NoCertificate => {
                let certificate = world.certificate(script.animals[0], place);
                script.records.push(certificate);
            }
            5 => {
                let animal = script.animals[0];
                let mut body = world.release_body(animal, place);
                body.certificate = script.records.pop();
                if script.plot != Plot::NoPermit {
                    let number = world.paper('P');
                    let holders = world.centres_of(world.basin.places[place].reach);
                    world.issue_permit(&number, species, holders, 3, 0, world.night, world.night + 60);
                    body.permit_number = Some(number.into());
                }
                let when = world.when(place, 17, 30);
                let release = world.tell(animal, place, when, Body::Release(body));
                world.let_go(animal);
                self.plant(world, code, &[place], Some(species), vec![release], None);
            }
            _ => {}
        }
    }

    /// Three are freed on a permit for two.
    pub(super) fn overdrawn(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(3), kind(TOO_MANY));
        match step {
            0 => {
                for _ in 0..3 {
                    let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                    script.animals.push(animal);
                }
                script.permit = world.paper('P');
                let holders = world.centres_of(world.basin.places[place].reach);
                let permit =
                    world.issue_permit(&script.permit, species, holders, 4, 2, world.night, world.night + 90);
                script.records.push(permit);
            }
            2 => {
                for animal in script.animals.clone() {
                    world.mark(animal, place, None);
                }
            }
            5 | 7 | 9 => {
                let animal = script.animals[usize::try_from((step - 5) / 2).unwrap_or_default()];
                let certificate = world.certificate(animal, place);
                let mut body = world.release_body(animal, place);
                body.certificate = Some(certificate);
                body.permit_number = Some(script.permit.as_str().into());
                let when = world.when(place, 17, 30);
                let release = world.tell(animal, place, when, Body::Release(body));
                script.records.push(release);
                world.let_go(animal);
                if step == 9 {
                    self.plant(
                        world,
                        "permit-overdrawn",
                        &[place],
                        Some(species),
                        script.records.clone(),
                        None,
                    );
                }
            }
            _ => {}
        }
    }
}

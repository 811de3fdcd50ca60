//! Plots of what was decided: freed although never to be freed, forgotten, not back from a loan.

use haulout_schemas::Body;
use haulout_schemas::event_date::Day;
use haulout_schemas::records::keeping::{Outlook, OutlookDecision};
use haulout_schemas::records::transfer::Destination;

use super::{Faults, Script, kind};
use crate::basin::PlaceIx;
use crate::simulate::journeys::dispatch;
use crate::stock::Where;
use crate::world::World;

/// Species of these plots.
#[cfg(test)]
pub(super) const SPECIES: &[&str] = &[KEPT, FORGOTTEN, LENT];

const KEPT: &str = "Batagur kachuga";
const FORGOTTEN: &str = "Pangshura sylhetensis";
const LENT: &str = "Melanochelys tricarinata";

impl Faults {
    fn decide(
        &self,
        script: &mut Script,
        world: &mut World,
        place: PlaceIx,
        decision: OutlookDecision,
        review: Option<i32>,
    ) {
        let body = Outlook {
            decision,
            reason: Some("decided at the weekly round".to_owned()),
            review: review.map(|days| Day(world.desk.date(world.night + days))),
            site: None,
            companion_id: None,
        };
        let when = world.when(place, 16, 0);
        let record = world.tell(script.animals[0], place, when, Body::Outlook(body));
        script.records.push(record);
    }

    /// Papers, mark and certificate are in order; the outlook says never.
    pub(super) fn freed_for_ever(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(2), kind(KEPT));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
            }
            1 => self.decide(script, world, place, OutlookDecision::NeverRelease, None),
            2 => world.mark(script.animals[0], place, None),
            5 => {
                let animal = script.animals[0];
                let certificate = world.certificate(animal, place);
                let number = world.paper('P');
                let holders = world.centres_of(world.basin.places[place].reach);
                world.issue_permit(&number, species, holders, 3, 0, world.night, world.night + 60);
                let mut body = world.release_body(animal, place);
                body.certificate = Some(certificate);
                body.permit_number = Some(number.into());
                let when = world.when(place, 17, 30);
                let release = world.tell(animal, place, when, Body::Release(body));
                script.records.push(release);
                world.let_go(animal);
                let records = script.records.clone();
                self.plant(world, "never-release-released", &[place], Some(species), records, None);
            }
            _ => {}
        }
    }

    /// A day to look again is named, and nobody does.
    pub(super) fn not_looked_at(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(0), kind(FORGOTTEN));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
                self.decide(script, world, place, OutlookDecision::Undecided, Some(10));
            }
            // A week's grace: the common length of the rule.
            17 => {
                let records = script.records.clone();
                self.plant(world, "outlook-review-overdue", &[place], Some(species), records, None);
            }
            _ => {}
        }
    }

    /// An animal goes on loan until a day, and stays there.
    pub(super) fn not_back(&mut self, script: &mut Script, step: i32, world: &mut World) {
        let (place, species) = (script.centre(1), kind(LENT));
        match step {
            0 => {
                let (animal, _) = world.reserved_arrival(place, species, 1, true, |_| ());
                script.animals.push(animal);
                self.decide(script, world, place, OutlookDecision::Loan, Some(12));
            }
            2 => {
                let id = world.coin_journey(place);
                let mut body = dispatch(&id, Destination::Placement, None);
                body.lines = vec![world.dispatch_line(script.animals[0], None, None)];
                let when = world.when(place, 10, 0);
                let sent = world.tell_of_place(place, when, Body::Dispatch(body));
                script.records.push(sent);
                world.send(script.animals[0], Where::Gone);
            }
            // A week's grace: the common length of the rule.
            19 => {
                let records = script.records.clone();
                self.plant(world, "loan-overdue", &[place], Some(species), records, None);
            }
            _ => {}
        }
    }
}

//! Animals come in: from the wild, from private hands, left at the gate, as carcasses.

use haulout_schemas::Body;
use haulout_schemas::envelope::Locality;
use haulout_schemas::records::arrival::{CaptureMethod, Rescue, RescueCause, RescueEvent};
use haulout_schemas::records::authority::OrderType;
use haulout_schemas::vocabulary::{CountMethod, LifeStage, Sex, Source, Vitality};

use chrono::Datelike;

use super::season;
use crate::basin::PlaceIx;
use crate::desk::Draft;
use crate::species;
use crate::stock::{Group, Where};
use crate::world::World;

/// An arrival of so many, counted one by one.
pub(crate) fn rescue(event: RescueEvent, source: Source, count: u32) -> Rescue {
    Rescue {
        event,
        source,
        individual_count: count,
        count_method: CountMethod::Counted,
        low: None,
        high: None,
        documented_count: None,
        vitality: None,
        sex: None,
        life_stage: None,
        cause: None,
        capture_method: None,
        place: None,
        circumstances: None,
        injuries: Vec::new(),
        lengths_metre: Vec::new(),
        incident_references: Vec::new(),
        consignment_id: None,
        local_id: None,
    }
}

impl World {
    /// A place in the landscape near a centre.
    pub(super) fn somewhere_near(&mut self, place: PlaceIx) -> Locality {
        let at = self.basin.places[place].at;
        let aside = |luck: &mut crate::luck::Luck, x: f64| {
            (x * 1000.0 + f64::from(luck.int(0, 160)) - 80.0).round() / 1000.0
        };
        let (north, east) = (aside(&mut self.luck, at.0), aside(&mut self.luck, at.1));
        Locality {
            locality: Some(
                self.luck
                    .word(&[
                        "brickworks pond",
                        "irrigation canal",
                        "village tank",
                        "river bank",
                        "roadside",
                        "paddy field",
                        "open well",
                    ])
                    .to_owned(),
            ),
            water_body: Some("Meruva".to_owned()),
            location_id: None,
            decimal_latitude: Some(north),
            decimal_longitude: Some(east),
            coordinate_uncertainty_in_meters: Some(100),
            country_code: Some("ZZ".to_owned()),
        }
    }

    /// The arrivals of a day at a centre.
    pub(super) fn arrivals(&mut self, place: PlaceIx) {
        let month = self.desk.date(self.night).month();
        let size = f64::from(self.options.animals_per_centre) / 60.0;
        for _ in 0..self.luck.times(0.28 * season::need(month) * size.min(12.0)) {
            self.arrival(place);
        }
    }

    fn arrival(&mut self, place: PlaceIx) {
        let Some(kept) = self.arriving_species(place) else { return };
        let kind = &species::ALL[kept];
        let dead = self.luck.chance(0.04);
        let lot = !kind.crocodilian && (self.lots_only(place) || (!dead && self.luck.chance(0.12)));
        let count = if lot && !dead { self.luck.int(1, 9) } else { 1 };
        let stage = if lot && count > 1 { LifeStage::Juvenile } else { self.some_stage() };
        let keeper = self.keeper(place);
        let id = self.coin(keeper, if lot { 'L' } else { 'A' });
        let mut group = Group::new(id, !lot, kept, stage, count);
        group.length_m *= f64::from(self.luck.int(90, 108)) / 100.0;
        if !lot {
            group.sex = [Some(Sex::Female), Some(Sex::Male), None][self.luck.weighted(&[2, 1, 2])];
        }
        let subject = group.subject();
        let body = self.how_it_came(place, &group, dead);
        let hour = self.luck.int(6, 16);
        let when = self.when(place, hour, 10);
        let draft = Draft {
            author: keeper,
            place: Some(place),
            when,
            subject: subject.clone(),
            name: Some(kind.name),
            body: Body::Rescue(body),
        };
        let arrival = self.write(draft);
        if dead {
            self.carcass(place, subject, kind.name, stage, arrival);
            return;
        }
        group.arrival = Some(arrival.clone());
        group.free_from = self.night + 1;
        let large = !lot && kind.crocodilian && group.length_m > 2.0;
        let index = self.stock.add(group, Where::Place(place), self.night);
        if large && self.luck.chance(0.5) {
            self.order_spoken_then_written(OrderType::TakeIn, arrival, place);
        }
        let triage = self.triage(index, place, hour);
        self.treat(index, place, triage, hour + 1);
        self.enter_quarantine(index, place, hour + 4);
    }

    fn how_it_came(&mut self, place: PlaceIx, group: &Group, dead: bool) -> Rescue {
        let kind = group.kind();
        let way =
            if kind.native { self.luck.weighted(&[14, 3, 2, 1]) } else { self.luck.weighted(&[0, 2, 3, 0]) };
        let (event, source, cause) = match way {
            0 => {
                let causes = [
                    RescueCause::FishingGear,
                    RescueCause::Collision,
                    RescueCause::Stranded,
                    RescueCause::Conflict,
                    RescueCause::Predation,
                ];
                (RescueEvent::FromWild, Source::Wild, self.luck.pick(&causes).copied())
            }
            1 => (RescueEvent::Surrender, Source::Private, Some(RescueCause::PrivateKeeping)),
            2 => {
                let source = if self.luck.chance(0.5) { Source::Private } else { Source::Unknown };
                (RescueEvent::LeftAtGate, source, Some(RescueCause::Unknown))
            }
            _ => (RescueEvent::Surrender, Source::Farm, Some(RescueCause::Other)),
        };
        let mut body = rescue(event, source, group.count);
        body.cause = cause;
        body.vitality = Some(if dead { Vitality::Dead } else { Vitality::Alive });
        body.sex = group.sex;
        body.life_stage = Some(group.stage);
        body.lengths_metre = vec![kind.taped(group.length_m)];
        if event == RescueEvent::FromWild {
            let ways =
                [CaptureMethod::Hand, CaptureMethod::Net, CaptureMethod::Noose, CaptureMethod::Brought];
            body.capture_method = self.luck.pick(&ways).copied();
            body.place = Some(self.somewhere_near(place));
        }
        if self.luck.chance(0.15) {
            let party = self.keeper(place);
            let number = self.number(party, 'I');
            body.incident_references =
                vec![format!("{}-C{number:04}", self.basin.parties[party].mark).into()];
        }
        body
    }
}

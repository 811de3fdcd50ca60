//! Bulk seizures: a lorry in a police yard, counted out, bound as case property, sent on with leave.

use std::collections::BTreeMap;

use haulout_schemas::Body;
use haulout_schemas::RecordRef;
use haulout_schemas::envelope::RevisionReason;
use haulout_schemas::event_date::Day;
use haulout_schemas::records::arrival::{CaptureMethod, RescueCause, RescueEvent, Tally, TallyLine};
use haulout_schemas::records::authority::{OrderForm, OrderType};
use haulout_schemas::records::identity::{Link, LinkEvent, NotCounted};
use haulout_schemas::records::keeping::{CustodyEvent, Forbidden};
use haulout_schemas::vocabulary::{CountMethod, DeathWhen, LifeStage, Source};

use super::agenda::{Carcass, Task};
use super::arrivals::rescue;
use super::journeys::Turn;
use super::offices::Case;
use crate::basin::PlaceIx;
use crate::blank::{custody, order};
use crate::desk::{Draft, Subject};
use crate::species::{self, SpeciesIx};
use crate::stock::{Group, GroupIx, Where};
use crate::world::World;

/// What a lot is called before it is counted out.
const UNSORTED: &str = "Testudines";

/// What was on the lorry, of one species.
struct Load {
    species: SpeciesIx,
    alive: u32,
    dead: u32,
    to: PlaceIx,
}

impl World {
    /// Seizures of a day, reach by reach.
    pub(super) fn seizures(&mut self) {
        for reach in 0..self.basin.centres.div_ceil(6) {
            if let Some((yard, office)) = self.basin.points_of(reach)
                && self.luck.chance(0.035)
            {
                self.seize(reach, yard, office);
            }
        }
    }

    fn load(&mut self, reach: usize) -> Vec<Load> {
        let mut by_species: BTreeMap<SpeciesIx, Vec<PlaceIx>> = BTreeMap::new();
        for place in 0..self.basin.centres {
            if self.basin.places[place].reach == reach {
                for kept in &self.basin.places[place].keeps {
                    let kind = &species::ALL[*kept];
                    if kind.native && !kind.crocodilian {
                        by_species.entry(*kept).or_default().push(place);
                    }
                }
            }
        }
        let mut load = Vec::new();
        let mut carcasses = 3;
        for (species, centres) in by_species {
            if let Some(to) = self.luck.pick(&centres).copied()
                && self.luck.chance(0.4)
            {
                let alive = self.luck.int(4, 70);
                let dead = if carcasses > 0 && self.luck.chance(0.3) {
                    self.luck.int(1, 2).min(carcasses)
                } else {
                    0
                };
                carcasses -= dead;
                load.push(Load { species, alive, dead, to });
            }
        }
        load
    }

    fn seize(&mut self, reach: usize, yard: PlaceIx, office: PlaceIx) {
        let load = self.load(reach);
        if load.is_empty() {
            return;
        }
        let total: u32 = load.iter().map(|part| part.alive + part.dead).sum();
        let said = (total + self.luck.int(0, 12)).saturating_sub(4).max(1);
        let keeper = self.keeper(yard);
        let lot = self.coin(keeper, 'L');
        let case = format!("C-{:04}", self.number(self.basin.authority, 'C'));
        let reference = format!("FIR-{case}");
        let rescue = self.file_seizure(yard, &lot, said, &reference, 5);
        if self.luck.chance(0.5) {
            self.file_twice(office, said, &reference, rescue);
        }
        let groups = self.count_out(yard, &lot, said, &load);
        let lots: Vec<String> = std::iter::once(lot.clone())
            .chain(groups.iter().map(|group| self.stock.groups[*group].id.clone()))
            .collect();
        self.bind(yard, &lot, &case);
        let leave = self.leave_to_move(reach, &case, &lots);
        let index = self.cases.len();
        self.cases.push(Case { number: case, lots, leave, reach });
        for group in &groups {
            self.stock.groups[*group].case = Some(index);
        }
        self.send_on(yard, &groups, &load, index);
        let night = self.night + self.luck.days(35, 70);
        self.plan(night, Task::CourtDay(index));
    }

    /// One agency files what stands in its yard.
    fn file_seizure(
        &mut self,
        point: PlaceIx,
        lot: &str,
        said: u32,
        reference: &str,
        hour: u32,
    ) -> RecordRef {
        let mut body = rescue(RescueEvent::Seizure, Source::Trade, said);
        body.count_method = CountMethod::Estimated;
        body.low = Some(said.saturating_sub(20));
        body.high = Some(said + 20);
        body.documented_count = Some(said);
        body.cause = Some(RescueCause::Trade);
        body.capture_method = Some(CaptureMethod::Brought);
        body.incident_references = vec![reference.into()];
        body.circumstances = Some("Found under sacks on a lorry at a road check.".to_owned());
        let when = self.desk.at(self.night, hour, 30);
        let author = self.keeper(point);
        let subject = Subject::Lot(lot.to_owned());
        self.write(Draft {
            author,
            place: Some(point),
            when,
            subject,
            name: Some(UNSORTED),
            body: Body::Rescue(body),
        })
    }

    /// The range office files the same lorry; the coordination links the two.
    fn file_twice(&mut self, office: PlaceIx, said: u32, reference: &str, counted: RecordRef) {
        let keeper = self.keeper(office);
        let lot = self.coin(keeper, 'L');
        let second = self.file_seizure(office, &lot, said, reference, 7);
        let body = Link {
            event: LinkEvent::Same,
            counted: Some(counted),
            not_counted: Some(NotCounted {
                author_id: second.author_id,
                record_id: second.record_id,
                centre_id: None,
                point_id: Some(self.basin.places[office].id.as_str().into()),
                scientific_name: UNSORTED.into(),
                life_stage: None,
                vitality: None,
                individual_count: said,
                source: Source::Trade,
                day: Day(self.desk.date(self.night)),
            }),
            organism_ids: Vec::new(),
            reason: Some("one lorry, one memo".to_owned()),
        };
        let when = self.desk.at(self.night, 9, 0);
        self.tell_of_office(self.basin.coordination, when, Body::Link(body));
    }

    /// The lot is counted out; each species that lives becomes a lot of its own.
    fn count_out(&mut self, yard: PlaceIx, lot: &str, said: u32, load: &[Load]) -> Vec<GroupIx> {
        let keeper = self.keeper(yard);
        let mut lines = Vec::new();
        let mut groups = Vec::new();
        for part in load {
            let id = self.coin(keeper, 'L');
            lines.push(TallyLine {
                lot_id: Some(id.as_str().into()),
                scientific_name: species::ALL[part.species].name.into(),
                identification_qualifier: None,
                life_stage: Some(LifeStage::Adult),
                sex: None,
                alive: part.alive,
                dead: part.dead,
                when: (part.dead > 0).then_some(DeathWhen::BeforeRescue),
            });
            let group = Group::new(id, false, part.species, LifeStage::Adult, part.alive);
            groups.push(self.stock.add(group, Where::Place(yard), self.night));
        }
        let when = self.desk.at(self.night, 13, 0);
        let draft = Draft {
            author: keeper,
            place: Some(yard),
            when,
            subject: Subject::Lot(lot.to_owned()),
            name: Some(UNSORTED),
            body: Body::Tally(Tally { lot_count: said, life_stage: None, lines }),
        };
        let tally = self.write(draft);
        for (part, group) in load.iter().zip(&groups) {
            self.stock.groups[*group].arrival = Some(tally.clone());
            if part.dead > 0 {
                let carcass = Carcass {
                    place: yard,
                    subject: self.stock.groups[*group].subject(),
                    name: species::ALL[part.species].name,
                    stage: LifeStage::Adult,
                    count: part.dead,
                    death_of: tally.clone(),
                };
                let night = self.night + self.luck.days(1, 5);
                self.plan(night, Task::Necropsy(carcass));
            }
        }
        groups
    }

    fn bind(&mut self, yard: PlaceIx, lot: &str, case: &str) {
        let mut body = custody(CustodyEvent::Bound, case);
        body.forbids = vec![Forbidden::Movement, Forbidden::Release, Forbidden::HandingOver];
        let when = self.desk.at(self.night, 8, 0);
        let author = self.keeper(yard);
        let subject = Subject::Lot(lot.to_owned());
        self.write(Draft {
            author,
            place: Some(yard),
            when,
            subject,
            name: Some(UNSORTED),
            body: Body::Custody(body),
        });
    }

    /// Leave to move within the basin: by voice, in writing on the next night.
    fn leave_to_move(&mut self, reach: usize, case: &str, lots: &[String]) -> String {
        let number = self.paper('O');
        let mut spoken = order(&number, OrderType::Leave);
        spoken.form = OrderForm::Verbal;
        spoken.allows = vec![Forbidden::Movement];
        spoken.case_number = Some(case.into());
        spoken.lot_ids = lots.iter().map(|lot| lot.as_str().into()).collect();
        spoken.party_ids = self.centres_of(reach).into_iter().map(Into::into).collect();
        spoken.end_date = Some(Day(self.desk.date(self.night + 30)));
        spoken.text = Some("To be moved to licensed centres of the basin.".to_owned());
        let mut written = spoken.clone();
        written.form = OrderForm::Written;
        let (when, author) = (self.desk.at(self.night, 14, 0), self.basin.authority);
        let draft = Draft {
            author,
            place: None,
            when,
            subject: Subject::Nobody,
            name: None,
            body: Body::Order(spoken),
        };
        let record = self.desk.write_plain(&self.basin, draft);
        let night = (self.night + 1).min(self.desk.last_night());
        self.desk.revise(&record, &Body::Order(written), RevisionReason::PutInWriting, night);
        number
    }

    /// After dark the lots leave for the centres that keep their species.
    fn send_on(&mut self, yard: PlaceIx, groups: &[GroupIx], load: &[Load], case: usize) {
        let mut by_centre: BTreeMap<PlaceIx, Vec<(GroupIx, Option<String>)>> = BTreeMap::new();
        for (group, part) in groups.iter().zip(load) {
            by_centre.entry(part.to).or_default().push((*group, None));
        }
        let leave = self.cases[case].leave.clone();
        for (to, lots) in by_centre {
            let turn = match self.luck.weighted(&[8, 1, 1, 1]) {
                0 => Turn::Smooth,
                1 => Turn::DeadOnArrival,
                2 => Turn::SettledDead,
                _ => Turn::DiedOnTheRoad,
            };
            self.depart(yard, to, &lots, Some(leave.clone()), turn, true);
        }
    }
}

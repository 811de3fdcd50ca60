//! The world of the simulation: who is where, what is planned, and the means to write of it.

use std::collections::BTreeMap;

use haulout_schemas::vocabulary::LifeStage;
use haulout_schemas::{Body, EventDate, RecordRef};

use crate::basin::{Basin, Habit, PartyIx, PlaceIx};
use crate::desk::{Desk, Draft, Subject};
use crate::luck::Luck;
use crate::simulate::agenda::Task;
use crate::simulate::journeys::Consignment;
use crate::simulate::offices::{Case, Permit};
use crate::species::{self, SpeciesIx};
use crate::stock::{GroupIx, Stock, Where};
use crate::truth::Truth;
use crate::units::Unit;
use crate::{Error, Options};

/// Everything that is.
pub(crate) struct World {
    pub options: Options,
    pub basin: Basin,
    pub desk: Desk,
    pub luck: Luck,
    /// 0 is the day of the opening census; the nights are 1 and on.
    pub night: i32,
    pub stock: Stock,
    pub units: Vec<Vec<Unit>>,
    pub consignments: Vec<Consignment>,
    /// Indexes of consignments on the road.
    pub under_way: Vec<usize>,
    pub agenda: BTreeMap<i32, Vec<Task>>,
    pub permits: Vec<Permit>,
    pub cases: Vec<Case>,
    /// Nights of deaths by place and species, so that clean data holds no cluster.
    pub deaths: BTreeMap<(PlaceIx, SpeciesIx), Vec<i32>>,
    /// Marked animals that were set free, and when.
    pub at_large: Vec<(GroupIx, i32)>,
    /// Pairs of places whose road is closed, until when.
    pub closed: Vec<(PlaceIx, PlaceIx, i32)>,
    /// Nests left in place, with their centre, species and number.
    pub nests: Vec<(PlaceIx, SpeciesIx, String)>,
    /// Licence of each centre.
    pub licences: Vec<(String, RecordRef)>,
    /// Last census of each place.
    pub last_census: Vec<Option<RecordRef>>,
    /// Files that are posted later than their party's habit, by party and night: days more.
    pub delays: BTreeMap<(PartyIx, i32), i32>,
    pub truth: Truth,
    counters: BTreeMap<(PartyIx, char), u32>,
}

impl World {
    pub(crate) fn new(options: &Options) -> Result<Self, Error> {
        let basin = Basin::of(options.centres as usize);
        let nights = i32::try_from(options.nights).unwrap_or(i32::MAX);
        let places = basin.places.len();
        Ok(Self {
            desk: Desk::new(options.from, nights, options.seed)?,
            luck: Luck::new(options.seed, 1),
            night: 0,
            stock: Stock::new(places),
            units: (0..places).map(|_| Vec::new()).collect(),
            consignments: Vec::new(),
            under_way: Vec::new(),
            agenda: BTreeMap::new(),
            permits: Vec::new(),
            cases: Vec::new(),
            deaths: BTreeMap::new(),
            at_large: Vec::new(),
            closed: Vec::new(),
            nests: Vec::new(),
            licences: Vec::new(),
            last_census: vec![None; places],
            delays: BTreeMap::new(),
            truth: Truth::default(),
            counters: BTreeMap::new(),
            options: options.clone(),
            basin,
        })
    }

    /// Number of a party's next animal (`A`), lot (`L`), clutch (`E`), journey (`T`) and so on.
    pub(crate) fn number(&mut self, party: PartyIx, letter: char) -> u32 {
        let next = self.counters.entry((party, letter)).or_insert(0);
        *next += 1;
        *next
    }

    /// Identifier of a party's next subject.
    pub(crate) fn coin(&mut self, party: PartyIx, letter: char) -> String {
        let number = self.number(party, letter);
        format!("{}:{letter}{number:05}", self.basin.parties[party].id)
    }

    /// Number of an office's next paper, for the whole region.
    pub(crate) fn paper(&mut self, letter: char) -> String {
        let number = self.number(self.basin.authority, letter);
        format!("MA-{letter}-{number:04}")
    }

    /// Whether this party writes days without hours.
    pub(crate) fn writes_days(&self, place: PlaceIx) -> bool {
        self.basin.parties[self.keeper(place)].habit == Habit::LotsOnly
    }

    /// Whether this place books every animal as a lot.
    pub(crate) fn lots_only(&self, place: PlaceIx) -> bool {
        self.writes_days(place) && !self.basin.places[place].point
    }

    pub(crate) fn keeper(&self, place: PlaceIx) -> PartyIx {
        self.basin.places[place].keeper
    }

    /// Tonight at an hour, as this place writes it.
    pub(crate) fn when(&mut self, place: PlaceIx, hour: u32, minute: u32) -> EventDate {
        if self.writes_days(place) {
            self.desk.on(self.night)
        } else {
            self.desk.at(self.night, hour, minute)
        }
    }

    /// Writes a record.
    pub(crate) fn write(&mut self, draft: Draft) -> RecordRef {
        self.desk.write(&self.basin, draft)
    }

    /// Writes a record about a group, by the place where it is.
    pub(crate) fn tell(&mut self, group: GroupIx, place: PlaceIx, when: EventDate, body: Body) -> RecordRef {
        let animal = &self.stock.groups[group];
        let draft = Draft {
            author: self.keeper(place),
            place: Some(place),
            when,
            subject: animal.subject(),
            name: Some(animal.kind().name),
            body,
        };
        self.write(draft)
    }

    /// Writes a record of a place about nobody in particular.
    pub(crate) fn tell_of_place(&mut self, place: PlaceIx, when: EventDate, body: Body) -> RecordRef {
        let author = self.keeper(place);
        self.write(Draft { author, place: Some(place), when, subject: Subject::Nobody, name: None, body })
    }

    /// Writes a record of an office, about no place.
    pub(crate) fn tell_of_office(&mut self, author: PartyIx, when: EventDate, body: Body) -> RecordRef {
        self.write(Draft { author, place: None, when, subject: Subject::Nobody, name: None, body })
    }

    /// Plans something for a later night; what falls after the last night never happens here.
    pub(crate) fn plan(&mut self, night: i32, task: Task) {
        self.agenda.entry(night).or_default().push(task);
    }

    /// Whether the group is in a unit of this place that a standstill binds.
    pub(crate) fn stands_still(&self, group: GroupIx, place: PlaceIx) -> bool {
        let animal = &self.stock.groups[group];
        animal.stands_in(place)
            && animal.unit.is_some_and(|unit| self.units[place][unit].still_until >= self.night)
    }

    /// May chance move this group, split it, or set it free?
    pub(crate) fn at_leisure(&self, group: GroupIx, place: PlaceIx) -> bool {
        let animal = &self.stock.groups[group];
        animal.stands_in(place)
            && !animal.reserved
            && !animal.eggs()
            && animal.quarantine.is_none()
            && animal.case.is_none()
            && animal.free_from <= self.night
            && animal.since < self.night
            && !self.stands_still(group, place)
    }

    /// Another centre of the same reach that keeps a species and can be reached.
    pub(crate) fn other_centre(&mut self, from: PlaceIx, species: SpeciesIx) -> Option<PlaceIx> {
        let reach = self.basin.places[from].reach;
        let night = self.night;
        let open: Vec<PlaceIx> = (0..self.basin.centres)
            .filter(|to| *to != from && self.basin.places[*to].reach == reach)
            .filter(|to| self.basin.places[*to].keeps.contains(&species))
            .filter(|to| {
                !self
                    .closed
                    .iter()
                    .any(|(a, b, until)| *until >= night && [(*a, *b), (*b, *a)].contains(&(from, *to)))
            })
            .collect();
        self.luck.pick(&open).copied()
    }

    /// A species of a place, the commoner the likelier.
    pub(crate) fn arriving_species(&mut self, place: PlaceIx) -> Option<SpeciesIx> {
        let keeps = &self.basin.places[place].keeps;
        let weights: Vec<u32> = keeps.iter().map(|index| species::ALL[*index].common).collect();
        keeps.get(self.luck.weighted(&weights)).copied()
    }

    /// Moves a group somewhere; it leaves its unit.
    pub(crate) fn send(&mut self, group: GroupIx, to: Where) {
        self.vacate(group);
        self.stock.put(group, to, self.night);
    }

    /// So many of a group are no longer there.
    pub(crate) fn lessen(&mut self, group: GroupIx, by: u32) {
        let animal = &self.stock.groups[group];
        if let (Some(unit), Where::Place(place)) = (animal.unit, animal.at) {
            let unit = &mut self.units[place][unit];
            unit.heads = unit.heads.saturating_sub(by);
        }
        self.stock.lessen(group, by, self.night);
    }

    /// A part of a lot becomes a group of its own, in no unit yet.
    pub(crate) fn part(&mut self, group: GroupIx, count: u32, id: String, single: bool) -> GroupIx {
        let animal = &self.stock.groups[group];
        if let (Some(unit), Where::Place(place)) = (animal.unit, animal.at) {
            let unit = &mut self.units[place][unit];
            unit.heads = unit.heads.saturating_sub(count);
        }
        self.stock.part(group, count, id, single, self.night)
    }

    /// The place where a group stands.
    pub(crate) fn place_of(&self, group: GroupIx) -> Option<PlaceIx> {
        match self.stock.groups[group].at {
            Where::Place(place) => Some(place),
            _ => None,
        }
    }

    /// An age class of an arrival.
    pub(crate) fn some_stage(&mut self) -> LifeStage {
        match self.luck.weighted(&[2, 3, 5]) {
            0 => LifeStage::Juvenile,
            1 => LifeStage::Subadult,
            _ => LifeStage::Adult,
        }
    }
}

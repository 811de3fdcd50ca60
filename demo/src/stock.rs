//! The true stock: animals, lots and clutches as they really stand, never read back from records.

use std::collections::BTreeMap;

use haulout_schemas::RecordRef;
use haulout_schemas::vocabulary::{LifeStage, Sex};

use crate::basin::PlaceIx;
use crate::desk::Subject;
use crate::species::{self, Species, SpeciesIx};

/// Index into [`Stock::groups`].
pub(crate) type GroupIx = usize;

/// Where a group really is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Where {
    Place(PlaceIx),
    /// On a journey.
    Road(usize),
    /// Dead, free, lost, handed on, or merged into another group.
    Gone,
}

/// A quarantine that the group is in.
#[derive(Clone)]
pub(crate) struct Batch {
    pub id: String,
    pub unit: usize,
}

/// One animal, one lot, or one clutch of eggs.
#[derive(Clone)]
pub(crate) struct Group {
    pub id: String,
    /// One animal known by itself.
    pub single: bool,
    /// As identified on this day.
    pub species: SpeciesIx,
    pub stage: LifeStage,
    pub sex: Option<Sex>,
    pub count: u32,
    pub at: Where,
    pub unit: Option<usize>,
    /// Night of arrival at this place.
    pub since: i32,
    /// Chance leaves it alone before this night.
    pub free_from: i32,
    pub quarantine: Option<Batch>,
    /// Case whose property it is.
    pub case: Option<usize>,
    /// Leave of a court, where it once was case property.
    pub leave: Option<String>,
    pub mark: Option<String>,
    pub length_m: f64,
    /// Belongs to a planted fault: chance never touches it.
    pub reserved: bool,
    /// Record of its arrival.
    pub arrival: Option<RecordRef>,
}

impl Group {
    /// A new group of this kind; place, unit and days are given when it is put somewhere.
    pub(crate) fn new(id: String, single: bool, species: SpeciesIx, stage: LifeStage, count: u32) -> Self {
        Self {
            id,
            single,
            species,
            stage,
            sex: None,
            count,
            at: Where::Gone,
            unit: None,
            since: 0,
            free_from: 0,
            quarantine: None,
            case: None,
            leave: None,
            mark: None,
            length_m: species::ALL[species].length_at(stage),
            reserved: false,
            arrival: None,
        }
    }

    pub(crate) fn subject(&self) -> Subject {
        if self.single { Subject::Animal(self.id.clone()) } else { Subject::Lot(self.id.clone()) }
    }

    pub(crate) fn kind(&self) -> &'static Species {
        &species::ALL[self.species]
    }

    pub(crate) fn eggs(&self) -> bool {
        self.stage == LifeStage::Egg
    }

    /// Alive and there.
    pub(crate) fn stands_in(&self, place: PlaceIx) -> bool {
        self.count > 0 && self.at == Where::Place(place)
    }
}

/// A species' eggs or its animals, as an account counts them.
pub(crate) type Good = (SpeciesIx, bool);

/// All groups, and which stand where.
pub(crate) struct Stock {
    pub groups: Vec<Group>,
    standing: Vec<Vec<GroupIx>>,
}

impl Stock {
    pub(crate) fn new(places: usize) -> Self {
        Self { groups: Vec::new(), standing: vec![Vec::new(); places] }
    }

    /// Everything that stands in a place, in order of arrival there.
    pub(crate) fn standing(&self, place: PlaceIx) -> Vec<GroupIx> {
        self.standing[place].clone()
    }

    /// A new group, put somewhere.
    pub(crate) fn add(&mut self, group: Group, at: Where, night: i32) -> GroupIx {
        let index = self.groups.len();
        self.groups.push(group);
        self.put(index, at, night);
        index
    }

    /// Moves a group; it leaves its unit.
    pub(crate) fn put(&mut self, index: GroupIx, at: Where, night: i32) {
        if let Where::Place(old) = self.groups[index].at {
            self.standing[old].retain(|other| *other != index);
        }
        if let Where::Place(new) = at {
            self.standing[new].push(index);
        }
        let group = &mut self.groups[index];
        group.at = at;
        group.unit = None;
        group.since = night;
    }

    /// So many of the group die, flee, or leave; a group of none is gone.
    pub(crate) fn lessen(&mut self, index: GroupIx, by: u32, night: i32) {
        let group = &mut self.groups[index];
        group.count = group.count.saturating_sub(by);
        if group.count == 0 {
            self.put(index, Where::Gone, night);
        }
    }

    /// A part of a lot becomes a group of its own, in the same place and in no unit.
    pub(crate) fn part(
        &mut self,
        index: GroupIx,
        count: u32,
        id: String,
        single: bool,
        night: i32,
    ) -> GroupIx {
        let from = self.groups[index].clone();
        let at = from.at;
        let part = Group { id, single, count, unit: None, at: Where::Gone, ..from };
        self.lessen(index, count, night);
        let new = self.add(part, at, night);
        self.groups[new].since = self.groups[index].since;
        new
    }

    /// What a place holds.
    pub(crate) fn holds(&self, place: PlaceIx) -> BTreeMap<Good, u32> {
        self.sum(self.standing[place].iter().copied())
    }

    /// What these groups are together.
    pub(crate) fn sum(&self, groups: impl Iterator<Item = GroupIx>) -> BTreeMap<Good, u32> {
        let mut sums = BTreeMap::new();
        for group in groups.map(|index| &self.groups[index]) {
            *sums.entry((group.species, group.eggs())).or_insert(0) += group.count;
        }
        sums
    }
}

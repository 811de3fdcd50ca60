//! Where a plan may put animals: the empty units of rows, and units that are shared.
//!
//! Empty units of one centre that hold the same of everyone are one slot, counted; [`super::units`]
//! turns it back into units.

use std::collections::HashMap;

use haulout_schemas::records::standing::Arrangement;

use crate::request::RequestFile;

/// One slot.
#[derive(Debug, Clone)]
pub(crate) struct Slot {
    /// Position of its centre in the file.
    pub centre: usize,
    /// Its units: position in the file, empty units.
    pub entries: Vec<(usize, u32)>,
    pub kind: Kind,
    /// True when its units are not for one request by themselves: each is a place of its own, and what is
    /// indivisible goes into one of them. A row that isolates is one place.
    pub communal: bool,
    /// What is free in one unit, where it is measured by size.
    pub free_size: Option<u32>,
    /// Position of its water in the list of shared waters.
    pub circuit: Option<usize>,
}

/// How a slot takes animals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// So many empty units, each for one request.
    Rows { free: u32 },
    /// One unit that requests may share; in a row, which of its empty ones, from one.
    Shared { number: u32 },
}

impl Slot {
    /// A slot of one entry of the file.
    pub fn of(ground: &Ground, kind: Kind) -> Self {
        Self {
            centre: ground.centre,
            entries: vec![(ground.unit_at, ground.empty)],
            kind,
            communal: ground.shared,
            free_size: ground.free_size,
            circuit: ground.circuit,
        }
    }

    /// Takes in units of another entry that hold the same of everyone.
    pub fn join(&mut self, ground: &Ground, more: u32) {
        self.entries.push((ground.unit_at, ground.empty));
        if let Kind::Rows { free } = &mut self.kind {
            *free = free.saturating_add(more);
        }
    }

    /// The unit that stands for all.
    pub fn unit_at(&self) -> usize {
        self.entries.first().map_or(0, |(at, _)| *at)
    }
}

/// A unit before it is known who may share it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ground {
    pub centre: usize,
    /// Position in the file, empty units.
    pub unit_at: usize,
    pub empty: u32,
    /// True when several requests may come into one unit of it.
    pub shared: bool,
    pub free_size: Option<u32>,
    pub circuit: Option<usize>,
}

/// Every unit that can take anyone.
pub(crate) fn grounds(file: &RequestFile, centres: &HashMap<&str, usize>) -> Vec<Ground> {
    let mut grounds: Vec<Ground> = Vec::new();
    let mut circuits: HashMap<(usize, &str), usize> = HashMap::new();
    for (unit_at, unit) in file.view.units.iter().enumerate() {
        let Some(&centre) = centres.get(unit.centre_id.as_str()) else { continue };
        if file.evacuate.iter().any(|emptied| emptied.centre_id == unit.centre_id) {
            continue;
        }
        let empty = unit.standing_empty();
        if empty == 0 && unit.heads() == 0 {
            continue;
        }
        let circuit = unit.water_circuit.as_deref().map(|water| {
            let next = circuits.len();
            *circuits.entry((centre, water)).or_insert(next)
        });
        let shared = unit.arrangement != Arrangement::Isolating || empty == 0;
        grounds.push(Ground { centre, unit_at, empty, shared, free_size: unit.free_size, circuit });
    }
    grounds
}

//! What of a region can be looked up once for many questions: units by centre, journeys by their
//! ends, what the names written in it mean.

use std::collections::{HashMap, HashSet};

use haulout_schemas::profile::Profile;

use crate::species::Species;
use crate::view::{RegionView, TravelLine, Unit};

/// The look-up tables of one region. They change no answer, only how soon it comes.
#[derive(Debug)]
pub(crate) struct Index<'a> {
    units: HashMap<&'a str, Vec<(usize, &'a Unit)>>,
    travel: HashMap<(&'a str, &'a str), &'a TravelLine>,
    meant: HashMap<&'a str, Vec<&'a Profile>>,
    held: HashMap<&'a str, HashSet<&'a str>>,
}

impl<'a> Index<'a> {
    pub fn of(view: &'a RegionView, species: Species<'a>) -> Self {
        let mut index = Self {
            units: HashMap::new(),
            travel: HashMap::new(),
            meant: HashMap::new(),
            held: HashMap::new(),
        };
        for (at, unit) in view.units.iter().enumerate() {
            index.units.entry(&unit.centre_id).or_default().push((at, unit));
            index.names(unit.everyone().map(|one| one.scientific_name.as_str()), species);
            index.taxa(&unit.suits, species);
        }
        for centre in &view.centres {
            index.names(centre.unhoused.iter().map(|one| one.scientific_name.as_str()), species);
            for line in &centre.licences {
                index.taxa(&line.scope, species);
            }
        }
        for standstill in &view.standstills {
            index.taxa(&standstill.taxa, species);
        }
        for line in &view.roads.travel {
            // The first line of a journey holds, as when the table is read from its top.
            index.travel.entry((&line.from, &line.to)).or_insert(line);
        }
        index
    }

    fn names(&mut self, names: impl Iterator<Item = &'a str>, species: Species<'a>) {
        for name in names {
            self.meant.entry(name).or_insert_with(|| species.meant_by(name));
        }
    }

    fn taxa(&mut self, taxa: &'a [String], species: Species<'a>) {
        for taxon in taxa {
            self.held.entry(taxon).or_insert_with(|| species.held_by(taxon));
        }
    }

    /// The units of a centre with their positions.
    pub fn units(&self, centre_id: &str) -> Vec<(usize, &'a Unit)> {
        self.units.get(centre_id).cloned().unwrap_or_default()
    }

    /// The journey's own line.
    pub fn line(&self, from: &str, to: &str) -> Option<&'a TravelLine> {
        self.travel.get(&(from, to)).copied()
    }

    /// What a name may mean; `None` where the region does not write it.
    pub fn meant(&self, name: &str) -> Option<&[&'a Profile]> {
        self.meant.get(name).map(Vec::as_slice)
    }

    /// Whether a taxon holds a species by the name list; `None` where the region does not write it.
    pub fn holds(&self, taxon: &str, profile: &Profile) -> Option<bool> {
        self.held.get(taxon).map(|held| held.contains(profile.scientific_name.as_str()))
    }
}

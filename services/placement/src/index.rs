//! What of a region can be looked up once for many questions: units by centre, journeys by their
//! ends, what the names written in it mean.

use haulout_schemas::profile::Profile;
use haulout_schemas::vocabulary::LifeStage;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::case::{Place, companions};
use crate::judging::size_of;
use crate::species::Species;
use crate::view::{Occupant, RegionView, TravelLine, Unit};

/// The look-up tables of one region. They change no answer, only how soon it comes.
#[derive(Debug)]
pub(crate) struct Index<'a> {
    centres: FxHashMap<&'a str, OfCentre<'a>>,
    /// For each unit of the region, who is there.
    companions: Vec<Vec<(Place, &'a Occupant)>>,
    travel: FxHashMap<(&'a str, &'a str), &'a TravelLine>,
    meant: FxHashMap<&'a str, Vec<&'a Profile>>,
    held: FxHashMap<&'a str, FxHashSet<&'a str>>,
    /// What units are meant for, each list once.
    suits: Vec<&'a [String]>,
    /// For each unit of the region, its list among these.
    suits_of: Vec<usize>,
}

/// What is looked up of one centre.
#[derive(Debug, Default)]
pub(crate) struct OfCentre<'a> {
    /// Its units with their positions in the region.
    pub units: Vec<(usize, &'a Unit)>,
    /// Positions in these, the smallest unit first, then by identifier.
    pub smallest_first: Vec<usize>,
    /// By name, heads of everyone there, eggs apart.
    pub heads: Vec<(&'a str, u32)>,
}

impl<'a> OfCentre<'a> {
    fn count(&mut self, there: impl Iterator<Item = &'a Occupant>) {
        for one in there.filter(|one| one.life_stage != Some(LifeStage::Egg)) {
            match self.heads.iter_mut().find(|(name, _)| *name == one.scientific_name) {
                Some((_, heads)) => *heads = heads.saturating_add(one.individual_count),
                None => self.heads.push((&one.scientific_name, one.individual_count)),
            }
        }
    }
}

/// Positions of units, the smallest first, then by identifier.
pub(crate) fn smallest_first(units: &[(usize, &Unit)]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..units.len()).collect();
    order.sort_by_cached_key(|at| units.get(*at).map(|(_, unit)| (size_of(unit), &unit.unit_id)));
    order
}

impl<'a> Index<'a> {
    pub fn of(view: &'a RegionView, species: Species<'a>) -> Self {
        let mut index = Self {
            centres: FxHashMap::default(),
            companions: Vec::new(),
            travel: FxHashMap::default(),
            meant: FxHashMap::default(),
            held: FxHashMap::default(),
            suits: Vec::new(),
            suits_of: Vec::new(),
        };
        let mut lists: FxHashMap<&[String], usize> = FxHashMap::default();
        for (at, unit) in view.units.iter().enumerate() {
            let centre = index.centres.entry(&unit.centre_id).or_default();
            centre.units.push((at, unit));
            centre.count(unit.everyone());
            index.companions.push(companions(unit));
            index.names(unit.everyone().map(|one| one.scientific_name.as_str()), species);
            index.taxa(&unit.suits, species);
            let next = index.suits.len();
            let list = *lists.entry(unit.suits.as_slice()).or_insert(next);
            if list == next {
                index.suits.push(&unit.suits);
            }
            index.suits_of.push(list);
        }
        for centre in &view.centres {
            index.names(centre.unhoused.iter().map(|one| one.scientific_name.as_str()), species);
            index.centres.entry(&centre.centre_id).or_default().count(centre.unhoused.iter());
            for line in &centre.licences {
                index.taxa(&line.scope, species);
            }
        }
        for centre in index.centres.values_mut() {
            centre.smallest_first = smallest_first(&centre.units);
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
            self.held.entry(taxon).or_insert_with(|| species.held_by(taxon).into_iter().collect());
        }
    }

    /// What was looked up of a centre.
    pub fn centre(&self, centre_id: &str) -> Option<&OfCentre<'a>> {
        self.centres.get(centre_id)
    }

    /// Who is in the unit at a position of the region.
    pub fn companions(&self, unit_at: usize) -> Option<&[(Place, &'a Occupant)]> {
        self.companions.get(unit_at).map(Vec::as_slice)
    }

    /// What units are meant for, each list once.
    pub fn suits(&self) -> &[&'a [String]] {
        &self.suits
    }

    /// The list of the unit at a position of the region among [`Index::suits`].
    pub fn suits_of(&self, unit_at: usize) -> Option<usize> {
        self.suits_of.get(unit_at).copied()
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use haulout_schemas::names::Names;
    use haulout_schemas::profile::Profiles;

    use super::*;
    use crate::case::{Asked, AtCentre};
    use crate::judging::judge;
    use crate::request::RequestFile;

    /// Looked up beforehand or on the spot, every rule says the same of every centre.
    #[test]
    fn an_index_changes_no_answer() {
        let mut file: RequestFile =
            serde_json::from_str(include_str!("../tests/placement/first_night.json")).unwrap();
        let species = Species { profiles: Profiles::standard(), names: Names::standard() };
        let at = "2026-07-02T01:20:00+05:30".parse().unwrap();
        for name in ["Crocodylus palustris", "Nilssonia", "Indotestudo elongata", "Ignota ignota"] {
            for place in [None, Some("meruva.yard"), Some("meruva.desharu")] {
                let request = file.requests.first_mut().unwrap();
                request.scientific_name = name.to_owned();
                if let Some(place) = place {
                    request.from.place_id = Some(place.to_owned());
                    (request.from.latitude, request.from.longitude) = (None, None);
                }
                let request = file.requests.first().unwrap();
                let index = Index::of(&file.view, species);
                let plain = Asked::new(&file.view, request, species, at);
                let indexed = Asked::indexed(&file.view, request, species, at, Some(&index));
                for (centre_at, centre) in file.view.centres.iter().enumerate() {
                    let one = AtCentre::new(&plain, centre_at, centre);
                    let known = index.centre(&centre.centre_id).unwrap();
                    let other = AtCentre::looked_up(&indexed, centre_at, centre, known);
                    let (one, other) = (judge(&one), judge(&other));
                    assert_eq!(one.unit.map(|unit| unit.0), other.unit.map(|unit| unit.0));
                    let told = |judged: &crate::judging::Judged<'_>| {
                        judged.checks.iter().map(|(_, check)| check.clone()).collect::<Vec<_>>()
                    };
                    assert_eq!(told(&one), told(&other), "{name} to {}", centre.centre_id);
                }
            }
        }
    }
}

//! What of a region can be looked up once for many questions: units by centre, journeys by their
//! ends, what the names written in it mean.

use std::ops::Range;

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
    there: There<'a>,
    words: Words<'a>,
    travel: FxHashMap<(&'a str, &'a str), &'a TravelLine>,
}

/// Who is where.
#[derive(Debug, Default)]
struct There<'a> {
    centres: FxHashMap<&'a str, OfCentre<'a>>,
    /// Who is in the units of the region, one after another.
    companions: Vec<(Place, &'a Occupant)>,
    /// For each unit of the region, those of them who are there.
    companions_of: Vec<Range<usize>>,
}

/// What names and taxa mean that the region writes.
#[derive(Debug, Default)]
struct Words<'a> {
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
        let mut last = 0;
        for one in there.filter(|one| one.life_stage != Some(LifeStage::Egg)) {
            let name = one.scientific_name.as_str();
            // Those in one unit are mostly of one name.
            if self.heads.get(last).is_none_or(|(held, _)| *held != name) {
                let known = self.heads.iter().position(|(held, _)| *held == name);
                last = known.unwrap_or(self.heads.len());
            }
            match self.heads.get_mut(last) {
                Some((_, heads)) => *heads = heads.saturating_add(one.individual_count),
                None => self.heads.push((name, one.individual_count)),
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

impl<'a> There<'a> {
    fn of(view: &'a RegionView) -> Self {
        let mut there = Self::default();
        let mut first = 0;
        // Units of one centre mostly follow each other: what they share is looked up once.
        for units in view.units.chunk_by(|one, next| one.centre_id == next.centre_id) {
            let Some(Unit { centre_id, .. }) = units.first() else { continue };
            let centre = there.centres.entry(centre_id).or_default();
            for (at, unit) in units.iter().enumerate() {
                centre.units.push((first + at, unit));
                centre.count(unit.everyone());
                let before = there.companions.len();
                there.companions.extend(companions(unit));
                there.companions_of.push(before..there.companions.len());
            }
            first += units.len();
        }
        for centre in &view.centres {
            there.centres.entry(&centre.centre_id).or_default().count(centre.unhoused.iter());
        }
        for centre in there.centres.values_mut() {
            centre.smallest_first = smallest_first(&centre.units);
        }
        there
    }
}

impl<'a> Words<'a> {
    fn of(view: &'a RegionView, species: Species<'a>) -> Self {
        let mut words = Self::default();
        let mut lists: FxHashMap<&[String], usize> = FxHashMap::default();
        for unit in &view.units {
            words.names(unit.everyone(), species);
            let next = words.suits.len();
            let list = *lists.entry(unit.suits.as_slice()).or_insert(next);
            if list == next {
                words.taxa(&unit.suits, species);
                words.suits.push(&unit.suits);
            }
            words.suits_of.push(list);
        }
        for centre in &view.centres {
            words.names(centre.unhoused.iter(), species);
            centre.licences.iter().for_each(|line| words.taxa(&line.scope, species));
        }
        view.standstills.iter().for_each(|standstill| words.taxa(&standstill.taxa, species));
        words
    }

    fn names(&mut self, there: impl Iterator<Item = &'a Occupant>, species: Species<'a>) {
        let mut before = None;
        for name in there.map(|one| one.scientific_name.as_str()) {
            if before.replace(name) != Some(name) {
                self.meant.entry(name).or_insert_with(|| species.meant_by(name));
            }
        }
    }

    fn taxa(&mut self, taxa: &'a [String], species: Species<'a>) {
        for taxon in taxa {
            self.held.entry(taxon).or_insert_with(|| species.held_by(taxon).into_iter().collect());
        }
    }
}

impl<'a> Index<'a> {
    pub fn of(view: &'a RegionView, species: Species<'a>) -> Self {
        let (there, words) = rayon::join(|| There::of(view), || Words::of(view, species));
        let mut travel = FxHashMap::default();
        for line in &view.roads.travel {
            // The first line of a journey holds, as when the table is read from its top.
            travel.entry((line.from.as_str(), line.to.as_str())).or_insert(line);
        }
        Self { there, words, travel }
    }

    /// What was looked up of a centre.
    pub fn centre(&self, centre_id: &str) -> Option<&OfCentre<'a>> {
        self.there.centres.get(centre_id)
    }

    /// Who is in the unit at a position of the region.
    pub fn companions(&self, unit_at: usize) -> Option<&[(Place, &'a Occupant)]> {
        self.there.companions.get(self.there.companions_of.get(unit_at)?.clone())
    }

    /// What units are meant for, each list once.
    pub fn suits(&self) -> &[&'a [String]] {
        &self.words.suits
    }

    /// The list of the unit at a position of the region among [`Index::suits`].
    pub fn suits_of(&self, unit_at: usize) -> Option<usize> {
        self.words.suits_of.get(unit_at).copied()
    }

    /// The journey's own line.
    pub fn line(&self, from: &str, to: &str) -> Option<&'a TravelLine> {
        self.travel.get(&(from, to)).copied()
    }

    /// What a name may mean; `None` where the region does not write it.
    pub fn meant(&self, name: &str) -> Option<&[&'a Profile]> {
        self.words.meant.get(name).map(Vec::as_slice)
    }

    /// Whether a taxon holds a species by the name list; `None` where the region does not write it.
    pub fn holds(&self, taxon: &str, profile: &Profile) -> Option<bool> {
        self.words.held.get(taxon).map(|held| held.contains(profile.scientific_name.as_str()))
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

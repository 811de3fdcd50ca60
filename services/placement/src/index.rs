//! What of a region can be looked up once for many questions: units by centre, journeys by their
//! ends, what the names written in it mean.

use haulout_schemas::profile::Profile;
use haulout_schemas::vocabulary::LifeStage;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::species::Species;
use crate::view::{Occupant, RegionView, TravelLine, Unit};

/// The look-up tables of one region. They change no answer, only how soon it comes.
#[derive(Debug)]
pub(crate) struct Index<'a> {
    units: FxHashMap<&'a str, Vec<(usize, &'a Unit)>>,
    travel: FxHashMap<(&'a str, &'a str), &'a TravelLine>,
    meant: FxHashMap<&'a str, Vec<&'a Profile>>,
    held: FxHashMap<&'a str, FxHashSet<&'a str>>,
    /// What units are meant for, each list once.
    suits: Vec<&'a [String]>,
    /// For each unit of the region, its list among these.
    suits_of: Vec<usize>,
    /// By centre and name, heads of everyone there, eggs apart.
    heads: FxHashMap<&'a str, Vec<(&'a str, u32)>>,
}

impl<'a> Index<'a> {
    pub fn of(view: &'a RegionView, species: Species<'a>) -> Self {
        let mut index = Self {
            units: FxHashMap::default(),
            travel: FxHashMap::default(),
            meant: FxHashMap::default(),
            held: FxHashMap::default(),
            suits: Vec::new(),
            suits_of: Vec::new(),
            heads: FxHashMap::default(),
        };
        let mut lists: FxHashMap<&[String], usize> = FxHashMap::default();
        for (at, unit) in view.units.iter().enumerate() {
            index.units.entry(&unit.centre_id).or_default().push((at, unit));
            index.names(unit.everyone().map(|one| one.scientific_name.as_str()), species);
            index.count(&unit.centre_id, unit.everyone());
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
            index.count(&centre.centre_id, centre.unhoused.iter());
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

    fn count(&mut self, centre_id: &'a str, there: impl Iterator<Item = &'a Occupant>) {
        let heads = self.heads.entry(centre_id).or_default();
        for one in there.filter(|one| one.life_stage != Some(LifeStage::Egg)) {
            match heads.iter_mut().find(|(name, _)| *name == one.scientific_name) {
                Some((_, heads)) => *heads = heads.saturating_add(one.individual_count),
                None => heads.push((&one.scientific_name, one.individual_count)),
            }
        }
    }

    /// Heads by name of everyone at a centre, eggs apart.
    pub fn heads(&self, centre_id: &str) -> Option<&[(&'a str, u32)]> {
        self.heads.get(centre_id).map(Vec::as_slice)
    }

    fn taxa(&mut self, taxa: &'a [String], species: Species<'a>) {
        for taxon in taxa {
            self.held.entry(taxon).or_insert_with(|| species.held_by(taxon).into_iter().collect());
        }
    }

    /// The units of a centre with their positions.
    pub fn units(&self, centre_id: &str) -> Vec<(usize, &'a Unit)> {
        self.units.get(centre_id).cloned().unwrap_or_default()
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
                    let other =
                        AtCentre::with_units(&indexed, centre_at, centre, index.units(&centre.centre_id))
                            .unchanged();
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

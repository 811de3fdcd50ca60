//! What of a region is looked up once for many questions: units by centre, heads by name, what units
//! are meant for, what names mean, journeys by their ends.
//!
//! It holds positions and no references, so that it can be kept while the region moves on: what one
//! centre changes is looked up again for that centre alone.

mod lookup;
mod words;

use std::ops::Range;

use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use haulout_schemas::records::standing::UnitKind;
use haulout_schemas::vocabulary::LifeStage;
use rayon::prelude::*;
use rustc_hash::FxHashMap;

use words::Words;

pub(crate) use lookup::Lookup;

use crate::judging::size_of;
use crate::species::Species;
use crate::view::{Centre, RegionView, TravelLine, Unit};

/// The look-up tables of one region. They change no answer, only how soon it comes.
#[derive(Debug, Clone, Default)]
pub struct Index {
    /// By position of the centre.
    centres: Vec<OfCentre>,
    /// Positions of units, those of one centre one after another.
    by_centre: Vec<usize>,
    /// By position of the unit.
    units: Vec<OfUnit>,
    words: Words,
    /// Positions of the lines of the travel table, by their ends.
    travel: Vec<usize>,
}

/// What is looked up of one centre.
#[derive(Debug, Clone)]
pub(crate) struct OfCentre {
    /// Its units, as a part of those by centre.
    units: Range<usize>,
    /// Positions in its units, the smallest unit first, then by identifier.
    pub smallest_first: Vec<usize>,
    /// By number of the name, heads of everyone there; eggs count none.
    pub heads: Vec<(usize, u32)>,
}

/// What is looked up of one unit.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OfUnit {
    /// Number of the list of what it is meant for.
    pub suits: usize,
    pub kind: UnitKind,
    /// See [`Unit::standing_empty`].
    pub empty: u32,
}

/// A part of a view: positions of centres and of units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// Of centres.
    pub centres: Range<usize>,
    /// Of units.
    pub units: Range<usize>,
}

impl Index {
    /// Looks up what questions about a region need.
    #[must_use]
    pub fn of(view: &RegionView, profiles: &Profiles, names: &Names) -> Self {
        let species = Species { profiles, names };
        let units = by_centre(view);
        let none = Vec::new();
        let of = |centre: &Centre| units.get(centre.centre_id.as_str()).unwrap_or(&none);
        let (orders, empty) = rayon::join(
            || {
                let orders = view.centres.par_iter().map(|centre| {
                    let units: Vec<&Unit> = of(centre).iter().map(|(_, unit)| *unit).collect();
                    (smallest_first(&units), heads(centre, &units))
                });
                orders.collect::<Vec<_>>()
            },
            || view.units.par_iter().map(Unit::standing_empty).collect::<Vec<_>>(),
        );
        let mut index = Self::default();
        for (centre, (smallest_first, heads)) in view.centres.iter().zip(orders) {
            let first = index.by_centre.len();
            index.by_centre.extend(of(centre).iter().map(|(at, _)| at));
            let heads = index.words.numbered(heads, species);
            index.words.licensed(centre, species);
            index.centres.push(OfCentre { units: first..index.by_centre.len(), smallest_first, heads });
        }
        for (unit, empty) in view.units.iter().zip(empty) {
            let unit = index.words.unit(unit, empty, species);
            index.units.push(unit);
        }
        view.standstills.iter().for_each(|standstill| index.words.taxa(&standstill.taxa, species));
        let lines = &view.roads.travel;
        index.travel = (0..lines.len()).collect();
        // A stable order: the first line of a journey holds, as when the table is read from its top.
        index.travel.sort_by_key(|at| lines.get(*at).map(ends));
        index
    }

    /// Puts a centre, or none, and its units into a view in place of what stood there, and looks them
    /// up. The view holds units in the sequence of their centres, and all of them were put into it.
    pub fn put(
        &mut self,
        view: &mut RegionView,
        at: Span,
        (centre, units): (Option<Centre>, Vec<Unit>),
        profiles: &Profiles,
        names: &Names,
    ) {
        debug_assert!(self.by_centre.iter().copied().eq(0..view.units.len()), "not all were put into it");
        let species = Species { profiles, names };
        let own = at.units.start..at.units.start + units.len();
        let found = centre.as_ref().map(|centre| {
            let there: Vec<&Unit> = units.iter().collect();
            let heads = self.words.numbered(heads(centre, &there), species);
            self.words.licensed(centre, species);
            OfCentre { units: own.clone(), smallest_first: smallest_first(&there), heads }
        });
        for later in self.centres.iter_mut().skip(at.centres.end) {
            let moved = |position: usize| position - at.units.len() + own.len();
            later.units = moved(later.units.start)..moved(later.units.end);
        }
        let words = &mut self.words;
        let of_units = units.iter().map(|unit| words.unit(unit, unit.standing_empty(), species));
        self.units.splice(at.units.clone(), of_units);
        self.centres.splice(at.centres.clone(), found);
        self.by_centre.truncate(self.units.len());
        self.by_centre.extend(self.by_centre.len()..self.units.len());
        view.centres.splice(at.centres, centre);
        view.units.splice(at.units, units);
    }
}

type Placed<'a> = (usize, &'a Unit);

/// Units with their positions, by centre.
fn by_centre(view: &RegionView) -> FxHashMap<&str, Vec<Placed<'_>>> {
    let mut units: FxHashMap<&str, Vec<Placed<'_>>> = FxHashMap::default();
    let mut first = 0;
    // Units of one centre mostly follow each other: what they share is looked up once.
    for run in view.units.chunk_by(|one, next| one.centre_id == next.centre_id) {
        if let Some(unit) = run.first() {
            units.entry(&unit.centre_id).or_default().extend((first..).zip(run));
        }
        first += run.len();
    }
    units
}

/// Positions of units, the smallest first, then by identifier.
pub(crate) fn smallest_first(units: &[&Unit]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..units.len()).collect();
    order.sort_by_cached_key(|at| units.get(*at).map(|unit| (size_of(unit), &unit.unit_id)));
    order
}

/// By name, heads of everyone in a centre; eggs count none.
fn heads<'a>(centre: &'a Centre, units: &[&'a Unit]) -> Vec<(&'a str, u32)> {
    let mut heads: Vec<(&str, u32)> = Vec::new();
    let mut last = 0;
    let housed = units.iter().flat_map(|unit| unit.everyone());
    for one in centre.unhoused.iter().chain(housed) {
        let name = one.scientific_name.as_str();
        let count = if one.life_stage == Some(LifeStage::Egg) { 0 } else { one.individual_count };
        // Those in one unit are mostly of one name.
        if heads.get(last).is_none_or(|(held, _)| *held != name) {
            let known = heads.iter().position(|(held, _)| *held == name);
            last = known.unwrap_or(heads.len());
        }
        match heads.get_mut(last) {
            Some((_, heads)) => *heads = heads.saturating_add(count),
            None => heads.push((name, count)),
        }
    }
    heads
}

fn ends(line: &TravelLine) -> (&str, &str) {
    (&line.from, &line.to)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use haulout_schemas::names::Names;
    use haulout_schemas::profile::Profiles;

    use super::*;
    use crate::answer::Check;
    use crate::case::{Asked, AtCentre};
    use crate::judging::{Judged, judge};
    use crate::options::{Prepared, options};
    use crate::request::RequestFile;

    /// Looked up beforehand or on the spot, every rule says the same of every centre.
    #[test]
    fn an_index_changes_no_answer() {
        let mut file: RequestFile =
            serde_json::from_str(include_str!("../../tests/placement/first_night.json")).unwrap();
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
                let index = Index::of(&file.view, species.profiles, species.names);
                let lookup = Lookup::new(&file.view, &index);
                let plain = Asked::new(&file.view, request, species, at);
                let indexed = Asked::looking_up(&lookup, request, species, at);
                for (centre_at, centre) in file.view.centres.iter().enumerate() {
                    let one = AtCentre::new(&plain, centre_at, centre);
                    let other = AtCentre::looked_up(&indexed, centre_at, centre);
                    let (one, other) = (judge(&one), judge(&other));
                    assert_eq!(one.unit.map(|unit| unit.0), other.unit.map(|unit| unit.0));
                    let told = |judged: &Judged<'_>| -> Vec<Check> {
                        judged.checks.iter().map(|(_, check)| check.clone()).collect()
                    };
                    assert_eq!(told(&one), told(&other), "{name} to {}", centre.centre_id);
                }
            }
        }
    }

    /// Put together centre by centre, and changed so, a region answers as one that is read whole.
    #[test]
    fn what_is_put_answers_as_what_is_read() {
        let file: RequestFile =
            serde_json::from_str(include_str!("../../tests/placement/first_night.json")).unwrap();
        let (profiles, names) = (Profiles::standard(), Names::standard());
        let at = "2026-07-02T01:20:00+05:30".parse().unwrap();
        let mut view = RegionView { centres: Vec::new(), units: Vec::new(), ..file.view.clone() };
        let mut index = Index::of(&view, profiles, names);
        let asked = |view: &RegionView, index: &Index| {
            for name in ["Crocodylus palustris", "Lissemys punctata", "Indotestudo elongata"] {
                let mut request = file.requests.first().unwrap().clone();
                request.scientific_name = name.to_owned();
                let answer = Prepared::new(view, index, profiles, names).options(&request, at);
                assert_eq!(answer, options(view, &request, profiles, names, at));
            }
        };
        let whole = |at: &Centre| -> Vec<Unit> {
            file.view.units.iter().filter(|unit| unit.centre_id == at.centre_id).cloned().collect()
        };
        let mut spans = Vec::new();
        for centre in &file.view.centres {
            let (first, units) = (view.units.len(), whole(centre));
            let here = Span { centres: view.centres.len()..view.centres.len(), units: first..first };
            index.put(&mut view, here, (Some(centre.clone()), units), profiles, names);
            spans.push(first..view.units.len());
            asked(&view, &index);
        }
        assert_eq!(view.units.len(), file.view.units.len());
        // From the last to the first, so that the places of those before stay: no units, then no centre,
        // then both again.
        for (nth, span) in spans.into_iter().enumerate().rev() {
            let centre = &file.view.centres[nth];
            let here = Span { centres: nth..nth + 1, units: span.clone() };
            index.put(&mut view, here, (Some(centre.clone()), Vec::new()), profiles, names);
            asked(&view, &index);
            let here = Span { centres: nth..nth + 1, units: span.start..span.start };
            index.put(&mut view, here, (None, Vec::new()), profiles, names);
            asked(&view, &index);
            let here = Span { centres: nth..nth, units: span.start..span.start };
            index.put(&mut view, here, (Some(centre.clone()), whole(centre)), profiles, names);
            asked(&view, &index);
        }
        assert_eq!(view.units.len(), file.view.units.len());
    }
}

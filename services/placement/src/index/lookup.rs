//! An index beside the view it was made of: what one question reads.

use haulout_schemas::profile::Profile;

use super::{Index, OfCentre, OfUnit, ends};
use crate::view::{RegionView, TravelLine, Unit};

/// A view and its index.
#[derive(Debug)]
pub(crate) struct Lookup<'a> {
    pub view: &'a RegionView,
    index: &'a Index,
    /// Units with their positions, those of one centre one after another.
    units: Vec<(usize, &'a Unit)>,
    /// By number of the name.
    meant: Vec<Vec<&'a Profile>>,
}

impl<'a> Lookup<'a> {
    pub fn new(view: &'a RegionView, index: &'a Index) -> Self {
        debug_assert_eq!((view.centres.len(), view.units.len()), (index.centres.len(), index.units.len()));
        let units = index.by_centre.iter().filter_map(|at| Some((*at, view.units.get(*at)?))).collect();
        let meant = index.words.names.values();
        let meant = meant.map(|meant| meant.iter().map(AsRef::as_ref).collect()).collect();
        Self { view, index, units, meant }
    }

    /// What was looked up of the centre at a position.
    pub fn centre(&self, centre_at: usize) -> Option<&'a OfCentre> {
        self.index.centres.get(centre_at)
    }

    /// The units of a centre with their positions in the region.
    pub fn units_of(&self, centre: &OfCentre) -> &[(usize, &'a Unit)] {
        self.units.get(centre.units.clone()).unwrap_or_default()
    }

    /// What was looked up of the unit at a position of the region.
    pub fn unit(&self, unit_at: usize) -> Option<&'a OfUnit> {
        self.index.units.get(unit_at)
    }

    /// Lists of what units are meant for, by their numbers.
    pub fn suits(&self) -> impl Iterator<Item = &'a [String]> {
        self.index.words.suits.keys().map(Vec::as_slice)
    }

    /// The journey's own line.
    pub fn line(&self, from: &str, to: &str) -> Option<&'a TravelLine> {
        let line = |at: usize| self.view.roads.travel.get(at);
        let order = &self.index.travel;
        let first = order.partition_point(|at| line(*at).is_some_and(|line| ends(line) < (from, to)));
        line(*order.get(first)?).filter(|line| ends(line) == (from, to))
    }

    /// What a name may mean; `None` where the region does not write it.
    pub fn meant(&self, name: &str) -> Option<&[&'a Profile]> {
        self.meant_by(self.index.words.names.get_index_of(name)?)
    }

    /// What the name of a number may mean.
    pub fn meant_by(&self, number: usize) -> Option<&[&'a Profile]> {
        self.meant.get(number).map(Vec::as_slice)
    }

    /// Whether a taxon holds a species by the name list; `None` where the region does not write it.
    pub fn holds(&self, taxon: &str, profile: &Profile) -> Option<bool> {
        self.index.words.taxa.get(taxon).map(|held| held.contains(&profile.scientific_name))
    }
}

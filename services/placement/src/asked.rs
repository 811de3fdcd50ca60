//! One request as it is asked everywhere: the species it may be, their sizes, where it stands.

use std::borrow::Cow;
use std::ptr;

use chrono::{DateTime, FixedOffset};
use haulout_schemas::profile::Profile;
use haulout_schemas::vocabulary::LifeStage;
use haulout_welfare::measures::NoRelation;

use crate::index::{Lookup, OfUnit};
use crate::journey::position_of;
use crate::request::Request;
use crate::species::{Size, Species, is_named};
use crate::view::{RegionView, Unit};

/// A species the animal may be, with the size reckoned with.
#[derive(Clone, Copy)]
pub(crate) struct Candidate<'a> {
    pub profile: &'a Profile,
    pub size: Size,
    /// The upper end of its length in the measure people estimate, metres.
    pub field_length: Option<f64>,
}

/// What is the same for every centre.
pub(crate) struct Asked<'a> {
    pub view: &'a RegionView,
    pub request: &'a Request,
    pub species: Species<'a>,
    pub candidates: Vec<Candidate<'a>>,
    pub at: DateTime<FixedOffset>,
    /// Where the animal is, where that is a position or a known place.
    pub position: Option<(f64, f64)>,
    /// Each candidate's length in the measure of its space rule, metres.
    space_lengths: Vec<Result<f64, NoRelation>>,
    /// What was looked up of the region beforehand.
    lookup: Option<&'a Lookup<'a>>,
    /// For each list of what units are meant for whether it holds the animal; empty where that was not
    /// looked up.
    suited: Vec<bool>,
}

impl<'a> Asked<'a> {
    pub fn new(
        view: &'a RegionView,
        request: &'a Request,
        species: Species<'a>,
        at: DateTime<FixedOffset>,
    ) -> Self {
        Self::among(view, request, species, at, species.meant_by(&request.scientific_name))
    }

    /// The same with what was looked up of the region beforehand.
    pub fn looking_up(
        lookup: &'a Lookup<'a>,
        request: &'a Request,
        species: Species<'a>,
        at: DateTime<FixedOffset>,
    ) -> Self {
        let asked = Self { lookup: Some(lookup), ..Self::new(lookup.view, request, species, at) };
        // An incubator of which nobody said what eggs it is for has a rule of its own.
        if asked.eggs() || asked.candidates.is_empty() {
            return asked;
        }
        let suited = lookup.suits().map(|suits| asked.is_meant_for(suits)).collect();
        Self { suited, ..asked }
    }

    fn among(
        view: &'a RegionView,
        request: &'a Request,
        species: Species<'a>,
        at: DateTime<FixedOffset>,
        profiles: Vec<&'a Profile>,
    ) -> Self {
        let candidates: Vec<Candidate<'a>> = profiles
            .into_iter()
            .map(|profile| {
                let size = Size::of(profile, request.length.as_ref());
                let field_length = size.high_in(profile, profile.field_measure.value);
                Candidate { profile, size, field_length }
            })
            .collect();
        let space_lengths = candidates
            .iter()
            .map(|candidate| {
                let measure = candidate.profile.space_measure.value;
                let Candidate { profile, size, .. } = candidate;
                size.high_in(profile, measure).ok_or_else(|| size.no_relation(profile, measure))
            })
            .collect();
        let position = position_of(view, &request.from);
        Self {
            view,
            request,
            species,
            candidates,
            at,
            position,
            space_lengths,
            lookup: None,
            suited: Vec::new(),
        }
    }

    /// True when every species the animal may be is among what a unit is meant for.
    pub fn is_meant_for(&self, suits: &[String]) -> bool {
        !suits.is_empty()
            && self.candidates.iter().all(|candidate| self.is_within_any(candidate.profile, suits))
    }

    /// The same for a request or a view that differs in what a change may concern: the name asked for
    /// stays.
    pub fn with<'b>(&'b self, view: &'b RegionView, request: &'b Request) -> Asked<'b> {
        let profiles = self.candidates.iter().map(|candidate| candidate.profile);
        let asked = Asked::among(view, request, self.species, self.at, profiles.collect());
        Asked { lookup: self.lookup, suited: self.suited.clone(), ..asked }
    }

    /// What was looked up of the unit at a position of the region, where it is still the same.
    pub fn known_unit(&self, unit_at: usize, unit: &Unit) -> Option<&'a OfUnit> {
        let there =
            |lookup: &Lookup<'_>| lookup.view.units.get(unit_at).is_some_and(|there| ptr::eq(there, unit));
        self.lookup.filter(|lookup| there(lookup))?.unit(unit_at)
    }

    /// Whether a unit is meant for the animal, where that was looked up.
    pub fn is_known_to_suit(&self, unit: &OfUnit) -> Option<bool> {
        self.suited.get(unit.suits).copied()
    }

    pub fn lookup(&self) -> Option<&'a Lookup<'a>> {
        self.lookup
    }

    /// Eggs are placed by rules of their own.
    pub fn eggs(&self) -> bool {
        self.request.life_stage == Some(LifeStage::Egg)
    }

    /// Each candidate with its length in the measure of its space rule, metres.
    pub fn space_lengths(&self) -> impl Iterator<Item = (&Candidate<'a>, Result<f64, &NoRelation>)> {
        let lengths = self.space_lengths.iter().map(|length| length.as_ref().copied());
        self.candidates.iter().zip(lengths)
    }

    /// Every species that a name written in the region may mean; see [`Species::meant_by`].
    pub fn meant(&self, name: &str) -> Cow<'a, [&'a Profile]> {
        match self.lookup.and_then(|lookup| lookup.meant(name)) {
            Some(meant) => Cow::Borrowed(meant),
            None => Cow::Owned(self.species.meant_by(name)),
        }
    }

    /// True when one of the taxa holds the species; see [`Species::is_within`].
    pub fn is_within_any(&self, profile: &Profile, taxa: &[String]) -> bool {
        taxa.iter().any(|taxon| {
            is_named(profile, taxon)
                || self
                    .lookup
                    .and_then(|lookup| lookup.holds(taxon, profile))
                    .unwrap_or_else(|| self.species.is_within(profile, taxon))
        })
    }
}

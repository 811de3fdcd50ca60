//! The answer to one request: every centre once.

use chrono::{DateTime, FixedOffset};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use rayon::prelude::*;

use crate::answer::{Change, Exclusion, JourneyBasis, Options, PlacementOption};
use crate::case::{Asked, AtCentre, InUnit};
use crate::chains::{Place, chains, may_open_later, open};
use crate::index::{Index, Lookup};
use crate::journey::{Journey, NoJourney};
use crate::judging::{choose, size_of};
use crate::mending;
use crate::offering::{cautions, exclude, offer};
use crate::request::Request;
use crate::room::{self, RoomLeft};
use crate::scarce::{self, OpenUnits};
use crate::species::Species;
use crate::view::{Centre, RegionView, Settings, Unit};

pub(crate) use crate::judging::{Judged, Outcome, checks, judge};

/// Excluded centres, the nearest first, for which changes are worked out unless the caller says.
pub const CHANGES_FOR: usize = 20;

/// Answers one request.
///
/// The view must not hold the animal's own place, when the request is about one that is housed
/// already or was promised a place: it would count twice. `at` is the instant asked about; days
/// are those of its offset. Among units that will do, the smallest is offered, so that scarce room
/// is kept. Who asks more than once about a region prepares it: [`Prepared`].
#[must_use]
pub fn options(
    view: &RegionView,
    request: &Request,
    profiles: &Profiles,
    names: &Names,
    at: DateTime<FixedOffset>,
) -> Options {
    let index = Index::of(view, profiles, names);
    Prepared::new(view, &index, profiles, names).options(request, at)
}

/// How long the journey of a request to a centre takes, from loading to unloading: whole minutes, with
/// ferries and earlier drops, and where they come from.
///
/// # Errors
/// Why no journey can be worked out.
pub fn journey_minutes(
    view: &RegionView,
    request: &Request,
    profiles: &Profiles,
    names: &Names,
    at: DateTime<FixedOffset>,
    centre_id: &str,
) -> Result<(u32, JourneyBasis), &'static str> {
    let centre = view.centres.iter().find(|centre| centre.centre_id == centre_id);
    let centre = centre.ok_or("the place of arrival is no centre of the region")?;
    let asked = Asked::new(view, request, Species { profiles, names }, at);
    let journey = Journey::of(&asked, centre).map_err(NoJourney::words)?;
    Ok((journey.minutes, journey.basis))
}

/// How many more of the request's kind one unit may take, by space and heads (over the empty units
/// of a row): nothing beyond this is granted. `None` where the region has no such unit.
///
/// It asks nothing else: whether the unit is an option at all is for [`options`] to say.
#[must_use]
pub fn room_left(
    view: &RegionView,
    request: &Request,
    profiles: &Profiles,
    names: &Names,
    at: DateTime<FixedOffset>,
    place: (&str, &str),
) -> Option<RoomLeft> {
    let (centre_id, unit_id) = place;
    let asked = Asked::new(view, request, Species { profiles, names }, at);
    let mut centres = view.centres.iter().enumerate();
    let (centre_at, centre) = centres.find(|(_, centre)| centre.centre_id == centre_id)?;
    let here = AtCentre::new(&asked, centre_at, centre);
    let mut units = here.units.iter();
    let (unit_at, unit) = units.find(|(_, unit)| unit.unit_id == unit_id)?;
    Some(room::left(&InUnit::new(&here, *unit_at, unit)))
}

/// A region made ready for many questions: the same answers as [`options`], sooner.
#[derive(Debug)]
pub struct Prepared<'a> {
    species: Species<'a>,
    lookup: Lookup<'a>,
}

impl<'a> Prepared<'a> {
    /// Takes a region and what was looked up of it, by the same profiles and names.
    #[must_use]
    pub fn new(view: &'a RegionView, index: &'a Index, profiles: &'a Profiles, names: &'a Names) -> Self {
        Self { species: Species { profiles, names }, lookup: Lookup::new(view, index) }
    }

    /// Answers one request; see [`options`].
    #[must_use]
    pub fn options(&self, request: &Request, at: DateTime<FixedOffset>) -> Options {
        self.options_with(request, at, CHANGES_FOR)
    }

    /// The same with changes for so many excluded centres, the nearest first: working them out is
    /// the dear part of an answer.
    #[must_use]
    pub fn options_with(&self, request: &Request, at: DateTime<FixedOffset>, changes_for: usize) -> Options {
        let asked = self.asked(request, at);
        let mut answer = Options {
            request_id: request.request_id.clone(),
            at,
            species: asked
                .candidates
                .iter()
                .map(|candidate| candidate.profile.scientific_name.clone())
                .collect(),
            options: Vec::new(),
            waived: Vec::new(),
            excluded: Vec::new(),
            chains: Vec::new(),
            cautions: cautions(&asked),
            request_file: None,
        };
        let (mut open, mut waived, mut closed) = (Vec::new(), Vec::new(), Vec::new());
        let mut open_units = OpenUnits::default();
        // Centres are judged on all cores and told in their order.
        let judged: Vec<Told<'_>> = (0..self.view().centres.len())
            .into_par_iter()
            .filter_map(|centre_at| self.tell(&asked, centre_at))
            .collect();
        for told in judged {
            match told {
                Told::Open(option, size, units) => {
                    open_units.add(&option.centre_id, units);
                    open.push((option, size));
                }
                Told::Waived(option, size) => waived.push((option, size)),
                Told::Closed { exclusion, minutes, centre_at, unit } => {
                    closed.push((minutes, centre_at, unit));
                    answer.excluded.push(exclusion);
                }
            }
        }
        let mut nearest: Vec<usize> = (0..closed.len()).collect();
        nearest.sort_by_key(|at| closed.get(*at).map(|(minutes, centre_at, _)| (*minutes, *centre_at)));
        nearest.truncate(changes_for);
        let mended: Vec<(usize, Vec<Change>)> = nearest
            .into_par_iter()
            .filter_map(|at| {
                let (_, centre_at, unit) = closed.get(at)?;
                let here = self.at_centre(&asked, *centre_at)?;
                Some((at, mending::changes(&here, &Judged { unit: *unit, checks: Vec::new() })))
            })
            .collect();
        for (at, changes) in mended {
            if let Some(exclusion) = answer.excluded.get_mut(at) {
                exclusion.changes = changes;
                exclusion.changes_left_out = false;
            }
        }
        (answer.options, answer.waived) = (in_sequence(open), in_sequence(waived));
        open_units.tell(&mut answer.options);
        let closed = closed.iter().zip(&answer.excluded).filter(|(_, exclusion)| may_open_later(exclusion));
        let closed: Vec<usize> = closed.map(|((_, centre_at, _), _)| *centre_at).collect();
        answer.excluded.sort_by_cached_key(|one| (one.failed.len(), one.centre_id.clone()));
        let nearest = answer.options.first().map(|option| option.minutes);
        answer.chains = chains(self, request, at, &closed, nearest);
        answer
    }

    /// One centre judged and put into words.
    fn tell<'b>(&'b self, asked: &'b Asked<'b>, centre_at: usize) -> Option<Told<'b>> {
        let here = self.at_centre(asked, centre_at)?;
        let quiet = here.quietly();
        let (best, outcome) = choose(&quiet);
        let unit = best.and_then(|at| here.units.get(at)).copied();
        Some(match (outcome, unit) {
            (Outcome::Open, Some(unit)) => {
                Told::Open(offered(&here, unit), size_of(unit.1), scarce::around(&quiet, unit))
            }
            (Outcome::Waived, Some(unit)) => Told::Waived(offered(&here, unit), size_of(unit.1)),
            _ => Told::Closed {
                minutes: here.journey.as_ref().map_or(u32::MAX, |journey| journey.minutes),
                exclusion: exclude(&here, &quiet, unit),
                centre_at,
                unit,
            },
        })
    }

    pub(crate) fn asked<'b>(&'b self, request: &'b Request, at: DateTime<FixedOffset>) -> Asked<'b> {
        Asked::looking_up(&self.lookup, request, self.species, at)
    }

    pub(crate) fn at_centre<'b>(&'b self, asked: &'b Asked<'b>, centre_at: usize) -> Option<AtCentre<'b>> {
        Some(AtCentre::looked_up(asked, centre_at, self.centre(centre_at)?))
    }

    pub(crate) fn open(&self, request: &Request, at: DateTime<FixedOffset>) -> Vec<Place<'_>> {
        open(self, &self.asked(request, at))
    }

    pub(crate) fn centre(&self, at: usize) -> Option<&Centre> {
        self.view().centres.get(at)
    }

    pub(crate) fn unit(&self, at: usize) -> Option<&Unit> {
        self.view().units.get(at)
    }

    pub(crate) fn settings(&self) -> &Settings {
        &self.view().settings
    }

    fn view(&self) -> &'a RegionView {
        self.lookup.view
    }
}

/// Options with the sizes of their units: the nearest first, then the least load, the smallest unit, the
/// identifier.
fn in_sequence(mut options: Vec<(PlacementOption, u64)>) -> Vec<PlacementOption> {
    options.sort_by_cached_key(|(option, size)| {
        let load = option.load_after_per_mille.unwrap_or(u32::MAX);
        (option.minutes, load, *size, option.centre_id.clone())
    });
    options.into_iter().map(|(option, _)| option).collect()
}

/// What an answer says of one centre.
enum Told<'a> {
    /// An option, with the size of its unit and the centre's open units before and after it is taken.
    Open(PlacementOption, u64, (u32, u32)),
    /// An option by order, with the size of its unit.
    Waived(PlacementOption, u64),
    /// None, with what its changes are worked out from.
    Closed { exclusion: Exclusion, minutes: u32, centre_at: usize, unit: Option<(usize, &'a Unit)> },
}

fn offered(here: &AtCentre<'_>, unit: (usize, &Unit)) -> PlacementOption {
    let case = InUnit::new(here, unit.0, unit.1);
    let judged = Judged { unit: Some(unit), checks: checks(here, Some(&case)) };
    offer(here, unit, judged)
}

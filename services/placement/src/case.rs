//! One request against one centre, and one of its units: what every rule looks at.

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_schemas::profile::Profile;

use crate::answer::{Check, Figure, Verdict};
use crate::journey::{Journey, NoJourney, Window, journey};
use crate::request::Request;
use crate::species::{Size, Species};
use crate::view::{Centre, Occupant, RegionView, Unit};

/// A species the animal may be, with the size reckoned with.
#[derive(Clone, Copy)]
pub(crate) struct Candidate<'a> {
    pub profile: &'a Profile,
    pub size: Size,
}

/// What is the same for every centre.
pub(crate) struct Asked<'a> {
    pub view: &'a RegionView,
    pub request: &'a Request,
    pub species: Species<'a>,
    pub candidates: Vec<Candidate<'a>>,
    pub at: DateTime<FixedOffset>,
}

impl<'a> Asked<'a> {
    pub fn new(
        view: &'a RegionView,
        request: &'a Request,
        species: Species<'a>,
        at: DateTime<FixedOffset>,
    ) -> Self {
        let candidates = species
            .meant_by(&request.scientific_name)
            .into_iter()
            .map(|profile| Candidate { profile, size: Size::of(profile, request.length.as_ref()) })
            .collect();
        Self { view, request, species, candidates, at }
    }
}

/// The request at one centre.
pub(crate) struct AtCentre<'a> {
    pub asked: &'a Asked<'a>,
    pub centre: &'a Centre,
    /// Position in `centres` of the request file.
    pub centre_at: usize,
    /// The centre's units with their positions in `units` of the request file.
    pub units: Vec<(usize, &'a Unit)>,
    pub journey: Result<Journey, NoJourney>,
    pub window: Window,
}

impl<'a> AtCentre<'a> {
    pub fn new(asked: &'a Asked<'a>, centre_at: usize, centre: &'a Centre) -> Self {
        let journey = journey(asked.view, asked.request, centre);
        let window = Window::of(asked.request, journey.as_ref().ok(), asked.at);
        let units = asked.view.units.iter().enumerate();
        Self {
            asked,
            centre,
            centre_at,
            units: units.filter(|(_, unit)| unit.centre_id == centre.centre_id).collect(),
            journey,
            window,
        }
    }

    /// Day of arrival, by the clock of the instant asked about.
    pub fn arrival_day(&self) -> NaiveDate {
        self.window.arrival.date_naive()
    }

    /// Everyone the centre has, expects or has promised a place.
    pub fn everyone(&self) -> impl Iterator<Item = &'a Occupant> {
        let centre: &'a Centre = self.centre;
        let housed = self.units.iter().flat_map(|(_, unit)| unit.everyone());
        centre.unhoused.iter().chain(housed)
    }
}

/// The request in one unit of one centre.
pub(crate) struct InUnit<'a> {
    pub here: &'a AtCentre<'a>,
    pub unit: &'a Unit,
    /// Position in `units` of the request file.
    pub unit_at: usize,
    /// Where each of those already there stands, and who it is; empty where the animal would have
    /// a unit of the row to itself.
    pub companions: Vec<(Place, &'a Occupant)>,
    /// Heads that would come into one unit: all, or their share of the row's empty units.
    pub heads: u32,
}

/// Where an occupant is written in the request file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Place {
    pub list: &'static str,
    pub at: usize,
}

impl<'a> InUnit<'a> {
    pub fn new(here: &'a AtCentre<'a>, unit_at: usize, unit: &'a Unit) -> Self {
        let empty = unit.standing_empty();
        let all = here.asked.request.individual_count;
        let companions = if empty > 0 {
            Vec::new()
        } else {
            listed("expected", &unit.expected)
                .chain(listed("occupants", &unit.occupants))
                .chain(listed("reserved", &unit.reserved))
                .collect()
        };
        Self { here, unit, unit_at, companions, heads: if empty > 0 { all.div_ceil(empty) } else { all } }
    }

    /// The same unit, were the companions moved elsewhere.
    pub fn emptied(&self) -> Self {
        Self {
            here: self.here,
            unit: self.unit,
            unit_at: self.unit_at,
            companions: Vec::new(),
            heads: self.heads,
        }
    }

    pub fn asked(&self) -> &'a Asked<'a> {
        self.here.asked
    }

    /// Heads of the companions.
    pub fn present(&self) -> u32 {
        self.companions.iter().fold(0, |sum, (_, one)| sum.saturating_add(one.individual_count))
    }
}

fn listed<'a>(list: &'static str, occupants: &'a [Occupant]) -> impl Iterator<Item = (Place, &'a Occupant)> {
    occupants.iter().enumerate().map(move |(at, one)| (Place { list, at }, one))
}

/// A rule's word on its way to becoming a [`Check`].
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Word {
    pub verdict: Verdict,
    pub figures: Vec<Figure>,
    pub margin: Option<f64>,
    pub sentence: String,
    /// What to do or know before the animal leaves, although the rule is passed.
    pub note: Option<String>,
}

impl Word {
    pub fn of(verdict: Verdict, sentence: impl Into<String>) -> Self {
        Self { verdict, figures: Vec::new(), margin: None, sentence: sentence.into(), note: None }
    }

    /// Adds what to do or know before the animal leaves.
    pub fn noting(mut self, note: impl Into<String>) -> Self {
        self.note = Some(note.into());
        self
    }

    pub fn pass(sentence: impl Into<String>) -> Self {
        Self::of(Verdict::Pass, sentence)
    }

    pub fn fail(sentence: impl Into<String>) -> Self {
        Self::of(Verdict::Fail, sentence)
    }

    pub fn cannot_check(sentence: impl Into<String>) -> Self {
        Self::of(Verdict::CannotCheck, sentence)
    }

    /// Adds two figures; the margin is what is left of the first pair given.
    pub fn comparing(mut self, name: &str, needed: Option<f64>, available: Option<f64>, unit: &str) -> Self {
        if let (Some(needed), Some(available), None) = (needed, available, self.margin) {
            self.margin = Some(shown(available - needed));
        }
        self.figures.push(Figure {
            name: name.to_owned(),
            needed: needed.map(shown),
            available: available.map(shown),
            unit: unit.to_owned(),
        });
        self
    }

    /// The worse of two words on the same rule: the graver verdict, then the smaller margin, then
    /// the first.
    pub fn or_worse(self, other: Self) -> Self {
        let margin = |word: &Self| word.margin.unwrap_or(f64::INFINITY);
        let other_is_worse = match other.verdict.cmp(&self.verdict) {
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Equal => margin(&other) < margin(&self),
            std::cmp::Ordering::Less => false,
        };
        if other_is_worse { other } else { self }
    }

    pub fn into_check(self, code: &str) -> Check {
        Check {
            code: code.to_owned(),
            verdict: self.verdict,
            figures: self.figures,
            margin: self.margin,
            sentence: self.sentence,
            note: self.note,
            waived_by: None,
        }
    }
}

/// A figure as it is shown: to the millimetre or the thousandth of a square metre.
pub(crate) fn shown(figure: f64) -> f64 {
    let shown = (figure * 1000.0).round() / 1000.0;
    // Minus zero reads as a fault.
    if shown == 0.0 { 0.0 } else { shown }
}

/// A figure in a sentence: no more decimals than it has.
pub(crate) fn told(figure: f64) -> String {
    format!("{}", shown(figure))
}

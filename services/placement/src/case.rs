//! One request against one centre, and one of its units: what every rule looks at.

use std::ops::Deref;

use chrono::{DateTime, FixedOffset, NaiveDate};

pub(crate) use crate::asked::{Asked, Candidate};
use crate::index::{OfCentre, smallest_first};
use crate::journey::{Journey, NoJourney, Window};
use crate::view::{Centre, Occupant, Unit};

/// A list that was looked up, or made for one case.
#[derive(Clone)]
pub(crate) enum List<'a, T> {
    Borrowed(&'a [T]),
    Owned(Vec<T>),
}

impl<T> Deref for List<'_, T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        match self {
            Self::Borrowed(list) => list,
            Self::Owned(list) => list,
        }
    }
}

/// The request at one centre.
pub(crate) struct AtCentre<'a> {
    pub asked: &'a Asked<'a>,
    pub centre: &'a Centre,
    /// Position in `centres` of the request file.
    pub centre_at: usize,
    /// The centre's units with their positions in `units` of the request file.
    pub units: List<'a, (usize, &'a Unit)>,
    pub journey: Result<Journey, NoJourney>,
    pub window: Window,
    /// False while verdicts alone are wanted: then nobody says anything.
    pub aloud: bool,
    /// What was looked up of it, where neither it nor its units have changed since.
    looked_up: Option<&'a OfCentre<'a>>,
}

impl<'a> AtCentre<'a> {
    pub fn new(asked: &'a Asked<'a>, centre_at: usize, centre: &'a Centre) -> Self {
        let units = asked.view.units.iter().enumerate();
        let units = units.filter(|(_, unit)| unit.centre_id == centre.centre_id).collect();
        Self::with_units(asked, centre_at, centre, List::Owned(units))
    }

    /// The same where the centre's units are known.
    pub fn with_units(
        asked: &'a Asked<'a>,
        centre_at: usize,
        centre: &'a Centre,
        units: List<'a, (usize, &'a Unit)>,
    ) -> Self {
        let journey = Journey::of(asked, centre);
        let window = Window::of(asked, journey.as_ref().ok());
        Self { asked, centre, centre_at, units, journey, window, aloud: true, looked_up: None }
    }

    /// The same where neither the centre nor its units differ from what the index was made of.
    pub fn looked_up(
        asked: &'a Asked<'a>,
        centre_at: usize,
        centre: &'a Centre,
        found: &'a OfCentre<'a>,
    ) -> Self {
        let here = Self::with_units(asked, centre_at, centre, List::Borrowed(&found.units));
        Self { looked_up: Some(found), ..here }
    }

    /// The same with another request, centre or units. What was looked up holds while it is
    /// `unchanged`; the journey stays where neither request nor roads are other ones, for no change
    /// moves a centre.
    pub fn again(
        before: &'a AtCentre<'a>,
        asked: &'a Asked<'a>,
        centre: &'a Centre,
        units: List<'a, (usize, &'a Unit)>,
        unmoved: bool,
        unchanged: bool,
    ) -> Self {
        let journey = if unmoved { before.journey.clone() } else { Journey::of(asked, centre) };
        let window = Window::of(asked, journey.as_ref().ok());
        let looked_up = before.looked_up.filter(|_| unchanged);
        Self { asked, centre, centre_at: before.centre_at, units, journey, window, aloud: false, looked_up }
    }

    /// Heads by name of everyone it has, expects or has promised a place, eggs apart, where that was
    /// looked up.
    pub fn heads_by_name(&self) -> Option<&'a [(&'a str, u32)]> {
        self.looked_up.map(|found| found.heads.as_slice())
    }

    /// Positions in its units, the smallest first, then by identifier.
    pub fn smallest_first(&self) -> List<'a, usize> {
        self.looked_up.map_or_else(
            || List::Owned(smallest_first(&self.units)),
            |found| List::Borrowed(&found.smallest_first),
        )
    }

    /// Who is in one of its units.
    fn companions(&self, unit_at: usize, unit: &'a Unit) -> List<'a, (Place, &'a Occupant)> {
        let index = self.asked.index().filter(|_| self.looked_up.is_some());
        index
            .and_then(|index| index.companions(unit_at))
            .map_or_else(|| List::Owned(companions(unit).collect()), List::Borrowed)
    }

    /// The same for verdicts alone.
    pub fn quietly(&self) -> Self {
        Self { units: self.units.clone(), journey: self.journey.clone(), aloud: false, ..*self }
    }

    pub fn is_aloud(&self) -> bool {
        self.aloud
    }

    /// The same, did the animal leave later; `None` where the calendar ends.
    pub fn departing(&self, departure: DateTime<FixedOffset>) -> Option<Self> {
        let lasting = self.window.arrival.signed_duration_since(self.window.departure);
        let arrival = departure.checked_add_signed(lasting)?;
        Some(Self { window: Window { departure, arrival }, ..self.quietly() })
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
    pub companions: List<'a, (Place, &'a Occupant)>,
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
        let companions = if empty > 0 { List::Borrowed(&[]) } else { here.companions(unit_at, unit) };
        Self { here, unit, unit_at, companions, heads: if empty > 0 { all.div_ceil(empty) } else { all } }
    }

    /// The same unit, were the companions moved elsewhere.
    pub fn emptied(&self) -> Self {
        Self {
            here: self.here,
            unit: self.unit,
            unit_at: self.unit_at,
            companions: List::Borrowed(&[]),
            heads: self.heads,
        }
    }

    pub fn asked(&self) -> &'a Asked<'a> {
        self.here.asked
    }

    pub fn is_aloud(&self) -> bool {
        self.here.aloud
    }

    /// Heads of the companions.
    pub fn present(&self) -> u32 {
        self.companions.iter().fold(0, |sum, (_, one)| sum.saturating_add(one.individual_count))
    }
}

/// Everyone in a unit, on the way to it or promised a place in it, with where each is written.
pub(crate) fn companions(unit: &Unit) -> impl Iterator<Item = (Place, &Occupant)> {
    listed("expected", &unit.expected)
        .chain(listed("occupants", &unit.occupants))
        .chain(listed("reserved", &unit.reserved))
}

fn listed<'a>(list: &'static str, occupants: &'a [Occupant]) -> impl Iterator<Item = (Place, &'a Occupant)> {
    occupants.iter().enumerate().map(move |(at, one)| (Place { list, at }, one))
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

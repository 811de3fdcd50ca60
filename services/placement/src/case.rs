//! One request against one centre, and one of its units: what every rule looks at.

use std::ops::Deref;

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_schemas::profile::Profile;

pub(crate) use crate::asked::{Asked, Candidate};
use crate::index::{OfCentre, OfUnit, smallest_first};
use crate::journey::{Journey, NoJourney, Window};
use crate::view::{Centre, Occupant, Standstill, Unit};

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
    /// Standstills of the place it leaves and of the centre, with their positions.
    pub standstills: List<'a, (usize, &'a Standstill)>,
    /// False while verdicts alone are wanted: then nobody says anything.
    pub aloud: bool,
    /// What was looked up of it, where neither it nor its units have changed since.
    looked_up: Option<&'a OfCentre>,
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
        let standstills = List::Owned(standstills(asked, centre));
        Self { asked, centre, centre_at, units, journey, window, standstills, aloud: true, looked_up: None }
    }

    /// The same by what was looked up, where that holds the centre.
    pub fn looked_up(asked: &'a Asked<'a>, centre_at: usize, centre: &'a Centre) -> Self {
        let lookup = asked.lookup();
        let Some((lookup, found)) = lookup.and_then(|lookup| Some((lookup, lookup.centre(centre_at)?)))
        else {
            return Self::new(asked, centre_at, centre);
        };
        let here = Self::with_units(asked, centre_at, centre, List::Borrowed(lookup.units_of(found)));
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
        let standstills =
            if unmoved { before.standstills.clone() } else { List::Owned(standstills(asked, centre)) };
        let looked_up = before.looked_up.filter(|_| unchanged);
        let centre_at = before.centre_at;
        Self { asked, centre, centre_at, units, journey, window, standstills, aloud: false, looked_up }
    }

    /// Heads of everyone it has, expects or has promised a place, eggs apart, by what their names may
    /// mean, where that was looked up.
    pub fn heads_by_meaning(&self) -> Option<impl Iterator<Item = (&'a [&'a Profile], u32)>> {
        let (lookup, found) = self.asked.lookup().zip(self.looked_up)?;
        Some(found.heads.iter().map(|(name, heads)| (lookup.meant_by(*name).unwrap_or_default(), *heads)))
    }

    /// Positions in its units, the smallest first, then by identifier.
    pub fn smallest_first(&self) -> List<'a, usize> {
        match self.looked_up {
            Some(found) => List::Borrowed(&found.smallest_first),
            None => {
                let units: Vec<&Unit> = self.units.iter().map(|(_, unit)| *unit).collect();
                List::Owned(smallest_first(&units))
            }
        }
    }

    /// The same for verdicts alone.
    pub fn quietly(&self) -> Self {
        let (units, standstills) = (self.units.clone(), self.standstills.clone());
        Self { units, journey: self.journey.clone(), standstills, aloud: false, ..*self }
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

/// Those of the place that the animal leaves, and those of a centre.
fn standstills<'a>(asked: &Asked<'a>, centre: &Centre) -> Vec<(usize, &'a Standstill)> {
    let (from, to) = (asked.request.from.place_id.as_deref(), centre.centre_id.as_str());
    let all = asked.view.standstills.iter().enumerate();
    all.filter(|(_, one)| one.place_id == to || from == Some(&one.place_id)).collect()
}

/// The request in one unit of one centre.
pub(crate) struct InUnit<'a> {
    pub here: &'a AtCentre<'a>,
    pub unit: &'a Unit,
    /// Position in `units` of the request file.
    pub unit_at: usize,
    /// What was looked up of it.
    pub known: Option<&'a OfUnit>,
    /// See [`Unit::standing_empty`].
    pub empty: u32,
    /// Where each of those already there stands, and who it is; empty where the animal would have
    /// a unit of the row to itself.
    pub companions: Companions<'a>,
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
        let known = here.asked.known_unit(unit_at, unit);
        let empty = known.map_or_else(|| unit.standing_empty(), |known| known.empty);
        let all = here.asked.request.individual_count;
        let companions = Companions(Some(unit).filter(|_| empty == 0));
        let heads = if empty > 0 { all.div_ceil(empty) } else { all };
        Self { here, unit, unit_at, known, empty, companions, heads }
    }

    /// The same unit, were the companions moved elsewhere.
    pub fn emptied(&self) -> Self {
        Self { companions: Companions(None), ..*self }
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

/// Everyone in a unit, on the way to it or promised a place in it; nobody where there is no unit.
#[derive(Clone, Copy)]
pub(crate) struct Companions<'a>(Option<&'a Unit>);

impl<'a> Companions<'a> {
    /// Each with where it is written.
    pub fn iter(self) -> impl Iterator<Item = (Place, &'a Occupant)> {
        self.0.into_iter().flat_map(|unit| {
            listed("expected", &unit.expected)
                .chain(listed("occupants", &unit.occupants))
                .chain(listed("reserved", &unit.reserved))
        })
    }

    pub fn is_empty(self) -> bool {
        self.0.is_none_or(|unit| unit.everyone().next().is_none())
    }
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

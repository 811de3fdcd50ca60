//! A stay in two legs: one place tonight, a better one from the day on which it is free.
//!
//! A centre that is closed for a reason with an end (a standstill, a closed road, a batch until its
//! clear day) is asked again for that day; what is open then becomes the second leg, and the first is
//! the nearest place that takes the animal until then. Both legs are judged by every rule.

use chrono::{DateTime, Days, FixedOffset, NaiveTime, TimeDelta};
use haulout_schemas::vocabulary::Stay;

use crate::answer::{Chain, Exclusion, Leg};
use crate::case::{Asked, AtCentre};
use crate::judging::{Outcome, choose};
use crate::options::Prepared;
use crate::request::{Origin, Request};
use crate::view::Unit;

/// Rules whose reasons pass with time.
const DATED: [&str; 4] = ["quarantine-batch", "water-circuit", "standstill", "road"];

/// True when nothing but dated reasons stands against a centre.
pub(crate) fn may_open_later(exclusion: &Exclusion) -> bool {
    exclusion.failed.iter().all(|check| DATED.contains(&check.code.as_str()))
}

/// Chains told at most.
const MOST: usize = 3;
/// Places tried for the first leg.
const FIRST_LEGS: usize = 5;
/// Days ahead that are looked at: longer than any quarantine.
const AHEAD_DAYS: u64 = 180;
/// Hour at which an animal sets out on a day that is only known as a day.
const MORNING: NaiveTime = match NaiveTime::from_hms_opt(6, 0, 0) {
    Some(time) => time,
    None => NaiveTime::MIN,
};

/// A place that is open.
pub(crate) struct Place<'a> {
    pub minutes: u32,
    pub centre_at: usize,
    pub unit: &'a Unit,
    pub departure: DateTime<FixedOffset>,
    pub arrival: DateTime<FixedOffset>,
}

/// Chains for a request whose centres at `closed` may open later: those that beat `nearest`, the
/// minutes to the best option there is.
pub(crate) fn chains(
    prepared: &Prepared<'_>,
    request: &Request,
    at: DateTime<FixedOffset>,
    closed: &[usize],
    nearest: Option<u32>,
) -> Vec<Chain> {
    let mut later: Vec<(DateTime<FixedOffset>, u32, usize)> = Vec::new();
    for &centre_at in closed {
        if let Some((day, minutes)) = opens_on(prepared, request, at, centre_at)
            && nearest.is_none_or(|nearest| minutes < nearest)
        {
            later.push((day, minutes, centre_at));
        }
    }
    later.sort_unstable();
    let legs =
        later.into_iter().filter_map(|(day, _, centre_at)| chain(prepared, request, at, day, centre_at));
    legs.take(MOST).collect()
}

/// The first day on which the centre is open, and the minutes.
fn opens_on(
    prepared: &Prepared<'_>,
    request: &Request,
    at: DateTime<FixedOffset>,
    centre_at: usize,
) -> Option<(DateTime<FixedOffset>, u32)> {
    let asked = prepared.asked(request, at);
    let here = prepared.at_centre(&asked, centre_at)?.quietly();
    days(&here).into_iter().find_map(|day| {
        let then = Request { earliest_departure: Some(day), ..request.clone() };
        let place = open_at(prepared, &then, at, centre_at)?;
        Some((day, place))
    })
}

fn open_at(
    prepared: &Prepared<'_>,
    request: &Request,
    at: DateTime<FixedOffset>,
    centre_at: usize,
) -> Option<u32> {
    let asked = prepared.asked(request, at);
    let here = prepared.at_centre(&asked, centre_at)?.quietly();
    let (_, outcome) = choose(&here);
    (outcome == Outcome::Open).then(|| here.journey.as_ref().map_or(u32::MAX, |journey| journey.minutes))
}

/// Instants at which something that binds the centre ends, the next first.
fn days(here: &AtCentre<'_>) -> Vec<DateTime<FixedOffset>> {
    let view = here.asked.view;
    let at = here.asked.at;
    let id = &here.centre.centre_id;
    let standstills = view.standstills.iter().filter(|one| one.place_id == *id).filter_map(|one| one.until);
    let closures = view.roads.closures.iter();
    let closures = closures.filter(|one| one.place_id == *id || one.other_place_id.as_ref() == Some(id));
    let clear = here.units.iter().filter_map(|(_, unit)| {
        let day = unit.quarantine.as_ref()?.clear_day.checked_add_days(Days::new(1))?;
        day.and_time(MORNING).and_local_timezone(*at.offset()).single()
    });
    let last = at.checked_add_days(Days::new(AHEAD_DAYS)).unwrap_or(at);
    let mut days: Vec<_> = standstills
        .chain(closures.filter_map(|one| one.until))
        .map(|until| until.with_timezone(at.offset()))
        .chain(clear)
        .filter(|day| *day > at && *day <= last)
        .collect();
    days.sort_unstable();
    days.dedup();
    days
}

/// The two legs, the first until `day`, the second at the centre.
fn chain(
    prepared: &Prepared<'_>,
    request: &Request,
    at: DateTime<FixedOffset>,
    day: DateTime<FixedOffset>,
    centre_at: usize,
) -> Option<Chain> {
    let first =
        Request { stay: short_stay(prepared, request, at, day)?, stay_until: Some(day), ..request.clone() };
    for place in
        prepared.open(&first, at).into_iter().filter(|one| one.centre_at != centre_at).take(FIRST_LEGS)
    {
        let stop = prepared.centre(place.centre_at)?;
        let second = Request {
            from: Origin { place_id: Some(stop.centre_id.clone()), ..Origin::default() },
            earliest_departure: Some(day.max(place.arrival)),
            minutes: std::collections::BTreeMap::new(),
            team: None,
            stops: Vec::new(),
            ..request.clone()
        };
        let asked = prepared.asked(&second, at);
        let here = prepared.at_centre(&asked, centre_at)?.quietly();
        if let (Some(best), Outcome::Open) = choose(&here)
            && let (Some((_, unit)), Ok(journey)) = (here.units.get(best), &here.journey)
        {
            let window = here.window;
            let there = Place {
                minutes: journey.minutes,
                centre_at,
                unit,
                departure: window.departure,
                arrival: window.arrival,
            };
            let leg = |place: &Place<'_>, stay: Stay, until| {
                Some(Leg {
                    centre_id: prepared.centre(place.centre_at)?.centre_id.clone(),
                    unit_id: place.unit.unit_id.clone(),
                    stay,
                    minutes: place.minutes,
                    departure: place.departure,
                    arrival: place.arrival,
                    until,
                })
            };
            let legs = vec![
                leg(&place, first.stay, Some(there.departure))?,
                leg(&there, request.stay, request.stay_until)?,
            ];
            return Some(Chain { legs });
        }
    }
    None
}

/// What the first leg is for: to stabilise where that lasts long enough, else the quarantine of an
/// animal that is to stay longer.
fn short_stay(
    prepared: &Prepared<'_>,
    request: &Request,
    at: DateTime<FixedOffset>,
    day: DateTime<FixedOffset>,
) -> Option<Stay> {
    let hours = TimeDelta::hours(i64::from(prepared.settings().stabilise_hours));
    let short = day.signed_duration_since(request.earliest_departure.map_or(at, |earliest| earliest.max(at)))
        <= hours;
    match request.stay {
        Stay::Stabilise => None,
        Stay::Quarantine => short.then_some(Stay::Stabilise),
        Stay::Long | Stay::Lifelong => Some(if short { Stay::Stabilise } else { Stay::Quarantine }),
    }
}

/// What is open for a request, the nearest first.
pub(crate) fn open<'a>(prepared: &'a Prepared<'_>, asked: &Asked<'_>) -> Vec<Place<'a>> {
    let mut places = Vec::new();
    for centre_at in 0..asked.view.centres.len() {
        let Some(here) = prepared.at_centre(asked, centre_at).map(|here| here.quietly()) else { continue };
        let (best, outcome) = choose(&here);
        let unit =
            best.and_then(|best| here.units.get(best)).and_then(|(unit_at, _)| prepared.unit(*unit_at));
        if let (Outcome::Open, Some(unit), Ok(journey)) = (outcome, unit, &here.journey) {
            places.push(Place {
                minutes: journey.minutes,
                centre_at,
                unit,
                departure: here.window.departure,
                arrival: here.window.arrival,
            });
        }
    }
    places.sort_by_key(|place| (place.minutes, place.centre_at));
    places
}

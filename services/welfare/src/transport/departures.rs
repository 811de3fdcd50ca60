//! From a species, a place and a forecast to departure windows.
//!
//! Where hourly temperatures are given they count. Else each day's curve is drawn
//! through its minimum and maximum by sunrise and sunset, the nights between them
//! from one day's sunset to the next day's minimum.

use chrono::{DateTime, Days, FixedOffset, NaiveDate, NaiveTime, TimeDelta, TimeZone};
use haulout_schemas::profile::{Profile, TemperatureBand};
use serde::{Deserialize, Serialize};

use super::day::DayCurve;
use super::distance::Position;
use super::load::band_of;
use super::sun::{Sun, sun};
use super::window::{Bar, CEILING, Reading, Vehicle, Windows, windows};
use crate::grounds::Grounds;
use crate::refusal::Refusal;
use crate::units::{Celsius, Hours};

/// Air of one day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Extremes {
    /// The local day.
    pub on: NaiveDate,
    /// Its minimum, degrees Celsius.
    pub low_celsius: Celsius,
    /// Its maximum, degrees Celsius.
    pub high_celsius: Celsius,
}

/// Air at an instant.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Forecast {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Air in the shade, degrees Celsius.
    pub celsius: Celsius,
}

/// A journey and the air that is expected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Planned {
    /// Place whose sun and air count: the warmer end where they differ.
    pub place: Position,
    /// From loading to unloading, hours.
    pub journey_hour: Hours,
    /// What the vehicle makes of the air.
    pub vehicle: Vehicle,
    /// What is known to close the road.
    #[serde(default)]
    pub bars: Vec<Bar>,
    /// Minimum and maximum of days in order; used where `hourly` is empty.
    #[serde(default)]
    pub days: Vec<Extremes>,
    /// Temperatures in order of time.
    #[serde(default)]
    pub hourly: Vec<Forecast>,
}

/// What the temperatures are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum AirFrom {
    /// As given, by the hour.
    Given,
    /// A curve through each day's minimum and maximum.
    DayCurve,
}

/// Departure windows with what they rest on.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase", bound(serialize = ""))]
pub struct Departures<Tz: TimeZone> {
    /// The windows, in the zone asked for.
    #[serde(flatten)]
    pub windows: Windows<Tz>,
    /// What the temperatures are.
    pub air_from: AirFrom,
    /// The species' band on the road, degrees Celsius.
    pub band: TemperatureBand,
    /// What the band rests on.
    pub band_grounds: Grounds,
    /// The line above any band without active cooling, degrees Celsius.
    pub ceiling_celsius: Celsius,
    /// Shown with every answer.
    pub caution: &'static str,
}

/// What windows cannot say; shown with every answer.
pub const CAUTION: &str = "no reason found against, never safe: the air at the animal is what counts, and only a thermometer in the crate knows it";

/// Most days a curve is drawn for.
const MOST_DAYS: usize = 7;
/// Distance of the points of a curve; its minimum and maximum are points of their own.
const STEP_MINUTES: i64 = 30;

/// When a journey with animals of this species may begin.
///
/// # Errors
/// No temperatures, more than seven days, days out of order, a day without sunrise or sunset (give
/// hourly temperatures then), and as [`windows`].
pub fn departures<Tz: TimeZone>(
    profile: &Profile,
    planned: &Planned,
    zone: &Tz,
) -> Result<Departures<Tz>, Refusal> {
    of_load(&[profile], planned, zone)
}

/// When a journey with animals of all these species on one vehicle may begin.
///
/// # Errors
/// As [`departures`], and where the species' bands have nothing in common.
pub fn of_load<Tz: TimeZone>(
    load: &[&Profile],
    planned: &Planned,
    zone: &Tz,
) -> Result<Departures<Tz>, Refusal> {
    let (readings, air_from) = if planned.hourly.is_empty() {
        (curve(&planned.days, planned.place, zone)?, AirFrom::DayCurve)
    } else {
        let given = planned.hourly.iter();
        let reading = |one: &Forecast| Reading { at: one.at.with_timezone(zone), air: one.celsius };
        (given.map(reading).collect(), AirFrom::Given)
    };
    let shared = band_of(load)?;
    let band = shared.band;
    Ok(Departures {
        windows: windows(&readings, planned.journey_hour, band, planned.vehicle, &planned.bars)?,
        air_from,
        band,
        band_grounds: shared.grounds,
        ceiling_celsius: CEILING,
        caution: CAUTION,
    })
}

/// One day's curve, and the instants it runs between.
struct Drawn<Tz: TimeZone> {
    on: NaiveDate,
    start: DateTime<Tz>,
    end: DateTime<Tz>,
    curve: DayCurve,
    low: Celsius,
}

/// Readings every half hour and at each minimum and maximum, from the first day's midnight to the last day's.
///
/// # Errors
/// As [`departures`].
pub fn curve<Tz: TimeZone>(
    days: &[Extremes],
    place: Position,
    zone: &Tz,
) -> Result<Vec<Reading<Tz>>, Refusal> {
    let what = "temperatures of the days";
    if days.len() > MOST_DAYS {
        let why = format!("{} days are given; a forecast of extremes is drawn for {MOST_DAYS}", days.len());
        return Err(Refusal::new("too-many-days", what, why, "give the days of the journey"));
    }
    if days.iter().zip(days.iter().skip(1)).any(|(one, two)| two.on <= one.on) {
        return Err(Refusal::new(
            "days-order",
            what,
            "a day comes twice or out of order",
            "sort them by day",
        ));
    }
    let drawn = days.iter().map(|day| draw(day, place, zone)).collect::<Result<Vec<_>, _>>()?;
    let mut readings = Vec::new();
    for (at, day) in drawn.iter().enumerate() {
        let next_to = |other: Option<&&Drawn<Tz>>, on: Option<NaiveDate>| {
            other.is_some_and(|other| Some(other.on) == on)
        };
        let before = at.checked_sub(1).and_then(|index| drawn.get(index));
        let before = before.filter(|other| next_to(Some(other), day.on.pred_opt()));
        let after = drawn.get(at + 1).filter(|other| next_to(Some(other), day.on.succ_opt()));
        for instant in instants(day) {
            let hour = hours_between(&day.start, &instant)?;
            let air = match (before, after) {
                (Some(before), _) if hour < day.curve.minimum_at() => {
                    before.curve.night(hours_between(&before.start, &instant)?, day.low)
                }
                (_, Some(after)) if hour > day.curve.sunset() => day.curve.night(hour, after.low),
                _ => day.curve.at(hour),
            };
            readings.push(Reading { at: instant, air });
        }
    }
    Ok(readings)
}

fn draw<Tz: TimeZone>(day: &Extremes, place: Position, zone: &Tz) -> Result<Drawn<Tz>, Refusal> {
    let (start, next) = (midnight(day.on, zone)?, midnight(day.on + Days::new(1), zone)?);
    let Sun::RisesAndSets { rise, set } = sun(day.on, zone, place)? else {
        return Err(Refusal::new(
            "no-sunrise",
            format!("temperatures of {}", day.on),
            "the sun does not rise and set on the day, so its curve cannot be drawn",
            "give hourly temperatures",
        ));
    };
    let length = hours_between(&rise, &set)?;
    let noon = Hours::new(hours_between(&start, &rise)?.hours() + length.hours() / 2.0)?;
    let curve = DayCurve::new(noon, length, day.low_celsius, day.high_celsius)?;
    Ok(Drawn { on: day.on, start, end: next, curve, low: day.low_celsius })
}

/// Local midnight, or the first instant of a day whose midnight the clocks leave out.
fn midnight<Tz: TimeZone>(on: NaiveDate, zone: &Tz) -> Result<DateTime<Tz>, Refusal> {
    let at = |minutes: i64| {
        let local = on.and_time(NaiveTime::MIN) + TimeDelta::minutes(minutes);
        zone.from_local_datetime(&local).earliest()
    };
    (0..=4).find_map(|quarter| at(30 * quarter)).ok_or_else(|| {
        Refusal::new(
            "midnight",
            format!("day {on}"),
            "has no beginning in this zone",
            "give hourly temperatures",
        )
    })
}

fn instants<Tz: TimeZone>(day: &Drawn<Tz>) -> Vec<DateTime<Tz>> {
    // Rounded up, so that the minimum is on the day's side of the jump.
    let at = |hour: Hours| day.start.clone() + TimeDelta::seconds((hour.hours() * 3600.0).ceil() as i64);
    let mut found = vec![at(day.curve.minimum_at()), at(day.curve.maximum_at())];
    let mut now = day.start.clone();
    while now < day.end {
        found.push(now.clone());
        now += TimeDelta::minutes(STEP_MINUTES);
    }
    found.sort();
    found.dedup();
    found
}

fn hours_between<Tz: TimeZone>(from: &DateTime<Tz>, to: &DateTime<Tz>) -> Result<Hours, Refusal> {
    Hours::new((to.clone() - from.clone()).num_seconds() as f64 / 3600.0)
}

#[cfg(test)]
#[path = "departures_tests.rs"]
mod tests;

//! One departure judged by the air at the animals, minute by minute until arrival.

use chrono::{DateTime, TimeDelta, TimeZone};
use haulout_schemas::profile::TemperatureBand;

use super::window::{Closed, GAP_MINUTES, Reading, STEP_MINUTES, Vehicle, Window};
use crate::refusal::Refusal;
use crate::units::{Celsius, KelvinHours};

/// The answer for one departure.
pub(super) fn judge<Tz: TimeZone>(
    readings: &[Reading<Tz>],
    departure: &DateTime<Tz>,
    lasts: TimeDelta,
    low: f64,
    limit: f64,
    vehicle: Vehicle,
) -> Result<Window<Tz>, Refusal> {
    let arrival = departure.clone() + lasts;
    let step = TimeDelta::minutes(STEP_MINUTES);
    let (mut hottest, mut coldest, mut above) = (None::<(DateTime<Tz>, f64)>, f64::INFINITY, 0.0);
    let mut before: Option<(DateTime<Tz>, f64)> = None;
    let mut now = departure.clone();
    loop {
        let Some(outside) = air(readings, &now) else {
            let (from, to) = (departure.clone(), departure.clone());
            return Ok(Window { from, to, closed: Some(Closed::NotForecast), hottest: None, above: None });
        };
        let inside = vehicle.inside(outside);
        if hottest.as_ref().is_none_or(|(_, most)| inside > *most) {
            hottest = Some((now.clone(), inside));
        }
        coldest = coldest.min(inside);
        let over = (inside - limit).max(0.0);
        if let Some((then, was)) = before {
            // Where the limit is crossed between the two this is a little too much, never too little.
            above += f64::midpoint(was, over) * (now.clone() - then).num_seconds() as f64 / 3600.0;
        }
        if now >= arrival {
            break;
        }
        let next_reading = readings.get(readings.partition_point(|reading| reading.at <= now));
        let next = (now.clone() + step).min(arrival.clone());
        let next = next_reading.map_or(next.clone(), |reading| next.min(reading.at.clone()));
        before = Some((now, over));
        now = next;
    }
    let closed = match &hottest {
        Some((_, most)) if *most > limit => Some(Closed::TooWarm),
        _ if coldest < low => Some(Closed::TooCold),
        _ => None,
    };
    let hottest = hottest.map(|(at, most)| Celsius::new(most).map(|most| (at, most))).transpose()?;
    let (from, to) = (departure.clone(), departure.clone());
    Ok(Window { from, to, closed, hottest, above: Some(KelvinHours::new(above)?) })
}

/// Outside air at an instant, on the straight line between two readings that are no gap apart.
fn air<Tz: TimeZone>(readings: &[Reading<Tz>], at: &DateTime<Tz>) -> Option<f64> {
    let after = readings.partition_point(|reading| reading.at <= *at);
    let before = readings.get(after.checked_sub(1)?)?;
    if before.at == *at {
        return Some(before.air.degrees());
    }
    let after = readings.get(after)?;
    let span = after.at.clone() - before.at.clone();
    if span > TimeDelta::minutes(GAP_MINUTES) {
        return None;
    }
    let share = (at.clone() - before.at.clone()).num_seconds() as f64 / span.num_seconds() as f64;
    Some(before.air.degrees() + share * (after.air.degrees() - before.air.degrees()))
}

/// What would open a window where none is.
pub(super) fn openers<Tz: TimeZone>(found: &[Window<Tz>], band: TemperatureBand, limit: f64) -> Vec<String> {
    let because = |reason| found.iter().any(|window| window.closed == Some(reason));
    let mut told = Vec::new();
    if because(Closed::TooWarm) || because(Closed::TooCold) {
        told.push(format!(
            "a vehicle that is known to hold {} to {} degrees C at the animals",
            band.low_c, band.high_c
        ));
        told.push("a shorter way, or a place nearer by".to_owned());
    }
    if because(Closed::TooWarm) {
        told.push(format!(
            "a cooler night: no air above {limit} degrees C at the animals from departure to arrival"
        ));
    }
    if because(Closed::NotForecast) {
        told.push("temperatures for every hour until arrival".to_owned());
    }
    told
}

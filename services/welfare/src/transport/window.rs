//! When a journey may begin: every minute from departure to arrival inside the species' band.
//!
//! An answer here is "no reason found against", never "safe": the air at the
//! animal is what counts, and only a thermometer in the crate knows it.
//! 35 degrees C (a Netherlands policy guideline on transport without active
//! cooling, EU TRIS notification 26693) is one country's enforcement line: a
//! ceiling over any band, not a band.

use chrono::{DateTime, TimeDelta, TimeZone};
use haulout_schemas::profile::TemperatureBand;
use serde::{Deserialize, Serialize};

use super::judge;
use crate::refusal::Refusal;
use crate::units::{Celsius, Hours, Kelvin, KelvinHours};

/// No reptile is loaded into air above this without active cooling, whatever its band says.
pub const CEILING: Celsius = Celsius::of(35.0);

/// Readings further apart than this are a gap (a proposal: a forecast is hourly).
pub(super) const GAP_MINUTES: i64 = 90;
/// Departures are tried every so many minutes, and the air on the way is looked at as often and at
/// every reading: between two of these it is a straight line, so no peak is missed.
pub(super) const STEP_MINUTES: i64 = 10;
/// Most readings looked at: 15 days of hours.
const MOST_READINGS: usize = 360;

/// Outside air at an instant.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading<Tz: TimeZone> {
    /// When.
    pub at: DateTime<Tz>,
    /// How warm.
    pub air: Celsius,
}

/// What the vehicle makes of the outside air.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", rename_all_fields = "camelCase", tag = "vehicle", deny_unknown_fields)]
pub enum Vehicle {
    /// No active cooling or heating: outside air and what the load and the sun add (measured, or a
    /// guess on the safe side).
    Passive {
        /// Warmer inside by this much.
        #[serde(rename = "warmerKelvin")]
        warmer: Kelvin,
    },
    /// Holds a temperature, and is known to work; outside air does not count while it does.
    Held {
        /// Temperature at the animals.
        #[serde(rename = "atCelsius")]
        at: Celsius,
    },
}

impl Vehicle {
    pub(super) fn inside(self, outside: f64) -> f64 {
        match self {
            Self::Passive { warmer } => outside + warmer.kelvin(),
            Self::Held { at } => at.degrees(),
        }
    }
}

/// What makes a journey impossible at any hour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Bar {
    /// Not said to be fit to travel.
    NotFit,
    /// A drug given has not worn off (Rp/3: no sedation).
    DrugsNotWornOff,
    /// Jaws or limbs would be bound for longer than allowed.
    BoundTooLong,
}

/// Why a departure is closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Closed {
    /// Too warm on the way.
    TooWarm,
    /// Too cold on the way.
    TooCold,
    /// The forecast has a gap on the way, or ends before arrival.
    NotForecast,
}

/// A run of departures with one answer, in the zone of the readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase", bound(serialize = ""))]
pub struct Window<Tz: TimeZone> {
    /// First departure.
    pub from: DateTime<Tz>,
    /// Last departure.
    pub to: DateTime<Tz>,
    /// Why it is closed, warmth first; `None`: no reason found against.
    pub closed: Option<Closed>,
    /// Hottest air at the animals on any of these journeys; absent where not forecast.
    pub hottest: Option<(DateTime<Tz>, Celsius)>,
    /// Most heat above the limit on any of these journeys; absent where not forecast.
    #[serde(rename = "aboveKelvinHour")]
    pub above: Option<KelvinHours>,
}

/// All departures between the first and the last reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase", bound(serialize = ""))]
pub struct Windows<Tz: TimeZone> {
    /// What closes every window, whatever the air.
    pub bars: Vec<Bar>,
    /// The windows in order of time.
    pub windows: Vec<Window<Tz>>,
    /// Where none is open: what would open one.
    pub would_open: Vec<String>,
}

impl<Tz: TimeZone> Windows<Tz> {
    /// The windows against which no reason was found.
    pub fn open(&self) -> impl Iterator<Item = &Window<Tz>> {
        self.windows.iter().filter(|window| self.bars.is_empty() && window.closed.is_none())
    }
}

/// Judges every departure in the time that the readings cover.
///
/// Between two readings the air is a straight line. Instants are compared, so a change of the clocks
/// on the way neither lengthens nor shortens the journey.
///
/// # Errors
/// No readings, readings out of order, a band upside down, or a journey of no time or above three days.
pub fn windows<Tz: TimeZone>(
    readings: &[Reading<Tz>],
    journey: Hours,
    band: TemperatureBand,
    vehicle: Vehicle,
    bars: &[Bar],
) -> Result<Windows<Tz>, Refusal> {
    let refuse = |code, why: &str, mend: &str| Err(Refusal::new(code, "departure windows", why, mend));
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else {
        return refuse(
            "no-readings",
            "there are no temperatures",
            "give an hourly forecast, or the day's minimum and maximum",
        );
    };
    if readings.len() > MOST_READINGS {
        return refuse(
            "too-many-readings",
            "there are more than 360 temperatures",
            "give at most fifteen days of hours",
        );
    }
    if readings.windows(2).any(|pair| matches!(pair, [one, two] if two.at <= one.at)) {
        return refuse(
            "readings-order",
            "two temperatures are of one instant or out of order",
            "sort them by instant; an hour that the clocks repeat needs its offset",
        );
    }
    if band.low_c.is_nan() || band.high_c.is_nan() || band.low_c >= band.high_c {
        return refuse("band", "the band is upside down", "give the lower end first");
    }
    if !(journey.hours() > 0.0 && journey.hours() <= 72.0) {
        return refuse(
            "journey",
            "the journey must take more than nothing and at most three days",
            "plan the stages one by one",
        );
    }
    let limit = match vehicle {
        Vehicle::Passive { .. } => band.high_c.min(CEILING.degrees()),
        Vehicle::Held { .. } => band.high_c,
    };
    let lasts = TimeDelta::seconds((journey.hours() * 3600.0).round() as i64);
    let mut found: Vec<Window<Tz>> = Vec::new();
    let mut departure = first.at.clone();
    while departure <= last.at {
        let one = judge::judge(readings, &departure, lasts, band.low_c, limit, vehicle)?;
        departure += TimeDelta::minutes(STEP_MINUTES);
        match found.last_mut() {
            Some(run) if run.closed == one.closed => run.take(one),
            _ => found.push(one),
        }
    }
    let mut would_open = Vec::new();
    for bar in bars {
        would_open.push(match bar {
            Bar::NotFit => "a veterinarian's word that it is fit to travel".to_owned(),
            Bar::DrugsNotWornOff => {
                "the time until the drug has worn off, told by the veterinarian who gave it".to_owned()
            }
            Bar::BoundTooLong => "a shorter way, or a stop at which the bindings come off".to_owned(),
        });
    }
    if bars.is_empty() && !found.iter().any(|window| window.closed.is_none()) {
        would_open.extend(judge::openers(&found, band, limit));
    }
    Ok(Windows { bars: bars.to_vec(), windows: found, would_open })
}

impl<Tz: TimeZone> Window<Tz> {
    /// Takes the next departure of the same answer in.
    fn take(&mut self, next: Window<Tz>) {
        self.to = next.to;
        let hotter = match (&self.hottest, &next.hottest) {
            (Some(one), Some(two)) => two.1 > one.1,
            (one, _) => one.is_none(),
        };
        if hotter {
            self.hottest = next.hottest;
        }
        if next.above > self.above {
            self.above = next.above;
        }
    }
}

#[cfg(test)]
#[path = "window_tests.rs"]
mod tests;

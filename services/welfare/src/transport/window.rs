//! When a journey may begin: every minute from departure to arrival inside the species' band.
//!
//! An answer here is "no reason found against", never "safe": the air at the
//! animal is what counts, and only a thermometer in the crate knows it.
//! 35 degrees C (a Netherlands policy guideline on transport without active
//! cooling, EU TRIS notification 26693) is one country's enforcement line: a
//! ceiling over any band, not a band.

use chrono::{DateTime, TimeDelta, TimeZone};
use haulout_schemas::profile::TemperatureBand;
use serde::Serialize;

use crate::refusal::Refusal;
use crate::units::{Celsius, Hours, Kelvin, KelvinHours};

/// No reptile is loaded into air above this without active cooling, whatever its band says.
pub const CEILING: Celsius = Celsius::of(35.0);

/// Readings further apart than this are a gap (a proposal: a forecast is hourly).
const GAP_MINUTES: i64 = 90;
/// Departures are tried every so many minutes, and the air on the way is looked at as often and at
/// every reading: between two of these it is a straight line, so no peak is missed.
const STEP_MINUTES: i64 = 10;
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
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Vehicle {
    /// No active cooling or heating: outside air and what the load and the sun add (measured, or a
    /// guess on the safe side).
    Passive {
        /// Warmer inside by this much.
        warmer: Kelvin,
    },
    /// Holds a temperature, and is known to work; outside air does not count while it does.
    Held {
        /// Temperature at the animals.
        at: Celsius,
    },
}

impl Vehicle {
    fn inside(self, outside: f64) -> f64 {
        match self {
            Self::Passive { warmer } => outside + warmer.kelvin(),
            Self::Held { at } => at.degrees(),
        }
    }
}

/// What makes a journey impossible at any hour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
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
#[derive(Debug, Clone, PartialEq)]
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
    pub above: Option<KelvinHours>,
}

/// All departures between the first and the last reading.
#[derive(Debug, Clone, PartialEq)]
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
        let one = judge(readings, &departure, lasts, band.low_c, limit, vehicle)?;
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
        would_open.extend(openers(&found, band, limit));
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

fn judge<Tz: TimeZone>(
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

fn openers<Tz: TimeZone>(found: &[Window<Tz>], band: TemperatureBand, limit: f64) -> Vec<String> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, FixedOffset, Utc};
    use chrono_tz::Europe::Berlin;
    use proptest::prelude::*;

    const BAND: TemperatureBand = TemperatureBand { low_c: 20.0, high_c: 28.0 };
    const WIDE: TemperatureBand = TemperatureBand { low_c: 5.0, high_c: 40.0 };
    const SHADE: Vehicle = Vehicle::Passive { warmer: Kelvin::of(0.0) };

    /// A peak of 31 at 12:05, between two ten-minute marks at 27; the band ends at 28.
    #[test]
    fn a_peak_between_two_looks_closes_the_window() {
        let reading = |at: &str, air: f64| Reading {
            at: at.parse::<DateTime<FixedOffset>>().unwrap(),
            air: Celsius::of(air),
        };
        let readings = [
            reading("2026-07-09T12:00:00+05:30", 27.0),
            reading("2026-07-09T12:05:00+05:30", 31.0),
            reading("2026-07-09T12:10:00+05:30", 27.0),
            reading("2026-07-09T12:20:00+05:30", 27.0),
        ];
        let found = windows(&readings, Hours::new(10.0 / 60.0).unwrap(), BAND, SHADE, &[]).unwrap();
        let first = &found.windows[0];
        assert_eq!(first.closed, Some(Closed::TooWarm));
        let (at, hottest) = first.hottest.unwrap();
        assert_eq!((at, hottest.degrees()), (readings[1].at, 31.0));
        // Exactly 2 x 3.75 min x 3 K / 2 = 0.1875 K h; by straight lines to the reading no less.
        let above = first.above.unwrap();
        assert!(
            above >= KelvinHours::new(0.1875).unwrap() && above < KelvinHours::new(0.26).unwrap(),
            "{above:?}"
        );
    }

    fn hourly(from: &str, degrees: &[f64]) -> Vec<Reading<FixedOffset>> {
        let start: DateTime<FixedOffset> = from.parse().unwrap();
        let reading = |(hour, degrees): (usize, &f64)| Reading {
            at: start + TimeDelta::hours(hour as i64),
            air: Celsius::new(*degrees).unwrap(),
        };
        degrees.iter().enumerate().map(reading).collect()
    }

    fn hours(number: f64) -> Hours {
        Hours::new(number).unwrap()
    }

    /// By hand: 22 until 04:00, then 2 degrees an hour: 28 at 07:00. A journey of two hours must leave by 05:00.
    #[test]
    fn the_last_departure_before_the_heat() {
        let air =
            hourly("2026-06-01T00:00:00+05:30", &[22., 22., 22., 22., 22., 24., 26., 28., 30., 32., 34.]);
        let all = windows(&air, hours(2.0), BAND, SHADE, &[]).unwrap();
        let open: Vec<_> = all.open().collect();
        assert_eq!(open.len(), 1);
        assert_eq!(open[0].to.to_rfc3339(), "2026-06-01T05:00:00+05:30");
        let warm = all.windows.iter().find(|w| w.closed == Some(Closed::TooWarm)).unwrap();
        assert_eq!(warm.from.to_rfc3339(), "2026-06-01T05:10:00+05:30");
        assert!(warm.above.unwrap().kelvin_hours() > 0.0);
        assert_eq!(all.windows.last().unwrap().closed, Some(Closed::NotForecast));
        // Three kelvin warmer inside: 25 + 3 at 05:30.
        let warmer = Vehicle::Passive { warmer: Kelvin::of(3.0) };
        let all = windows(&air, hours(2.0), BAND, warmer, &[]).unwrap();
        assert_eq!(all.open().last().unwrap().to.to_rfc3339(), "2026-06-01T03:30:00+05:30");
    }

    /// The enforcement line: at 35.1 closed, at 34.9 not, however wide the band; with cooling not asked.
    #[test]
    fn the_ceiling_holds_whatever_the_band() {
        let open = |degrees, vehicle| {
            let all = windows(&hourly("2026-06-01T00:00:00Z", &[degrees; 4]), hours(1.0), WIDE, vehicle, &[])
                .unwrap();
            let open = all.open().count();
            (open, all.would_open.len())
        };
        assert_eq!(open(34.9, SHADE), (1, 0));
        assert_eq!(open(35.1, SHADE).0, 0);
        assert!(open(35.1, SHADE).1 >= 3, "says what would open one");
        assert_eq!(open(45.0, Vehicle::Held { at: Celsius::of(25.0) }).0, 1);
        assert_eq!(open(2.0, SHADE).0, 0);
    }

    #[test]
    fn gaps_bars_and_disorder() {
        let mut air = hourly("2026-06-01T00:00:00Z", &[24.0; 8]);
        air.remove(4);
        let all = windows(&air, hours(1.0), BAND, SHADE, &[]).unwrap();
        assert_eq!(
            all.windows.iter().map(|w| w.closed).collect::<Vec<_>>(),
            [None, Some(Closed::NotForecast), None, Some(Closed::NotForecast)]
        );
        let barred = windows(&air, hours(1.0), BAND, SHADE, &[Bar::DrugsNotWornOff]).unwrap();
        assert_eq!((barred.open().count(), barred.would_open.len()), (0, 1));
        let code = |air: &[Reading<FixedOffset>], h: f64| {
            windows(air, hours(h), BAND, SHADE, &[]).map(|_| ()).unwrap_err().code
        };
        assert_eq!(code(&[], 1.0), "no-readings");
        assert_eq!(code(&air, 0.0), "journey");
        air.swap(0, 1);
        assert_eq!(code(&air, 1.0), "readings-order");
    }

    /// On 29 March 2026 the clocks of Berlin go from 2 to 3: two hours from 01:30 end at 04:30 there.
    #[test]
    fn a_change_of_the_clocks_on_the_way() {
        let start: DateTime<Utc> = "2026-03-28T23:00:00Z".parse().unwrap();
        // 24 degrees until 02:00 UTC, which is 04:00 there, then too warm.
        let air: Vec<_> = (0..8)
            .map(|hour| Reading {
                at: (start + TimeDelta::hours(hour)).with_timezone(&Berlin),
                air: Celsius::of(if hour <= 3 { 24.0 } else { 34.0 }),
            })
            .collect();
        let all = windows(&air, hours(2.0), BAND, SHADE, &[]).unwrap();
        // The straight line from 24 to 34 passes 28 between 02:20 and 02:30 UTC: the last departure at 00:20 UTC.
        assert_eq!(all.open().last().unwrap().to.to_rfc3339(), "2026-03-29T01:20:00+01:00");
    }

    proptest! {
        /// A hotter day never opens a departure that the heat closed.
        #[test]
        fn hotter_never_opens(degrees in proptest::collection::vec(15.0_f64..40.0, 4..30), more in 0.0_f64..10.0, journey in 0.5_f64..6.0) {
            let hotter: Vec<f64> = degrees.iter().map(|d| d + more).collect();
            let too_warm = |degrees: &[f64]| -> Vec<(i64, bool)> {
                let all = windows(&hourly("2026-06-01T00:00:00Z", degrees), hours(journey), BAND, SHADE, &[]).unwrap();
                all.windows.iter().flat_map(|w| {
                    let steps = (w.to - w.from).num_minutes() / 10;
                    (0..=steps).map(|s| ((w.from + TimeDelta::minutes(10 * s)).timestamp(), w.closed == Some(Closed::TooWarm)))
                }).collect()
            };
            for (one, other) in too_warm(&degrees).into_iter().zip(too_warm(&hotter)) {
                prop_assert_eq!(one.0, other.0);
                prop_assert!(!one.1 || other.1);
            }
        }
    }
}

//! The hour of departure: windows from the sun, the day's extremes, the species' common band and the
//! vehicle; or what is missing, and the rule of thumb that stands until then.

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta, TimeZone};
use chrono_tz::Tz;
use haulout_schemas::profile::{COMMON_PRACTICE, Profile};
use haulout_store::Configuration;
use haulout_welfare::transport::day::DayCurve;
use haulout_welfare::transport::departures::{self, Departures, Planned};
use haulout_welfare::transport::distance::Position;
use haulout_welfare::transport::sun::{Sun, sun};
use haulout_welfare::transport::window::{Bar, Closed, Vehicle, Window};
use haulout_welfare::units::{Celsius, Hours};

use super::super::carrying::Said;
use super::air::Air;
use super::crating::source;
use super::form::{DepartureWindow, SunTimes, Timed};

/// What an hour of departure is reckoned from.
pub(super) struct Question<'a> {
    pub configuration: &'a Configuration,
    pub now: DateTime<FixedOffset>,
    pub today: NaiveDate,
    /// The place of departure, or of arrival where that one is not known.
    pub place: Option<Position>,
    /// True where the place is that of arrival.
    pub place_is_arrival: bool,
    /// Minutes from loading to unloading, or why they are not known.
    pub minutes: Result<u32, &'static str>,
    pub load: &'a [&'a Profile],
    pub bars: &'a [Bar],
    pub air: &'a Air,
    /// True once they have set out: then no hour is past.
    pub set_out: bool,
}

/// The answer.
pub(super) fn timed(question: &Question<'_>) -> Timed {
    let zone = question.configuration.zone();
    let day = question.air.days.first().map_or(question.today, |day| day.on);
    let sun = question.place.and_then(|place| sun_times(day, zone, place));
    let mut missing: Vec<String> = Vec::new();
    if question.air.days.is_empty() {
        missing.push("a forecast, the day's minimum and maximum in degrees C (`min=` and `max=`)".to_owned());
    }
    if question.place.is_none() {
        missing.push("the position of the place of departure".to_owned());
    }
    if let Err(why) = question.minutes {
        missing.push(format!("how long the journey takes ({why})"));
    }
    let asked = question.place.zip(question.minutes.ok()).filter(|_| missing.is_empty());
    let found = asked.map(|(place, minutes)| {
        let planned = Planned {
            place,
            journey_hour: Hours::new(f64::from(minutes.max(1)) / 60.0)?,
            vehicle: question.air.vehicle,
            bars: question.bars.to_vec(),
            days: question.air.days.clone(),
            hourly: Vec::new(),
        };
        departures::of_load(question.load, &planned, &zone)
    });
    match found {
        Some(Ok(found)) => computed(question, &found, sun),
        Some(Err(refusal)) => {
            let why = format!("{refusal}.");
            not_computed(question, &why, vec![refusal.to_string()], sun)
        }
        None => {
            let why = format!("{} must be known.", listed(missing.iter().map(String::as_str)));
            not_computed(question, &why, missing, sun)
        }
    }
}

fn computed(question: &Question<'_>, found: &Departures<Tz>, sun: Option<SunTimes>) -> Timed {
    let to_come = |window: &&Window<Tz>| question.set_out || window.to >= question.now;
    let windows: Vec<DepartureWindow> =
        found.windows.windows.iter().filter(to_come).map(|window| told(question, window, found)).collect();
    let open: Vec<&DepartureWindow> = windows.iter().filter(|window| window.open).collect();
    let words = if !found.windows.bars.is_empty() {
        format!("Do not leave: {}.", listed(found.windows.bars.iter().map(|bar| barred(*bar))))
    } else if windows.is_empty() {
        "The days of the forecast are over: ask again with those to come.".to_owned()
    } else if open.is_empty() {
        let reasons = windows.iter().filter_map(|window| window.because.as_deref());
        format!("No hour without a reason against it: {}.", listed(reasons))
    } else {
        let hours = open.iter().map(|window| format!("{} to {}", window.from, window.to));
        format!("No reason found against leaving {}.", hours.collect::<Vec<_>>().join(", or "))
    };
    let mut would_open = found.windows.would_open.clone();
    if open.is_empty() && found.windows.bars.is_empty() && would_open.is_empty() {
        would_open.push("the forecast of the days to come".to_owned());
    }
    Timed {
        computed: true,
        words,
        windows,
        would_open,
        missing: Vec::new(),
        rests_on: rests_on(question, found),
        sun,
    }
}

fn told(question: &Question<'_>, window: &Window<Tz>, found: &Departures<Tz>) -> DepartureWindow {
    let from = if question.set_out {
        window.from
    } else {
        window.from.max(question.now.with_timezone(&window.from.timezone()))
    };
    let because = match window.closed {
        _ if !found.windows.bars.is_empty() => {
            Some(listed(found.windows.bars.iter().map(|bar| barred(*bar))))
        }
        Some(Closed::TooWarm) => {
            Some(format!("warmer than {:.0} degrees C at the animals", limit(found, question.air.vehicle)))
        }
        Some(Closed::TooCold) => {
            Some(format!("colder than {:.0} degrees C at the animals", found.band.low_c))
        }
        Some(Closed::NotForecast) => Some("not forecast until arrival".to_owned()),
        None => None,
    };
    DepartureWindow {
        from: clock(&from),
        to: clock(&window.to),
        open: because.is_none(),
        because,
        hottest_at: window.hottest.as_ref().map(|(at, _)| clock(at)),
        hottest_celsius: window.hottest.as_ref().map(|(_, celsius)| tenths(celsius.degrees())),
        above_kelvin_hour: window.above.map(|above| tenths(above.kelvin_hours())),
    }
}

/// The upper limit at the animals; 35 degrees C is a ceiling unless the vehicle holds a temperature.
fn limit(found: &Departures<Tz>, vehicle: Vehicle) -> f64 {
    match vehicle {
        Vehicle::Passive { .. } => found.band.high_c.min(found.ceiling_celsius.degrees()),
        Vehicle::Held { .. } => found.band.high_c,
    }
}

fn not_computed(question: &Question<'_>, why: &str, missing: Vec<String>, sun: Option<SunTimes>) -> Timed {
    let mut words = format!("Not computed: {why} ");
    if !question.bars.is_empty() {
        words = format!("Do not leave: {}. {words}", listed(question.bars.iter().map(|bar| barred(*bar))));
    }
    words.push_str("Until it is: travel in the cooler part of the day");
    if let Some(sun) = &sun {
        words.push_str(&format!(" (sunrise {}, warmest near {}, sunset {})", sun.rise, sun.warmest, sun.set));
    }
    words.push_str(", let nothing overheat, and agree the hour with the vet.");
    let rests_on = vec![Said::new("The cooler part of the day, no overheating.", COMMON_PRACTICE)];
    Timed { computed: false, words, windows: Vec::new(), would_open: Vec::new(), missing, rests_on, sun }
}

fn rests_on(question: &Question<'_>, found: &Departures<Tz>) -> Vec<Said> {
    let mut lines = vec![Said::new(
        format!(
            "All species on board bear {:.0} to {:.0} degrees C on the road.",
            found.band.low_c, found.band.high_c
        ),
        source(question.configuration, &found.band_grounds),
    )];
    match question.air.vehicle {
        Vehicle::Passive { warmer } => {
            lines.push(Said::new(
                format!("No cooling: never above {:.0} degrees C.", found.ceiling_celsius.degrees()),
                "Netherlands policy guideline on animal transport, EU TRIS notification 26693",
            ));
            lines.push(Said::new(
                format!(
                    "The load is taken to be {} K warmer than the air outside{}.",
                    warmer.kelvin(),
                    if question.air.warmth_told { ", as told" } else { "; nobody has measured it" }
                ),
                if question.air.warmth_told { "as told" } else { "a choice of this programme" },
            ));
        }
        Vehicle::Held { at } => lines.push(Said::new(
            format!(
                "The vehicle holds {} degrees C at the animals, as told; if it fails, this page is void.",
                at.degrees()
            ),
            "as told",
        )),
    }
    lines.push(Said::new(
        format!(
            "Air between the day's minimum and maximum by sunrise and sunset{}.",
            if question.place_is_arrival {
                " at the place of arrival, since the other is not known"
            } else {
                ""
            }
        ),
        "Parton and Logan 1981, Agric. Meteorol. 23:205-216",
    ));
    lines.push(Said::new(
        "The air at the animals is what counts, and only a thermometer among the crates knows it.",
        COMMON_PRACTICE,
    ));
    lines
}

/// Sunrise, sunset and the warmest hour of a day; absent where the sun does not rise and set.
fn sun_times(day: NaiveDate, zone: Tz, place: Position) -> Option<SunTimes> {
    let Ok(Sun::RisesAndSets { rise, set }) = sun(day, &zone, place) else { return None };
    let length = (set - rise).num_seconds() as f64 / 3600.0;
    // The hour of the maximum does not turn on the temperatures.
    let noon = Hours::new(12.0).ok()?;
    let any = |degrees| Celsius::new(degrees).ok();
    let curve = DayCurve::new(noon, Hours::new(length).ok()?, any(0.0)?, any(1.0)?).ok()?;
    let after_noon = TimeDelta::seconds(((curve.maximum_at().hours() - 12.0) * 3600.0) as i64);
    let warmest = rise + (set - rise) / 2 + after_noon;
    let hour = |at: &DateTime<Tz>| at.format("%H:%M").to_string();
    Some(SunTimes { day, rise: hour(&rise), set: hour(&set), warmest: hour(&warmest) })
}

fn barred(bar: Bar) -> &'static str {
    match bar {
        Bar::NotFit => "nobody entitled to has said that they are fit to travel",
        Bar::DrugsNotWornOff => "a drug that dulls may not have worn off",
        Bar::BoundTooLong => "jaws or limbs would be bound for longer than allowed",
    }
}

/// Each once, in their order.
fn listed<'a>(parts: impl IntoIterator<Item = impl Into<std::borrow::Cow<'a, str>>>) -> String {
    let mut told: Vec<std::borrow::Cow<'a, str>> = Vec::new();
    for part in parts {
        let part = part.into();
        if !told.contains(&part) {
            told.push(part);
        }
    }
    told.join("; ")
}

/// `9 Jul, 05:20`, in the region's time.
fn clock<Z: TimeZone>(at: &DateTime<Z>) -> String
where
    Z::Offset: std::fmt::Display,
{
    at.format("%-d %b, %H:%M").to_string()
}

fn tenths(number: f64) -> f64 {
    (number * 10.0).round() / 10.0
}

//! Sunrise and sunset of a local day (solar position by Reda and Andreas 2004, by `solar-positioning`;
//! the sun's upper limb at the horizon with usual refraction, no hills).

use chrono::{DateTime, NaiveDate, TimeZone};
use solar_positioning::{Horizon, Location, SolarEvents, delta_t};

use super::distance::Position;
use crate::refusal::Refusal;

/// What the sun does on a local day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sun<Tz: TimeZone> {
    /// It rises and sets.
    RisesAndSets {
        /// Sunrise.
        rise: DateTime<Tz>,
        /// Sunset.
        set: DateTime<Tz>,
    },
    /// It is up all day: polar day.
    AlwaysUp,
    /// It is down all day: polar night.
    AlwaysDown,
}

/// What the sun does between two local midnights, so that an event belongs to the local date.
///
/// # Errors
/// A date the library cannot reckon, or a day with a rise or a set only, as happens near the poles.
pub fn sun<Tz: TimeZone>(date: NaiveDate, zone: &Tz, place: Position) -> Result<Sun<Tz>, Refusal> {
    let refused = |why: String| {
        Refusal::new("sun", format!("sun of {date}"), why, "give the hourly temperatures, which need no sun")
    };
    let delta = delta_t::estimate_from_date_like(&date).map_err(|fault| refused(fault.to_string()))?;
    let location = Location { latitude: place.latitude(), longitude: place.longitude() };
    let events = SolarEvents::new()
        .for_date(date, zone, location, delta, Horizon::SunriseSunset)
        .map_err(|fault| refused(fault.to_string()))?;
    match (events.rises.first(), events.sets.last()) {
        _ if events.always_above() => Ok(Sun::AlwaysUp),
        _ if events.always_below() => Ok(Sun::AlwaysDown),
        (Some(rise), Some(set)) if rise < set => {
            Ok(Sun::RisesAndSets { rise: rise.clone(), set: set.clone() })
        }
        _ => Err(refused("the sun does not both rise and then set on this local day".into())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{FixedOffset, Utc};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn seconds_off(found: &DateTime<Utc>, expected: &str) -> i64 {
        (*found - expected.parse::<DateTime<Utc>>().unwrap()).num_seconds().abs()
    }

    /// NREL's worked example, sunrise 06:12:43 local; the sunset its listing prints belongs to the day
    /// before, that of the local 17 October is 17:18:51. The Chambal place by an independent program.
    #[test]
    fn published_sunrise_and_the_day_it_belongs_to() {
        let check = |date, offset: i32, place: (f64, f64), rise, set| {
            let zone = FixedOffset::east_opt(offset).unwrap();
            let place = Position::new(place.0, place.1).unwrap();
            let Sun::RisesAndSets { rise: found_rise, set: found_set } =
                sun(day(date), &zone, place).unwrap()
            else {
                panic!("rises and sets");
            };
            assert!(seconds_off(&found_rise.to_utc(), rise) <= 60, "{found_rise}");
            assert!(seconds_off(&found_set.to_utc(), set) <= 60, "{found_set}");
        };
        let denver = (39.742_476, -105.178_6);
        check("2003-10-17", -7 * 3600, denver, "2003-10-17T13:12:43Z", "2003-10-18T00:18:51Z");
        let chambal = (26.5, 79.0);
        check("2025-06-21", 19_800, chambal, "2025-06-20T23:51:40Z", "2025-06-21T13:39:59Z");
        check("2024-02-29", 19_800, chambal, "2024-02-29T01:08:29Z", "2024-02-29T12:44:48Z");
    }

    #[test]
    fn polar_day_and_night() {
        let north = Position::new(70.0, 25.0).unwrap();
        assert_eq!(sun(day("2025-06-21"), &Utc, north), Ok(Sun::AlwaysUp));
        assert_eq!(sun(day("2025-12-21"), &Utc, north), Ok(Sun::AlwaysDown));
    }
}

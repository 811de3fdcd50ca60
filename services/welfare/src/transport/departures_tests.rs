//! Departures from a day's minimum and maximum, from the outside.

use chrono_tz::Asia::Kolkata;
use chrono_tz::Europe::Berlin;
use haulout_schemas::profile::Profiles;

use super::*;
use crate::transport::window::Closed;
use crate::units::Kelvin;

fn mugger() -> &'static Profile {
    Profiles::standard().get("Crocodylus palustris").unwrap()
}

fn day(on: &str, low: f64, high: f64) -> Extremes {
    Extremes {
        on: on.parse().unwrap(),
        low_celsius: Celsius::new(low).unwrap(),
        high_celsius: Celsius::new(high).unwrap(),
    }
}

fn planned(days: Vec<Extremes>) -> Planned {
    Planned {
        place: Position::new(26.5, 79.0).unwrap(),
        journey_hour: Hours::new(2.0).unwrap(),
        vehicle: Vehicle::Passive { warmer: Kelvin::new(0.0).unwrap() },
        bars: Vec::new(),
        days,
        hourly: Vec::new(),
    }
}

/// 26.5 N 79 E on 21 June 2025: the day lasts 13:48:19, sunrise 05:21:40 and sunset 19:09:59 local
/// (independent program), so solar noon is 12:15:50 and the maximum falls 1.69 h later, at 13:57:14.
#[test]
fn the_curve_meets_its_extremes() {
    let readings =
        curve(&[day("2025-06-21", 28.0, 44.0)], Position::new(26.5, 79.0).unwrap(), &Kolkata).unwrap();
    let hottest = readings.iter().max_by(|one, two| one.air.degrees().total_cmp(&two.air.degrees())).unwrap();
    assert!((hottest.air.degrees() - 44.0).abs() < 1e-6);
    let off = hottest.at.naive_local() - "2025-06-21T13:57:14".parse::<chrono::NaiveDateTime>().unwrap();
    assert!(off.num_seconds().abs() <= 60, "{}", hottest.at);
    assert_eq!(readings.len(), 50);
    let coldest = readings.iter().map(|reading| reading.air.degrees()).fold(f64::INFINITY, f64::min);
    assert!((28.0..28.01).contains(&coldest), "{coldest}");
}

/// A June day of 28 to 44 is above the band's 28 throughout; one of 20 to 26 is not.
#[test]
fn hot_days_close_and_cool_ones_do_not() {
    let hot = departures(mugger(), &planned(vec![day("2025-06-21", 28.5, 44.0)]), &Kolkata).unwrap();
    assert_eq!((hot.air_from, hot.windows.open().count()), (AirFrom::DayCurve, 0));
    assert!(hot.windows.would_open.len() >= 2);
    let mild = departures(mugger(), &planned(vec![day("2025-11-02", 21.0, 27.0)]), &Kolkata).unwrap();
    assert_eq!(mild.windows.windows[0].closed, None);
    // The last departures arrive after midnight, of which nothing is known.
    assert_eq!(mild.windows.windows.last().unwrap().closed, Some(Closed::NotForecast));
    let told = serde_json::to_value(&mild).unwrap();
    assert_eq!(told["airFrom"], "dayCurve");
    assert!(told["windows"][0]["aboveKelvinHour"].is_number(), "{told}");
    assert!(told["caution"].as_str().unwrap().contains("never safe"));
}

/// A night between two days runs from the first one's sunset to the second one's minimum: no jump
/// of more than 2 K in half an hour, though the minima differ by 8.
#[test]
fn nights_join_two_days() {
    let days = [day("2025-06-21", 24.0, 36.0), day("2025-06-22", 16.0, 28.0)];
    let readings = curve(&days, Position::new(26.5, 79.0).unwrap(), &Kolkata).unwrap();
    for pair in readings.windows(2) {
        assert!((pair[1].air.degrees() - pair[0].air.degrees()).abs() < 2.0, "{:?}", pair);
    }
    // Days that do not follow each other leave a gap, and the road through it is not forecast.
    let apart = [day("2025-11-02", 21.0, 27.0), day("2025-11-04", 21.0, 27.0)];
    let told = departures(mugger(), &planned(apart.to_vec()), &Kolkata).unwrap();
    let closed: Vec<_> = told.windows.windows.iter().map(|window| window.closed).collect();
    assert_eq!(closed, [None, Some(Closed::NotForecast), None, Some(Closed::NotForecast)]);
}

/// On 29 March 2026 the clocks of Berlin leave out an hour: 23 hours, 46 half hours, minimum and maximum.
#[test]
fn a_day_of_twenty_three_hours() {
    let berlin = Position::new(52.5, 13.4).unwrap();
    let readings = curve(&[day("2026-03-29", 5.0, 15.0)], berlin, &Berlin).unwrap();
    assert_eq!(readings.len(), 48);
    assert_eq!(readings[0].at.to_rfc3339(), "2026-03-29T00:00:00+01:00");
    assert!(curve(&[day("2024-02-29", 5.0, 15.0)], berlin, &Berlin).is_ok());
}

#[test]
fn hourly_temperatures_count_where_given() {
    let hour = |at: &str, celsius: f64| Forecast {
        at: at.parse().unwrap(),
        celsius: Celsius::new(celsius).unwrap(),
    };
    let mut asked = planned(vec![day("2025-06-21", 28.0, 44.0)]);
    asked.hourly = vec![
        hour("2025-06-21T00:00:00+05:30", 25.0),
        hour("2025-06-21T01:00:00+05:30", 25.0),
        hour("2025-06-21T02:00:00+05:30", 25.0),
    ];
    let told = departures(mugger(), &asked, &Kolkata).unwrap();
    assert_eq!((told.air_from, told.windows.open().count()), (AirFrom::Given, 1));
    let read: Planned = serde_json::from_value(serde_json::to_value(&asked).unwrap()).unwrap();
    assert_eq!(read, asked);
}

#[test]
fn what_cannot_be_drawn() {
    let code = |days: Vec<Extremes>| departures(mugger(), &planned(days), &Kolkata).unwrap_err().code;
    assert_eq!(code(Vec::new()), "no-readings");
    assert_eq!(code(vec![day("2025-06-21", 28.0, 44.0); 2]), "days-order");
    assert_eq!(code(vec![day("2025-06-21", 30.0, 20.0)]), "extremes-swapped");
    let week: Vec<_> = (1..=8).map(|n| day(&format!("2025-06-0{n}"), 20.0, 30.0)).collect();
    assert_eq!(code(week), "too-many-days");
    let north =
        Planned { place: Position::new(70.0, 25.0).unwrap(), ..planned(vec![day("2025-06-21", 5.0, 9.0)]) };
    assert_eq!(departures(mugger(), &north, &Berlin).unwrap_err().code, "no-sunrise");
}

/// The cooler of two days is open, and stays so for the pair with the band that both share: no species
/// on the vehicle opens an hour that another one's band closes.
#[test]
fn the_strictest_of_a_load_decides() {
    let mut strict = mugger().clone();
    strict.transport_temperature.value = TemperatureBand { low_c: 20.0, high_c: 24.0 };
    let mild = planned(vec![day("2025-11-02", 21.0, 27.0)]);
    let alone = departures(mugger(), &mild, &Kolkata).unwrap();
    let both = of_load(&[mugger(), &strict], &mild, &Kolkata).unwrap();
    assert_eq!((both.band.low_c, both.band.high_c), (20.0, 24.0));
    assert_eq!(both.windows.windows, departures(&strict, &mild, &Kolkata).unwrap().windows.windows);
    assert_ne!(both.windows.windows, alone.windows.windows);
    assert_eq!(of_load(&[], &mild, &Kolkata).unwrap_err().code, "no-species");
}

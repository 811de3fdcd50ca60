//! Departure windows, from the outside.

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
    let air = hourly("2026-06-01T00:00:00+05:30", &[22., 22., 22., 22., 22., 24., 26., 28., 30., 32., 34.]);
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
        let all =
            windows(&hourly("2026-06-01T00:00:00Z", &[degrees; 4]), hours(1.0), WIDE, vehicle, &[]).unwrap();
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

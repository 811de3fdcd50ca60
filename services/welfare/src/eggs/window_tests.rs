//! Hatch windows, from the outside.

use chrono::{FixedOffset, TimeZone};
use haulout_schemas::profile::Profiles;

use super::*;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn profile(name: &str) -> &'static Profile {
    Profiles::standard().get(name).unwrap()
}

fn clutch(laid: &str, on: &str) -> Incubated {
    Incubated { laid_from: day(laid), laid_through: day(laid), log: Vec::new(), on: day(on) }
}

/// A reading each noon for so many days from a day.
fn steady(from: &str, days: u64, celsius: f64) -> Vec<EggReading> {
    let zone = FixedOffset::east_opt(19_800).unwrap();
    let noon = |date: NaiveDate| zone.from_local_datetime(&date.and_hms_opt(12, 0, 0).unwrap()).unwrap();
    day(from)
        .iter_days()
        .take(days as usize)
        .map(|date| EggReading { at: noon(date), celsius: Celsius::new(celsius).unwrap() })
        .collect()
}

/// Gharial: 93 days at 28 degrees C and 53 at 33 (encyclopaedia text); between them minus 8 days a
/// degree, so 77, 69 and 61 days at 30, 31 and 32. Valid from 28 to 33 only.
#[test]
fn gharial_interpolated() {
    let points = &profile("Gavialis gangeticus").incubation.as_ref().unwrap().value.at;
    let days = |celsius: f64| days_at(points, Celsius::new(celsius).unwrap()).map(Days::days);
    for (celsius, expected) in [(28.0, 93.0), (30.0, 77.0), (31.0, 69.0), (32.0, 61.0), (33.0, 53.0)] {
        assert!((days(celsius).unwrap() - expected).abs() < 1e-9);
    }
    assert_eq!(days(27.9).unwrap_err().code, "beyond-source");
    assert_eq!(days(33.1).unwrap_err().code, "beyond-source");
    assert_eq!(days_at(&[], Celsius::new(30.0).unwrap()).unwrap_err().code, "no-temperatures");
}

/// At 30 degrees C throughout 77 days, by hand: a tenth less is reached after 70 days (0.9 x 77 =
/// 69.3), a tenth more after 85 (84.7).
#[test]
fn a_steady_log_moves_the_window() {
    let name = "Gavialis gangeticus";
    let plain = window(profile(name), &clutch("2026-04-01", "2026-05-01")).unwrap();
    assert_eq!((plain.from, plain.through), (day("2026-05-24"), day("2026-07-03")));
    assert!(!plain.by_temperature && plain.stage == Stage::Before);
    let logged = Incubated { log: steady("2026-04-01", 60, 30.0), ..clutch("2026-04-01", "2026-05-30") };
    let told = window(profile(name), &logged).unwrap();
    assert!(told.by_temperature && told.doubts.is_empty(), "{:?}", told.doubts);
    assert_eq!((told.from, told.through), (day("2026-06-10"), day("2026-06-25")));
}

/// Ten days without a reading widen the window, by hand: fast they count 10/53, slow 10/93 instead
/// of 10/77. Early: (69.3 - 10 x 77/53)= 54.8 more days of 30 degrees, 65 in all; late: 84.7 - 8.28 =
/// 76.4, 87 in all.
#[test]
fn a_gap_widens_it() {
    let mut log = steady("2026-04-01", 60, 30.0);
    log.drain(20..30);
    let told =
        window(profile("Gavialis gangeticus"), &Incubated { log, ..clutch("2026-04-01", "2026-05-30") });
    let told = told.unwrap();
    assert_eq!((told.from, told.through), (day("2026-06-05"), day("2026-06-27")));
}

#[test]
fn a_log_beyond_the_source_leaves_the_window_and_says_so() {
    let logged = Incubated { log: steady("2026-04-01", 5, 35.0), ..clutch("2026-04-01", "2026-04-05") };
    let told = window(profile("Gavialis gangeticus"), &logged).unwrap();
    assert_eq!((told.by_temperature, told.doubts[0].code), (false, "beyond-source"));
    assert_eq!(told.through, day("2026-07-03"));
    // The mugger's profile knows a window alone: 55 to 75 days.
    let logged = Incubated { log: steady("2026-04-01", 5, 31.0), ..clutch("2026-04-01", "2026-04-05") };
    let told = window(profile("Crocodylus palustris"), &logged).unwrap();
    assert_eq!((told.from, told.through), (day("2026-05-26"), day("2026-06-15")));
    assert_eq!(told.doubts[0].code, "no-temperatures");
}

/// Batagur baska, 59 to 74 days in the profile; the usual 65 to 67 after 20 March 2025 are 24 to 26
/// May, which lie within.
#[test]
fn batagur_of_march() {
    let told = window(profile("Batagur baska"), &clutch("2025-03-20", "2025-05-25")).unwrap();
    assert_eq!((told.from, told.through), (day("2025-05-18"), day("2025-06-02")));
    assert_eq!(told.stage, Stage::Within);
    let usual = |days| day("2025-03-20").checked_add_days(CalendarDays::new(days)).unwrap();
    assert_eq!((usual(65), usual(67)), (day("2025-05-24"), day("2025-05-26")));
    assert!(told.from <= usual(65) && usual(67) <= told.through);
}

/// Softshell eggs that pause for 8 to 11 months are never overdue.
#[test]
fn pausing_eggs_are_not_overdue() {
    for on in ["2026-10-01", "2027-07-01", "2027-12-01"] {
        let told = window(profile("Nilssonia gangetica"), &clutch("2026-09-14", on)).unwrap();
        assert!(told.advice.contains("do not open or discard"), "{told:?}");
        assert_ne!(told.stage, Stage::After);
    }
    let logged = Incubated { log: steady("2026-09-14", 5, 30.0), ..clutch("2026-09-14", "2026-10-01") };
    let told = window(profile("Nilssonia gangetica"), &logged).unwrap();
    assert_eq!((told.by_temperature, told.doubts[0].code), (false, "diapause"));
    // Others past their window are not opened either.
    let past = window(profile("Batagur baska"), &clutch("2025-03-20", "2025-07-01")).unwrap();
    assert!(past.stage == Stage::After && past.advice.contains("do not open or discard"));
}

#[test]
fn what_cannot_be_told() {
    let code = |name, clutch: &Incubated| window(profile(name), clutch).unwrap_err().code;
    let reversed = Incubated { laid_through: day("2026-03-30"), ..clutch("2026-04-01", "2026-05-01") };
    assert_eq!(code("Batagur baska", &reversed), "laid-when");
    assert_eq!(code("Batagur baska", &clutch("2026-06-01", "2026-05-01")), "laid-when");
    assert_eq!(code("Chitra chitra", &clutch("2026-04-01", "2026-05-01")), "incubation-unknown");
}

//! Days as spreadsheets count them.

use chrono::{Datelike, NaiveDate, NaiveTime, TimeDelta, Timelike};

/// Days between the two reckonings of spreadsheets, which begin in 1900 and in 1904.
const RECKONINGS: i64 = 1462;

/// A day number as a date, with its time where it has one. The reckoning of 1900 counts a 29
/// February of that year that never was, so its days are right from 1 March 1900 on.
pub(crate) fn of_serial(number: f64, from_1904: bool) -> Option<String> {
    if !(0.0..2_958_466.0).contains(&number) {
        return None;
    }
    // Within the bounds above both parts are small.
    #[allow(clippy::cast_possible_truncation)]
    let (day, milliseconds) = (number.trunc() as i64, (number.fract() * 86_400_000.0).round() as i64);
    let day = if from_1904 { day + RECKONINGS } else { day };
    if day <= 60 {
        return None;
    }
    let midnight = NaiveDate::from_ymd_opt(1899, 12, 30)?.and_time(NaiveTime::MIN);
    let instant = midnight + TimeDelta::days(day) + TimeDelta::milliseconds(milliseconds);
    let date = format!("{:04}-{:02}-{:02}", instant.year(), instant.month(), instant.day());
    let (hour, minute, second) = (instant.hour(), instant.minute(), instant.second());
    Some(match (hour, minute, second) {
        (0, 0, 0) => date,
        (_, _, 0) => format!("{date}T{hour:02}:{minute:02}"),
        _ => format!("{date}T{hour:02}:{minute:02}:{second:02}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_both_reckonings() {
        let of = |number, from_1904| of_serial(number, from_1904);
        // ECMA-376 part 1, 18.17.4.1: 36526 is 2000-01-01. By hand from there: 26 years with 7
        // leap days (2000 to 2024) and the 182 days of 2026 before 2 July.
        assert_eq!(of(36_526.0, false).as_deref(), Some("2000-01-01"));
        assert_eq!(of(36_526.0 + 26.0 * 365.0 + 7.0 + 182.0, false).as_deref(), Some("2026-07-02"));
        assert_eq!(of(36_526.0 - 1462.0, true).as_deref(), Some("2000-01-01"));
        assert_eq!(of(36_526.25, false).as_deref(), Some("2000-01-01T06:00"));
        // Before March 1900 the two countings differ, so nothing is said.
        assert_eq!(of(60.0, false), None);
        assert_eq!(of(-1.0, false), None);
        assert_eq!(of(f64::NAN, false), None);
    }
}

//! When to look for released animals.
//!
//! Common practice asks that they are monitored and names no days. The days here
//! are a proposal: close together at first, when most can still be done, then at
//! doubling distances. A look in which nobody is seen is a result and is posted.

use chrono::{Days, NaiveDate};
use serde::Serialize;

use crate::grounds::Grounds;
use crate::refusal::Refusal;

/// One look.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Look {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub through: NaiveDate,
    /// What for.
    pub what: &'static str,
}

/// A schedule of looks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Schedule {
    /// The looks, by day.
    pub looks: Vec<Look>,
    /// What the days rest on.
    pub grounds: Grounds,
    /// Shown with every schedule.
    pub caution: &'static str,
}

/// First and last day after the release, and what for.
const ON_FOOT: [(u64, u64, &str); 6] = [
    (1, 7, "at the site: strandings, wounds, animals that come back to people"),
    (28, 35, "a first search: sightings, marks read, tracks and basking places"),
    (85, 95, "a search; where an animal is caught, length, mass and marks"),
    (175, 190, "a search; the same"),
    (355, 375, "a search after a year, in the season of basking or nesting"),
    (720, 740, "a search after two years; then yearly"),
];
/// What a transmitter adds.
const BY_TRANSMITTER: [(u64, u64, &str); 3] = [
    (0, 14, "daily position: an animal that does not move is looked for"),
    (15, 90, "weekly position"),
    (91, 365, "monthly position, until the transmitter ends"),
];

/// The looks after a release on `on`.
///
/// # Errors
/// A day beyond the calendar.
pub fn schedule(on: NaiveDate, transmitter: bool) -> Result<Schedule, Refusal> {
    let by_transmitter = BY_TRANSMITTER.iter().filter(|_| transmitter);
    let looks = ON_FOOT.iter().chain(by_transmitter).map(|(first, last, what)| {
        let day = |days: u64| on.checked_add_days(Days::new(days)).ok_or_else(|| beyond(on));
        Ok(Look { from: day(*first)?, through: day(*last)?, what })
    });
    let mut looks = looks.collect::<Result<Vec<_>, Refusal>>()?;
    looks.sort_by_key(|look| (look.from, look.through));
    Ok(Schedule {
        looks,
        grounds: Grounds::proposal("common practice asks for monitoring and names no days"),
        caution: "not seen is not dead; the permit's own conditions stand above these days",
    })
}

fn beyond(on: NaiveDate) -> Refusal {
    Refusal::new(
        "calendar",
        format!("release on {on}"),
        "the calendar ends before the looks",
        "check the year",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By the calendar: a week after 28 February 2028 is 6 March, for 2028 has a 29 February.
    #[test]
    fn looks_by_day() {
        let on = NaiveDate::from_ymd_opt(2028, 2, 28).unwrap();
        let plain = schedule(on, false).unwrap();
        assert_eq!(plain.looks.len(), 6);
        assert_eq!(plain.looks[0].from.to_string(), "2028-02-29");
        assert_eq!(plain.looks[0].through.to_string(), "2028-03-06");
        let sent = schedule(on, true).unwrap();
        assert_eq!((sent.looks.len(), sent.looks[0].from), (9, on));
        assert!(sent.looks.is_sorted_by_key(|look| look.from));
        assert_eq!(schedule(NaiveDate::MAX, false).unwrap_err().code, "calendar");
    }
}

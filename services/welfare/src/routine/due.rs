//! Since when a change of water or a scrub is due, by what was done.

use chrono::{Days, NaiveDate};

use super::{CHANGE_DAYS, CHANGED, Done, SCRUB_DAYS};

/// First day on which a change of water is due in a still indoor unit: a fifth was changed in no three
/// days that end on it or later. `filled` is the day on which it was fresh; days are in any order.
///
/// `None` beyond the calendar.
#[must_use]
pub fn water_due_from(filled: NaiveDate, done: &[Done]) -> Option<NaiveDate> {
    let enough = |through: NaiveDate| {
        let days = done.iter().filter(|day| (0..CHANGE_DAYS).contains(&(through - day.on).num_days()));
        let sum: f64 = days.filter_map(|day| day.water_changed_share).map(|share| share.share()).sum();
        // A hair: 0.1 + 0.1 and the like in binary.
        sum >= CHANGED.share() - 1e-9
    };
    due_from(filled, done.iter().map(|day| day.on), CHANGE_DAYS, enough)
}

/// First day on which a scrub is due in a still indoor unit: none in the 30 days that end on it.
///
/// `None` beyond the calendar.
#[must_use]
pub fn scrub_due_from(filled: NaiveDate, done: &[Done]) -> Option<NaiveDate> {
    let scrubs = || done.iter().filter(|day| day.scrubbed == Some(true)).map(|day| day.on);
    let enough =
        |through: NaiveDate| scrubs().any(|day| (0..SCRUB_DAYS).contains(&(through - day).num_days()));
    due_from(filled, scrubs(), SCRUB_DAYS, enough)
}

/// The day after the last one on which `enough` was done, no sooner than `span` days after the filling.
fn due_from(
    filled: NaiveDate,
    days: impl Iterator<Item = NaiveDate>,
    span: i64,
    enough: impl Fn(NaiveDate) -> bool,
) -> Option<NaiveDate> {
    let fresh = filled.checked_add_days(Days::new(span.unsigned_abs()))?;
    let reached =
        days.flat_map(|day| day.iter_days().take(span.unsigned_abs() as usize)).filter(|day| enough(*day));
    reached.max().map_or(Some(fresh), |last| last.succ_opt().map(|due| due.max(fresh)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Share;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn changed(on: &str, share: f64) -> Done {
        Done {
            on: day(on),
            water_changed_share: Some(Share::new(share).unwrap()),
            scrubbed: Some(share >= 1.0),
            water_celsius: None,
        }
    }

    /// Counted by hand: a fifth on the 10th serves the 10th, 11th and 12th, so it is due on the 13th; a
    /// tenth on the 10th and on the 12th are a fifth on the 12th alone.
    #[test]
    fn water_is_due_when_three_days_hold_less_than_a_fifth() {
        let filled = day("2026-07-01");
        assert_eq!(water_due_from(filled, &[]), Some(day("2026-07-04")));
        assert_eq!(water_due_from(filled, &[changed("2026-07-10", 0.2)]), Some(day("2026-07-13")));
        let halves = [changed("2026-07-12", 0.1), changed("2026-07-10", 0.1)];
        assert_eq!(water_due_from(filled, &halves), Some(day("2026-07-13")));
        let apart = [changed("2026-07-10", 0.1), changed("2026-07-13", 0.1)];
        assert_eq!(water_due_from(filled, &apart), Some(day("2026-07-04")), "never a fifth in three days");
        // The filling counts as fresh water.
        assert_eq!(water_due_from(day("2026-07-11"), &[changed("2026-07-10", 0.2)]), Some(day("2026-07-14")));
    }

    #[test]
    fn a_scrub_serves_thirty_days() {
        let scrubbed = [changed("2026-07-10", 1.0), changed("2026-07-20", 0.2)];
        assert_eq!(scrub_due_from(day("2026-07-01"), &scrubbed), Some(day("2026-08-09")));
        assert_eq!(scrub_due_from(day("2026-07-01"), &scrubbed[1..]), Some(day("2026-07-31")));
    }
}

//! When a quarantine batch is clear.
//!
//! All in, all out: a batch is clear `days` after its last entry, and an entry
//! that shares its air and water starts the days again. Whether "shares" means
//! the same order (aza.org/quarantine, current wording) or the same class (the
//! older wording for reptiles, second-hand) is a setting of the region, because
//! shared water makes the wider reading the safer default for chelonians
//! (common practice). Local codes and the veterinarian decide.

pub mod clearance;

use chrono::{Days, NaiveDate};
use haulout_schemas::profile::{QuarantineRestart, TaxonOrder};
use serde::{Deserialize, Serialize};

/// One arrival in a quarantine room or water circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Entry {
    /// Day of the arrival.
    pub day: NaiveDate,
    /// Order of what arrived; an animal whose order is not known counts as any.
    pub order: Option<TaxonOrder>,
}

/// True when an arrival of `entering` starts the days of a batch of `batch` again.
///
/// Both orders are reptiles, so by class every arrival counts; what is not known counts.
#[must_use]
pub fn concerns(restart: QuarantineRestart, entering: Option<TaxonOrder>, batch: Option<TaxonOrder>) -> bool {
    match (restart, entering, batch) {
        (QuarantineRestart::Order, Some(entering), Some(batch)) => entering == batch,
        _ => true,
    }
}

/// First day on which a batch of `order` may leave: the last entry that counts + `days`.
///
/// `entries` is everything that entered while the batch stood there, the batch itself included, in
/// any order. `None` when nothing that counts entered, or the day is beyond the calendar.
#[must_use]
pub fn clear_day(
    entries: &[Entry],
    order: TaxonOrder,
    days: u16,
    restart: QuarantineRestart,
) -> Option<NaiveDate> {
    let last = entries
        .iter()
        .filter(|entry| concerns(restart, entry.order, Some(order)))
        .map(|entry| entry.day)
        .max()?;
    last.checked_add_days(Days::new(u64::from(days)))
}

/// True when an entry on `day` would put off the clear day of a batch that is clear on `clear`.
///
/// An entry on the very day counts, for nobody can tell which came first.
#[must_use]
pub fn would_redate(clear: NaiveDate, day: NaiveDate) -> bool {
    day <= clear
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use haulout_schemas::profile::QuarantineRestart::{Class, Order};
    use haulout_schemas::profile::TaxonOrder::{Crocodylia, Testudines};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn entry(at: &str, order: TaxonOrder) -> Entry {
        Entry { day: day(at), order: Some(order) }
    }

    /// The check values computed by hand for the all-in, all-out rule.
    #[test]
    fn restarts_by_order_or_by_class() {
        let turtles = [entry("2025-01-01", Testudines), entry("2025-01-20", Testudines)];
        let clear = |entries: &[Entry], n, how| clear_day(entries, Testudines, n, how);
        assert_eq!(clear(&turtles, 30, Order), Some(day("2025-02-19")));
        let mut shared = turtles.to_vec();
        shared.insert(0, entry("2025-01-25", Crocodylia));
        assert_eq!(clear(&shared, 30, Order), Some(day("2025-02-19")));
        assert_eq!(clear(&shared, 30, Class), Some(day("2025-02-24")));
        assert_eq!(clear(&turtles[..1], 90, Order), Some(day("2025-04-01")));
    }

    #[test]
    fn what_is_not_known_counts() {
        let mut entries = vec![entry("2025-01-01", Testudines)];
        entries.push(Entry { day: day("2025-01-09"), order: None });
        assert_eq!(clear_day(&entries, Testudines, 30, Order), Some(day("2025-02-08")));
    }

    #[test]
    fn nothing_that_counts_has_no_clear_day() {
        let entries = [entry("2025-01-01", Crocodylia)];
        assert_eq!(clear_day(&entries, Testudines, 30, Order), None);
        assert_eq!(clear_day(&[], Testudines, 30, Class), None);
    }

    #[test]
    fn an_entry_on_the_clear_day_still_counts() {
        assert!(would_redate(day("2025-02-19"), day("2025-02-19")));
        assert!(!would_redate(day("2025-02-19"), day("2025-02-20")));
    }
}

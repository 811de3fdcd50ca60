//! The hub's calendar: real, or a demonstration's that stands where it was set.

use crate::database::{Store, run};
use crate::error::{ErrorKind, Result, StoreError};
use chrono::{DateTime, Days, NaiveDate, Offset, SecondsFormat, TimeZone, Utc};
use haulout_reckoning::Micros;
use std::time::{SystemTime, UNIX_EPOCH};

/// Which calendar a database goes by. It is chosen when the database is made and never changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clock {
    /// The machine's.
    Real,
    /// A demonstration's: it stands at the instant last set, and never goes back.
    Demo {
        /// Where it stands in a new database; `None`: the machine's time.
        start: Option<Micros>,
    },
}

/// The machine's time.
pub(crate) fn machine_now() -> Micros {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    Micros::try_from(since.as_micros()).unwrap_or(Micros::MAX)
}

/// RFC 3339 in UTC with microseconds: `2026-10-01T18:29:59.999999Z`. Links of the chains, receipts
/// and statements write stamps so.
pub fn instant_text(micros: Micros) -> String {
    match Utc.timestamp_micros(micros) {
        chrono::LocalResult::Single(instant) => instant.to_rfc3339_opts(SecondsFormat::Micros, true),
        _ => format!("{micros} µs"),
    }
}

/// The stamp of an RFC 3339 text with an offset; what is finer than a microsecond is cut off.
pub fn instant_of(text: &str) -> Option<Micros> {
    DateTime::parse_from_rfc3339(text).ok().map(|instant| instant.timestamp_micros())
}

/// The last microsecond of a day in a zone: what a bare date means as an instant of knowledge.
pub fn close_of_day(day: NaiveDate, zone: chrono_tz::Tz) -> Micros {
    let midnight = day.succ_opt().unwrap_or(day).and_time(chrono::NaiveTime::MIN);
    let first_of_next = match zone.from_local_datetime(&midnight) {
        chrono::LocalResult::Single(instant) | chrono::LocalResult::Ambiguous(instant, _) => {
            instant.timestamp_micros()
        }
        // A midnight that the clocks skip: the day ends where the skipped hour begins, which is midnight
        // by the offset of the day before.
        chrono::LocalResult::None => {
            let day_before = midnight.checked_sub_days(Days::new(1)).unwrap_or(midnight);
            let offset = zone.offset_from_utc_datetime(&day_before).fix().local_minus_utc();
            midnight.and_utc().timestamp_micros() - i64::from(offset) * 1_000_000
        }
    };
    first_of_next - 1
}

/// The first microsecond of a day in a zone: when what is dated without a time begins.
pub fn start_of_day(day: NaiveDate, zone: chrono_tz::Tz) -> Micros {
    day.pred_opt().map_or(Micros::MIN, |before| close_of_day(before, zone) + 1)
}

/// The day on which an instant falls in a zone.
pub fn day_of(instant: Micros, zone: chrono_tz::Tz) -> NaiveDate {
    match Utc.timestamp_micros(instant) {
        chrono::LocalResult::Single(instant) => instant.with_timezone(&zone).date_naive(),
        _ => NaiveDate::MAX,
    }
}

impl Store {
    /// The hub's time.
    ///
    /// # Errors
    /// When a demonstration's calendar cannot be read.
    pub async fn now(&self) -> Result<Micros> {
        if !self.is_demonstration() {
            return Ok(machine_now());
        }
        let state = self.state().await?;
        state.demo_now.ok_or_else(|| StoreError::bug("a demonstration without its calendar"))
    }

    /// The latest instant that can be asked about: the hub's time, or the newest stamp where that
    /// runs a few microseconds ahead of it.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn latest_instant(&self) -> Result<Micros> {
        let now = self.now().await?;
        Ok(now.max(self.newest_stamp().await?))
    }

    /// Stamp of the newest entry of the journal; 0 in an empty one.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn newest_stamp(&self) -> Result<Micros> {
        Ok(self.state().await?.last_known_from)
    }

    /// Sets a demonstration's calendar forward.
    ///
    /// # Errors
    /// `Invalid` in a database with the machine's calendar, `Conflict` for an earlier instant.
    pub async fn set_demo_clock(&self, now: Micros) -> Result<()> {
        let locked = self.lock().await?;
        let Some(stands) = locked.state.demo_now else {
            return Err(StoreError::new(
                ErrorKind::Invalid,
                "this database goes by the machine's calendar; only one made with --demo-clock can be set",
            ));
        };
        if now < stands {
            return Err(StoreError::conflict(format!(
                "the calendar stands at {} and never goes back",
                instant_text(stands)
            )));
        }
        run(&locked.tx, "UPDATE hub_state SET demo_now = $1 WHERE one = 1", [now.into()]).await?;
        locked.commit_unchanged().await
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_day_closes_in_its_own_zone() {
        let day = NaiveDate::from_ymd_opt(2026, 9, 30).unwrap();
        assert_eq!(instant_text(close_of_day(day, chrono_tz::Asia::Kolkata)), "2026-09-30T18:29:59.999999Z");
        assert_eq!(day_of(close_of_day(day, chrono_tz::Asia::Kolkata), chrono_tz::Asia::Kolkata), day);
        assert_eq!(
            instant_of("2026-09-30T23:59:59.999999+05:30"),
            Some(close_of_day(day, chrono_tz::Asia::Kolkata))
        );
    }

    #[test]
    fn a_day_closes_where_a_skipped_midnight_begins() {
        // Santiago goes from -04:00 to -03:00 at 2026-09-06T04:00:00Z (Python's zoneinfo).
        let day = NaiveDate::from_ymd_opt(2026, 9, 5).unwrap();
        let close = close_of_day(day, chrono_tz::America::Santiago);
        assert_eq!(instant_text(close), "2026-09-06T03:59:59.999999Z");
        assert_eq!(day_of(close, chrono_tz::America::Santiago), day);
    }
}

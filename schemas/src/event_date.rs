//! When an event happened: a date, a moment, an interval, or no more than a month or a year.

use crate::text::patterned;
use chrono::{DateTime, Datelike, Days, FixedOffset, NaiveDate, NaiveTime};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use std::borrow::Cow;
use std::fmt;

/// ISO 8601: a date, a date-time with its offset, an interval of either (`start/end`), or a partial
/// date (`2026`, `2026-07`). The *day* on which it counts is the date as written, in its own offset;
/// an interval or a partial date counts on its last day. Darwin Core: `dwc:eventDate`.
#[derive(Clone, PartialEq, Eq, Hash)]
pub struct EventDate {
    text: String,
    start: Moment,
    end: Moment,
}

/// One end of an event: always a day, sometimes an instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Moment {
    /// The date as written.
    pub day: NaiveDate,
    /// The instant, where a time was given.
    pub instant: Option<DateTime<FixedOffset>>,
}

/// A text that is no event date.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotADate(pub String);

impl fmt::Display for NotADate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is not a date; write 2026-07-02, 2026-07-02T06:10+05:30, 2026-07-02/2026-07-04, 2026-07 or 2026",
            self.0
        )
    }
}

impl std::error::Error for NotADate {}

impl EventDate {
    /// Reads the text of a date.
    ///
    /// # Errors
    /// [`NotADate`] where the text is none of the accepted forms.
    pub fn parse(text: &str) -> Result<Self, NotADate> {
        let wrong = || NotADate(text.to_owned());
        let (start, end) = match text.split_once('/') {
            Some((from, to)) => (moment(from).ok_or_else(wrong)?, moment(to).ok_or_else(wrong)?),
            None => match text.len() {
                4 => {
                    let year: i32 = text.parse().map_err(|_| wrong())?;
                    let first = NaiveDate::from_ymd_opt(year, 1, 1).ok_or_else(wrong)?;
                    let last = NaiveDate::from_ymd_opt(year, 12, 31).ok_or_else(wrong)?;
                    (Moment::day(first), Moment::day(last))
                }
                7 => {
                    let first =
                        NaiveDate::parse_from_str(&format!("{text}-01"), "%Y-%m-%d").map_err(|_| wrong())?;
                    (Moment::day(first), Moment::day(last_of_month(first)))
                }
                _ => {
                    let at = moment(text).ok_or_else(wrong)?;
                    (at, at)
                }
            },
        };
        Ok(Self { text: text.to_owned(), start, end })
    }

    /// A whole day.
    pub fn on(day: NaiveDate) -> Self {
        Self { text: day.format("%Y-%m-%d").to_string(), start: Moment::day(day), end: Moment::day(day) }
    }

    /// A moment with its offset, to the minute.
    pub fn at(instant: DateTime<FixedOffset>) -> Self {
        let moment = Moment { day: instant.date_naive(), instant: Some(instant) };
        Self { text: instant.format("%Y-%m-%dT%H:%M%:z").to_string(), start: moment, end: moment }
    }

    /// The text as written.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// The day on which the event counts. A reversed interval counts on the later of its days.
    pub fn day(&self) -> NaiveDate {
        self.start.day.max(self.end.day)
    }

    /// The earlier end.
    pub fn start(&self) -> Moment {
        self.start
    }

    /// The later end.
    pub fn end(&self) -> Moment {
        self.end
    }

    /// Whether the interval's end lies before its start: by the clock where both have a time, else by the day.
    pub fn is_reversed(&self) -> bool {
        match (self.start.instant, self.end.instant) {
            (Some(start), Some(end)) => end < start,
            _ => self.end.day < self.start.day,
        }
    }
}

impl Moment {
    fn day(day: NaiveDate) -> Self {
        Self { day, instant: None }
    }

    /// The first instant that the moment may mean: without a time, midnight as written.
    pub fn earliest(&self) -> DateTime<FixedOffset> {
        self.instant.unwrap_or_else(|| self.day.and_time(NaiveTime::MIN).and_utc().fixed_offset())
    }
}

impl PartialOrd for Moment {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

/// By the day as written, then by the instant; within a day, a moment without a time comes first.
/// Comparing instants across days as written would leave days without a time no place in the order.
impl Ord for Moment {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (self.day, self.instant).cmp(&(other.day, other.instant))
    }
}

/// A date, or a date-time with its offset. Read by position: every record carries at least one, and
/// a pattern reader would take longer over it than over the rest of the frame.
fn moment(text: &str) -> Option<Moment> {
    let date = text.get(..10)?;
    let day = match (date.as_bytes()[4], date.as_bytes()[7]) {
        (b'-', b'-') => NaiveDate::from_ymd_opt(
            number(&date[..4])?.try_into().ok()?,
            number(&date[5..7])?,
            number(&date[8..])?,
        )?,
        _ => return None,
    };
    let Some(rest) = text[10..].strip_prefix('T') else {
        return (text.len() == 10).then(|| Moment::day(day));
    };
    let (clock, zone) = rest.split_at(rest.find(['Z', '+', '-'])?);
    let instant = day.and_time(time_of_day(clock)?).and_local_timezone(offset(zone)?).single()?;
    Some(Moment { day, instant: Some(instant) })
}

/// `06:10`, `06:10:30` or `06:10:30.25`.
fn time_of_day(text: &str) -> Option<NaiveTime> {
    let (hour, rest) = text.split_once(':')?;
    let (minute, second) = rest.split_once(':').unwrap_or((rest, "00"));
    let (second, fraction) = second.split_once('.').unwrap_or((second, "0"));
    if [hour, minute, second].iter().any(|part| part.len() != 2) || fraction.len() > 9 {
        return None;
    }
    let nano = number(fraction)? * 10_u32.pow(9 - u32::try_from(fraction.len()).ok()?);
    NaiveTime::from_hms_nano_opt(number(hour)?, number(minute)?, number(second)?, nano)
}

/// `Z`, `+05:30` or `-03:00`.
fn offset(text: &str) -> Option<FixedOffset> {
    if text == "Z" {
        return FixedOffset::east_opt(0);
    }
    let (west, clock) = match text.strip_prefix('-') {
        Some(clock) => (true, clock),
        None => (false, text.strip_prefix('+')?),
    };
    let (hour, minute) = clock.split_once(':')?;
    if hour.len() != 2 || minute.len() != 2 {
        return None;
    }
    let (hour, minute) = (number(hour)?, number(minute)?);
    let seconds = i32::try_from(hour * 3600 + minute * 60).ok().filter(|_| minute < 60)?;
    if west { FixedOffset::west_opt(seconds) } else { FixedOffset::east_opt(seconds) }
}

/// ASCII digits and nothing else, at least one.
fn number(text: &str) -> Option<u32> {
    let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    digits.then(|| text.parse().ok()).flatten()
}

/// The last day of the month in which `day` lies.
pub fn last_of_month(day: NaiveDate) -> NaiveDate {
    let (year, month) = if day.month() == 12 { (day.year() + 1, 1) } else { (day.year(), day.month() + 1) };
    NaiveDate::from_ymd_opt(year, month, 1)
        .and_then(|next| next.checked_sub_days(Days::new(1)))
        .unwrap_or(day)
}

impl fmt::Debug for EventDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl fmt::Display for EventDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl Serialize for EventDate {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.text)
    }
}

impl<'de> Deserialize<'de> for EventDate {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = Cow::<str>::deserialize(deserializer)?;
        Self::parse(&text).map_err(D::Error::custom)
    }
}

/// Years are bounded so that a slipped digit is an error and not a record of the year 20266.
const YEAR: &str = "(?:19|20|21)[0-9]{2}";
const DATE: &str = concat!(
    "(?:(?:19|20|21)[0-9]{2}-(?:(?:0[13578]|1[02])-(?:0[1-9]|[12][0-9]|3[01])",
    "|(?:0[469]|11)-(?:0[1-9]|[12][0-9]|30)|02-(?:0[1-9]|1[0-9]|2[0-8]))",
    "|(?:(?:19|20|21)(?:0[48]|[2468][048]|[13579][26])|2000)-02-29)"
);
const TIME: &str = concat!(
    "T(?:[01][0-9]|2[0-3]):[0-5][0-9](?::[0-5][0-9](?:[.][0-9]{1,6})?)?",
    "(?:Z|[+-](?:0[0-9]|1[0-3]):[0-5][0-9]|[+-]14:00)"
);

impl JsonSchema for EventDate {
    fn schema_name() -> Cow<'static, str> {
        "eventDate".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let pattern = format!("^(?:{YEAR}(?:-(?:0[1-9]|1[0-2]))?|{DATE}(?:{TIME})?(?:/{DATE}(?:{TIME})?)?)$");
        patterned(
            &pattern,
            65,
            "When it happened: 2026-07-02, 2026-07-02T06:10+05:30 (a time always with its offset), an interval 2026-07-02/2026-07-04, or no more than 2026-07 or 2026. The date as written, in its own offset, is the day it counts on; an interval or a partial date counts on its last day. Darwin Core: dwc:eventDate.",
        )
    }
}

/// A calendar date, `2026-07-02`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Day(pub NaiveDate);

impl JsonSchema for Day {
    fn schema_name() -> Cow<'static, str> {
        "day".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        patterned(&format!("^{DATE}$"), 10, "A calendar date, such as 2026-07-02.")
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_day_is_the_date_as_written() {
        for (text, day) in [
            ("2026-07-02", "2026-07-02"),
            ("2026-07-02T23:30-09:00", "2026-07-02"),
            ("2026-07-31T22:00+05:30/2026-08-01T02:10+05:30", "2026-08-01"),
            ("2026-02", "2026-02-28"),
            ("2024-02", "2024-02-29"),
            ("2026", "2026-12-31"),
            ("2026-07-02T06:10:00.25Z", "2026-07-02"),
        ] {
            assert_eq!(EventDate::parse(text).unwrap().day().to_string(), day, "{text}");
        }
        assert!(EventDate::parse("2026-02-29").is_err());
        assert!(EventDate::parse("2026-07-02T06:10").is_err(), "a time needs its offset");
        assert!(EventDate::parse("2026-07-04/2026-07-02").unwrap().is_reversed());
        assert!(EventDate::parse("2026-07-02T22:00Z/2026-07-02T21:00Z").unwrap().is_reversed());
        assert!(!EventDate::parse("2026-07-03T01:00+05:30/2026-07-02T22:00Z").unwrap().is_reversed());
    }

    #[test]
    fn a_moment_is_read_whole_or_not_at_all() {
        for (text, utc) in [
            ("2026-07-02T06:10+05:30", "2026-07-02T00:40:00+00:00"),
            ("2026-07-02T06:10:30.25-03:00", "2026-07-02T09:10:30.250+00:00"),
            ("2024-02-29T00:00Z", "2024-02-29T00:00:00+00:00"),
        ] {
            let instant = EventDate::parse(text).unwrap().start().instant.unwrap();
            assert_eq!(instant.to_utc().to_rfc3339(), utc, "{text}");
        }
        for text in [
            "2026-07-02T06:10",
            "2026-07-02T06:10Z05:30",
            "2026-07-02T06:10+0530",
            "2026-07-02T06:10+05:60",
            "2026-07-02T6:10Z",
            "2026-07-02T24:00Z",
            "2026-07-02T06:10:60Z",
            "2026-07-02T06:10:30.Z",
            "2026-07-02T+6:10Z",
            "2026-07-02 06:10Z",
            "2026-07-02T",
            "2026-02-29",
            "2026/07/02",
            "２０２６-07-02",
        ] {
            assert!(EventDate::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn moments_have_one_order() {
        let texts = [
            "2026-07-02",
            "2026-07-02T01:00Z",
            "2026-07-02T23:30-09:00",
            "2026-07-03",
            "2026-07-03T00:10+05:30",
            "2026-07-03T01:00Z",
            "2026-07-01T23:00-11:00",
        ];
        let moments: Vec<_> = texts.iter().map(|text| EventDate::parse(text).unwrap().start()).collect();
        for a in &moments {
            for b in &moments {
                assert_eq!(a.cmp(b).is_eq(), a == b);
                for c in &moments {
                    assert!(!(a < b && b < c) || a < c, "{a:?} {b:?} {c:?}");
                }
            }
        }
    }
}

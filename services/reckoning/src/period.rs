//! Periods of a statement: a year, a quarter, a month, or any interval of days.

use chrono::{Datelike, Months, NaiveDate};
use std::fmt;

/// From a first through a last day, both inclusive.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Period {
    /// First day.
    pub first: NaiveDate,
    /// Last day.
    pub last: NaiveDate,
    text: String,
}

/// A text that is no period.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotAPeriod {
    /// None of the forms.
    Form(String),
    /// The end lies before the start.
    Reversed(String),
}

impl fmt::Display for NotAPeriod {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Form(text) => {
                write!(f, "`{text}` is not a period; write 2026, 2026-Q3, 2026-07 or 2026-07-01..2026-09-30")
            }
            Self::Reversed(text) => write!(f, "`{text}` ends before it starts; put the earlier day first"),
        }
    }
}

impl std::error::Error for NotAPeriod {}

impl Period {
    /// Reads `2026`, `2026-Q3`, `2026-07` or `2026-07-01..2026-09-30`.
    ///
    /// # Errors
    /// [`NotAPeriod`], naming the text.
    pub fn parse(text: &str) -> Result<Self, NotAPeriod> {
        let (first, last) = bounds(text).ok_or_else(|| NotAPeriod::Form(text.to_owned()))?;
        if last < first {
            return Err(NotAPeriod::Reversed(text.to_owned()));
        }
        Ok(Self { first, last, text: text.to_owned() })
    }

    /// Whether the day lies in the period.
    pub fn contains(&self, day: NaiveDate) -> bool {
        (self.first..=self.last).contains(&day)
    }
}

impl fmt::Display for Period {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

fn bounds(text: &str) -> Option<(NaiveDate, NaiveDate)> {
    if let Some((from, to)) = text.split_once("..") {
        return Some((day(from)?, day(to)?));
    }
    let (year, rest) = (text.get(..4)?, text.get(4..)?);
    let year: i32 = year.bytes().all(|b| b.is_ascii_digit()).then(|| year.parse().ok())??;
    let (month, months) = match rest.as_bytes() {
        [] => (1, 12),
        [b'-', b'Q', quarter @ b'1'..=b'4'] => (u32::from(quarter - b'1') * 3 + 1, 3),
        [b'-', tens @ b'0'..=b'1', ones @ b'0'..=b'9'] => {
            (u32::from(tens - b'0') * 10 + u32::from(ones - b'0'), 1)
        }
        _ => return None,
    };
    let first = NaiveDate::from_ymd_opt(year, month, 1)?;
    let last = first.checked_add_months(Months::new(months))?.pred_opt()?;
    (1900..=2199).contains(&first.year()).then_some((first, last))
}

fn day(text: &str) -> Option<NaiveDate> {
    (text.len() == 10).then(|| NaiveDate::parse_from_str(text, "%Y-%m-%d").ok())?
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_form_is_read() {
        for (text, first, last) in [
            ("2026", "2026-01-01", "2026-12-31"),
            ("2026-Q3", "2026-07-01", "2026-09-30"),
            ("2024-02", "2024-02-01", "2024-02-29"),
            ("2026-07-01..2026-07-01", "2026-07-01", "2026-07-01"),
        ] {
            let period = Period::parse(text).unwrap();
            assert_eq!(
                (period.first.to_string(), period.last.to_string()),
                (first.into(), last.into()),
                "{text}"
            );
        }
        for text in
            ["", "2026-Q5", "2026-13", "2026-00", "26", "2026-07-01..", "2026-07-1..2026-07-02", "２026"]
        {
            assert!(matches!(Period::parse(text), Err(NotAPeriod::Form(_))), "{text}");
        }
        assert!(matches!(Period::parse("2026-07-02..2026-07-01"), Err(NotAPeriod::Reversed(_))));
    }
}

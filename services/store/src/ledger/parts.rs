//! From which tables the sums before and within a period are read, so that what is read does not grow
//! with the history: whole months from the balances, the days at their edges from the entries.
//!
//! At a past instant the balances tell too much: what became known later is taken off again, whole
//! months of knowledge from the balances, the rest of the instant's own month from the entries.

use super::carried::{month, spans_through};
use super::known_month;
use crate::clock::{day_of, start_of_day};
use crate::database::among_texts;
use crate::effective::json_texts;
use crate::error::Result;
use chrono::{Datelike, NaiveDate};
use haulout_reckoning::{Micros, Period};
use sea_orm::{DbBackend, Value};

/// Rows of one table that are added up, or taken off.
pub(super) enum Part {
    /// Changes of stocks before the period, by span.
    Carried { spans: Vec<String> },
    /// Whole months of the period, and the last month of knowledge that counts.
    Months { from: String, through: String, known: Option<String> },
    /// To take off: months through `through` of which something became known in a later one of `known`.
    Late { through: String, known: Vec<String> },
    /// To take off: months after that of the instant, before the period.
    Ahead { after: String, through: String },
    /// Days at the edge of a month.
    Days { from: NaiveDate, through: NaiveDate, known_at: Option<Micros>, before: bool },
    /// To take off: what became known after the instant in its own month, of the whole months through
    /// `before` and of those within.
    Tail { after: Micros, until: Micros, before: Option<NaiveDate>, within: Option<(NaiveDate, NaiveDate)> },
}

/// The parts of a period, before and within, as known at an instant; `newest` is the newest stamp.
pub(super) fn parts(period: &Period, known_at: Option<Micros>, newest: Micros) -> Vec<Part> {
    let known = known_at.map(known_month);
    let mut parts = Vec::new();
    let before = period.first.pred_opt().and_then(|eve| {
        let through = last_whole(eve);
        if let Some(rest) = through.and_then(|through| through.succ_opt()).filter(|rest| *rest <= eve) {
            parts.push(Part::Days { from: rest, through: eve, known_at, before: true });
        }
        through
    });
    if let Some(through) = before {
        parts.push(Part::Carried { spans: spans_through(through) });
        if let Some(known) = &known {
            let through = month(through);
            let later = months_after(known_at.unwrap_or(newest), newest);
            parts.push(Part::Late { through: through.clone().min(known.clone()), known: later });
            if *known < through {
                parts.push(Part::Ahead { after: known.clone(), through });
            }
        }
    }
    let within = whole_months(period);
    match within {
        Some((from, through)) => {
            parts.push(Part::Months { from: month(from), through: month(through), known });
            let mut edge = |from: NaiveDate, through: Option<NaiveDate>| {
                if let Some(through) = through.filter(|through| from <= *through) {
                    parts.push(Part::Days { from, through, known_at, before: false });
                }
            };
            edge(period.first, from.pred_opt());
            edge(through.succ_opt().unwrap_or(period.last), through.succ_opt().map(|_| period.last));
        }
        None => parts.push(Part::Days { from: period.first, through: period.last, known_at, before: false }),
    }
    if let Some(after) = known_at
        && (before.is_some() || within.is_some())
    {
        let until = start_of_day(next_month(day_of(after, chrono_tz::UTC)), chrono_tz::UTC) - 1;
        parts.push(Part::Tail { after, until, before, within });
    }
    parts
}

/// The end of the last month that is over by the close of a day.
fn last_whole(day: NaiveDate) -> Option<NaiveDate> {
    match day.succ_opt() {
        Some(next) if next.day() == 1 => Some(day),
        _ => day.with_day(1)?.pred_opt(),
    }
}

/// First and last day of the whole months in a period, where there are any.
fn whole_months(period: &Period) -> Option<(NaiveDate, NaiveDate)> {
    let from = if period.first.day() == 1 { period.first } else { next_month(period.first) };
    last_whole(period.last).filter(|through| from < *through).map(|through| (from, through))
}

/// The first day of the month after a day's.
fn next_month(day: NaiveDate) -> NaiveDate {
    haulout_schemas::event_date::last_of_month(day).succ_opt().unwrap_or(day)
}

/// Months of knowledge after that of an instant, through that of the newest stamp.
fn months_after(instant: Micros, newest: Micros) -> Vec<String> {
    let last = day_of(newest, chrono_tz::UTC);
    let mut first = next_month(day_of(instant, chrono_tz::UTC));
    let mut months = Vec::new();
    while first <= last {
        months.push(month(first));
        first = next_month(first);
    }
    months
}

/// One day's condition that no index is to be chosen for: the rows are found by their stamps.
const DAY_OF_THE_TAIL: &str = "(day || '')";

/// Puts a value beside the others; gives its place.
fn bind(values: &mut Vec<Value>, value: impl Into<Value>) -> String {
    values.push(value.into());
    format!("${}", values.len())
}

impl Part {
    pub const fn table(&self) -> &'static str {
        match self {
            Self::Carried { .. } => "carried",
            Self::Months { .. } | Self::Late { .. } | Self::Ahead { .. } => "balance",
            Self::Days { .. } | Self::Tail { .. } => "entry",
        }
    }

    /// Whether any of it lies within the period.
    pub const fn tells_within(&self) -> bool {
        matches!(
            self,
            Self::Months { .. } | Self::Days { before: false, .. } | Self::Tail { within: Some(_), .. }
        )
    }

    /// The condition on its rows, and the sums before and within the period.
    pub fn sql(&self, backend: DbBackend, values: &mut Vec<Value>) -> Result<(String, String, String)> {
        let sum = |of: &str| format!("CAST(SUM({of}) AS BIGINT)");
        let none = || "CAST(0 AS BIGINT)".to_owned();
        Ok(match self {
            Self::Carried { spans } => {
                values.push(json_texts(spans.iter().map(String::as_str))?.into());
                (format!("span {}", among_texts(backend, values.len())), sum("delta"), none())
            }
            Self::Months { from, through, known } => {
                let (from, through) = (bind(values, from.as_str()), bind(values, through.as_str()));
                let mut condition = format!("month >= {from} AND month <= {through}");
                if let Some(known) = known {
                    condition += &format!(" AND known <= {}", bind(values, known.as_str()));
                }
                (condition, none(), sum("delta"))
            }
            Self::Late { through, known } => {
                values.push(json_texts(known.iter().map(String::as_str))?.into());
                let among = among_texts(backend, values.len());
                let through = bind(values, through.as_str());
                (format!("known > month AND known {among} AND month <= {through}"), sum("-delta"), none())
            }
            Self::Ahead { after, through } => {
                let (after, through) = (bind(values, after.as_str()), bind(values, through.as_str()));
                let condition = format!("month > {after} AND month <= {through} AND known > {after}");
                (condition, sum("-delta"), none())
            }
            Self::Days { from, through, known_at, before } => {
                let (from, through) = (bind(values, from.to_string()), bind(values, through.to_string()));
                let mut condition = format!("day >= {from} AND day <= {through}");
                if let Some(instant) = known_at {
                    condition += &format!(" AND known_from <= {}", bind(values, *instant));
                }
                if *before { (condition, sum("delta"), none()) } else { (condition, none(), sum("delta")) }
            }
            Self::Tail { after, until, before, within } => {
                let (after, until) = (bind(values, *after), bind(values, *until));
                let day = DAY_OF_THE_TAIL;
                let before = match before {
                    Some(through) => format!("{day} <= {}", bind(values, through.to_string())),
                    None => "1 = 0".to_owned(),
                };
                let within = match within {
                    Some((from, through)) => {
                        let (from, through) =
                            (bind(values, from.to_string()), bind(values, through.to_string()));
                        format!("({day} >= {from} AND {day} <= {through})")
                    }
                    None => "1 = 0".to_owned(),
                };
                let when = |which: &str| sum(&format!("CASE WHEN {which} THEN -delta ELSE 0 END"));
                let condition =
                    format!("known_from > {after} AND known_from <= {until} AND ({before} OR {within})");
                (condition, when(&before), when(&within))
            }
        })
    }
}

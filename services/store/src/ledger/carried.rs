//! What stood there before a day, without the history behind it: changes of stocks by month, year and
//! decade, so that a stock on any day is a sum of some thirty of them.

use crate::bulk::Rows;
use crate::database::run;
use crate::error::Result;
use chrono::{Datelike, NaiveDate};
use haulout_reckoning::Entry;
use sea_orm::{ConnectionTrait, Value};
use std::collections::HashMap;

#[derive(PartialEq, Eq, Hash, PartialOrd, Ord, Clone)]
struct Line {
    span: String,
    account: String,
    scientific_name: String,
    eggs: bool,
    life_stage: &'static str,
}

/// What a chunk adds to the stocks.
#[derive(Default)]
pub(super) struct Carried(HashMap<Line, i64>);

impl Carried {
    pub fn add(&mut self, entry: &Entry, delta: i64) {
        if !entry.account.is_stock() {
            return;
        }
        for span in [month(entry.day), year(entry.day.year()), decade(entry.day.year())] {
            let line = Line {
                span,
                account: entry.account.as_str().to_owned(),
                scientific_name: entry.commodity.scientific_name.clone(),
                eggs: entry.commodity.eggs,
                life_stage: entry.life_stage.map_or("", |stage| stage.as_str()),
            };
            *self.0.entry(line).or_default() += delta;
        }
    }

    /// Adds them up in the table, and takes out what has come to nothing: which rows there are then
    /// depends on the entries alone, and not on the chunks in which they came.
    pub async fn write(self, on: &impl ConnectionTrait) -> Result<()> {
        let mut rows = Rows::new(
            "INSERT INTO carried (span, account, scientific_name, eggs, life_stage, delta)",
            "ON CONFLICT (span, account, scientific_name, eggs, life_stage) \
             DO UPDATE SET delta = carried.delta + excluded.delta",
        );
        let mut lines: Vec<(Line, i64)> = self.0.into_iter().filter(|(_, delta)| *delta != 0).collect();
        if lines.is_empty() {
            return Ok(());
        }
        lines.sort_unstable_by(|a, b| a.0.cmp(&b.0));
        for (line, delta) in lines {
            rows.push([
                Value::from(line.span),
                line.account.into(),
                line.scientific_name.into(),
                line.eggs.into(),
                line.life_stage.into(),
                delta.into(),
            ]);
        }
        rows.write(on).await?;
        run(on, "DELETE FROM carried WHERE delta = 0", []).await.map(|_| ())
    }
}

pub(super) fn month(day: NaiveDate) -> String {
    format!("{:04}-{:02}", day.year(), day.month())
}

fn year(year: i32) -> String {
    format!("{year:04}")
}

fn decade(year: i32) -> String {
    format!("{:03}", year.div_euclid(10))
}

/// The earliest year that a record may bear.
const FIRST_YEAR: i32 = 1900;

/// The spans that together are everything through the month of a day.
pub(super) fn spans_through(day: NaiveDate) -> Vec<String> {
    let first_of_decade = day.year().div_euclid(10) * 10;
    let decades = (FIRST_YEAR..first_of_decade).step_by(10).map(decade);
    let years = (first_of_decade..day.year()).map(year);
    let months =
        (1..=day.month()).filter_map(|number| NaiveDate::from_ymd_opt(day.year(), number, 1)).map(month);
    decades.chain(years).chain(months).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn spans_follow_one_another_without_gap_or_overlap() {
        let spans = spans_through("2022-03-31".parse().unwrap());
        assert_eq!(spans[..2], ["190", "191"]);
        assert_eq!(spans[11..], ["201", "2020", "2021", "2022-01", "2022-02", "2022-03"]);
    }
}

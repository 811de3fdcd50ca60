//! The ledger: month balances, sums for a statement, the records behind a figure.

mod behind;
mod carried;
mod parts;
mod renaming;
mod sums;

pub use behind::EntryBehind;
pub(crate) use renaming::rename;
pub use sums::SumFilter;

use crate::bulk::Rows;
use crate::clock::day_of;
use crate::error::{Result, StoreError};
use carried::{Carried, month};
use haulout_reckoning::{Direction, Entry, Micros};
use sea_orm::{ConnectionTrait, Value};
use std::collections::HashMap;

pub(crate) const fn direction_text(direction: Direction) -> &'static str {
    match direction {
        Direction::In => "in",
        Direction::Out => "out",
    }
}

fn direction_of(text: &str) -> Direction {
    if text == "in" { Direction::In } else { Direction::Out }
}

#[derive(PartialEq, Eq, Hash, PartialOrd, Ord)]
struct Line {
    month: String,
    known: String,
    account: String,
    counter: String,
    direction: Direction,
    scientific_name: String,
    eggs: bool,
    life_stage: &'static str,
    death_when: &'static str,
}

/// What a chunk adds to the month balances and the stocks.
#[derive(Default)]
pub(crate) struct Balances {
    lines: HashMap<Line, i64>,
    carried: Carried,
}

impl Balances {
    pub fn add(&mut self, entry: &Entry, delta: i64, known_from: Micros) {
        self.carried.add(entry, delta);
        let line = Line {
            month: month(entry.day),
            known: known_month(known_from),
            account: entry.account.as_str().to_owned(),
            counter: entry.counter.heading().to_owned(),
            direction: entry.direction,
            scientific_name: entry.commodity.scientific_name.clone(),
            eggs: entry.commodity.eggs,
            life_stage: entry.life_stage.map_or("", |stage| stage.as_str()),
            death_when: entry.death_when.map_or("", |when| when.as_str()),
        };
        *self.lines.entry(line).or_default() += delta;
    }

    /// Adds them up in the table. A line that came to nothing within the chunk is still written, as
    /// zero: the table then does not depend on how a journal was cut into chunks.
    pub async fn write(self, on: &impl ConnectionTrait) -> Result<()> {
        let mut rows = Rows::new(
            "INSERT INTO balance (month, known, account, counter, direction, scientific_name, eggs, life_stage, \
             death_when, delta)",
            "ON CONFLICT (month, known, account, counter, direction, scientific_name, eggs, life_stage, death_when) \
             DO UPDATE SET delta = balance.delta + excluded.delta",
        );
        let mut lines: Vec<(Line, i64)> = self.lines.into_iter().collect();
        lines.sort_unstable_by(|a, b| a.0.cmp(&b.0));
        for (line, delta) in lines {
            rows.push([
                Value::from(line.month),
                line.known.into(),
                line.account.into(),
                line.counter.into(),
                direction_text(line.direction).into(),
                line.scientific_name.into(),
                line.eggs.into(),
                line.life_stage.into(),
                line.death_when.into(),
                delta.into(),
            ]);
        }
        rows.write(on).await?;
        self.carried.write(on).await
    }
}

/// The month in which a stamp was given, in UTC.
fn known_month(stamp: Micros) -> String {
    month(day_of(stamp, chrono_tz::UTC))
}

/// A word of a vocabulary from its column; empty where it was not stated.
fn word<T: serde::de::DeserializeOwned>(text: &str) -> Result<Option<T>> {
    if text.is_empty() {
        return Ok(None);
    }
    serde_json::from_value(serde_json::Value::String(text.to_owned()))
        .map(Some)
        .map_err(|_| StoreError::bug(format!("`{text}` in the ledger is no word of its vocabulary")))
}

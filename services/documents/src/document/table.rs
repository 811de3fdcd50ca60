//! Sections, tables and typed cells.

use super::links::Link;
use chrono::NaiveDate;
use serde::{Serialize, Serializer};

/// A titled part of a document.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Section {
    /// Short name, the same in every format: the anchor of a page, the tab of a workbook.
    pub id: &'static str,
    /// Its title.
    pub title: &'static str,
    /// What its figures mean.
    pub lead: Option<&'static str>,
    /// Its table.
    pub table: Table,
    /// What else to know.
    pub notes: Vec<String>,
}

/// Rows of cells under headed columns.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows, each as long as the columns.
    pub rows: Vec<Vec<Cell>>,
    /// Whether a row of totals follows: the sum of each column that is summed.
    pub total: Option<Vec<Cell>>,
}

/// A column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Column {
    /// The name of the member of the statement's JSON, where there is one.
    pub id: &'static str,
    /// The heading.
    pub title: &'static str,
    /// Where it stands on paper; a workbook gives each column its own.
    pub shown: Shown,
    /// Whether it can be added up.
    pub summed: bool,
}

/// Where a column stands on paper, which is narrow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Shown {
    /// A column of its own.
    Beside,
    /// In small type under the column before it.
    Under,
    /// A line over all the rows that agree in it; only the first column may.
    Over,
}

impl Column {
    /// A column of words.
    pub const fn words(id: &'static str, title: &'static str) -> Self {
        Self { id, title, shown: Shown::Beside, summed: false }
    }

    /// A column of figures that are added up.
    pub const fn sum(id: &'static str, title: &'static str) -> Self {
        Self { id, title, shown: Shown::Beside, summed: true }
    }

    /// The same, in small type under the column before it.
    pub const fn under(mut self) -> Self {
        self.shown = Shown::Under;
        self
    }

    /// The same, as a line over its rows.
    pub const fn over(mut self) -> Self {
        self.shown = Shown::Over;
        self
    }
}

/// A cell.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", content = "value", rename_all = "camelCase")]
pub enum Cell {
    /// Nothing was said.
    Nothing,
    /// Words; from records, so never to be taken for markup or a formula.
    Words(String),
    /// A scientific name.
    Taxon(String),
    /// A whole number.
    Count(Figure),
    /// A whole number and what it is made of.
    Parts(Vec<Part>),
    /// A share between 0 and 1, four decimals.
    Share(f64),
    /// A day.
    #[serde(serialize_with = "iso")]
    Day(NaiveDate),
    /// Records by name.
    Links(Vec<Link>),
}

/// A whole number, and where the records behind it are listed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Figure {
    /// The number.
    pub count: i64,
    /// Where the records are, as a path of the hub.
    pub records: Option<String>,
}

/// A part of a whole number.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Part {
    /// What the part is.
    pub label: String,
    /// How many.
    pub figure: Figure,
}

impl Cell {
    /// A number without records to show.
    pub const fn count(count: i64) -> Self {
        Self::Count(Figure { count, records: None })
    }

    /// A day as the statement writes it, or the words where it is none.
    pub fn day(text: &str) -> Self {
        text.parse().map_or_else(|_| Self::Words(text.to_owned()), Self::Day)
    }

    /// Its number: of parts, their sum. `None` where it is no number.
    pub fn number(&self) -> Option<i64> {
        match self {
            Self::Count(figure) => Some(figure.count),
            Self::Parts(parts) => Some(parts.iter().map(|part| part.figure.count).sum()),
            _ => None,
        }
    }
}

impl Table {
    /// A table without totals.
    pub const fn plain(columns: Vec<Column>, rows: Vec<Vec<Cell>>) -> Self {
        Self { columns, rows, total: None }
    }

    /// A table that ends in a row of totals; the columns that are not added up are empty in it.
    pub fn summed(columns: Vec<Column>, rows: Vec<Vec<Cell>>) -> Self {
        let total = columns.iter().enumerate().map(|(at, column)| {
            if column.summed { total(rows.iter().filter_map(|row| row.get(at))) } else { Cell::Nothing }
        });
        Self { total: Some(total.collect()), columns, rows }
    }

    /// The rows, those together that stand under one line.
    pub fn groups(&self) -> impl Iterator<Item = &[Vec<Cell>]> {
        let over = self.columns.first().is_some_and(|column| column.shown == Shown::Over);
        self.rows.chunk_by(move |one, next| !over || one.first() == next.first())
    }

    /// The parts of a column that occur in any row, in the order of their first letters.
    pub fn parts(&self, column: usize) -> Vec<&str> {
        let mut labels: Vec<&str> = self
            .rows
            .iter()
            .filter_map(|row| match row.get(column) {
                Some(Cell::Parts(parts)) => Some(parts),
                _ => None,
            })
            .flatten()
            .map(|part| part.label.as_str())
            .collect();
        labels.sort_unstable();
        labels.dedup();
        labels
    }

    /// Whether a column holds parts.
    pub fn has_parts(&self, column: usize) -> bool {
        self.rows.iter().any(|row| matches!(row.get(column), Some(Cell::Parts(_))))
    }

    /// Whether a column holds numbers.
    pub fn is_numeric(&self, column: usize) -> bool {
        let cells = || self.rows.iter().filter_map(|row| row.get(column));
        cells().any(|cell| cell.number().is_some() || matches!(cell, Cell::Share(_)))
    }
}

fn total<'c>(cells: impl Iterator<Item = &'c Cell>) -> Cell {
    let (mut sum, mut parts, mut whole) = (0, Vec::<Part>::new(), false);
    for cell in cells {
        match cell {
            Cell::Parts(more) => {
                whole = true;
                for part in more {
                    match parts.iter_mut().find(|known| known.label == part.label) {
                        Some(known) => known.figure.count += part.figure.count,
                        None => parts.push(Part {
                            label: part.label.clone(),
                            figure: Figure { count: part.figure.count, records: None },
                        }),
                    }
                }
            }
            other => sum += other.number().unwrap_or_default(),
        }
    }
    parts.sort_by(|one, other| one.label.cmp(&other.label));
    if whole { Cell::Parts(parts) } else { Cell::count(sum) }
}

fn iso<S: Serializer>(day: &NaiveDate, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_str(day)
}

//! From the columns of a table to those of a sheet: a column of parts becomes one for each part, and
//! one for their sum.

use crate::document::{Cell, Table};

/// A column of a sheet.
pub(super) enum Field<'d> {
    /// A column of the table.
    Whole {
        /// Which.
        column: usize,
    },
    /// One part of a column.
    Part {
        /// Which.
        column: usize,
        /// Of the parts.
        label: &'d str,
    },
    /// The sum of the parts, which stand in as many columns before it.
    Sum {
        /// Which.
        column: usize,
        /// How many.
        parts: u16,
    },
}

impl Field<'_> {
    /// The column of the table that it is of.
    pub(super) const fn column(&self) -> usize {
        match self {
            Self::Whole { column } | Self::Part { column, .. } | Self::Sum { column, .. } => *column,
        }
    }

    /// Its heading.
    pub(super) fn title(&self, table: &Table) -> String {
        let title = table.columns.get(self.column()).map_or("", |column| column.title);
        match self {
            Self::Part { label, .. } => format!("{title}: {label}"),
            _ => title.to_owned(),
        }
    }

    /// Its number in a row, if it has one.
    pub(super) fn number(&self, cells: &[Cell]) -> Option<i64> {
        let cell = cells.get(self.column())?;
        match (self, cell) {
            (Self::Part { label, .. }, Cell::Parts(parts)) => {
                parts.iter().find(|part| part.label == *label).map(|part| part.figure.count)
            }
            (Self::Part { .. }, _) => None,
            _ => cell.number(),
        }
    }
}

/// The columns of the sheet.
pub(super) fn fields(table: &Table) -> Vec<Field<'_>> {
    let mut fields = Vec::new();
    for column in 0..table.columns.len() {
        if table.has_parts(column) {
            let labels = table.parts(column);
            let parts = u16::try_from(labels.len()).unwrap_or(u16::MAX);
            fields.extend(labels.into_iter().map(|label| Field::Part { column, label }));
            fields.push(Field::Sum { column, parts });
        } else {
            fields.push(Field::Whole { column });
        }
    }
    fields
}

//! Records in spreadsheets: a sheet to fill for every kind, and the reader of filled ones.
//!
//! The columns of a kind are its fields, flattened from the published schema: objects with dots
//! (`place.locality`), lists of plain values in one cell, parted by ` | ` (or in numbered columns,
//! `injuries.1`), lists of objects numbered from 1 (`lines.1.individualCount`). The column of a
//! whole object or list takes JSON, which is how an empty list (`[]`) and `extensions` are told.
//!
//! A row becomes the JSON of a record, which the same `Checker::check_line` judges as every other
//! line; each problem is led back to its cell. What a spreadsheet changed on the way (dates,
//! numbers for texts, encodings) is told under a [rule](RULES), never guessed in silence.
//!
//! CSV is read in constant memory. XLSX is bounded as packed and as unpacked before a library
//! opens it. This crate knows no files and no clock.

mod cell;
mod columns;
mod csv;
mod days;
mod fields;
mod header;
mod place;
mod row;
mod rules;
mod sheet;
mod template;
mod xlsx;

use std::io::Read;

use haulout_checking::{Checker, Counts, Sink, StreamError, StreamOptions};

pub use haulout_schemas::Kind;
pub use rules::RULES;
pub use template::{TemplateError, nearest_kind, write as template};

/// The form of a sheet's file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetForm {
    /// Text with separators.
    Csv,
    /// A workbook.
    Xlsx,
}

impl SheetForm {
    /// What a file name promises: `.csv` (also with `.gz` or `.zst`) and `.xlsx`; none for all else.
    #[must_use]
    pub fn of_name(name: &str) -> Option<Self> {
        let name = name.to_ascii_lowercase();
        if name.ends_with(".xlsx") {
            return Some(Self::Xlsx);
        }
        let bare = [".gz", ".zst"].iter().find_map(|ending| name.strip_suffix(ending)).unwrap_or(&name);
        bare.ends_with(".csv").then_some(Self::Csv)
    }
}

/// Checks the rows of a sheet's file as the records that they tell: one answer a row, in order.
///
/// `line` of a problem is the row and `column` the column, both counted from 1; its message names
/// the cell. Accepted records come with their canonical text, as they do from a stream that is
/// kept.
///
/// # Errors
///
/// [`StreamError`] when the reader or the sink fails.
pub fn check<R: Read>(
    checker: &Checker,
    form: SheetForm,
    reader: R,
    options: &StreamOptions,
    sink: &mut dyn Sink,
) -> Result<Counts, StreamError> {
    let mut run = sheet::Run::new(checker, options, sink);
    match form {
        SheetForm::Csv => csv::check(reader, options, &mut run)?,
        SheetForm::Xlsx => xlsx::check(reader, &mut run)?,
    }
    Ok(run.counts)
}

//! A sheet to fill, for any kind.

mod book;
mod looks;
mod words;

pub(crate) use book::{COLUMNS, WORDS};

use csv::{Terminator, WriterBuilder};
use haulout_schemas::Kind;

use crate::SheetForm;
use crate::columns;

/// A template could not be written.
#[derive(Debug, thiserror::Error)]
pub enum TemplateError {
    /// As text.
    #[error("the CSV file could not be written: {0}")]
    Csv(String),
    /// As a workbook.
    #[error("the workbook could not be written: {0}")]
    Xlsx(#[from] rust_xlsxwriter::XlsxError),
}

/// The bytes of an empty sheet for records of a kind: the same for the same schema.
///
/// CSV is the header row and nothing else. The workbook has drop-downs, typed columns, notes on
/// the headers, and a sheet that explains every column.
///
/// # Errors
///
/// [`TemplateError`] when a writer refuses.
pub fn write(kind: Kind, form: SheetForm) -> Result<Vec<u8>, TemplateError> {
    let columns = columns::of(kind);
    match form {
        SheetForm::Csv => {
            // RFC 4180 ends rows with CR LF.
            let mut out = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
            out.write_record(columns.iter().map(|column| column.name.as_str()))
                .map_err(|error| TemplateError::Csv(error.to_string()))?;
            out.into_inner().map_err(|error| TemplateError::Csv(error.to_string()))
        }
        SheetForm::Xlsx => Ok(book::write(kind, &columns)?),
    }
}

/// The kind that somebody probably meant.
#[must_use]
pub fn nearest_kind(word: &str) -> Option<Kind> {
    let word: String = word.to_ascii_lowercase().chars().take(100).collect();
    let alike = |kind: &Kind| strsim::normalized_damerau_levenshtein(&word, kind.as_str());
    // One slip in five letters is still recognised (common practice).
    Kind::ALL.iter().copied().filter(|kind| alike(kind) >= 0.6).max_by(|a, b| alike(a).total_cmp(&alike(b)))
}

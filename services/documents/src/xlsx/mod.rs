//! The document as a workbook: a sheet a section, headings that stay, sums as formulas that carry
//! their result, A4 landscape when printed. What records say is written as text, never as a formula.

mod fields;
mod formats;
mod front;
mod sheet;

use crate::document::Document;
use chrono::{DateTime, Utc};
pub use rust_xlsxwriter::XlsxError;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, Worksheet};

use self::formats::Formats;

/// Paper of the print set-up: A4, by its number in the file format.
const A4: u8 = 9;

/// The workbook's bytes: the same for the same document, since its date of making is the instant of
/// knowledge.
///
/// # Errors
/// What the writer refuses, such as an instant before 1900.
pub fn xlsx(document: &Document) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    workbook.set_properties(
        &DocProperties::new()
            .set_title(&document.title)
            .set_subject(&document.days)
            .set_author("Haulout")
            .set_comment(format!("As known at {}", document.as_known_at))
            .set_creation_datetime(&instant(document.made)?),
    );
    let formats = Formats::new();
    front::write(workbook.add_worksheet(), document, &formats)?;
    for section in &document.sections {
        let sheet = workbook.add_worksheet();
        sheet::write(sheet, section, &formats)?;
        print_setup(sheet, document);
    }
    print_setup(workbook.worksheet_from_index(0)?, document);
    workbook.save_to_buffer()
}

fn instant(made: DateTime<Utc>) -> Result<ExcelDateTime, XlsxError> {
    ExcelDateTime::from_timestamp(made.timestamp())
}

fn print_setup(sheet: &mut Worksheet, document: &Document) {
    let mark = if document.demonstration.is_some() { " - DEMONSTRATION" } else { "" };
    sheet
        .set_paper_size(A4)
        .set_landscape()
        .set_print_fit_to_pages(1, 0)
        .set_margins(0.5, 0.5, 0.75, 0.75, 0.3, 0.3)
        .set_header(format!("&L{}{mark}&R&A", document.title))
        .set_footer(format!("&L&8Account digest {}&R&P of &N", document.account_digest));
}

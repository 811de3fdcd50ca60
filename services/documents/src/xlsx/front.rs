//! The first sheet: what was asked, the figures that are looked for first, the signature.

use crate::document::Document;
use rust_xlsxwriter::{Worksheet, XlsxError};

use super::formats::Formats;

pub(super) fn write(sheet: &mut Worksheet, document: &Document, formats: &Formats) -> Result<(), XlsxError> {
    sheet.set_name("Statement")?;
    sheet.set_screen_gridlines(false);
    sheet.set_column_width(0, 26)?;
    sheet.set_column_width(1, 12)?;
    sheet.set_column_width(2, 60)?;
    sheet.write_string_with_format(0, 0, &document.title, &formats.title)?;
    sheet.write_string_with_format(1, 0, &document.days, &formats.lead)?;
    if let Some(warning) = document.demonstration {
        sheet.write_string_with_format(2, 0, warning, &formats.alert)?;
    }
    let mut row = 4;
    for one in &document.headline {
        sheet.write_string_with_format(row, 0, one.label, &formats.label)?;
        sheet.write_number_with_format(row, 1, exact(one.count), &formats.number)?;
        sheet.write_string_with_format(row, 2, &one.note, &formats.lead)?;
        row += 1;
    }
    row += 1;
    for fact in &document.facts {
        sheet.write_string_with_format(row, 0, fact.label, &formats.label)?;
        sheet.write_string(row, 1, &fact.value)?;
        row += 1;
    }
    row += 4;
    for line in document.signature {
        sheet.write_string_with_format(row, 0, line, &formats.line)?;
        sheet.write_blank(row, 1, &formats.line)?;
        sheet.write_blank(row, 2, &formats.line)?;
        row += 3;
    }
    Ok(())
}

/// Counts of animals are far below 2^53, up to which a number of a sheet is exact.
#[allow(clippy::cast_precision_loss)]
pub(super) const fn exact(count: i64) -> f64 {
    count as f64
}

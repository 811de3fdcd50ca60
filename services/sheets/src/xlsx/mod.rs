//! Workbooks: every sheet whose header has `kind`, or whose name is a kind.

mod bounds;

use std::io::{Cursor, Read};

use calamine::{DataRef, Reader, Xlsx, XlsxError};
use haulout_checking::{Problem, StreamError};

use crate::cell::{Cell, Holds};
use crate::days;
use crate::place::shown;
use crate::rules;
use crate::sheet::{MOST_COLUMNS, Row, Run, Sheet, is_filled};
use crate::template;

/// The most rows of a sheet (ECMA-376).
const MOST_ROWS: u32 = 1_048_576;

/// Checks the rows of a workbook.
pub(crate) fn check<R: Read>(reader: R, run: &mut Run<'_>) -> Result<(), StreamError> {
    let bytes = match bounds::bounded(reader).map_err(StreamError::Read)? {
        Ok(bytes) => bytes,
        Err(problem) => return run.problem(*problem),
    };
    let mut book = match Xlsx::new(Cursor::new(bytes)) {
        Ok(book) => book,
        Err(error) => return run.problem(damaged(None, &error)),
    };
    let from_1904 = book.has_1904_epoch();
    let mut read = 0_u64;
    for name in book.sheet_names() {
        match one(&mut book, &name, from_1904, run)? {
            Ok(true) => read += 1,
            Ok(false) => {}
            Err(problem) => {
                read += 1;
                run.problem(*problem)?;
            }
        }
    }
    if read == 0 {
        let text = "no sheet of the workbook has a column `kind` or the name of a kind";
        run.problem(Problem::of(&rules::NO_HEADER, text))?;
    }
    Ok(())
}

type Book = Xlsx<Cursor<Vec<u8>>>;

/// Checks one sheet; whether it holds records, or the problem that ended it.
fn one(
    book: &mut Book,
    name: &str,
    from_1904: bool,
    run: &mut Run<'_>,
) -> Result<Result<bool, Box<Problem>>, StreamError> {
    let end = |error: &XlsxError| Ok(Err(Box::new(damaged(Some(name), error))));
    let mut cells = match book.worksheet_cells_reader(name) {
        Ok(cells) => cells,
        // A sheet of charts has no cells.
        Err(XlsxError::NotAWorksheet(_)) => {
            return pass_over(run, name);
        }
        Err(error) => return end(&error),
    };
    let mut table = Table { name, sheet: None, row: Vec::new(), number: 0, last: 0 };
    loop {
        let record = match cells.next_cell_with_formula_metadata() {
            Ok(Some(record)) => record,
            Ok(None) => break,
            Err(error) => {
                table.give(run)?;
                return end(&error);
            }
        };
        let (row, column) = record.pos;
        if row >= MOST_ROWS || column as usize >= MOST_COLUMNS || u64::from(row) + 1 < table.number {
            table.give(run)?;
            let text =
                format!("sheet {}: a cell stands where none can be, or rows are out of order", shown(name));
            return Ok(Err(Box::new(Problem::of(&rules::WORKBOOK_DAMAGED, text))));
        }
        if u64::from(row) + 1 != table.number {
            if !table.give(run)? {
                return pass_over(run, name);
            }
            table.number = u64::from(row) + 1;
        }
        let cell = Cell::typed(holds(record.value, from_1904), record.formula.is_some());
        let column = column as usize;
        if !cell.is_blank() || cell.formula {
            if table.row.len() <= column {
                table.row.resize(column + 1, Cell::typed(Holds::Nothing, false));
            }
            if let Some(place) = table.row.get_mut(column) {
                *place = cell;
            }
        }
    }
    if !table.give(run)? {
        return pass_over(run, name);
    }
    match table.sheet {
        Some(mut sheet) => {
            let behind = table.number.saturating_sub(table.last);
            if behind > 0 {
                sheet.add_blank(run, behind);
            }
            sheet.close(run)?;
            Ok(Ok(true))
        }
        // Nothing stands in it, so nothing is lost.
        None => Ok(Ok(false)),
    }
}

/// A sheet being read.
struct Table<'n> {
    name: &'n str,
    sheet: Option<Sheet>,
    row: Vec<Cell>,
    /// The row at hand, counted from 1.
    number: u64,
    /// The last row that was not blank.
    last: u64,
}

impl Table<'_> {
    /// Gives the row at hand to the sheet; false where it should be a header and is none.
    fn give(&mut self, run: &mut Run<'_>) -> Result<bool, StreamError> {
        let cells = std::mem::take(&mut self.row);
        if cells.is_empty() {
            return Ok(true);
        }
        if let Some(sheet) = &mut self.sheet {
            let skipped = self.number.saturating_sub(self.last + 1);
            if skipped > 0 {
                sheet.add_blank(run, skipped);
            }
            self.last = self.number;
            sheet.row(run, &Row { number: self.number, file_line: None, cells })?;
            return Ok(true);
        }
        if !is_filled(&cells) {
            return Ok(true);
        }
        self.last = self.number;
        self.sheet = Sheet::open(Some(self.name), self.name, self.number, &cells);
        Ok(self.sheet.is_some())
    }
}

fn holds(value: DataRef<'_>, from_1904: bool) -> Holds {
    match value {
        DataRef::Empty => Holds::Nothing,
        // Whole numbers of a sheet are doubles, so this loses nothing that it held.
        #[allow(clippy::cast_precision_loss)]
        DataRef::Int(number) => Holds::Number(number as f64),
        DataRef::Float(number) => Holds::Number(number),
        DataRef::String(text) => Holds::Text(text),
        DataRef::SharedString(text) => Holds::Text(text.to_owned()),
        DataRef::Bool(truth) => Holds::Truth(truth),
        DataRef::DateTime(date) if date.is_datetime() => match days::of_serial(date.as_f64(), from_1904) {
            Some(day) => Holds::Day(day),
            None => Holds::Span(date.as_f64().to_string()),
        },
        DataRef::DateTime(span) => Holds::Span(span.as_f64().to_string()),
        DataRef::DateTimeIso(text) => Holds::Day(text),
        DataRef::DurationIso(text) => Holds::Span(text),
        DataRef::Error(error) => Holds::Error(error.to_string()),
    }
}

/// A sheet without records: told of, but where it is a template's own and explains the others.
fn pass_over(run: &mut Run<'_>, name: &str) -> Result<Result<bool, Box<Problem>>, StreamError> {
    if ![template::COLUMNS, template::WORDS].contains(&name) {
        let text = format!("sheet {} was not read: no column `kind`, no name of a kind", shown(name));
        run.problem(Problem::of(&rules::SHEET_NOT_READ, text))?;
    }
    Ok(Ok(false))
}

fn damaged(sheet: Option<&str>, error: &XlsxError) -> Problem {
    let place = sheet.map(|name| format!("sheet {}: ", shown(name))).unwrap_or_default();
    Problem::of(&rules::WORKBOOK_DAMAGED, format!("{place}the workbook cannot be read further ({error})"))
}

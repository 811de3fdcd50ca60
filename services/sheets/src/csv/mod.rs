//! Text with separators, in constant memory.

mod decode;
mod even;
mod start;

use std::io::{self, Cursor, Read};

use csv::{ByteRecord, ErrorKind, Reader, ReaderBuilder};
use haulout_checking::{Problem, StreamError, StreamOptions, UnpackError, Unpacked, shared};

use crate::cell::Cell;
use crate::place::shown;
use crate::rules;
use crate::sheet::{MOST_COLUMNS, Row, Run, Sheet};

use decode::Decoder;
use even::{Even, Overlong};
use start::Start;

/// Bytes looked at for the header: the widest one fits.
const AHEAD: u64 = 1 << 20;

/// Checks the rows of a CSV file.
pub(crate) fn check<R: Read>(
    reader: R,
    options: &StreamOptions,
    run: &mut Run<'_>,
) -> Result<(), StreamError> {
    let mut source = match Unpacked::open(reader, options.limits) {
        Ok(source) => source,
        Err(UnpackError::Data(problem)) => return run.problem(*problem),
        Err(UnpackError::Failed(error)) => return Err(StreamError::Read(error)),
    };
    let mut ahead = Vec::new();
    if let Err(error) = source.by_ref().take(AHEAD).read_to_end(&mut ahead) {
        return stopped(error, run, None);
    }
    let start = match Start::of(&ahead) {
        Ok(start) => start,
        Err(problem) => return run.problem(*problem),
    };
    if start.marked {
        let text = "the file begins with a byte order mark, which was passed over";
        run.problem(Problem::of(&shared::BYTE_ORDER_MARK, text).on_line(1))?;
    }
    let separator = start.separator;
    if separator != b',' {
        let name =
            if separator == b'\t' { "tabs".to_owned() } else { shown(&char::from(separator).to_string()) };
        run.problem(Problem::of(&rules::DELIMITER, format!("the file is separated by {name}")).on_line(1))?;
    }
    let rest = Cursor::new(ahead.split_off(start.skip)).chain(source);
    let even = Even::new(rest, separator, options.limits.line_bytes as u64);
    let lines = ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(even);
    Table { lines, rows: start.lines, inside: 0, decoder: Decoder::default() }.check(run)
}

struct Table<R: Read> {
    lines: Reader<Even<R>>,
    /// Rows that ended so far, blank ones included.
    rows: u64,
    /// Line ends inside of cells so far: where rows and lines of the file part.
    inside: u64,
    decoder: Decoder,
}

impl<R: Read> Table<R> {
    fn check(mut self, run: &mut Run<'_>) -> Result<(), StreamError> {
        let mut record = ByteRecord::new();
        let mut sheet: Option<Sheet> = None;
        let mut last = self.rows;
        loop {
            match self.lines.read_byte_record(&mut record) {
                Ok(true) => {}
                Ok(false) => break,
                Err(error) => return self.failed(error, run, last, sheet),
            }
            let row = self.row(&record, run)?;
            let skipped = row.number.saturating_sub(last + 1);
            last = row.number;
            if row.cells.len() > MOST_COLUMNS {
                let text = format!("row {last} has more than {MOST_COLUMNS} cells");
                return run.problem(Problem::of(&rules::TOO_MANY_COLUMNS, text).on_line(last));
            }
            match &mut sheet {
                Some(sheet) => {
                    if skipped > 0 {
                        sheet.add_blank(run, skipped);
                    }
                    sheet.row(run, &row)?;
                }
                None if row.cells.iter().all(Cell::is_blank) => {}
                None => {
                    let stem = stem(run.file().unwrap_or_default());
                    sheet = Sheet::open(None, &stem, row.number, &row.cells);
                    if sheet.is_none() {
                        let text = "no column `kind` says what the rows tell of";
                        return run.problem(Problem::of(&rules::NO_HEADER, text).on_line(row.number));
                    }
                }
            }
        }
        if self.lines.get_ref().is_open() {
            let text = format!("row {last} opens a quote that is never closed");
            run.problem(Problem::of(&rules::QUOTE_OPEN, text).on_line(last))?;
        }
        match sheet {
            Some(sheet) => sheet.close(run),
            None => run.problem(Problem::of(&rules::SHEET_EMPTY, "the file is empty")),
        }
    }

    fn row(&mut self, record: &ByteRecord, run: &mut Run<'_>) -> Result<Row, StreamError> {
        let read = self.lines.position().byte();
        // A quote that is never closed leaves the last row without an end.
        self.rows += self.lines.get_mut().ended_before(read).max(1);
        let number = self.rows;
        let line = number + self.inside;
        let ends: usize = record.iter().map(|cell| memchr::memchr_iter(b'\n', cell).count()).sum();
        self.inside += ends as u64;
        let (texts, problem) = self.decoder.row(record);
        if let Some(problem) = problem {
            run.problem(problem.on_line(number))?;
        }
        let cells = texts.into_iter().map(Cell::untyped).collect();
        Ok(Row { number, file_line: (line != number).then_some(line), cells })
    }

    fn failed(
        &self,
        error: csv::Error,
        run: &mut Run<'_>,
        last: u64,
        sheet: Option<Sheet>,
    ) -> Result<(), StreamError> {
        let said = error.to_string();
        let error = match error.into_kind() {
            ErrorKind::Io(error) => error,
            _ => io::Error::other(said),
        };
        stopped(error, run, Some(last))?;
        sheet.map_or(Ok(()), |sheet| sheet.close(run))
    }
}

/// Ends the file with the problem that an error carries, or fails.
fn stopped(error: io::Error, run: &mut Run<'_>, last: Option<u64>) -> Result<(), StreamError> {
    if let Some(Overlong(most)) = error.get_ref().and_then(|inner| inner.downcast_ref()) {
        let text = format!("the row after row {} has more than {most} bytes", last.unwrap_or_default());
        let problem = Problem::of(&rules::ROW_TOO_LONG, text);
        return run.problem(problem.on_line(last.unwrap_or_default() + 1));
    }
    if !error.get_ref().is_some_and(|inner| inner.is::<UnpackError>()) {
        return Err(StreamError::Read(error));
    }
    match error.downcast::<UnpackError>() {
        Ok(UnpackError::Data(mut problem)) => {
            problem.line = last;
            run.problem(*problem)
        }
        Ok(UnpackError::Failed(error)) | Err(error) => Err(StreamError::Read(error)),
    }
}

/// The name of a file without its folders and endings.
fn stem(file: &str) -> String {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    name.split('.').next().unwrap_or(name).to_owned()
}

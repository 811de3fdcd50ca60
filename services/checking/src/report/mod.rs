//! What a person or a program reads after a check: text, one page, or every problem as JSON.
//!
//! Text and page group problems and show samples, the counts stay exact; JSON leaves nothing out.
//! Memory is bounded whatever was read: JSON goes to a spool that the caller provides.

mod html;
mod summary;
mod text;

use std::io::{self, Read, Seek, SeekFrom, Write};

pub use summary::{Group, Summary};

use crate::checker::{CheckedLine, Checker, Purpose};
use crate::counts::Counts;
use crate::problem::Problem;
use crate::stream::{Sink, StreamError, StreamOptions};

/// The form of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Format {
    /// For a terminal.
    #[default]
    Text,
    /// Canonical JSON {`counts`, `problems`, `valid`}, never capped.
    Json,
    /// One self-contained page.
    Html,
}

/// A report being made while files are checked.
///
/// ```
/// use haulout_checking::{Checker, Format, Report, Settings, StreamOptions};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// let checker = Checker::new(Settings::default())?;
/// let mut report = Report::new(Format::Text, std::io::Cursor::new(Vec::new()));
/// let options = StreamOptions::for_file("night.ndjson");
/// report.check(&checker, &b"{\"kind\":\"recsue\"}\n"[..], &options)?;
/// let mut page = Vec::new();
/// let counts = report.finish(&mut page)?;
/// assert!(!counts.is_valid());
/// # Ok(())
/// # }
/// ```
pub struct Report<S: Write> {
    counts: Counts,
    body: Body<S>,
}

enum Body<S: Write> {
    Text(Summary),
    Html(Summary),
    Json(Spool<S>),
}

struct Spool<S: Write> {
    file: io::BufWriter<S>,
    empty: bool,
}

impl<S: Read + Write + Seek> Report<S> {
    /// An empty report. The spool takes the problems of a JSON report until their number is
    /// known: a temporary file, or a cursor where memory is no matter. Other formats leave it
    /// untouched.
    pub fn new(format: Format, spool: S) -> Self {
        let body = match format {
            Format::Text => Body::Text(Summary::default()),
            Format::Html => Body::Html(Summary::default()),
            Format::Json => Body::Json(Spool { file: io::BufWriter::new(spool), empty: true }),
        };
        Self { counts: Counts::default(), body }
    }

    /// Checks one file into the report.
    ///
    /// # Errors
    ///
    /// [`StreamError`] when the file cannot be read or the spool written.
    pub fn check<R: Read + Send>(
        &mut self,
        checker: &Checker,
        reader: R,
        options: &StreamOptions,
    ) -> Result<(), StreamError> {
        let options = StreamOptions { purpose: Purpose::Judge, ..options.clone() };
        let counts = checker.check_stream(reader, &options, &mut self.body)?;
        self.counts.add(&counts);
        Ok(())
    }

    /// Begins a file whose lines are added one by one, such as the rows of a sheet.
    pub fn begin_file(&mut self) {
        self.counts.files += 1;
    }

    /// Adds the answer to one line.
    ///
    /// # Errors
    ///
    /// When the spool cannot be written.
    pub fn add_line(&mut self, line: CheckedLine) -> io::Result<()> {
        self.counts.add_line(&line);
        self.body.line(line)
    }

    /// Adds a problem with a whole file.
    ///
    /// # Errors
    ///
    /// When the spool cannot be written.
    pub fn add_problem(&mut self, problem: Problem) -> io::Result<()> {
        self.counts.add_problem(&problem);
        self.body.file(problem)
    }

    /// Adds blank lines.
    pub fn add_blank(&mut self, blank: u64) {
        self.counts.add_blank(blank);
    }

    /// The counts so far.
    pub fn counts(&self) -> &Counts {
        &self.counts
    }

    /// Writes the report.
    ///
    /// # Errors
    ///
    /// When it cannot be written, or the spool not be read.
    pub fn finish(self, out: &mut dyn Write) -> io::Result<Counts> {
        match self.body {
            Body::Text(summary) => text::write(out, &summary, &self.counts)?,
            Body::Html(summary) => html::write(out, &summary, &self.counts)?,
            Body::Json(spool) => {
                let mut spool = spool.file.into_inner().map_err(io::IntoInnerError::into_error)?;
                spool.seek(SeekFrom::Start(0))?;
                out.write_all(b"{\"counts\":")?;
                out.write_all(&canonical(&self.counts)?)?;
                out.write_all(b",\"problems\":[")?;
                io::copy(&mut spool, out)?;
                writeln!(out, "],\"valid\":{}}}", self.counts.is_valid())?;
            }
        }
        out.flush()?;
        Ok(self.counts)
    }
}

impl<S: Write> Body<S> {
    fn take(&mut self, problem: Problem) -> io::Result<()> {
        match self {
            Self::Text(summary) | Self::Html(summary) => {
                summary.add(problem);
                Ok(())
            }
            Self::Json(spool) => {
                if !spool.empty {
                    spool.file.write_all(b",")?;
                }
                spool.empty = false;
                spool.file.write_all(&canonical(&problem)?)
            }
        }
    }
}

impl<S: Write> Sink for Body<S> {
    fn line(&mut self, mut line: CheckedLine) -> io::Result<()> {
        std::mem::take(line.problems_mut()).into_iter().try_for_each(|problem| self.take(problem))
    }

    fn file(&mut self, problem: Problem) -> io::Result<()> {
        self.take(problem)
    }
}

fn canonical(value: &impl serde::Serialize) -> io::Result<Vec<u8>> {
    serde_json_canonicalizer::to_vec(value).map_err(io::Error::other)
}

//! A whole file or body: read in batches, checked in parallel, answered in order.

use std::io::{self, Read};

use rayon::prelude::*;

use crate::checker::{CheckedLine, Checker, Purpose, byte_order_mark};
use crate::counts::Counts;
use crate::problem::Problem;
use crate::reading::cut::{Content, Cut, Entry};
use crate::reading::source::Stop;
use crate::reading::{Limits, Reader, Shape};

/// A batch ends at so many records or bytes: enough to keep all cores busy, little enough to
/// forget. With records at the limit of 8 MiB a batch holds one.
const BATCH_RECORDS: usize = 512;
const BATCH_BYTES: usize = 1 << 20;

/// How to read a stream.
#[derive(Debug, Clone, Default)]
pub struct StreamOptions {
    /// The name that problems give for the file; none for a posted body.
    pub file: Option<String>,
    /// How it is laid out.
    pub shape: Shape,
    /// Limits of reading.
    pub limits: Limits,
    /// Whether accepted records are kept, or only judged.
    pub purpose: Purpose,
}

impl StreamOptions {
    /// Options for a named file: its shape follows from the name.
    #[must_use]
    pub fn for_file(name: &str) -> Self {
        Self { file: Some(name.to_owned()), shape: Shape::of_name(name), ..Self::default() }
    }
}

/// Takes the answers, in order.
pub trait Sink {
    /// One line that is not blank: exactly one answer each.
    ///
    /// # Errors
    ///
    /// An error ends the check.
    fn line(&mut self, line: CheckedLine) -> io::Result<()>;

    /// A problem with the file as a whole.
    ///
    /// # Errors
    ///
    /// An error ends the check.
    fn file(&mut self, problem: Problem) -> io::Result<()>;
}

/// The check could not be done; nothing is said about the data.
#[derive(Debug, thiserror::Error)]
pub enum StreamError {
    /// The bytes could not be fetched.
    #[error("could not read: {0}")]
    Read(#[source] io::Error),
    /// The sink did not take an answer.
    #[error("could not pass on an answer: {0}")]
    Sink(#[source] io::Error),
}

/// Records cut out together, and what comes behind them.
#[derive(Default)]
struct Batch {
    entries: Vec<Entry>,
    blank: u64,
    end: Option<End>,
}

enum End {
    Finished,
    Stopped(Stop),
}

impl Checker {
    /// Checks a stream: gzip and zstd undone, lines or a JSON array cut, every record answered
    /// once and in order, in bounded memory. A fault of the file itself (damaged compression,
    /// UTF-16, too many lines) is one problem for [`Sink::file`]; what was read before it counts.
    ///
    /// Records are checked on the current rayon pool; install another one to bound the share of
    /// the machine.
    ///
    /// # Errors
    ///
    /// [`StreamError`] when the reader or the sink fails.
    pub fn check_stream<R: Read + Send>(
        &self,
        reader: R,
        options: &StreamOptions,
        sink: &mut dyn Sink,
    ) -> Result<Counts, StreamError> {
        let mut run = Run { options, sink, counts: Counts { files: 1, ..Counts::default() } };
        let mut reader = match Reader::open(reader, options.shape, options.limits) {
            Ok(reader) => reader,
            Err(stop) => {
                run.stopped(stop, None)?;
                return Ok(run.counts);
            }
        };
        if reader.is_marked() {
            run.file_problem(byte_order_mark().on_line(1))?;
        }
        let mut batch = next_batch(&mut reader);
        loop {
            let line = reader.line();
            let (answers, following) = if batch.end.is_some() {
                (answers(self, options, &batch.entries), Batch::default())
            } else {
                // The next batch is read while this one is checked.
                rayon::join(|| answers(self, options, &batch.entries), || next_batch(&mut reader))
            };
            run.counts.add_blank(batch.blank);
            for answer in answers {
                run.line(answer)?;
            }
            match batch.end {
                None => batch = following,
                Some(End::Finished) => return Ok(run.counts),
                Some(End::Stopped(stop)) => {
                    run.stopped(stop, (line > 0).then_some(line))?;
                    return Ok(run.counts);
                }
            }
        }
    }
}

fn next_batch<R: Read>(reader: &mut Reader<R>) -> Batch {
    let mut batch = Batch::default();
    let mut bytes = 0;
    while batch.entries.len() < BATCH_RECORDS && bytes < BATCH_BYTES {
        match reader.next() {
            Ok(Some(Cut::Entry(entry))) => {
                if let Content::Text(text) = &entry.content {
                    bytes += text.len();
                }
                batch.entries.push(entry);
            }
            Ok(Some(Cut::Blank)) => batch.blank += 1,
            Ok(None) => {
                batch.end = Some(End::Finished);
                break;
            }
            Err(stop) => {
                batch.end = Some(End::Stopped(stop));
                break;
            }
        }
    }
    batch
}

fn answers(checker: &Checker, options: &StreamOptions, entries: &[Entry]) -> Vec<CheckedLine> {
    entries
        .par_iter()
        .map(|entry| {
            let line = checker.check_entry(entry, options.limits.line_bytes, options.purpose);
            match &options.file {
                Some(file) => line.in_file(file),
                None => line,
            }
        })
        .collect()
}

/// One stream being checked.
struct Run<'r> {
    options: &'r StreamOptions,
    sink: &'r mut dyn Sink,
    counts: Counts,
}

impl Run<'_> {
    fn line(&mut self, line: CheckedLine) -> Result<(), StreamError> {
        self.counts.add_line(&line);
        self.sink.line(line).map_err(StreamError::Sink)
    }

    fn file_problem(&mut self, problem: Problem) -> Result<(), StreamError> {
        let problem = match &self.options.file {
            Some(file) => problem.in_file(file),
            None => problem,
        };
        self.counts.add_problem(&problem);
        self.sink.file(problem).map_err(StreamError::Sink)
    }

    fn stopped(&mut self, stop: Stop, line: Option<u64>) -> Result<(), StreamError> {
        match stop {
            Stop::Failure(error) => Err(StreamError::Read(error)),
            Stop::Data(mut problem) => {
                problem.line = line;
                self.file_problem(*problem)
            }
        }
    }
}

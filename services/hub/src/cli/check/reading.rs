//! One file into the report, and its valid records into a file of their own.

use haulout_checking::{CheckedLine, Checker, Problem, Purpose, Report, Sink, StreamError, StreamOptions};
use haulout_sheets::SheetForm;
use std::fs::File;
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};

use crate::cli::Failure;

/// The file of valid records.
pub(super) struct Records {
    path: PathBuf,
    out: BufWriter<File>,
}

impl Records {
    /// Makes the file. One that is there already is left alone.
    pub(super) fn create(path: &Path) -> Result<Self, Failure> {
        let file = File::create_new(path)
            .map_err(|error| Failure::new(format!("cannot make {}", path.display())).because(error))?;
        Ok(Self { path: path.to_owned(), out: BufWriter::new(file) })
    }

    fn take(&mut self, line: &CheckedLine) -> io::Result<()> {
        if let CheckedLine::Accepted(accepted) = line {
            let kept = accepted.kept.as_ref();
            let kept = kept.ok_or_else(|| io::Error::other("a record was judged and not kept"))?;
            self.out.write_all(kept.canonical.as_bytes())?;
            self.out.write_all(b"\n")?;
        }
        Ok(())
    }

    /// Writes what is still held back.
    pub(super) fn finish(mut self) -> Result<(), Failure> {
        self.out
            .flush()
            .map_err(|error| Failure::new(format!("cannot write {}", self.path.display())).because(error))
    }
}

/// Checks one file. Sheets are told by the ending of their name.
pub(super) fn read(
    checker: &Checker,
    reader: Box<dyn Read + Send>,
    name: &str,
    report: &mut Report<File>,
    records: Option<&mut Records>,
) -> Result<(), Failure> {
    let mut options = StreamOptions::for_file(name);
    if records.is_none() {
        options.purpose = Purpose::Judge;
    }
    let mut both = Both { report, records };
    both.report.begin_file();
    let counts = match SheetForm::of_name(name) {
        Some(form) => haulout_sheets::check(checker, form, reader, &options, &mut both),
        None => checker.check_stream(reader, &options, &mut both),
    };
    let counts = counts.map_err(|error| match error {
        StreamError::Read(error) => Failure::new(format!("cannot read {name}")).because(error),
        StreamError::Sink(error) => Failure::new("cannot keep the report or the records").because(error),
    })?;
    both.report.add_blank(counts.blank);
    Ok(())
}

struct Both<'b> {
    report: &'b mut Report<File>,
    records: Option<&'b mut Records>,
}

impl Sink for Both<'_> {
    fn line(&mut self, line: CheckedLine) -> io::Result<()> {
        if let Some(records) = &mut self.records {
            records.take(&line)?;
        }
        self.report.add_line(line)
    }

    fn file(&mut self, problem: Problem) -> io::Result<()> {
        self.report.add_problem(problem)
    }
}

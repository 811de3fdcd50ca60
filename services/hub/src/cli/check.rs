//! `haulout check`: the checker offline, without an account or a network.

mod reading;

use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use haulout_checking::{Checker, Format, Report, Settings};
use std::io;
use std::path::PathBuf;

use super::{Failure, Verdict, paths};
use reading::Records;

/// Check files against the open schema and the rules, offline.
///
/// The verdict is the one that a hub gives, apart from what only a hub knows: whose the records
/// are, and what it already holds. Sheets (CSV, XLSX) are read row by row as the records that they
/// tell; each problem names its cell. `haulout template` writes a sheet to fill.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  haulout check nights/2026-07-02\n  haulout check rescue.xlsx --records rescue.ndjson\n  zcat night.ndjson.gz | haulout check - --format json"
)]
pub struct Check {
    /// Files (NDJSON, JSON or CSV, also .gz and .zst; XLSX), folders of them, or - for NDJSON or
    /// JSON from standard input.
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// Form of the report.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
    /// The day on which the check is made; dates after it are remarked on. Today unless given.
    #[arg(long, value_name = "DATE")]
    today: Option<NaiveDate>,
    /// File for the valid records, one a line as canonical JSON, ready to be posted; it must not be
    /// there yet.
    #[arg(long, value_name = "FILE")]
    records: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Json,
    Html,
}

impl Check {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let today = self.today.unwrap_or_else(|| chrono::Local::now().date_naive());
        let checker = Checker::new(Settings::standard(Some(today)))
            .map_err(|error| Failure::new("the checker cannot start").because(error))?;
        let format = match self.format {
            Form::Text => Format::Text,
            Form::Json => Format::Json,
            Form::Html => Format::Html,
        };
        let spool = tempfile::tempfile()
            .map_err(|error| Failure::new("no temporary file can be made").because(error))?;
        let files = paths::expand(&self.paths)?;
        let mut records = self.records.as_deref().map(Records::create).transpose()?;
        let mut report = Report::new(format, spool);
        for path in files {
            let reader = paths::open(&path)?;
            reading::read(&checker, reader, &path.display().to_string(), &mut report, records.as_mut())?;
        }
        if let Some(records) = records {
            records.finish()?;
        }
        let mut out = io::stdout().lock();
        let counts = report.finish(&mut out)?;
        Ok(if counts.is_valid() { Verdict::Yes } else { Verdict::No })
    }
}

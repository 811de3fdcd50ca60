//! `haulout check`: the checker offline, without an account or a network.

use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use haulout_checking::{Checker, Format, Report, Settings, StreamError, StreamOptions};
use std::io;
use std::path::PathBuf;

use super::{Failure, Verdict, paths};

/// Check files against the open schema and the rules, offline.
///
/// The verdict is the one that a hub gives, apart from what only a hub knows: whose the records
/// are, and what it already holds.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  haulout check nights/2026-07-02\n  zcat night.ndjson.gz | haulout check - --format json"
)]
pub struct Check {
    /// Files (NDJSON or JSON, also .gz and .zst), folders of them, or - for standard input.
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// Form of the report.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
    /// The day on which the check is made; dates after it are remarked on. Today unless given.
    #[arg(long, value_name = "DATE")]
    today: Option<NaiveDate>,
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
        let mut report = Report::new(format, spool);
        for path in paths::expand(&self.paths)? {
            let reader = paths::open(&path)?;
            let name = path.display().to_string();
            report.check(&checker, reader, &StreamOptions::for_file(&name)).map_err(|error| match error {
                StreamError::Read(error) => Failure::new(format!("cannot read {name}")).because(error),
                StreamError::Sink(error) => Failure::new("cannot keep the report").because(error),
            })?;
        }
        let mut out = io::stdout().lock();
        let counts = report.finish(&mut out)?;
        Ok(if counts.is_valid() { Verdict::Yes } else { Verdict::No })
    }
}

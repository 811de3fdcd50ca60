//! `haulout generate`: an invented river basin at any size.

use chrono::NaiveDate;
use clap::{Args, ValueEnum};
use haulout_demo::Options;
use serde_json::json;
use std::path::PathBuf;

use super::{Failure, Verdict, output};

/// Write an invented river basin: region file, every party's nights, a request for a place, and the
/// truth behind them. The same options give the same bytes.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  haulout generate --out basin --centres 6 --nights 92 --faults")]
pub struct Generate {
    /// The folder; made where it is missing.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// First night.
    #[arg(long, value_name = "DATE", default_value = "2026-07-01")]
    from: NaiveDate,
    /// Rescue centres.
    #[arg(long, value_name = "N", default_value_t = 6)]
    centres: u32,
    /// Nights.
    #[arg(long, value_name = "N", default_value_t = 92)]
    nights: u32,
    /// Animals of each centre at its opening.
    #[arg(long, value_name = "N", default_value_t = 60)]
    animals_per_centre: u32,
    /// Seed of all chance.
    #[arg(long, value_name = "S", default_value_t = 1)]
    seed: u64,
    /// Plant faults, listed with their reasons in truth.json.
    #[arg(long)]
    faults: bool,
    /// Form of the answer.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Json,
}

impl Generate {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let options = Options {
            from: self.from,
            centres: self.centres,
            nights: self.nights,
            seed: self.seed,
            faults: self.faults,
            animals_per_centre: self.animals_per_centre,
        };
        let made =
            haulout_demo::generate(&options, &self.out).map_err(|error| Failure::new(error.to_string()))?;
        match self.format {
            Form::Json => output::print_json(&json!({
                "records": made.records, "byKind": made.by_kind, "files": made.files, "faults": made.faults,
            }))?,
            Form::Text => {
                let said = format!(
                    "{} records in {} files below {}\n",
                    made.records,
                    made.files,
                    self.out.display()
                );
                output::print(said.as_bytes())?;
            }
        }
        Ok(Verdict::Yes)
    }
}

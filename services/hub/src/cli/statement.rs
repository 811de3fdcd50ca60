//! `haulout statement`: the authority's statement.

use clap::{Args, ValueEnum};
use haulout_reckoning::Period;
use haulout_store::{Clock, Scope};
use std::io::IsTerminal;

use super::database::{Database, block_on};
use super::{Failure, Verdict, output};
use crate::statements::in_format;
use crate::statements::make::{Asked, make};
use crate::web::negotiation::Format;

/// Print the account of a period, as known at an instant.
///
/// The same question gives the same bytes for ever, here and over HTTP.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  haulout statement --period 2026-Q3 --as-known-at 2026-10-01 --format text"
)]
pub struct Statement {
    /// 2026, 2026-Q3, 2026-07 or 2026-07-01..2026-09-30.
    #[arg(long, value_name = "P")]
    period: String,
    /// RFC 3339, or a date, which means its last microsecond in the region's zone; the newest entry unless given.
    #[arg(long, value_name = "T")]
    as_known_at: Option<String>,
    /// Only this centre or point.
    #[arg(long, value_name = "ID")]
    centre: Option<String>,
    /// Only this species.
    #[arg(long, value_name = "NAME")]
    scientific_name: Option<String>,
    /// Form of the statement.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
    #[command(flatten)]
    database: Database,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Json,
    Csv,
    /// What the columns of the CSV mean (CSV on the Web).
    Csvw,
    /// A page that prints on A4.
    Html,
    /// A workbook; write it into a file: `> statement.xlsx`.
    Xlsx,
    /// Typeset pages, A4; write them into a file: `> statement.pdf`.
    Pdf,
}

impl Statement {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let asked = Asked {
            period: Period::parse(&self.period).map_err(|error| Failure::new(error.to_string()))?,
            as_known_at: self.as_known_at,
            centre_id: self.centre,
            scientific_name: self.scientific_name,
        };
        let format = match self.format {
            Form::Text => Format::Text,
            Form::Json => Format::Json,
            Form::Csv => Format::Csv,
            Form::Csvw => Format::Csvw,
            Form::Html => Format::Html,
            Form::Xlsx => Format::Xlsx,
            Form::Pdf => Format::Pdf,
        };
        if matches!(format, Format::Xlsx | Format::Pdf) && std::io::stdout().is_terminal() {
            let ending = format.as_str();
            return Err(Failure::new(format!(
                "{ending} is no text for a terminal; write it into a file: `> statement.{ending}`"
            )));
        }
        block_on(async {
            let store = self.database.open(Clock::Real).await?;
            let made = make(&store, &Scope::Authority, &asked)
                .await
                .map_err(|error| Failure::new(error.to_string()))?;
            let bytes = in_format(&made, format).map_err(|error| Failure::new(error.to_string()))?;
            output::print(&bytes)?;
            Ok(Verdict::Yes)
        })
    }
}

//! `haulout plan`: the best places for many animals, from a request file.

use chrono::{DateTime, FixedOffset};
use clap::{Args, ValueEnum};
use haulout_placement::{RequestFile, plan};
use haulout_reckoning::Region;
use std::path::PathBuf;

use super::database::read_text;
use super::output::{print, print_json};
use super::{Failure, Verdict};
use crate::plans::solver::{MOST_SECONDS, NoPlan, TIME_LIMIT_SECONDS, Task, solve};
use crate::plans::table;

/// Find the best places for many animals at once, proven as far as the time allows.
///
/// The file holds a region as it stands and what is asked of it, as `POST /v1/placements/plans` gives
/// it back. Exit code 1: animals stay without a place. A plan says that no reason was found against
/// it; local codes and the licensed people on the spot decide.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  haulout plan request.json --time-limit 60 --format json")]
pub struct Plan {
    /// The request file, or - for standard input.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Seconds for all stages together; half as long again may go into what would help.
    #[arg(long, value_name = "S", default_value_t = TIME_LIMIT_SECONDS, value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_SECONDS)))]
    time_limit: u32,
    /// The region file, for its own names and profiles; without it the shipped ones count.
    #[arg(long, value_name = "FILE")]
    region: Option<PathBuf>,
    /// The instant asked about, RFC 3339; now unless given.
    #[arg(long, value_name = "T")]
    at: Option<DateTime<FixedOffset>>,
    /// Form of the plan.
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Json,
}

impl Plan {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let task = Task {
            file: request_file(&self.file)?,
            region: self.region.as_deref().map(region).transpose()?,
            at: self.at.unwrap_or_else(|| chrono::Local::now().fixed_offset()),
            time_limit_seconds: self.time_limit,
        };
        let plan = solve(&task).map_err(|none| told(&self.file, none))?;
        match self.format {
            Form::Text => print(table::text(&plan, &task.file).as_bytes())?,
            Form::Json => print_json(&plan)?,
        }
        Ok(if plan.unplaced.is_empty() { Verdict::Yes } else { Verdict::No })
    }
}

fn request_file(path: &std::path::Path) -> Result<RequestFile, Failure> {
    let text = read_text(path)?;
    plan::read(&text).map_err(|fault| {
        let place = if fault.pointer.is_empty() { String::new() } else { format!(", {}", fault.pointer) };
        Failure::new(format!("{}{place}: {}; {}", path.display(), fault.why, fault.mend))
    })
}

fn region(path: &std::path::Path) -> Result<Region, Failure> {
    let text = read_text(path)?;
    Region::parse(&text).map_err(|error| Failure::new(format!("{}: {error}", path.display())))
}

fn told(path: &std::path::Path, no_plan: NoPlan) -> Failure {
    match no_plan {
        NoPlan::Faulty(faults) => {
            let faults =
                faults.iter().map(|fault| format!("\n  {}: {}; {}", fault.pointer, fault.why, fault.mend));
            Failure::new(format!("{} cannot be planned with:{}", path.display(), faults.collect::<String>()))
        }
        NoPlan::Failed { outer, inner } => Failure::new(outer).because(inner),
    }
}

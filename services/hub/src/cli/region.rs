//! `haulout region load`: brings a region file into force.

use clap::{Args, Subcommand};
use haulout_store::Clock;
use std::path::PathBuf;

use super::database::{Database, block_on, by_operator, read_text};
use super::{Failure, Verdict, output};

/// Parties, places, roads, local code, name list.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  haulout region load region.json --database 'sqlite://haulout.db?mode=rwc'"
)]
pub struct Region {
    #[command(subcommand)]
    step: Step,
}

#[derive(Debug, Subcommand)]
enum Step {
    /// Check a region file and bring it into force from now on.
    #[command(after_help = "Example:\n  haulout region load region.json")]
    Load {
        /// The file.
        file: PathBuf,
        #[command(flatten)]
        database: Database,
    },
}

impl Region {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let Step::Load { file, database } = self.step;
        let text = read_text(&file)?;
        block_on(async {
            let store = database.open(Clock::Real).await?;
            let configuration = store.load_configuration(by_operator(), &text).await?;
            if let Some(region) = &configuration.region {
                let said = format!(
                    "{}: {} parties, {} points\n",
                    region.name,
                    region.parties.len(),
                    region.points.len()
                );
                output::print(said.as_bytes())?;
            }
            Ok(Verdict::Yes)
        })
    }
}

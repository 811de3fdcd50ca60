//! `haulout schema`: the published schema as files.

use clap::Args;
use std::fs;
use std::path::PathBuf;

use super::{Failure, Verdict};

/// Write the open schema's files into a folder.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  haulout schema --out schemas/1.0")]
pub struct Schema {
    /// The folder; made where it is missing.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
}

impl Schema {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        fs::create_dir_all(&self.out).map_err(|error| {
            Failure::new(format!("cannot make the folder {}", self.out.display())).because(error)
        })?;
        for (name, text) in crate::schemas::files() {
            let path = self.out.join(name);
            fs::write(&path, text)
                .map_err(|error| Failure::new(format!("cannot write {}", path.display())).because(error))?;
        }
        Ok(Verdict::Yes)
    }
}

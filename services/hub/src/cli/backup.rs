//! `haulout backup`: a whole copy of the database while hubs go on.

use clap::Args;
use haulout_store::{Store, StoreOptions};
use std::path::{Path, PathBuf};

use super::database::{Database, block_on};
use super::{Failure, Verdict, output};

/// Copy the database to a new file, as it is at one moment, while hubs go on.
///
/// The copy is a database of its own: `haulout verify` and `haulout serve` take it as it is. Nothing
/// is brought up to date first, so a copy can be made before a new release is started. For SQLite; a
/// PostgreSQL database is backed up with pg_dump.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  haulout backup --to 2026-10-01.db --database 'sqlite://haulout.db?mode=rwc'"
)]
pub struct Backup {
    /// The file to write; it must not be there yet.
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
    #[command(flatten)]
    database: Database,
}

impl Backup {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        let url = self.database.database.as_str();
        if let Some(path) = file_of(url)
            && !path.exists()
        {
            return Err(Failure::new(format!("there is no database at {}", path.display())));
        }
        block_on(async { Ok(Store::copy_database(&StoreOptions::new(url), &self.to).await?) })?;
        let bytes = std::fs::metadata(&self.to)
            .map_err(|error| Failure::new(format!("cannot read {}", self.to.display())).because(error))?
            .len();
        let path = self.to.display();
        output::print(
            format!(
                "{path}: {bytes} bytes\ncheck it with: haulout verify --database 'sqlite://{path}?mode=rwc'\n"
            )
            .as_bytes(),
        )?;
        Ok(Verdict::Yes)
    }
}

/// The file of a SQLite address; opening one that is not there would make an empty one.
fn file_of(url: &str) -> Option<&Path> {
    let rest = url.strip_prefix("sqlite:")?;
    let rest = rest.strip_prefix("//").unwrap_or(rest);
    let path = rest.split_once('?').map_or(rest, |(path, _)| path);
    (path != ":memory:").then_some(Path::new(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_of_an_address() {
        for (url, path) in [
            ("sqlite://haulout.db?mode=rwc", Some("haulout.db")),
            ("sqlite:///var/lib/haulout.db", Some("/var/lib/haulout.db")),
            ("sqlite:here.db", Some("here.db")),
            ("sqlite::memory:", None),
            ("postgres://hub@localhost/haulout", None),
        ] {
            assert_eq!(file_of(url), path.map(Path::new), "{url}");
        }
    }
}

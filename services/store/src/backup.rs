//! A copy of the database while the hub goes on.

use crate::database::{Store, StoreOptions, Use, connect, run};
use crate::error::{ErrorKind, Result, StoreError};
use sea_orm::{DatabaseConnection, DbBackend};
use std::fs::File;
use std::path::{Path, PathBuf};

const OTHER_TOOL: &str = "a PostgreSQL database is backed up with its own tool: run pg_dump";

impl Store {
    /// Writes a whole copy of the database, as it is at one moment, to a file that is not there yet.
    /// Readers and writers go on meanwhile.
    ///
    /// # Errors
    /// `Invalid` where the file is there already, its name is not UTF-8, or the database is PostgreSQL,
    /// which has a tool of its own for it; `Full` where there is no space.
    pub async fn backup_to(&self, file: &Path) -> Result<()> {
        copy(self.db(), file).await
    }

    /// The same beside the hubs that serve the database. It is copied as it stands: neither are its
    /// tables brought up to date nor its projections made anew, so that a copy can be had before a
    /// new release does either.
    ///
    /// # Errors
    /// As [`Store::backup_to`], and `Unavailable` where the database cannot be opened.
    pub async fn copy_database(options: &StoreOptions, file: &Path) -> Result<()> {
        if options.url.starts_with("postgres") {
            return Err(StoreError::invalid(OTHER_TOOL));
        }
        let db = connect(options, Use::Any(1)).await?;
        let copied = copy(&db, file).await;
        db.close_by_ref().await?;
        copied
    }
}

async fn copy(db: &DatabaseConnection, file: &Path) -> Result<()> {
    if db.get_database_backend() != DbBackend::Sqlite {
        return Err(StoreError::invalid(OTHER_TOOL));
    }
    let shown = file.display();
    if file.exists() {
        return Err(StoreError::invalid(format!("{shown} is there already; name a new file")));
    }
    // Under another name until it is whole and on the disk: a copy that was cut off is never taken
    // for one. SQLite itself does not wait for the disk here.
    let part = part_of(file);
    let name = part.to_str().ok_or_else(|| StoreError::invalid("the name of the file is not UTF-8"))?;
    if part.exists() {
        return Err(StoreError::invalid(format!(
            "{name} is left from a copy that was cut off; remove it first"
        )));
    }
    let written = match run(db, "VACUUM INTO $1", [name.into()]).await {
        Ok(_) => keep(&part, file),
        Err(error) => Err(error),
    };
    if written.is_err() {
        // What is left of it is of no use; that it cannot be removed is no further news.
        let _ = std::fs::remove_file(&part);
    }
    written
}

fn part_of(file: &Path) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(".part");
    name.into()
}

fn keep(part: &Path, file: &Path) -> Result<()> {
    let failed = |error: std::io::Error| {
        let kind = if error.kind() == std::io::ErrorKind::StorageFull {
            ErrorKind::Full
        } else {
            ErrorKind::Unavailable
        };
        StoreError::new(kind, format!("{} cannot be written", file.display())).because(error.to_string())
    };
    File::open(part).and_then(|copy| copy.sync_all()).map_err(failed)?;
    std::fs::rename(part, file).map_err(failed)?;
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    File::open(folder).and_then(|folder| folder.sync_all()).map_err(failed)
}

//! A copy of the database while the hub goes on.

use crate::database::{Store, run};
use crate::error::{Result, StoreError};
use sea_orm::DbBackend;
use std::path::Path;

impl Store {
    /// Writes a whole copy of the database, as it is at one moment, to a file that is not there yet.
    /// Readers and writers go on meanwhile.
    ///
    /// # Errors
    /// `Invalid` where the file is there already, its name is not UTF-8, or the database is PostgreSQL,
    /// which has a tool of its own for it; `Full` where there is no space.
    pub async fn backup_to(&self, file: &Path) -> Result<()> {
        if self.backend() != DbBackend::Sqlite {
            return Err(StoreError::invalid("a PostgreSQL database is backed up with pg_dump"));
        }
        let name = file.to_str().ok_or_else(|| StoreError::invalid("the name of the file is not UTF-8"))?;
        if file.exists() {
            return Err(StoreError::invalid(format!("{name} is there already; name a new file")));
        }
        run(self.db(), "VACUUM INTO $1", [name.into()]).await?;
        Ok(())
    }
}

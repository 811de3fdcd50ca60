//! What every command that needs the database shares.

use chrono::{DateTime, Utc};
use clap::Args;
use haulout_store::{By, Clock, Role, Store, StoreError, StoreOptions};
use std::future::Future;
use std::path::Path;

use super::Failure;

/// The database that a command works on.
#[derive(Debug, Clone, Args)]
pub struct Database {
    /// `sqlite://PATH?mode=rwc` or `postgres://USER@HOST/NAME`.
    #[arg(
        long,
        value_name = "URL",
        env = "HAULOUT_DATABASE",
        default_value = "sqlite://haulout.db?mode=rwc",
        hide_env_values = true
    )]
    pub database: String,
}

impl Database {
    /// Opens it; tables are made or brought up to date.
    ///
    /// # Errors
    /// When it cannot be reached or is not ours.
    pub async fn open(&self, clock: Clock) -> Result<Store, Failure> {
        Ok(Store::open(&StoreOptions { clock, ..StoreOptions::new(self.database.as_str()) }).await?)
    }
}

/// Steps taken on the command line are the operator's.
pub fn by_operator() -> By {
    By { role: Role::Operator, party_id: None, recorded_by: Some("command-line".to_owned()) }
}

/// Runs asynchronous work to its end.
///
/// # Errors
/// Those of the work, and when the machine gives no threads.
pub fn block_on<T>(work: impl Future<Output = Result<T, Failure>>) -> Result<T, Failure> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|error| Failure::new("cannot start").because(error))?;
    runtime.block_on(work)
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        let failure = Self::new(error.to_string());
        match error.inner() {
            Some(inner) => failure.because(inner),
            None => failure,
        }
    }
}

/// Reads a small text file.
///
/// # Errors
/// When it cannot be read.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(path)
        .map_err(|error| Failure::new(format!("cannot read {}", path.display())).because(error))
}

/// An RFC 3339 instant as a stamp.
///
/// # Errors
/// When the text is none.
pub fn stamp(text: &str) -> Result<i64, Failure> {
    DateTime::parse_from_rfc3339(text)
        .map(|instant| instant.with_timezone(&Utc).timestamp_micros())
        .map_err(|_| Failure::new(format!("`{text}` is no instant; write 2026-10-01T00:00:00+05:30")))
}

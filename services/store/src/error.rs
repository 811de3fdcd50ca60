//! What can go wrong in the store: an outer message for the caller, an inner one for the log.

use sea_orm::{DbErr, RuntimeErr};
use serde_json::Value;
use std::fmt;

/// What kind of failure it is; it decides the status of an answer and whether a retry helps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorKind {
    /// The database is busy, locked, away or read-only for now: try again (503).
    Unavailable,
    /// There is no space left to write into: reads go on (507).
    Full,
    /// Somebody else was faster, or the state does not allow it (409).
    Conflict,
    /// There is nothing of that name, or nothing that the caller may see (404).
    NotFound,
    /// What was asked for is not possible as asked (422).
    Invalid,
    /// The data was made by other rules or another release (exit 2).
    OtherRules,
    /// The project's own fault (500).
    Bug,
}

/// A failure. `Display` gives the outer message; [`StoreError::inner`] is for the log alone.
#[derive(Debug)]
pub struct StoreError {
    kind: ErrorKind,
    outer: String,
    inner: Option<String>,
    detail: Option<Box<Value>>,
}

/// The usual result.
pub type Result<T> = std::result::Result<T, StoreError>;

impl StoreError {
    pub(crate) fn new(kind: ErrorKind, outer: impl Into<String>) -> Self {
        Self { kind, outer: outer.into(), inner: None, detail: None }
    }

    /// Somebody else was faster, or the state does not allow it.
    pub fn conflict(outer: impl Into<String>) -> Self {
        Self::new(ErrorKind::Conflict, outer)
    }

    /// There is nothing of that name.
    pub fn not_found(outer: impl Into<String>) -> Self {
        Self::new(ErrorKind::NotFound, outer)
    }

    /// Not possible as asked.
    pub fn invalid(outer: impl Into<String>) -> Self {
        Self::new(ErrorKind::Invalid, outer)
    }

    /// The data was made by other rules or another release.
    pub fn other_rules(outer: impl Into<String>) -> Self {
        Self::new(ErrorKind::OtherRules, outer)
    }

    pub(crate) fn unavailable(inner: impl Into<String>) -> Self {
        Self::new(ErrorKind::Unavailable, "the hub cannot reach its database just now; try again shortly")
            .because(inner)
    }

    pub(crate) fn bug(inner: impl fmt::Display) -> Self {
        Self::new(ErrorKind::Bug, "the hub failed; the fault is ours and has been noted")
            .because(inner.to_string())
    }

    pub(crate) fn because(mut self, inner: impl Into<String>) -> Self {
        self.inner = Some(inner.into());
        self
    }

    /// The same with something for the caller's machine to read.
    #[must_use]
    pub fn with_detail(mut self, detail: Value) -> Self {
        self.detail = Some(Box::new(detail));
        self
    }

    /// What kind of failure it is.
    pub const fn kind(&self) -> ErrorKind {
        self.kind
    }

    /// For the log: what the database or the code said. Never shown to a caller.
    pub fn inner(&self) -> Option<&str> {
        self.inner.as_deref()
    }

    /// For the caller's machine.
    pub fn detail(&self) -> Option<&Value> {
        self.detail.as_deref()
    }
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.outer)
    }
}

impl std::error::Error for StoreError {}

/// SQLite: busy, locked, snapshot gone, input/output, cannot open, read-only (primary codes).
const SQLITE_PASSING: [i64; 5] = [5, 6, 10, 14, 8];
/// SQLite: disk full.
const SQLITE_FULL: i64 = 13;
/// PostgreSQL: serialisation failure, deadlock, lock not available, shutting down, starting up, too
/// many connections, read-only, time-out (SQLSTATE).
const POSTGRES_PASSING: [&str; 9] =
    ["40001", "40P01", "55P03", "57P01", "57P02", "57P03", "53300", "25006", "57014"];

impl From<DbErr> for StoreError {
    fn from(error: DbErr) -> Self {
        let inner = error.to_string();
        let driver = match &error {
            DbErr::ConnectionAcquire(_) => return Self::unavailable(inner),
            DbErr::Conn(RuntimeErr::SqlxError(driver))
            | DbErr::Exec(RuntimeErr::SqlxError(driver))
            | DbErr::Query(RuntimeErr::SqlxError(driver)) => driver,
            DbErr::Conn(_) => return Self::unavailable(inner),
            _ => return Self::bug(inner),
        };
        use sea_orm::SqlxError;
        match &**driver {
            SqlxError::Io(_) | SqlxError::PoolTimedOut | SqlxError::PoolClosed | SqlxError::WorkerCrashed => {
                Self::unavailable(inner)
            }
            SqlxError::Database(database) => {
                let code = database.code().unwrap_or_default();
                let primary = code.parse::<i64>().ok().map(|number| number & 0xff);
                if code == "53100" || (code.len() < 5 && primary == Some(SQLITE_FULL)) {
                    Self::new(ErrorKind::Full, "the hub has no space left to write; reading goes on")
                        .because(inner)
                } else if POSTGRES_PASSING.contains(&&*code)
                    || code.starts_with("08")
                    || (code.len() < 5 && primary.is_some_and(|primary| SQLITE_PASSING.contains(&primary)))
                {
                    Self::unavailable(inner)
                } else {
                    Self::bug(inner)
                }
            }
            _ => Self::bug(inner),
        }
    }
}

impl From<serde_json::Error> for StoreError {
    fn from(error: serde_json::Error) -> Self {
        Self::bug(format!("JSON: {error}"))
    }
}

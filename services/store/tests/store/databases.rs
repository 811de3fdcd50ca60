//! A fresh database for each scenario.

use haulout_store::{Clock, Store, StoreOptions};
use std::future::Future;
use std::pin::Pin;
use std::sync::atomic::{AtomicU32, Ordering};
use tempfile::TempDir;

/// Where fresh databases come from.
pub trait Databases: Sync {
    /// The address of a database that nobody has used.
    fn fresh<'a>(&'a self) -> Pin<Box<dyn Future<Output = String> + Send + 'a>>;
}

/// Files in a folder of their own.
pub struct Sqlite {
    folder: TempDir,
    made: AtomicU32,
}

impl Default for Sqlite {
    fn default() -> Self {
        Self { folder: tempfile::tempdir().unwrap(), made: AtomicU32::new(0) }
    }
}

impl Databases for Sqlite {
    fn fresh<'a>(&'a self) -> Pin<Box<dyn Future<Output = String> + Send + 'a>> {
        let number = self.made.fetch_add(1, Ordering::Relaxed);
        let path = self.folder.path().join(format!("{number}.db"));
        Box::pin(async move { format!("sqlite://{}?mode=rwc", path.display()) })
    }
}

/// Opens a store with a demonstration's calendar, standing at an instant.
pub async fn demo_store(url: &str, start: &str) -> Store {
    let start = haulout_store::clock::instant_of(start);
    assert!(start.is_some(), "the start is an instant");
    let options = StoreOptions { clock: Clock::Demo { start }, ..StoreOptions::new(url) };
    Store::open(&options).await.unwrap()
}

/// A fresh store that goes by the machine's calendar.
pub async fn store(databases: &dyn Databases) -> Store {
    Store::open(&StoreOptions::new(databases.fresh().await)).await.unwrap()
}

/// Runs a statement behind the store's back.
pub async fn meddle(url: &str, sql: &str) {
    use sea_orm::ConnectionTrait;
    let db = sea_orm::Database::connect(url).await.unwrap();
    db.execute_unprepared(sql).await.unwrap();
    db.close().await.unwrap();
}

//! Opening the database, the one lock, and how statements are run on either database.

use crate::clock::{Clock, machine_now};
use crate::configuration::Configuration;
use crate::effective::RecordCache;
use crate::error::{ErrorKind, Result, StoreError};
use crate::findings::PastFindings;
use crate::reservations::GroundCache;
use haulout_migrations::{Migrator, MigratorTrait};
use haulout_reckoning::Micros;
use sea_orm::{
    ConnectOptions, ConnectionTrait, Database, DatabaseConnection, DatabaseTransaction, DbBackend,
    QueryResult, SqliteTransactionMode, Statement, TransactionOptions, TransactionTrait, Value,
};
use std::sync::{Arc, RwLock};
use std::time::Duration;
use tokio::sync::{Mutex, OwnedMutexGuard, Semaphore};

/// How long a writer waits for the lock, and SQLite for another process.
const PATIENCE: Duration = Duration::from_secs(20);
/// Key of the advisory lock on PostgreSQL, shared by all hubs of one database: "haulout" in ASCII.
const LOCK: i64 = 0x0068_6175_6c6f_7574;
/// First `previous` of every chain.
pub(crate) const NO_LINK: [u8; 32] = [0; 32];

/// How to open a store.
#[derive(Clone, Debug)]
pub struct StoreOptions {
    /// `sqlite://PATH?mode=rwc` or `postgres://…`.
    pub url: String,
    /// The calendar of a new database. A database that has one keeps it: [`Clock::Demo`] on a
    /// database with the machine's calendar is refused.
    pub clock: Clock,
    /// Connections at most; one writes at a time whatever the number.
    pub connections: u32,
}

impl StoreOptions {
    /// A database with the machine's calendar.
    pub fn new(url: impl Into<String>) -> Self {
        Self { url: url.into(), clock: Clock::Real, connections: 8 }
    }
}

/// Journal, projections, people. Cheap to clone.
#[derive(Clone)]
pub struct Store {
    pub(crate) inner: Arc<Inner>,
}

pub(crate) struct Inner {
    pub(crate) db: DatabaseConnection,
    /// What is written under the lock. SQLite has one writer: one connection then holds the pages and
    /// the long prepared statements that eight would hold eight times.
    writing: DatabaseConnection,
    /// What can be worked out or sent again, and need not be on the disk before the answer. SQLite
    /// writes it through with the next record: a power cut may take it, and never parts of it.
    aside: DatabaseConnection,
    writer: Arc<Mutex<()>>,
    demonstration: bool,
    pub(crate) configuration: RwLock<Arc<Configuration>>,
    pub(crate) records: RecordCache,
    pub(crate) past_findings: PastFindings,
    /// What room rests on and no act changes, as last read.
    pub(crate) ground: GroundCache,
    /// Password hashing is dear by design: few at a time.
    pub(crate) hashing: Semaphore,
    /// Names this process where it takes work over.
    pub(crate) process: String,
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Store").field("backend", &self.backend()).finish_non_exhaustive()
    }
}

/// Where the journal stands.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct HubState {
    pub last_known_from: Micros,
    pub last_feed: i64,
    pub act_sequence: i64,
    pub act_link: [u8; 32],
    pub configuration: i64,
    pub demo_now: Option<Micros>,
    pub projected_by: String,
}

impl HubState {
    /// The next stamp: the hub's time, or a microsecond after the newest.
    pub fn stamp(&mut self) -> Micros {
        let now = self.demo_now.unwrap_or_else(machine_now);
        self.last_known_from = now.max(self.last_known_from + 1);
        self.last_known_from
    }
}

/// A write transaction under the one lock. Dropped without a commit, it leaves nothing behind.
pub(crate) struct Locked {
    pub tx: DatabaseTransaction,
    pub state: HubState,
    _writer: OwnedMutexGuard<()>,
}

impl Locked {
    /// The hub's time.
    pub fn now(&self) -> Micros {
        self.state.demo_now.unwrap_or_else(machine_now)
    }

    /// Writes where the journal stands now, and commits.
    pub async fn commit(self) -> Result<()> {
        let state = &self.state;
        run(
            &self.tx,
            "UPDATE hub_state SET last_known_from = $1, last_feed = $2, act_sequence = $3, act_link = $4, \
             configuration = $5, projected_by = $6 WHERE one = 1",
            [
                state.last_known_from.into(),
                state.last_feed.into(),
                state.act_sequence.into(),
                state.act_link.to_vec().into(),
                state.configuration.into(),
                state.projected_by.as_str().into(),
            ],
        )
        .await?;
        self.commit_unchanged().await
    }

    /// Commits a transaction that gave no stamp.
    pub async fn commit_unchanged(self) -> Result<()> {
        Ok(self.tx.commit().await?)
    }
}

/// A write transaction beside the journal: it takes no stamp and does not wait for other hubs.
pub(crate) struct Aside {
    pub tx: DatabaseTransaction,
    _writer: Option<OwnedMutexGuard<()>>,
}

impl Aside {
    /// Commits it.
    pub async fn commit(self) -> Result<()> {
        Ok(self.tx.commit().await?)
    }
}

impl Store {
    /// Opens the database, makes or brings up to date its tables, and reads the region in force.
    ///
    /// # Errors
    /// `Unavailable` when it cannot be reached, `Invalid` for an address of neither database or a
    /// calendar that the database does not go by.
    pub async fn open(options: &StoreOptions) -> Result<Self> {
        let db = connect(options, Use::Any(options.connections.max(2))).await?;
        let (writing, aside) = match db.get_database_backend() {
            DbBackend::Sqlite => (connect(options, Use::Journal).await?, connect(options, Use::Aside).await?),
            _ => (db.clone(), db.clone()),
        };
        let demonstration = prepare(&db, options.clock).await?;
        let parallel = std::thread::available_parallelism().map_or(1, usize::from);
        let store = Self {
            inner: Arc::new(Inner {
                db,
                writing,
                aside,
                writer: Arc::new(Mutex::new(())),
                demonstration,
                configuration: RwLock::new(Arc::new(Configuration::none())),
                records: RecordCache::default(),
                past_findings: PastFindings::default(),
                ground: GroundCache::default(),
                hashing: Semaphore::new(parallel),
                process: crate::secret::random_name()?,
            }),
        };
        store.configuration().await?;
        if store.state().await?.projected_by != crate::rebuild::projection_rules() {
            tracing::info!("the projections were made by other rules: making them anew");
            store.rebuild().await?;
        }
        Ok(store)
    }

    /// Whether the calendar is a demonstration's: marked on every page and statement.
    pub fn is_demonstration(&self) -> bool {
        self.inner.demonstration
    }

    /// Closes the connections; a running write ends first.
    ///
    /// # Errors
    /// When the database refuses to let go.
    pub async fn close(&self) -> Result<()> {
        let _writer = self.inner.writer.lock().await;
        self.inner.writing.close_by_ref().await?;
        self.inner.aside.close_by_ref().await?;
        Ok(self.inner.db.close_by_ref().await?)
    }

    /// Whether the database answers: for readiness.
    ///
    /// # Errors
    /// `Unavailable` when it does not.
    pub async fn ping(&self) -> Result<()> {
        self.state().await.map(|_| ())
    }

    /// `sqlite` or `postgres`.
    pub fn database_name(&self) -> &'static str {
        if self.backend() == DbBackend::Postgres { "postgres" } else { "sqlite" }
    }

    pub(crate) fn backend(&self) -> DbBackend {
        self.inner.db.get_database_backend()
    }

    pub(crate) fn db(&self) -> &DatabaseConnection {
        &self.inner.db
    }

    pub(crate) async fn state(&self) -> Result<HubState> {
        read_state(self.db()).await
    }

    /// Waits for the lock and begins a write transaction.
    pub(crate) async fn lock(&self) -> Result<Locked> {
        let writer = self.writer().await?;
        let tx = begin(&self.inner.writing).await?;
        let state = read_state(&tx).await?;
        Ok(Locked { tx, state, _writer: writer })
    }

    /// The same for what is worked out from the journal: it need not be on the disk at once.
    pub(crate) async fn lock_aside(&self) -> Result<Locked> {
        let writer = self.writer().await?;
        let tx = begin(&self.inner.aside).await?;
        need_not_wait(&tx).await?;
        let state = read_state(&tx).await?;
        Ok(Locked { tx, state, _writer: writer })
    }

    /// Begins a write transaction beside the journal, whose loss in a power cut breaks no promise.
    /// SQLite has one writer, and a second one would find out by sleeping whether the first is done:
    /// there it queues.
    pub(crate) async fn write_aside(&self) -> Result<Aside> {
        let writer = if self.backend() == DbBackend::Sqlite { Some(self.writer().await?) } else { None };
        let options = TransactionOptions {
            sqlite_transaction_mode: Some(SqliteTransactionMode::Immediate),
            ..Default::default()
        };
        let tx = self.inner.aside.begin_with_options(options).await?;
        need_not_wait(&tx).await?;
        Ok(Aside { tx, _writer: writer })
    }

    async fn writer(&self) -> Result<OwnedMutexGuard<()>> {
        tokio::time::timeout(PATIENCE, Arc::clone(&self.inner.writer).lock_owned())
            .await
            .map_err(|_| StoreError::unavailable("the writer's lock was not free in time"))
    }

    /// Begins a read that sees one state throughout.
    pub(crate) async fn snapshot(&self) -> Result<DatabaseTransaction> {
        let options = TransactionOptions {
            isolation_level: (self.backend() == DbBackend::Postgres)
                .then_some(sea_orm::IsolationLevel::RepeatableRead),
            sqlite_transaction_mode: Some(SqliteTransactionMode::Deferred),
            ..Default::default()
        };
        Ok(self.db().begin_with_options(options).await?)
    }
}

async fn begin(db: &DatabaseConnection) -> Result<DatabaseTransaction> {
    let options = TransactionOptions {
        sqlite_transaction_mode: Some(SqliteTransactionMode::Immediate),
        ..Default::default()
    };
    let tx = db.begin_with_options(options).await?;
    if db.get_database_backend() == DbBackend::Postgres {
        // Under the lock everything is looked up by key. A young table, or one that grows within the
        // transaction, has no statistics, and the planner would read it whole for every look-up.
        let by_key = "SELECT set_config('enable_seqscan', 'off', true), set_config('enable_hashjoin', 'off', true), \
                      set_config('enable_mergejoin', 'off', true), pg_advisory_xact_lock($1)";
        run(&tx, by_key, [LOCK.into()]).await?;
    }
    Ok(tx)
}

/// Does not wait for the disk at the end of the transaction. SQLite's connection is made so.
async fn need_not_wait(tx: &DatabaseTransaction) -> Result<()> {
    if tx.get_database_backend() == DbBackend::Postgres {
        run(tx, "SET LOCAL synchronous_commit = off", []).await?;
    }
    Ok(())
}

/// What connections are for.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Use {
    /// Anything, with so many.
    Any(u32),
    /// Writing the journal: many pages at once, through to the disk.
    Journal,
    /// Writing what can be had again.
    Aside,
}

pub(crate) async fn connect(options: &StoreOptions, usage: Use) -> Result<DatabaseConnection> {
    let sqlite = options.url.starts_with("sqlite:");
    if !sqlite && !options.url.starts_with("postgres:") && !options.url.starts_with("postgresql:") {
        return Err(StoreError::invalid(
            "the database address begins with neither sqlite: nor postgres:; write sqlite://PATH?mode=rwc or postgres://USER@HOST/NAME",
        ));
    }
    let mut connecting = ConnectOptions::new(options.url.as_str());
    connecting
        .max_connections(if let Use::Any(connections) = usage { connections } else { 1 })
        .acquire_timeout(PATIENCE)
        .connect_timeout(PATIENCE)
        .sqlx_logging(false)
        .record_stmt_in_spans(false)
        // A ping before every use costs a round trip; a broken connection is met by the retry instead.
        .test_before_acquire(!sqlite);
    // Whoever writes works on many pages at once.
    let cache = if usage == Use::Journal { "-8000" } else { "-4000" };
    let synchronous = if usage == Use::Aside { "NORMAL" } else { "FULL" };
    connecting.map_sqlx_sqlite_opts(move |sqlite| {
        sqlite
            .pragma("journal_mode", "WAL")
            .pragma("synchronous", synchronous)
            .pragma("foreign_keys", "ON")
            // A submission of 2,000 lines is about 1,000 pages: fewer, longer checkpoints.
            .pragma("wal_autocheckpoint", "4000")
            .pragma("cache_size", cache)
            .pragma("temp_store", "MEMORY")
            .busy_timeout(PATIENCE)
    });
    connecting.map_sqlx_postgres_opts(|postgres| postgres.options([("synchronous_commit", "on")]));
    Ok(Database::connect(connecting).await?)
}

/// Tables, the first row of the state, and the calendar; one transaction under the lock, so that a
/// start that dies half-way or two starts at once do no harm.
async fn prepare(db: &DatabaseConnection, clock: Clock) -> Result<bool> {
    let tx = begin(db).await?;
    Migrator::up(&tx, None).await?;
    let demo_now = match clock {
        Clock::Real => None,
        Clock::Demo { start } => Some(start.unwrap_or_else(machine_now)),
    };
    run(
        &tx,
        "INSERT INTO hub_state (one, last_known_from, last_feed, act_sequence, act_link, configuration, demo_now, \
         projected_by) VALUES (1, 0, 0, 0, $1, 0, $2, $3) ON CONFLICT (one) DO NOTHING",
        [NO_LINK.to_vec().into(), demo_now.into(), crate::rebuild::projection_rules().into()],
    )
    .await?;
    let state = read_state(&tx).await?;
    if demo_now.is_some() && state.demo_now.is_none() {
        return Err(StoreError::new(
            ErrorKind::Invalid,
            "this database goes by the machine's calendar; --demo-clock works only in a database made with it",
        ));
    }
    tx.commit().await?;
    Ok(state.demo_now.is_some())
}

pub(crate) async fn read_state(on: &impl ConnectionTrait) -> Result<HubState> {
    let row = row(on, "SELECT * FROM hub_state WHERE one = 1", [])
        .await?
        .ok_or_else(|| StoreError::bug("the state of the hub is missing"))?;
    Ok(HubState {
        last_known_from: row.try_get("", "last_known_from")?,
        last_feed: row.try_get("", "last_feed")?,
        act_sequence: row.try_get("", "act_sequence")?,
        act_link: digest_of(&row, "act_link")?,
        configuration: row.try_get("", "configuration")?,
        demo_now: row.try_get("", "demo_now")?,
        projected_by: row.try_get("", "projected_by")?,
    })
}

/// Runs a statement and says how many rows it changed. `$1`, `$2`, … on both databases.
pub(crate) async fn run<const N: usize>(
    on: &impl ConnectionTrait,
    sql: &str,
    values: [Value; N],
) -> Result<u64> {
    run_with(on, sql.to_owned(), values.to_vec()).await
}

/// [`run`] with as many values as there happen to be.
pub(crate) async fn run_with(on: &impl ConnectionTrait, sql: String, values: Vec<Value>) -> Result<u64> {
    let statement = Statement::from_sql_and_values(on.get_database_backend(), sql, values);
    Ok(on.execute_raw(statement).await?.rows_affected())
}

/// All rows of a query.
pub(crate) async fn rows(
    on: &impl ConnectionTrait,
    sql: impl Into<String>,
    values: Vec<Value>,
) -> Result<Vec<QueryResult>> {
    let statement = Statement::from_sql_and_values(on.get_database_backend(), sql, values);
    Ok(on.query_all_raw(statement).await?)
}

/// The only row of a query, where there is one.
pub(crate) async fn row<const N: usize>(
    on: &impl ConnectionTrait,
    sql: &str,
    values: [Value; N],
) -> Result<Option<QueryResult>> {
    let statement = Statement::from_sql_and_values(on.get_database_backend(), sql, values);
    Ok(on.query_one_raw(statement).await?)
}

/// All rows of a query as one JSON text of arrays, `columns` of the query `from` in their order. A row
/// that comes by itself costs more than what is in it; for thousands of narrow rows this is far less.
pub(crate) async fn rows_as_text(
    on: &impl ConnectionTrait,
    columns: &str,
    from: &str,
    values: Vec<Value>,
) -> Result<String> {
    let all = if on.get_database_backend() == DbBackend::Postgres {
        format!("CAST(json_agg(json_build_array({columns})) AS TEXT)")
    } else {
        format!("json_group_array(json_array({columns}))")
    };
    let found = rows(on, format!("SELECT {all} FROM ({from}) AS told"), values).await?;
    let text = found.first().map(|row| row.try_get_by_index::<Option<String>>(0)).transpose()?;
    Ok(text.flatten().unwrap_or_else(|| "[]".to_owned()))
}

/// A digest column.
pub(crate) fn digest_of(row: &QueryResult, column: &str) -> Result<[u8; 32]> {
    let bytes: Vec<u8> = row.try_get("", column)?;
    bytes.try_into().map_err(|_| StoreError::bug(format!("{column}: not a SHA-256")))
}

/// `IN (…)` over one bound JSON array of texts, so that a long list is one value. PostgreSQL is given
/// an array: it then goes down the index once for each text, whatever it guesses of their number.
pub(crate) fn among_texts(backend: DbBackend, bind: usize) -> String {
    if backend == DbBackend::Postgres {
        format!("= ANY(ARRAY(SELECT json_array_elements_text(${bind}::json)))")
    } else {
        format!("IN (SELECT value FROM json_each(${bind}))")
    }
}

/// The same over numbers.
pub(crate) fn among_numbers(backend: DbBackend, bind: usize) -> String {
    if backend == DbBackend::Postgres {
        format!("= ANY(ARRAY(SELECT json_array_elements_text(${bind}::json)::bigint))")
    } else {
        format!("IN (SELECT value FROM json_each(${bind}))")
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// A receipt is a promise: what is sealed survives a power cut.
    #[tokio::test]
    async fn sqlite_writes_through() {
        let folder = tempfile::tempdir().unwrap();
        let url = format!("sqlite://{}?mode=rwc", folder.path().join("a.db").display());
        let store = Store::open(&StoreOptions::new(url)).await.unwrap();
        for (pragma, expected) in [("synchronous", 2_i64), ("foreign_keys", 1)] {
            let found = row(store.db(), &format!("PRAGMA {pragma}"), []).await.unwrap().unwrap();
            assert_eq!(found.try_get_by_index::<i64>(0).unwrap(), expected, "{pragma}");
        }
        let found = row(store.db(), "PRAGMA journal_mode", []).await.unwrap().unwrap();
        assert_eq!(found.try_get_by_index::<String>(0).unwrap(), "wal");
    }
}

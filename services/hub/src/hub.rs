//! What every handler may reach.

use chrono::NaiveDate;
use haulout_checking::{Checker, SchemaFault, Settings};
use haulout_store::{Store, StoreError, clock};
use rayon::{ThreadPool, ThreadPoolBuildError, ThreadPoolBuilder};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use tokio::runtime::Handle;
use tokio::sync::{Notify, Semaphore};

use crate::checks::CheckPool;
use crate::reservations::views::Views;
use crate::sessions::Throttle;
use crate::web::metrics::Metrics;
use crate::web::{Problem, limits};

/// The hub at work.
pub struct Hub {
    /// Journal, projections, people.
    pub store: Store,
    /// The checker, the same for checks and submissions.
    pub checker: Checker,
    /// The share of the machine for checks without an account.
    pub checks: CheckPool,
    /// Submissions that may run at once.
    pub submissions: Arc<Semaphore>,
    /// Plans that may be made at once.
    pub plans: Semaphore,
    /// Wakes the worker when a submission waits.
    pub waiting: Notify,
    /// Set before the end: background work is left for later.
    pub stopping: Arc<AtomicBool>,
    /// The runtime on which work outlives the connection that asked for it.
    pub handle: Handle,
    /// Slows the guessing of passwords down.
    pub throttle: Throttle,
    /// What it counts about itself.
    pub metrics: Metrics,
    /// The region's view as it was last assembled.
    pub views: Views,
    /// Who answers where an animal may go: their own threads, so that nobody who asks for one waits for
    /// the files of a night.
    pub answering: Arc<ThreadPool>,
}

/// The hub could not start.
#[derive(Debug, thiserror::Error)]
pub enum StartError {
    /// A published schema is at fault.
    #[error("the checker cannot start: {0}")]
    Checker(#[from] SchemaFault),
    /// A pool has no thread.
    #[error("threads of the hub cannot start: {0}")]
    Pool(#[from] ThreadPoolBuildError),
    /// The store cannot be opened.
    #[error("{0}")]
    Store(#[from] StoreError),
}

impl Hub {
    /// A hub on an open store, on the runtime that it is made in.
    ///
    /// # Errors
    /// [`StartError`].
    pub fn new(store: Store) -> Result<Self, StartError> {
        let answering = Arc::new(ThreadPoolBuilder::new().thread_name(|_| "answer".to_owned()).build()?);
        Ok(Self {
            store,
            checker: Checker::new(Settings::default())?,
            checks: CheckPool::new()?,
            submissions: Arc::new(Semaphore::new(limits::SUBMISSIONS_AT_ONCE)),
            plans: Semaphore::new(limits::PLANS_AT_ONCE),
            waiting: Notify::new(),
            stopping: Arc::default(),
            handle: Handle::current(),
            throttle: Throttle::default(),
            metrics: Metrics::default(),
            views: Views::new(&answering),
            answering,
        })
    }

    /// The day in the region's time zone.
    ///
    /// # Errors
    /// A problem where the hub's clock cannot be read.
    pub async fn today(&self) -> Result<NaiveDate, Problem> {
        let zone = self.store.configuration().await?.zone();
        Ok(clock::day_of(self.store.now().await?, zone))
    }

    /// What the rules of single records may know here: the day and the names in force.
    ///
    /// # Errors
    /// A problem where the hub's clock cannot be read.
    pub async fn settings(&self) -> Result<Settings, Problem> {
        let configuration = self.store.configuration().await?;
        Ok(Settings { today: Some(self.today().await?), names: Some(Arc::clone(&configuration.names)) })
    }
}

//! The share of the machine that checks without an account may take.

use rayon::{ThreadPool, ThreadPoolBuildError, ThreadPoolBuilder};
use std::sync::Arc;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::web::{Problem, codes, limits};

/// A pool of its own, so that strangers' files never slow a centre's night down.
#[derive(Clone)]
pub struct CheckPool {
    threads: Arc<ThreadPool>,
    running: Arc<Semaphore>,
    places: Arc<Semaphore>,
}

/// A place in the queue; it is given back when dropped.
pub struct Place {
    pool: CheckPool,
    _place: OwnedSemaphorePermit,
}

impl CheckPool {
    /// Makes the pool.
    ///
    /// # Errors
    /// When its thread cannot be started.
    pub fn new() -> Result<Self, ThreadPoolBuildError> {
        Ok(Self {
            threads: Arc::new(
                ThreadPoolBuilder::new().num_threads(1).thread_name(|_| "check".to_owned()).build()?,
            ),
            running: Arc::new(Semaphore::new(limits::CHECKS_AT_ONCE)),
            places: Arc::new(Semaphore::new(limits::CHECKS_AT_ONCE + limits::CHECKS_WAITING)),
        })
    }

    /// Takes a place in the queue before a byte of the body is read.
    ///
    /// # Errors
    /// A problem where the queue is full.
    pub fn place(&self) -> Result<Place, Problem> {
        let place = Arc::clone(&self.places).try_acquire_owned().map_err(|_| {
            Problem::new(
                &codes::BUSY,
                "too many checks are waiting; the same check can be made offline with `haulout check`",
            )
        })?;
        Ok(Place { pool: self.clone(), _place: place })
    }
}

impl Place {
    /// Does the work when it is its turn.
    ///
    /// # Errors
    /// A problem where the work broke down.
    pub async fn run<T: Send + 'static>(
        self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, Problem> {
        let failed = |said: String| Problem::new(&codes::INTERNAL, "the check broke down").because(said);
        let turn = Arc::clone(&self.pool.running)
            .acquire_owned()
            .await
            .map_err(|error| failed(error.to_string()))?;
        let threads = Arc::clone(&self.pool.threads);
        let done = tokio::task::spawn_blocking(move || {
            let _turn = turn;
            threads.install(work)
        });
        done.await.map_err(|error| failed(error.to_string()))
    }
}

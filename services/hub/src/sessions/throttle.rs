//! Slows guessing down: after a few failures a login must wait, longer each time, never for ever.

use actix_web::http::header::RETRY_AFTER;
use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::web::{Problem, codes};

/// Failures that cost nothing.
const FREE: u32 = 5;
/// The longest wait: a guesser gets a hundred tries a day, and whoever owns the login is back soon.
const LONGEST: Duration = Duration::from_secs(900);
/// Logins remembered at most.
const REMEMBERED: usize = 10_000;

#[derive(Debug, Clone, Copy)]
struct Failures {
    count: u32,
    last: Instant,
}

impl Failures {
    fn wait(self) -> Duration {
        let doublings = self.count.saturating_sub(FREE).min(10);
        if self.count < FREE { Duration::ZERO } else { Duration::from_secs(1 << doublings).min(LONGEST) }
    }
}

/// Failures of late, by login.
#[derive(Debug, Default)]
pub struct Throttle(Mutex<HashMap<String, Failures>>);

impl Throttle {
    /// Whether the login may be tried now.
    ///
    /// # Errors
    /// A problem that says how long to wait.
    pub fn may_try(&self, login: &str) -> Result<(), Problem> {
        let failures = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(failures) = failures.get(login) else { return Ok(()) };
        let left = failures.wait().saturating_sub(failures.last.elapsed());
        if left.is_zero() {
            return Ok(());
        }
        let seconds = left.as_secs() + 1;
        Err(Problem::new(
            &codes::TOO_MANY_REQUESTS,
            format!("this login was tried too often; wait {seconds} s"),
        )
        .with_header(RETRY_AFTER, seconds.to_string()))
    }

    /// Remembers a failure.
    pub fn failed(&self, login: &str) {
        let mut failures = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if failures.len() >= REMEMBERED {
            failures.retain(|_, failures| failures.last.elapsed() < LONGEST);
        }
        let entry = failures.entry(login.to_owned()).or_insert(Failures { count: 0, last: Instant::now() });
        *entry = Failures { count: entry.count.saturating_add(1), last: Instant::now() };
    }

    /// Forgets the failures of a login.
    pub fn succeeded(&self, login: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(login);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn waits_grow_and_end() {
        let wait = |count| Failures { count, last: Instant::now() }.wait().as_secs();
        assert_eq!([0, 4, 5, 6, 8, 100].map(wait), [0, 0, 1, 2, 8, 900]);
        let throttle = Throttle::default();
        (0..FREE).for_each(|_| throttle.failed("night.desk"));
        assert_eq!(throttle.may_try("night.desk").unwrap_err().code(), &codes::TOO_MANY_REQUESTS);
        assert!(throttle.may_try("day.desk").is_ok());
        throttle.succeeded("night.desk");
        assert!(throttle.may_try("night.desk").is_ok());
    }
}

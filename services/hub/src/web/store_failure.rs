//! What the store could not do, told as a problem. Its outer message is the caller's, its inner
//! one the log's.

use haulout_store::{ErrorKind, StoreError};

use super::codes;
use super::problem::Problem;

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let code = match error.kind() {
            ErrorKind::Unavailable => &codes::UNAVAILABLE,
            ErrorKind::Full => &codes::STORAGE_FULL,
            ErrorKind::Conflict => &codes::STATE_CONFLICT,
            ErrorKind::NotFound => &codes::NOT_FOUND,
            ErrorKind::Invalid => &codes::BAD_VALUE,
            ErrorKind::OtherRules | ErrorKind::Bug => &codes::INTERNAL,
        };
        let problem = Self::new(code, error.to_string());
        match error.inner() {
            Some(inner) => problem.because(inner),
            None => problem,
        }
    }
}

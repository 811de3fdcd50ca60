//! An identifier for every request: in the answer, in the log, and as `instance` of a problem.

use rand::TryRngCore;
use rand::rngs::OsRng;
use std::sync::atomic::{AtomicU64, Ordering};

tokio::task_local! {
    static CURRENT: String;
}

/// The longest identifier taken over from a caller, in characters.
const LONGEST: usize = 64;

/// The identifier of this request: the caller's own where it is plain, otherwise a new one.
pub fn choose(offered: Option<&str>) -> String {
    match offered {
        Some(text) if is_plain(text) => text.to_owned(),
        _ => fresh(),
    }
}

/// Letters, digits, dot, dash and underscore: nothing that could forge a log line.
fn is_plain(text: &str) -> bool {
    (8..=LONGEST).contains(&text.len())
        && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-' | b'_'))
}

/// A new random identifier of 128 bit.
pub fn fresh() -> String {
    static COUNTED: AtomicU64 = AtomicU64::new(1);
    let mut bytes = [0; 16];
    if OsRng.try_fill_bytes(&mut bytes).is_err() {
        // Without a source of randomness a number tells the requests of this process apart.
        bytes[8..].copy_from_slice(&COUNTED.fetch_add(1, Ordering::Relaxed).to_be_bytes());
    }
    hex::encode(bytes)
}

/// Runs `work` so that [`current`] answers with `id` inside it.
pub async fn within<F: Future>(id: String, work: F) -> F::Output {
    CURRENT.scope(id, work).await
}

/// The identifier of the request that is being worked on; empty outside of one.
pub fn current() -> String {
    CURRENT.try_with(Clone::clone).unwrap_or_default()
}

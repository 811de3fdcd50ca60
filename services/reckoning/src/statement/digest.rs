//! Digests under which two hubs compare what they arrived at.

use serde::Serialize;
use sha2::{Digest, Sha256};

/// SHA-256, in lower-case hexadecimal, of the canonical JSON (RFC 8785) of a value.
///
/// # Errors
/// A `serde_json` error where the value cannot be written as JSON.
pub fn digest<T: Serialize>(value: &T) -> Result<String, serde_json::Error> {
    let canonical = serde_json_canonicalizer::to_vec(value)?;
    Ok(hex::encode(Sha256::digest(canonical)))
}

//! Chains: every entry's link covers its predecessor's.

use crate::clock::instant_text;
use crate::error::Result;
use haulout_reckoning::Micros;
use serde::Serialize;
use sha2::{Digest, Sha256};

/// SHA-256.
pub type Hash = [u8; 32];

/// What stands as `authorID` in the links of the region's own chain, that of acts.
pub const CHAIN_OF_ACTS: &str = "acts";

/// SHA-256 of a text.
pub fn sha256(text: &[u8]) -> Hash {
    Sha256::digest(text).into()
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Link<'a> {
    #[serde(rename = "authorID")]
    author_id: &'a str,
    known_from: String,
    previous: String,
    record_hash: String,
    sequence: i64,
}

/// SHA-256 of the RFC 8785 text of {`authorID`, `knownFrom`, `previous`, `recordHash`, `sequence`}:
/// hashes in lower-case hexadecimal, `knownFrom` as [`instant_text`] writes it, in UTC with six
/// digits of a second. Anyone with a receipt can compute it again.
///
/// # Errors
/// Never in practice: texts and an integer can be written as JSON.
pub fn link(
    author_id: &str,
    sequence: i64,
    known_from: Micros,
    record_hash: &Hash,
    previous: &Hash,
) -> Result<Hash> {
    let text = serde_json_canonicalizer::to_vec(&Link {
        author_id,
        known_from: instant_text(known_from),
        previous: hex::encode(previous),
        record_hash: hex::encode(record_hash),
        sequence,
    })?;
    Ok(sha256(&text))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_link_can_be_computed_by_hand() {
        let text = format!(
            r#"{{"authorID":"meruva.kolvani","knownFrom":"2026-07-02T18:30:00.000001Z","previous":"{}","recordHash":"{}","sequence":1}}"#,
            "0".repeat(64),
            "ab".repeat(32)
        );
        let stamp = crate::clock::instant_of("2026-07-02T18:30:00.000001Z").unwrap();
        assert_eq!(link("meruva.kolvani", 1, stamp, &[0xab; 32], &[0; 32]).unwrap(), sha256(text.as_bytes()));
    }
}

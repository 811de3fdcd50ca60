//! Random numbers that nobody can guess.

use crate::error::{Result, StoreError};
use rand::TryRngCore;
use rand::rngs::OsRng;

/// 256 random bits from the operating system, in hexadecimal.
///
/// # Errors
/// When the operating system gives none; nothing weaker is used instead.
pub(crate) fn random_hex() -> Result<String> {
    Ok(hex::encode(random::<32>()?))
}

/// A shorter number, for names that must not collide but are no secret.
pub(crate) fn random_name() -> Result<String> {
    Ok(hex::encode(random::<8>()?))
}

fn random<const N: usize>() -> Result<[u8; N]> {
    let mut bytes = [0; N];
    OsRng
        .try_fill_bytes(&mut bytes)
        .map_err(|error| StoreError::bug(format!("no random numbers: {error}")))?;
    Ok(bytes)
}

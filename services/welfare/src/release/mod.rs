//! After the release: how long animals are known to live.

pub mod survival;

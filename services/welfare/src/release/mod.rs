//! The release: what must be there before, when to look after, and how long animals are known to live.

pub mod gate;
pub mod monitoring;
mod points;
pub mod survival;

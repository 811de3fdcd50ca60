//! The crate as its users meet it.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

mod examples;
mod hostile;
mod lines;
mod properties;
mod records;
mod reports;
mod streams;

//! The harness of the black-box tests: a real hub process on a real database, and clients typed by
//! who they are.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a broken harness is a failed test"
)]

pub mod client;
pub mod hub;

pub use client::{Answer, Client};
pub use hub::{Hub, binary, haulout, haulout_ok};

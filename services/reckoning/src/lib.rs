//! Reckoning: what records post, what a period's account is, what does not add up. Pure.
//!
//! This crate must not know where records are kept, how they arrived, what time it is, or who asks.

pub mod account;
pub mod effective;
pub mod period;
pub mod posting;
pub mod statement;

pub use account::{Account, Commodity};
pub use effective::{Effective, Micros};
pub use period::Period;
pub use posting::{Direction, Entry, POSTING_RULES, Posting, entries, postings};

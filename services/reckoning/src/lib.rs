//! Reckoning: what records post, what a period's account is, what does not add up. Pure.
//!
//! This crate must not know where records are kept, how they arrived, what time it is, or who asks.

pub mod account;
pub mod care;
pub mod effective;
pub mod findings;
pub mod keys;
pub mod linkage;
pub mod occupancy;
pub mod period;
pub mod posting;
pub mod region;
pub mod statement;
mod subject;
pub mod tracing;

pub use account::{Account, Commodity};
pub use effective::{Effective, Micros};
pub use findings::{
    Finding, Records, RuleSettings, World, counts_through, evaluate_all, evaluate_key, judge_key,
    rule_set_digest, woken,
};
pub use keys::{FILING_VERSION, Key, keys};
pub use period::Period;
pub use posting::{Direction, Entry, POSTING_RULES, Posting, entries, postings};
pub use region::Region;

//! Reads submissions, checks every record against the published schema and the rules, and reports
//! what is wrong with it, where, and how to mend it.
//!
//! The same [`Checker::check_line`] answers each line of a hub's submission and of an offline
//! check. It is a function of the line and the [`Settings`]: this crate knows no clock, no
//! database, no HTTP and no files, only the readers and writers that it is given. What needs other
//! records (whose they are, what is already held) is a hub's to add, as the same [`Problem`].
//!
//! ```text
//! bytes -> reading (decompress, cut) -> json (strict tree) -> schema (by kind) -> rules -> answer
//! ```
//!
//! What is refused beyond the JSON grammar (I-JSON, RFC 7493): a member named twice, also by
//! escapes; NUL; half of a surrogate pair; a number outside a finite double; nesting beyond 64;
//! more than 100,000 values in a record. A whole number beyond 2^53 is a finite double and valid
//! for every validator, so it is accepted; where the double differs from what was written, the rule
//! `number-inexact` says so, because canonical JSON keeps the double.
//!
//! Every problem follows a [rule](catalogue()) that says why it matters. At most 50 problems of one
//! record are told one by one, the rest are counted; memory and time are bounded whatever arrives.

mod catalogue;
mod checker;
#[cfg(test)]
mod conformance;
mod counts;
mod json;
mod problem;
mod reading;
mod report;
mod rules;
mod schema;
mod stream;
mod words;

pub use catalogue::catalogue;
pub use checker::{Accepted, CheckedLine, Checker, Identity, Kept, Purpose, Refused, Settings};
pub use counts::{BySeverity, Counts};
pub use json::canonical::Digest;
pub use problem::{Layer, Problem, Severity};
pub use reading::{Limits, Shape, UnpackError, Unpacked, unpack};
pub use report::{Format, Group, Report, Summary};
pub use schema::SchemaFault;
pub use stream::{Sink, StreamError, StreamOptions};

/// Rules that hold for records in other files too, such as sheets.
pub mod shared {
    pub use crate::catalogue::read::{BYTE_ORDER_MARK, INVALID_UTF8, UTF_16};
    pub use crate::catalogue::schema::UNKNOWN_FIELD;
}

//! The store: journal, ledger, findings, reservations and people, on SQLite or PostgreSQL.
//!
//! The journal is the only source of truth; everything else that rests on records is a projection
//! that [`Store::rebuild`] makes anew. Every query takes a [`Scope`].
//!
//! This crate must not know HTTP, pages, files of submissions, or how a record is checked; what a
//! record posts and what does not add up it leaves to the pure crates.

pub mod acts;
mod backup;
mod bulk;
pub mod chain;
pub mod clock;
pub mod configuration;
mod database;
pub mod effective;
pub mod error;
pub mod findings;
pub mod idempotency;
pub mod journal;
pub mod ledger;
pub mod people;
mod projection;
pub mod rebuild;
pub mod redaction;
pub mod reservations;
pub mod scope;
pub mod sealing;
mod secret;
pub mod submissions;
pub mod tokens;
pub mod verify;
mod versions;

pub use acts::{Act, By, OnBehalfOf};
pub use clock::Clock;
pub use configuration::Configuration;
pub use database::{Store, StoreOptions};
pub use effective::{AsOf, EffectiveFilter};
pub use error::{ErrorKind, Result, StoreError};
pub use findings::{FindingFilter, FindingsNow};
pub use idempotency::{Answer, Claim};
pub use journal::{Page, RecordFilter, StoredRecord};
pub use people::{Person, Role};
pub use reservations::{
    Ask, JourneyNow, Records, Reservation, ReservationFilter, ReservationNow, RoomState, Standing,
    StandingRecords, Weighs,
};
pub use scope::Scope;
pub use sealing::{Sealed, Sealing, ToSeal};
pub use submissions::{Keeping, LineOutcome, NewSubmission, Submission, SubmissionState};
pub use tokens::{Presented, Token};
pub use verify::{Checkpoint, Fault, Verification};

//! The open schema of Haulout: record kinds as Rust types, their vocabularies, the published JSON
//! Schema made from them, names and species profiles.
//!
//! This crate is the root of the house. It knows nothing of files, clocks, databases, HTTP, or of
//! what is done with a record.

pub mod envelope;
pub mod event_date;
pub mod misfit;
pub mod names;
pub mod pointer;
pub mod profile;
pub mod published;
pub mod records;
mod requirements;
pub mod rule;
pub mod text;
pub mod vocabulary;

pub use envelope::{Envelope, RecordRef};
pub use event_date::EventDate;
pub use records::{Body, Kind, Record};

//! The welfare figures of chelonians and crocodilians: lengths and their
//! conversion, least space, quarantine days, who may share a unit; marks, body
//! condition, energy, the road, deaths, and life after release.
//!
//! Pure: values in, values out. This crate must not know records, postings,
//! databases, HTTP, clocks or centres; species facts come from
//! `haulout_schemas::profile` and are never written here. Every figure is a
//! least figure under which local codes and licensed practice decide: a passed
//! computation means that no reason was found against, nothing more.

pub mod company;
pub mod condition;
pub mod eggs;
pub mod energy;
pub mod food;
pub mod grounds;
pub mod growth;
pub mod handling;
pub mod marks;
pub mod measures;
pub mod mortality;
pub mod places;
pub mod quarantine;
pub mod refusal;
pub mod release;
pub mod routine;
pub mod space;
pub mod transport;
pub mod units;

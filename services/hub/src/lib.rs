//! The hub: HTTP, access, jobs and the command line around the pure crates.
//!
//! By subject: a folder holds the route, the handler and the view of one thing; the rules of HTTP
//! stand once in [`web`]. Handlers hold no SQL and no rule of the trade: they parse, ask the store
//! or a pure crate once, and word the answer. This crate must not know how anything is stored.

pub mod animals;
pub mod catalogue;
pub mod centres;
pub mod checks;
pub mod cli;
pub mod clock;
pub mod consignments;
pub mod contacts;
pub mod demo;
pub mod docs;
pub mod findings;
pub mod health;
pub mod hub;
pub mod openapi;
pub mod options;
pub mod plans;
pub mod records;
pub mod reservations;
pub mod rules;
pub mod schemas;
pub mod server;
pub mod sessions;
pub mod statements;
pub mod submissions;
pub mod web;
pub mod welfare;

//! The generated basin against the published schema, against itself, and against a recount of its
//! records that shares no code with it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod recount;

use haulout_demo::{Generated, Options, generate_in_memory};

/// A basin small enough for a test.
fn basin(centres: u32, nights: u32, seed: u64, faults: bool) -> Generated {
    generate_in_memory(&Options {
        centres,
        nights,
        seed,
        faults,
        animals_per_centre: 40,
        ..Options::default()
    })
    .unwrap()
}

mod clean;
mod planted;
mod schema;

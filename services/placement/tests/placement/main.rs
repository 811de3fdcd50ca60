//! Placement through its public call: the first night, every rule at its boundary, and
//! explanations that are true.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod basin;
mod boundaries;
mod chains;
mod disturbances;
mod explanations;
mod faults;
mod first_night;
mod margins;
mod published;
mod ranking;
mod room;

//! Sheets through the public functions, as a person or a program meets them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod csv_files;
mod flat;
mod house;
mod round;
mod templates;
mod workbooks;

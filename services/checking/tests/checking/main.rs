//! The crate as its users meet it.

mod hostile;
mod lines;
mod properties;
mod records;
mod reports;
mod streams;

//! The authority's statement as documents. One model is made from a statement, and every format is
//! written from it, so that all hold the same figures. Pure: no files, no clock, no HTTP.

pub mod csvw;
pub mod document;
pub mod html;
pub mod pdf;
pub mod xlsx;

pub use document::Document;
pub use html::html;
pub use pdf::pdf;
pub use xlsx::xlsx;

#[cfg(test)]
mod tests;

//! Eggs from the nest to the hatchling: bedding, warmth, when they may hatch, who comes of whom.
//!
//! Eggs have no chalaza: turning kills, and position and direction are kept from
//! the nest to the box (common practice). No egg is opened or thrown away on the
//! calendar's word.

pub mod bedding;
pub mod care;
pub mod lineage;
pub mod success;
pub mod warmth;
pub mod window;

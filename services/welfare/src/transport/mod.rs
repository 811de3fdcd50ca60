//! The road: distances, the sun, the day's temperature, and when a journey may begin.

pub mod day;
pub mod distance;
pub mod sun;
pub mod window;

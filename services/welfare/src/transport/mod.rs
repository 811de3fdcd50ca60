//! The road: distances, the sun, the day's temperature, and when a journey may begin.

pub mod crates;
pub mod day;
pub mod departures;
pub mod distance;
pub mod drugs;
mod judge;
pub mod load;
pub mod papers;
pub mod stops;
pub mod sun;
pub mod window;

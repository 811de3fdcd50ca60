//! haulout-reckoning

//! haulout-hub

//! haulout-store

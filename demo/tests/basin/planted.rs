//! Planted faults.

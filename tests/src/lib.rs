//! haulout-tests

//! haulout-demo

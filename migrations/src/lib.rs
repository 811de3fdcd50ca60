//! haulout-migrations

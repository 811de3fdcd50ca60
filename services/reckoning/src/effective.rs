//! A record that counts: the highest revision known of its author and identifier.

use haulout_schemas::Record;

/// Microseconds since 1970-01-01T00:00Z: the hub's stamps, strictly increasing.
pub type Micros = i64;

/// An effective record and the instant from which the hub knew it.
#[derive(Clone, Debug, PartialEq)]
pub struct Effective {
    /// The record.
    pub record: Record,
    /// Since when the hub knows this revision.
    pub known_from: Micros,
}

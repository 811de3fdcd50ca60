//! JSON Pointers (RFC 6901) as text.

/// A name as a reference token of a pointer.
pub fn token(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

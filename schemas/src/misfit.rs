//! Where a JSON document does not fit the type that it is read as, in words for people.

use serde::de::{DeserializeOwned, Deserializer};
use serde_path_to_error::Segment;

use crate::pointer::token;

/// What does not fit, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// JSON Pointer (RFC 6901); empty for the whole.
    pub pointer: String,
    /// What was found, and what is expected there.
    pub problem: String,
}

/// What the deserialiser calls a type, and what people call it.
const TYPES: [(&str, &str); 12] = [
    ("u8", WHOLE_FROM_ZERO),
    ("u16", WHOLE_FROM_ZERO),
    ("u32", WHOLE_FROM_ZERO),
    ("u64", WHOLE_FROM_ZERO),
    ("usize", WHOLE_FROM_ZERO),
    ("i8", "a whole number"),
    ("i16", "a whole number"),
    ("i32", "a whole number"),
    ("i64", "a whole number"),
    ("f64", "a number"),
    ("a boolean", "true or false"),
    ("a sequence", "an array"),
];
const WHOLE_FROM_ZERO: &str = "a whole number that is not below zero";

/// Reads a document.
///
/// # Errors
/// The first place where it does not fit.
pub fn fitting<'de, T: DeserializeOwned, D: Deserializer<'de>>(document: D) -> Result<T, Misfit> {
    serde_path_to_error::deserialize(document).map_err(|error| Misfit {
        pointer: error.path().iter().map(step).collect(),
        problem: said(&error.inner().to_string()),
    })
}

fn step(segment: &Segment) -> String {
    match segment {
        Segment::Seq { index } => format!("/{index}"),
        Segment::Map { key } => format!("/{}", token(key)),
        // A variant is no member of the document.
        Segment::Enum { .. } | Segment::Unknown => String::new(),
    }
}

/// What the deserialiser says, with the type that it expected in plain words.
fn said(words: &str) -> String {
    let Some((found, expected)) = words.rsplit_once("expected ") else { return words.to_owned() };
    // The place in the text comes after it where there is a text.
    let (expected, place) = expected.split_at(expected.find(" at line ").unwrap_or(expected.len()));
    let plain = TYPES.iter().find(|(name, _)| *name == expected).map(|(_, plain)| *plain);
    let object = expected.starts_with("struct ").then_some("an object");
    format!("{found}expected {}{place}", plain.or(object).unwrap_or(expected))
}

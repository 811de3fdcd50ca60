//! A request file from its text, with the place of what does not fit.

use serde::de::DeserializeOwned;
use serde_json::{Map, Value};
use serde_path_to_error::Segment;

use crate::faults::Fault;
use crate::request::RequestFile;

/// What a machine calls a type, and what people call it.
const TYPES: [(&str, &str); 4] = [
    ("u16", "a whole number that is not below zero"),
    ("u32", "a whole number that is not below zero"),
    ("f64", "a number"),
    ("a boolean", "true or false"),
];

const REQUIRED: [&str; 4] = ["centres", "units", "roads", "requests"];

/// Reads a request file.
///
/// # Errors
/// The first fault of its shape: no JSON, a member unknown, missing or of another type.
pub fn read(text: &str) -> Result<RequestFile, Fault> {
    let document: Map<String, Value> = serde_json::from_str(text).map_err(|error| {
        fault(String::new(), error.to_string(), "write one JSON object, as the schema `request-file` has it")
    })?;
    if let Some(missing) = REQUIRED.iter().find(|name| !document.contains_key(**name)) {
        return Err(fault(String::new(), format!("`{missing}` is missing"), "add it, if only an empty one"));
    }
    let mut file = RequestFile::default();
    for (name, value) in document {
        match name.as_str() {
            "centres" => file.view.centres = member(&name, value)?,
            "units" => file.view.units = member(&name, value)?,
            "points" => file.view.points = member(&name, value)?,
            "roads" => file.view.roads = member(&name, value)?,
            "standstills" => file.view.standstills = member(&name, value)?,
            "settings" => file.view.settings = member(&name, value)?,
            "requests" => file.requests = member(&name, value)?,
            "costs" => file.costs = member(&name, value)?,
            "pins" => file.pins = member(&name, value)?,
            "forbids" => file.forbids = member(&name, value)?,
            "evacuate" => file.evacuate = member(&name, value)?,
            _ => {
                let why = "there is no such member in a request file";
                return Err(fault(format!("/{}", token(&name)), why, "correct its name, or take it out"));
            }
        }
    }
    Ok(file)
}

fn member<T: DeserializeOwned>(name: &str, value: Value) -> Result<T, Fault> {
    serde_path_to_error::deserialize(value).map_err(|error| {
        let mut pointer = format!("/{name}");
        for segment in error.path() {
            match segment {
                Segment::Seq { index } => pointer.push_str(&format!("/{index}")),
                Segment::Map { key } => pointer.push_str(&format!("/{}", token(key))),
                Segment::Enum { .. } | Segment::Unknown => {}
            }
        }
        fault(pointer, said(&error.inner().to_string()), "write it as the schema `request-file` has it")
    })
}

/// What the deserialiser says, with the type that it expected in plain words.
fn said(words: &str) -> String {
    let Some((found, expected)) = words.rsplit_once("expected ") else { return words.to_owned() };
    let plain = TYPES.iter().find(|(name, _)| *name == expected).map(|(_, plain)| *plain);
    let object = expected.starts_with("struct ").then_some("an object");
    format!("{found}expected {}", plain.or(object).unwrap_or(expected))
}

/// A name as a step of an RFC 6901 pointer.
fn token(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

fn fault(pointer: String, why: impl Into<String>, mend: &str) -> Fault {
    Fault { pointer, why: why.into(), mend: mend.to_owned() }
}

//! A request file from its text, with the place of what does not fit.

use haulout_schemas::misfit::fitting;
use haulout_schemas::pointer::token;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use crate::faults::Fault;
use crate::request::RequestFile;

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
    fitting(value).map_err(|misfit| {
        let pointer = format!("/{name}{}", misfit.pointer);
        fault(pointer, misfit.problem, "write it as the schema `request-file` has it")
    })
}

fn fault(pointer: String, why: impl Into<String>, mend: &str) -> Fault {
    Fault { pointer, why: why.into(), mend: mend.to_owned() }
}

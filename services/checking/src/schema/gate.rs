//! What must be known before a schema can be chosen: that it is an object, of a version we know,
//! of a kind that exists. Each is one problem, never a list of them.

use serde_json::Value;

use crate::catalogue::{read, schema};
use crate::checker::Located;
use crate::json::node::Node;
use crate::json::place;
use crate::problem::Problem;
use crate::words::{alternatives, shown};

use super::nearest::nearest;
use super::{KindSchema, Schemas};

/// The schema to apply to a record.
pub(crate) fn kind_of<'s>(
    node: &Node<'_>,
    text: &str,
    schemas: &'s Schemas,
) -> Result<&'s KindSchema, Box<Located>> {
    if !matches!(node, Node::Object(_)) {
        let problem = Problem::of(
            &read::NOT_AN_OBJECT,
            format!("a record is an object {{…}}, this is {}", kind_of_value(node)),
        );
        let help = if matches!(node, Node::Array(_)) {
            "Send each record on its own line, or the whole array as one JSON file."
        } else {
            "Send each record as one object on its own line."
        };
        return Err(located(problem.with_help(help).at(""), text));
    }
    if let Some(problem) = version_fault(node) {
        return Err(located(problem.at("/schemaVersion"), text));
    }
    match node.get("kind") {
        Some(Node::String(name)) => {
            schemas.of(name).ok_or_else(|| located(unknown(name, schemas).at("/kind"), text))
        }
        Some(other) => {
            let problem = Problem::of(
                &schema::KIND_UNKNOWN,
                format!("`kind` should be a text, but is {}", kind_of_value(other)),
            )
            .with_help("Name one of the record kinds, such as \"rescue\".");
            Err(located(problem.at("/kind"), text))
        }
        None => Err(located(missing(node).at("/kind"), text)),
    }
}

fn located(problem: Problem, text: &str) -> Box<Located> {
    let offset = problem
        .pointer
        .as_deref()
        .and_then(|pointer| place::value(text, pointer).or_else(|| place::value(text, "")));
    Box::new(Located { problem, offset })
}

/// A version of the schema that this checker does not know; what is missing or no text at all is
/// left to the schema.
fn version_fault(node: &Node<'_>) -> Option<Problem> {
    let given = node.get("schemaVersion")?.as_str()?;
    let mut parts = given.split('.').map(|part| {
        let plain = !part.is_empty() && part.len() <= 4 && part.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| part.parse::<u16>().ok()).flatten()
    });
    let known = haulout_schemas::published::VERSION;
    match (parts.next().flatten(), parts.next().flatten()) {
        (Some(1), Some(0)) => None,
        (Some(major), Some(minor)) if (major, minor) > (1, 0) => Some(Problem::of(
            &schema::SCHEMA_VERSION_NEWER,
            format!("the record follows schema {}; this checker knows {known}", shown(given)),
        )),
        _ => Some(
            Problem::of(
                &schema::SCHEMA_VERSION_UNKNOWN,
                format!("there is no schema version {}", shown(given)),
            )
            .with_help(format!("Write \"{known}\".")),
        ),
    }
}

fn missing(node: &Node<'_>) -> Problem {
    let near = match node {
        Node::Object(members) => members
            .iter()
            .find(|(name, _)| nearest(name, std::iter::once("kind")).is_some())
            .map(|(name, _)| name),
        _ => None,
    };
    let help = match near {
        Some(name) => format!("Is it the field {}? Rename it to `kind`.", shown(name)),
        None => "Say what the record tells of, such as \"kind\":\"rescue\".".to_owned(),
    };
    Problem::of(&schema::KIND_MISSING, "`kind` is missing: the record cannot be read further").with_help(help)
}

fn unknown(given: &str, schemas: &Schemas) -> Problem {
    let near = nearest(given, schemas.iter().map(|schema| schema.kind.as_str()));
    let having_event: Vec<&str> = schemas
        .iter()
        .filter(|schema| {
            let events = schema.events();
            events.into_iter().any(|event| event.eq_ignore_ascii_case(given))
        })
        .map(|schema| schema.kind.as_str())
        .collect();
    let help = match near {
        Some(near) => format!("Did you mean `{near}`?"),
        None if !having_event.is_empty() => format!(
            "That is an event: write it as `event` in a record of kind {}.",
            alternatives(&having_event, 4)
        ),
        None => {
            let all: Vec<&str> = schemas.iter().map(|schema| schema.kind.as_str()).collect();
            format!("The kinds are {}.", alternatives(&all, all.len()))
        }
    };
    Problem::of(&schema::KIND_UNKNOWN, format!("there is no record kind {}", shown(given))).with_help(help)
}

impl KindSchema {
    /// The words that `event` may take in this kind.
    fn events(&self) -> Vec<&'static str> {
        let event = &self.schema["properties"]["event"];
        let event = event
            .get("$ref")
            .and_then(Value::as_str)
            .and_then(|target| self.schema.pointer(target.strip_prefix('#')?))
            .unwrap_or(event);
        event.get("enum").and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_str).collect()
    }
}

/// A value's type in words.
pub(super) fn kind_of_value(node: &Node<'_>) -> String {
    match node {
        Node::Null => "null".to_owned(),
        Node::Bool(value) => value.to_string(),
        Node::Number(number) => format!("the number {number}"),
        Node::String(text) => format!("the text {}", shown(text)),
        Node::Array(_) => "an array".to_owned(),
        Node::Object(_) => "an object".to_owned(),
    }
}

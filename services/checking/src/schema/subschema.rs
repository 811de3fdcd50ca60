//! Looks things up in a published schema: what surrounds a keyword, what a field means, under
//! which condition a demand stands.

use serde_json::Value;

use crate::json::node::Node;
use crate::words::{alternatives, shown};

/// The names a `properties` object lists.
pub(super) fn names<'s>(properties: Option<&'s Value>) -> impl Iterator<Item = &'s str> + use<'s> {
    properties.and_then(Value::as_object).into_iter().flat_map(|members| members.keys().map(String::as_str))
}

/// The parts of the schema that surround a keyword, innermost first.
pub(super) fn surrounding<'s>(schema: &'s Value, keyword_path: &str) -> Vec<&'s Value> {
    let mut parts = vec![schema];
    let mut path = String::new();
    for step in keyword_path.split('/').skip(1) {
        path.push('/');
        path.push_str(step);
        if let Some(part) = schema.pointer(&path) {
            parts.push(part);
        }
    }
    // The last one is the keyword's own value.
    parts.pop();
    parts.reverse();
    parts
}

/// The nearest surrounding object that says which fields there are.
pub(super) fn properties_around<'s>(schema: &'s Value, keyword_path: &str) -> Option<&'s Value> {
    surrounding(schema, keyword_path).into_iter().find_map(|part| part.get("properties"))
}

/// The first sentences of the nearest description around a keyword, but not that of the record.
pub(super) fn description_around<'s>(schema: &'s Value, keyword_path: &str) -> Option<&'s str> {
    surrounding(schema, keyword_path)
        .into_iter()
        .take_while(|part| !std::ptr::eq(*part, schema))
        .find_map(description)
}

/// What a field is, by its own description or that of the definition it refers to.
pub(super) fn meaning<'s>(schema: &'s Value, properties: &'s Value, field: &str) -> Option<&'s str> {
    let field = properties.get(field)?;
    description(field)
        .or_else(|| description(schema.pointer(field.get("$ref")?.as_str()?.strip_prefix('#')?)?))
}

/// The description of a part, its list of words left out.
fn description(part: &Value) -> Option<&str> {
    let text = part.get("description")?.as_str()?;
    Some(text.lines().next().unwrap_or(text).trim()).filter(|text| !text.is_empty())
}

/// Under which condition a keyword stands, worded with what the record says: `` `event` is
/// `death` ``.
pub(super) fn condition(schema: &Value, keyword_path: &str, object: Option<&Node<'_>>) -> Option<String> {
    let mut path = String::new();
    let mut last = None;
    for step in keyword_path.split('/').skip(1) {
        if step == "then"
            && let Some(wanted) = schema.pointer(&format!("{path}/if/properties"))
        {
            last = wanted.as_object();
        }
        path.push('/');
        path.push_str(step);
    }
    let parts: Vec<String> = last?
        .iter()
        .map(|(field, wanted)| match object.and_then(|object| object.get(field)) {
            Some(Node::String(value)) => format!("`{field}` is {}", shown(value)),
            Some(Node::Bool(value)) => format!("`{field}` is {value}"),
            _ => {
                let words: Vec<&str> = wanted
                    .get("enum")
                    .and_then(Value::as_array)
                    .into_iter()
                    .flatten()
                    .chain(wanted.get("const"))
                    .filter_map(Value::as_str)
                    .collect();
                format!("`{field}` is {}", alternatives(&words, 4))
            }
        })
        .collect();
    (!parts.is_empty()).then(|| parts.join(" and "))
}

//! Words for the keywords that judge one value: its type, its form, its size.

use haulout_schemas::rule::Rule;
use jsonschema::JsonType;
use jsonschema::ValidationError;
use jsonschema::error::{TypeKind, ValidationErrorKind as Kind};
use serde_json::Value;

use crate::catalogue::schema;
use crate::json::node::Node;
use crate::problem::Problem;
use crate::words::{alternatives, counted, grouped, shown};

use super::explain::Case;
use super::gate::kind_of_value;
use super::nearest::nearest;
use super::subschema;

/// The problem for an error that is about one value.
pub(super) fn plain(case: &Case<'_>, error: &ValidationError<'_>, at: &str, path: &str) -> Problem {
    let found = case.value(at);
    let name = field_name(at);
    let meaning = subschema::description_around(case.schema, path);
    let (rule, text, help): (&'static Rule, String, Option<String>) = match error.kind() {
        Kind::Type { kind } => {
            let (expected, only) = expected_type(kind);
            let is = found.map_or_else(|| "something else".to_owned(), kind_of_value);
            (
                &schema::WRONG_TYPE,
                format!("{name} should be {expected}, but is {is}"),
                type_help(only, found).map(str::to_owned),
            )
        }
        Kind::Enum { options } => {
            let words: Vec<&str> =
                options.as_array().into_iter().flatten().filter_map(Value::as_str).collect();
            let is = found.map_or_else(|| "this".to_owned(), kind_of_value);
            let near = match found {
                Some(Node::String(given)) => nearest(given, words.iter().copied()),
                _ => None,
            };
            let listed = alternatives(&words, 12);
            let help = match near {
                Some(near) => format!("Did you mean `{near}`? Allowed: {listed}."),
                None => format!("Allowed: {listed}."),
            };
            (&schema::NOT_IN_LIST, format!("{name}: {is} is not in the list"), Some(help))
        }
        Kind::Constant { expected_value } => (
            &schema::WRONG_VALUE,
            format!("{name} should be {expected_value}"),
            Some(format!("Write {expected_value}.")),
        ),
        Kind::Pattern { .. } => {
            let given = found.and_then(Node::as_str).unwrap_or_default();
            (&schema::WRONG_PATTERN, format!("{name}: {} does not have the form needed", shown(given)), None)
        }
        Kind::Maximum { limit } => out_of_range(&name, found, "at most", limit),
        Kind::Minimum { limit } => out_of_range(&name, found, "at least", limit),
        Kind::ExclusiveMaximum { limit } => out_of_range(&name, found, "less than", limit),
        Kind::ExclusiveMinimum { limit } => out_of_range(&name, found, "more than", limit),
        Kind::MultipleOf { multiple_of } => {
            (&schema::NOT_A_MULTIPLE, format!("{name} should be a multiple of {multiple_of}"), None)
        }
        Kind::MaxLength { limit } => (
            &schema::TOO_LONG,
            format!("{name} has {}; at most {} are taken", length(found), grouped(*limit)),
            Some("Shorten it.".to_owned()),
        ),
        Kind::MinLength { limit: 1 } => (
            &schema::TOO_SHORT,
            format!("{name} is an empty text"),
            Some("Leave the field out when there is nothing to say.".to_owned()),
        ),
        Kind::MinLength { limit } => (
            &schema::TOO_SHORT,
            format!("{name} has {}; at least {} are needed", length(found), grouped(*limit)),
            None,
        ),
        Kind::MaxItems { limit } => (
            &schema::TOO_MANY_ITEMS,
            format!("{name} has {}; at most {} are taken", items(found), grouped(*limit)),
            Some("Send the rest in another record.".to_owned()),
        ),
        Kind::MinItems { limit: 1 } => (
            &schema::TOO_FEW_ITEMS,
            format!("{name} is an empty list"),
            Some("Fill it, or leave the field out where it may be left out.".to_owned()),
        ),
        Kind::MinItems { limit } => (
            &schema::TOO_FEW_ITEMS,
            format!("{name} has {}; at least {} are needed", items(found), grouped(*limit)),
            None,
        ),
        Kind::AdditionalItems { limit } => {
            (&schema::TOO_MANY_ITEMS, format!("{name} has {}; at most {limit} are taken", items(found)), None)
        }
        Kind::UniqueItems => (
            &schema::REPEATED_ITEM,
            format!("{name} holds the same entry twice"),
            Some("Keep one of them.".to_owned()),
        ),
        Kind::MaxProperties { limit } => (
            &schema::TOO_MANY_FIELDS,
            format!("{name} has more than {}", counted(*limit, "field", "fields")),
            None,
        ),
        Kind::MinProperties { limit } => (
            &schema::TOO_FEW_FIELDS,
            format!("{name} needs at least {}", counted(*limit, "field", "fields")),
            None,
        ),
        Kind::Contains => (&schema::MISSING_ITEM, format!("{name} lacks an entry that it must hold"), None),
        _ => (&schema::SCHEMA_OTHER, format!("{name} does not follow the schema ({})", error.masked()), None),
    };
    let problem = Problem::of(rule, text).at(at);
    match help.as_deref().or(meaning) {
        Some(help) => problem.with_help(help),
        None => problem,
    }
}

fn out_of_range(
    name: &str,
    found: Option<&Node<'_>>,
    relation: &str,
    limit: &Value,
) -> (&'static Rule, String, Option<String>) {
    let is = found.map_or_else(|| "out of range".to_owned(), kind_of_value);
    let limit = match limit.as_f64() {
        Some(limit) => limit.to_string(),
        None => limit.to_string(),
    };
    (&schema::OUT_OF_RANGE, format!("{name} should be {relation} {limit}, but is {is}"), None)
}

/// A field as a sentence begins: its name, or the place in its list.
fn field_name(at: &str) -> String {
    let steps: Vec<String> = crate::json::pointer::steps(at).collect();
    match steps.as_slice() {
        [] => "the record".to_owned(),
        [.., list, index] if index.parse::<usize>().is_ok() => {
            let place = index.parse::<usize>().map_or(0, |index| index.saturating_add(1));
            format!("entry {place} of `{}`", shown(list).trim_matches('"'))
        }
        [.., name] => format!("`{}`", shown(name).trim_matches('"')),
    }
}

fn expected_type(kind: &TypeKind) -> (String, Option<JsonType>) {
    match kind {
        TypeKind::Single(only) => (type_in_words(*only).to_owned(), Some(*only)),
        TypeKind::Multiple(several) => {
            let words: Vec<&str> = several.iter().map(type_in_words).collect();
            (words.join(" or "), None)
        }
    }
}

fn type_in_words(kind: JsonType) -> &'static str {
    match kind {
        JsonType::Array => "a list [ ]",
        JsonType::Boolean => "true or false",
        JsonType::Integer => "a whole number",
        JsonType::Null => "null",
        JsonType::Number => "a number",
        JsonType::Object => "an object { }",
        JsonType::String => "a text",
    }
}

fn type_help(expected: Option<JsonType>, found: Option<&Node<'_>>) -> Option<&'static str> {
    match (expected?, found?) {
        (_, Node::Null) => Some("Leave the field out when there is nothing to say; null is not used."),
        (JsonType::Integer | JsonType::Number, Node::String(text)) => {
            if text.trim().replace(',', ".").parse::<f64>().is_ok() {
                Some("Write the number without quotes, with a point for decimals.")
            } else {
                Some("Write a number, without unit and without quotes.")
            }
        }
        (JsonType::Integer, Node::Number(_)) => Some("Write a whole number; animals are not divided."),
        (JsonType::Boolean, Node::String(_) | Node::Number(_)) => {
            Some("Write true or false, without quotes.")
        }
        (JsonType::String, Node::Number(_) | Node::Bool(_)) => Some("Put it in double quotes."),
        (JsonType::Array, Node::Object(_) | Node::String(_) | Node::Number(_)) => {
            Some("Put it in [ ], even when there is only one.")
        }
        (JsonType::Object | JsonType::String, Node::Array(_)) => {
            Some("Only one can stand here; leave the [ ] out.")
        }
        _ => None,
    }
}

fn length(found: Option<&Node<'_>>) -> String {
    let characters = found.and_then(Node::as_str).map_or(0, |text| text.chars().count());
    counted(characters as u64, "character", "characters")
}

fn items(found: Option<&Node<'_>>) -> String {
    let entries = match found {
        Some(Node::Array(nodes)) => nodes.len(),
        _ => 0,
    };
    counted(entries as u64, "entry", "entries")
}

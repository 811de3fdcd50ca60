//! A published schema rewritten to the same verdicts with less to do for a valid record.
//!
//! Two steps, each an equivalence: a reference with nothing but annotations beside it is replaced by what it
//! refers to, and a `not` that only refuses line ends goes where the `pattern` beside it cannot match one (proven
//! on the pattern's own syntax; this engine's `$` means the very end). What is said of an invalid record comes
//! from the schema as published.

use regex_syntax::hir::{Class, Hir, HirKind, Look};
use serde_json::{Map, Value};

/// Keywords that say nothing about validity.
const ANNOTATIONS: [&str; 6] = ["title", "description", "examples", "default", "$comment", "deprecated"];

/// The same schema, leaner.
pub(super) fn lean(schema: &Value) -> Value {
    let definitions = schema.get("$defs").and_then(Value::as_object);
    Lean { definitions, under_way: Vec::new() }.schema(schema)
}

struct Lean<'s> {
    definitions: Option<&'s Map<String, Value>>,
    /// Definitions being written out; one that refers to itself stays a reference.
    under_way: Vec<&'s str>,
}

impl<'s> Lean<'s> {
    fn schema(&mut self, schema: &'s Value) -> Value {
        let Value::Object(keywords) = schema else { return schema.clone() };
        if let Some(written_out) = self.referred(keywords) {
            return written_out;
        }
        let mut lean = Map::new();
        for (keyword, value) in keywords {
            let kept = match keyword.as_str() {
                annotation if ANNOTATIONS.contains(&annotation) => continue,
                "not"
                    if refuses_line_ends(value)
                        && keywords.get("pattern").is_some_and(matches_no_line_end) =>
                {
                    continue;
                }
                "properties" | "patternProperties" | "dependentSchemas" => self.by_name(value),
                "allOf" | "anyOf" | "oneOf" | "prefixItems" => self.each(value),
                "not"
                | "if"
                | "then"
                | "else"
                | "items"
                | "contains"
                | "additionalProperties"
                | "propertyNames" => self.schema(value),
                _ => value.clone(),
            };
            lean.insert(keyword.clone(), kept);
        }
        Value::Object(lean)
    }

    /// What a reference stands for, where nothing else is asked beside it.
    fn referred(&mut self, keywords: &'s Map<String, Value>) -> Option<Value> {
        let alone = keywords.keys().all(|word| word == "$ref" || ANNOTATIONS.contains(&word.as_str()));
        let name = keywords.get("$ref")?.as_str()?.strip_prefix("#/$defs/")?;
        let (name, definition) = self.definitions?.get_key_value(name)?;
        if !alone || self.under_way.contains(&name.as_str()) {
            return None;
        }
        self.under_way.push(name);
        let written_out = self.schema(definition);
        self.under_way.pop();
        Some(written_out)
    }

    fn by_name(&mut self, schemas: &'s Value) -> Value {
        let Value::Object(named) = schemas else { return schemas.clone() };
        Value::Object(named.iter().map(|(name, schema)| (name.clone(), self.schema(schema))).collect())
    }

    fn each(&mut self, schemas: &'s Value) -> Value {
        let Value::Array(all) = schemas else { return schemas.clone() };
        Value::Array(all.iter().map(|schema| self.schema(schema)).collect())
    }
}

/// `{"type": "string", "pattern": "[\\r\\n]"}`, and nothing else.
fn refuses_line_ends(schema: &Value) -> bool {
    schema.as_object().is_some_and(|keywords| keywords.len() == 2)
        && schema["type"] == "string"
        && schema["pattern"] == "[\\r\\n]"
}

/// Whether every text that the pattern matches is free of line ends: it holds the whole text between `^` and `$`,
/// and none of its parts matches one.
fn matches_no_line_end(pattern: &Value) -> bool {
    let parsed = pattern.as_str().and_then(|pattern| regex_syntax::parse(pattern).ok());
    parsed.is_some_and(|parsed| {
        let look = parsed.properties();
        look.look_set_prefix().contains(Look::Start)
            && look.look_set_suffix().contains(Look::End)
            && free_of_line_ends(&parsed)
    })
}

fn free_of_line_ends(part: &Hir) -> bool {
    let ends = ['\n', '\r'];
    match part.kind() {
        HirKind::Empty | HirKind::Look(_) => true,
        HirKind::Literal(text) => !text.0.iter().any(|byte| matches!(byte, b'\n' | b'\r')),
        HirKind::Class(Class::Unicode(class)) => !class
            .ranges()
            .iter()
            .any(|range| ends.iter().any(|end| (range.start()..=range.end()).contains(end))),
        HirKind::Class(Class::Bytes(_)) => false,
        HirKind::Repetition(repeated) => free_of_line_ends(&repeated.sub),
        HirKind::Capture(group) => free_of_line_ends(&group.sub),
        HirKind::Concat(parts) | HirKind::Alternation(parts) => parts.iter().all(free_of_line_ends),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn only_a_pattern_that_holds_the_whole_text_and_no_line_end_makes_the_refusal_needless() {
        for pattern in ["^[a-z]{1,9}$", "^(?:a|b[0-9]+)$", "^(?:[A-Za-z0-9 ._:]|Z)?$"] {
            assert!(matches_no_line_end(&json!(pattern)), "{pattern}");
        }
        for pattern in
            ["[a-z]", "^[a-z]", "[a-z]$", "^a|b$", "^[^x]$", "^a\\sb$", "^(?s:.)$", "^a\n$", "^(", "^$|x"]
        {
            assert!(!matches_no_line_end(&json!(pattern)), "{pattern}");
        }
    }

    #[test]
    fn what_is_left_asks_the_same() {
        let schema = json!({
            "$defs": {
                "id": { "type": "string", "pattern": "^[a-z]+$", "not": { "type": "string", "pattern": "[\\r\\n]" } },
                "tree": { "type": "object", "properties": { "below": { "$ref": "#/$defs/tree" } } },
            },
            "properties": {
                "description": { "$ref": "#/$defs/id", "description": "Whose." },
                "notes": { "type": "string", "not": { "type": "string", "pattern": "[\\r\\n]" } },
                "short": { "$ref": "#/$defs/id", "maxLength": 3 },
                "tree": { "$ref": "#/$defs/tree" },
            },
            "description": "A thing.",
        });
        let lean = lean(&schema);
        assert_eq!(lean["properties"]["description"], json!({ "type": "string", "pattern": "^[a-z]+$" }));
        assert_eq!(lean["properties"]["notes"], schema["properties"]["notes"]);
        assert_eq!(lean["properties"]["short"], schema["properties"]["short"]);
        let below = &lean["properties"]["tree"]["properties"]["below"];
        assert_eq!(*below, json!({ "$ref": "#/$defs/tree" }));
        assert_eq!(lean["$defs"], schema["$defs"]);
        assert!(lean.get("description").is_none());
    }
}

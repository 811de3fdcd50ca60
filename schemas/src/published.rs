//! The published schema: made from the record types, so that types and files cannot part ways.
//!
//! Files stand alone (every `$ref` points into the same file), name no format, and decide the same
//! in every JSON Schema 2020-12 validator.

use crate::envelope::Envelope;
use crate::records::Kind;
use crate::requirements::{self, Need, Place, Subject};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

/// Where the open schema lives on every host.
pub const BASE: &str = "https://haulout.example/schemas/1.0/";

/// The version that this crate publishes.
pub const VERSION: &str = "1.0";

static PUBLISHED: LazyLock<Published> = LazyLock::new(Published::make);

struct Published {
    kinds: BTreeMap<Kind, Value>,
    record: Value,
}

/// The stand-alone schema of one kind.
pub fn schema_of(kind: Kind) -> &'static Value {
    &PUBLISHED.kinds[&kind]
}

/// The stand-alone schema of any record, by its `kind`.
pub fn record_schema() -> &'static Value {
    &PUBLISHED.record
}

/// Every published file: its name and its text.
pub fn files() -> Vec<(String, String)> {
    let text = |schema: &Value| format!("{schema:#}\n");
    let mut files: Vec<_> =
        Kind::ALL.iter().map(|kind| (format!("{kind}.schema.json"), text(schema_of(*kind)))).collect();
    files.push(("record.schema.json".to_owned(), text(record_schema())));
    files.sort();
    files
}

impl Published {
    fn make() -> Self {
        let mut generator = SchemaSettings::draft2020_12().into_generator();
        let envelope = plain(Envelope::json_schema(&mut generator).to_value());
        let bodies: Vec<_> = Kind::ALL
            .iter()
            .map(|kind| {
                (*kind, merged(*kind, &envelope, &plain(kind.body_schema(&mut generator).to_value())))
            })
            .collect();
        let definitions: Map<String, Value> = generator
            .take_definitions(true)
            .into_iter()
            .map(|(name, schema)| (name, one_animal_is_one(plain(schema))))
            .collect();
        let kinds = bodies
            .iter()
            .map(|(kind, schema)| (*kind, standing_alone(*kind, schema, &definitions)))
            .collect();
        Self { kinds, record: any_record(&bodies, &definitions) }
    }
}

fn standing_alone(kind: Kind, schema: &Value, definitions: &Map<String, Value>) -> Value {
    let mut whole = schema.clone();
    whole["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    whole["$id"] = json!(format!("{BASE}{kind}.schema.json"));
    whole["$defs"] = Value::Object(reachable(schema, definitions));
    whole
}

fn any_record(bodies: &[(Kind, Value)], definitions: &Map<String, Value>) -> Value {
    let mut defs = definitions.clone();
    defs.remove("Kind");
    let mut branches = Vec::new();
    for (kind, schema) in bodies {
        let name = format!("{kind}Record");
        branches.push(json!({
            "if": { "properties": { "kind": { "const": kind.as_str() } }, "required": ["kind"] },
            "then": { "$ref": format!("#/$defs/{name}") },
        }));
        defs.insert(name, schema.clone());
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": format!("{BASE}record.schema.json"),
        "title": "record",
        "description": "One immutable statement by one party of one event. `kind` decides which schema it follows.",
        "type": "object",
        "required": ["kind"],
        "properties": { "kind": { "enum": Kind::ALL.iter().map(|kind| kind.as_str()).collect::<Vec<_>>() } },
        "allOf": branches,
        "$defs": defs,
    })
}

/// Frame and body of one kind as one closed object, with the conditions of the requirements table.
fn merged(kind: Kind, envelope: &Value, body: &Value) -> Value {
    let needs = requirements::of(kind);
    let mut properties = object(envelope, "properties");
    let mut frame = required(envelope);
    let mut always = required(body);
    properties
        .insert("kind".into(), json!({ "const": kind.as_str(), "description": "What the record tells of." }));
    let leave_out: &[&str] = match (needs.subject, needs.name) {
        (Subject::None, _) => &["organismID", "lotID", "scientificName", "identificationQualifier"],
        (Subject::Lot, _) => &["organismID"],
        (_, Need::No) => &["scientificName", "identificationQualifier"],
        _ => &[],
    };
    for name in leave_out {
        properties.remove(*name);
    }
    if needs.place == Place::Centre {
        properties.remove("pointID");
        always.insert("centreID".into());
    }
    let framed: Vec<String> = properties.keys().cloned().collect();
    properties.extend(object(body, "properties"));
    if needs.name == Need::Yes {
        always.insert("scientificName".into());
    }
    if needs.subject == Subject::Lot {
        always.insert("lotID".into());
    }
    let mut conditions: Vec<Value> = needs
        .whens
        .iter()
        .map(|when| {
            json!({
                "if": { "properties": { when.field: { "enum": when.values } }, "required": [when.field] },
                "then": demanded(when.then, &properties),
            })
        })
        .collect();
    match needs.place {
        Place::CentreOrPoint => conditions.push(exactly_one("centreID", "pointID")),
        Place::Optional => conditions.push(at_most_one("centreID", "pointID")),
        Place::Centre => {}
    }
    match needs.subject {
        Subject::One => conditions.push(exactly_one("organismID", "lotID")),
        Subject::Optional => conditions.push(at_most_one("organismID", "lotID")),
        Subject::Lot | Subject::None => {}
    }
    let ways: &[&[&str]] = match kind {
        Kind::Link => &[&["counted", "notCounted"], &["organismIDs"]],
        Kind::Dispatch | Kind::Receipt => &[&["lines"], &["crates"]],
        _ => &[],
    };
    if !ways.is_empty() {
        let ways: Vec<_> = ways.iter().map(|fields| one_way(fields)).collect();
        conditions.push(json!({ "anyOf": ways }));
    }
    let mut otherwise = json!({ "required": always });
    if !conditions.is_empty() {
        otherwise["allOf"] = Value::Array(conditions);
    }
    frame.insert("kind".into());
    let whole = json!({
        "title": kind.as_str(),
        "description": body["description"],
        "type": "object",
        "properties": properties,
        "required": frame,
        "additionalProperties": false,
        "if": { "properties": { "withdrawn": { "const": true } }, "required": ["withdrawn"] },
        "then": { "required": ["withdrawnReason"], "propertyNames": { "enum": framed } },
        "else": otherwise,
    });
    // The animal of a nest record is the mother; what is counted are her eggs.
    if kind == Kind::Nest { whole } else { one_animal_is_one(whole) }
}

/// These fields must be there, and a list among them must not be empty.
fn demanded(fields: &[&str], properties: &Map<String, Value>) -> Value {
    let lists: Map<String, Value> = fields
        .iter()
        .filter(|field| properties.get(**field).is_some_and(|schema| schema["type"] == "array"))
        .map(|field| ((*field).to_owned(), json!({ "type": "array", "minItems": 1 })))
        .collect();
    let mut demand = json!({ "required": fields });
    if !lists.is_empty() {
        // Apart from `required`, whose surroundings say what a missing field means.
        demand["allOf"] = json!([{ "properties": lists }]);
    }
    demand
}

/// One of several ways: these fields, none of them an empty list. A value of another form is told
/// at the field itself and not once more here.
fn one_way(fields: &[&str]) -> Value {
    let filled: Map<String, Value> =
        fields.iter().map(|field| ((*field).to_owned(), json!({ "not": { "const": [] } }))).collect();
    json!({ "required": fields, "properties": filled })
}

/// Where an object may name one animal and a number, the number is one with it (or none, where a
/// number may be nought; or one fewer, where it may be negative).
fn one_animal_is_one(mut schema: Value) -> Value {
    let count = &schema["properties"]["individualCount"];
    if count.is_object() && schema["properties"]["organismID"].is_object() {
        let why = "An animal known by its number is one animal.";
        let mut bounds = json!({ "type": "integer", "maximum": 1, "description": why });
        if count["minimum"].as_f64().is_some_and(|least| least < 0.0) {
            bounds["minimum"] = json!(-1);
        }
        schema["dependentSchemas"] = json!({ "organismID": { "properties": { "individualCount": bounds } } });
    }
    schema
}

fn exactly_one(a: &str, b: &str) -> Value {
    json!({ "oneOf": [{ "required": [a] }, { "required": [b] }] })
}

fn at_most_one(a: &str, b: &str) -> Value {
    json!({ "not": { "required": [a, b] } })
}

fn object(schema: &Value, member: &str) -> Map<String, Value> {
    schema[member].as_object().cloned().unwrap_or_default()
}

fn required(schema: &Value) -> BTreeSet<String> {
    schema["required"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|name| Some(name.as_str()?.to_owned()))
        .collect()
}

/// Definitions that `schema` needs, directly or through others.
fn reachable(schema: &Value, definitions: &Map<String, Value>) -> Map<String, Value> {
    let mut found = Map::new();
    let mut open = vec![schema.clone()];
    while let Some(next) = open.pop() {
        let mut names = Vec::new();
        references(&next, &mut names);
        for name in names {
            if let (false, Some(definition)) = (found.contains_key(&name), definitions.get(&name)) {
                found.insert(name, definition.clone());
                open.push(definition.clone());
            }
        }
    }
    found
}

fn references(schema: &Value, names: &mut Vec<String>) {
    match schema {
        Value::Object(members) => {
            if let Some(name) =
                members.get("$ref").and_then(Value::as_str).and_then(|r| r.strip_prefix("#/$defs/"))
            {
                names.push(name.to_owned());
            }
            members.values().for_each(|member| references(member, names));
        }
        Value::Array(items) => items.iter().for_each(|item| references(item, names)),
        _ => {}
    }
}

/// A derived schema in the plain form that is published: absent instead of null, closed objects,
/// vocabularies as one `enum` with the meanings in the description, no `format`, no `default`.
fn plain(schema: Value) -> Value {
    match schema {
        Value::Object(mut members) => {
            members.remove("format");
            members.remove("default");
            members.remove("$schema");
            if let Some(Value::Array(types)) = members.get_mut("type") {
                types.retain(|name| name != "null");
                if let [only] = types.as_slice() {
                    let only = only.clone();
                    members.insert("type".into(), only);
                }
            }
            if let Some(inner) =
                members.get("anyOf").and_then(Value::as_array).and_then(|any| without_null(any))
            {
                members.remove("anyOf");
                members.extend(inner);
            }
            if let Some(words) =
                members.get("oneOf").and_then(Value::as_array).and_then(|one| vocabulary(one))
            {
                members.remove("oneOf");
                let meaning =
                    members.get("description").and_then(Value::as_str).unwrap_or_default().to_owned();
                let list: Vec<_> = words.iter().map(|(word, text)| format!("`{word}`: {text}")).collect();
                members.insert("description".into(), json!(format!("{meaning}\n{}", list.join("\n")).trim()));
                members.insert("type".into(), json!("string"));
                members.insert("enum".into(), json!(words.iter().map(|(word, _)| word).collect::<Vec<_>>()));
            }
            if members.contains_key("properties") {
                members.insert("additionalProperties".into(), json!(false));
            }
            Value::Object(members.into_iter().map(|(name, member)| (name, plain(member))).collect())
        }
        Value::Array(items) => Value::Array(items.into_iter().map(plain).collect()),
        other => other,
    }
}

fn without_null(any: &[Value]) -> Option<Map<String, Value>> {
    match any {
        [inner, null] if *null == json!({ "type": "null" }) => inner.as_object().cloned(),
        _ => None,
    }
}

fn vocabulary(one: &[Value]) -> Option<Vec<(String, String)>> {
    one.iter()
        .map(|word| {
            Some((word.get("const")?.as_str()?.to_owned(), word.get("description")?.as_str()?.to_owned()))
        })
        .collect()
}

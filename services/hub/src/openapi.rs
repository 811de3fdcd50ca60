//! The API's own description: paths from the handlers, schemas from the types (one source:
//! `schemars`), problems and security added to every operation alike.

use haulout_schemas::published;
use schemars::SchemaGenerator;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

use crate::web::problem::{MEDIA_TYPE, ProblemShape};

/// Where components live in the document.
const COMPONENTS: &str = "#/components/schemas/";

/// Completes what the handlers tell of themselves.
pub fn complete(handlers: &utoipa::openapi::OpenApi) -> Value {
    let mut document = serde_json::to_value(handlers).unwrap_or_default();
    document["openapi"] = json!("3.1.0");
    document["info"] = json!({
        "title": "Haulout",
        "version": env!("CARGO_PKG_VERSION"),
        "summary": "Places for rescued turtles, tortoises and crocodilians, and a count that stays true.",
        "description": "Records are posted as they are; what does not add up becomes a finding. Every error answer is a problem (RFC 9457) whose `code` is listed at `/problems`.",
        "license": { "name": "Apache-2.0", "identifier": "Apache-2.0" },
    });
    document["servers"] = json!([{ "url": "/", "description": "This hub" }]);
    document["security"] = json!([]);
    document["tags"] = tags();
    document["components"] = json!({
        "schemas": components(),
        "responses": { "Problem": problem_response() },
        "securitySchemes": { "token": { "type": "http", "scheme": "bearer", "description": "A token from `haulout token issue`." } },
    });
    if let Some(paths) = document["paths"].as_object_mut() {
        for (path, item) in paths.iter_mut() {
            for (method, operation) in item.as_object_mut().into_iter().flatten() {
                operation["operationId"] = json!(operation_id(method, path));
                in_one_line(operation);
                with_problems(path, operation);
            }
        }
    }
    document
}

/// `getV1RecordsAuthorIDRecordID`: unique, because method and path are.
fn operation_id(method: &str, path: &str) -> String {
    let words = path.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    words.fold(method.to_owned(), |mut id, word| {
        let (first, rest) = word.split_at(1);
        id.push_str(&first.to_uppercase());
        id.push_str(rest);
        id
    })
}

/// The first sentence as summary, the rest as description.
fn in_one_line(operation: &mut Value) {
    let Some(summary) = operation["summary"].as_str().map(|text| text.replace('\n', " ")) else { return };
    if let Some((first, rest)) = summary.split_once(". ") {
        let more = operation["description"].as_str().unwrap_or_default();
        operation["description"] = json!(format!("{rest}\n\n{more}").trim());
        operation["summary"] = json!(first);
    } else {
        operation["summary"] = json!(summary.trim_end_matches('.'));
    }
}

fn tags() -> Value {
    let tags = [
        ("schema", "The open schema, problem codes and rules; no account."),
        ("check", "Checking without storing; no account."),
        ("submissions", "Posting records."),
        ("records", "Reading what was posted."),
        ("centres", "Who is there, and what is free."),
        ("placements", "Where an animal may go."),
        ("reservations", "Kept places and their steps."),
        ("consignments", "Journeys."),
        ("statements", "The account of a period, and what does not add up."),
        ("welfare", "What the trade computes: each figure with what it rests on, or why there is none."),
        ("operation", "For operators and machines."),
    ];
    tags.iter().map(|(name, description)| json!({ "name": name, "description": description })).collect()
}

fn problem_response() -> Value {
    json!({
        "description": "A problem; `code` says which, `detail` what to mend",
        "content": { MEDIA_TYPE: { "schema": { "$ref": format!("{COMPONENTS}ProblemDetails") } } },
    })
}

/// Every operation may answer with a problem; which ones follows from what it takes.
fn with_problems(path: &str, operation: &mut Value) {
    let Some(operation) = operation.as_object_mut() else { return };
    let guarded = operation.contains_key("security");
    let takes_body = operation.contains_key("requestBody");
    let mut statuses = vec!["400", "406", "500", "503"];
    if guarded {
        statuses.extend(["401", "403"]);
    }
    if path.contains('{') {
        statuses.push("404");
    }
    if takes_body {
        statuses.extend(["408", "413", "415", "422"]);
    }
    let responses = operation.entry("responses").or_insert_with(|| json!({}));
    for status in statuses {
        if responses.get(status).is_none() {
            responses[status] = json!({ "$ref": "#/components/responses/Problem" });
        }
    }
    if let Some(responses) = responses.as_object_mut() {
        for (status, response) in responses.iter_mut() {
            let failed = status.starts_with('4') || status.starts_with('5');
            if failed && response.get("$ref").is_none() && response.get("content").is_none() {
                let description = response["description"].clone();
                *response = problem_response();
                response["description"] = description;
            }
        }
    }
}

/// Every type that an operation refers to, from its `schemars` definition.
fn components() -> Value {
    let settings = SchemaSettings::draft2020_12().with(|settings| {
        settings.definitions_path = "/components/schemas".into();
        settings.meta_schema = None;
    });
    let mut generator = settings.into_generator();
    generator.subschema_for::<ProblemShape>();
    generator.subschema_for::<crate::web::codes::Code>();
    crate::server::types(&mut generator);
    let mut named = Map::new();
    named.insert("ProblemCodes".into(), json!({
        "type": "object", "required": ["problems"],
        "properties": { "problems": { "type": "array", "items": { "$ref": format!("{COMPONENTS}Code") } } },
    }));
    named.insert("FindingPage".into(), crate::findings::schema());
    named.insert("Rule".into(), crate::rules::schema());
    named.insert(
        "Rules".into(),
        json!({
            "type": "object", "required": ["rules"],
            "properties": { "rules": { "type": "array", "items": { "$ref": format!("{COMPONENTS}Rule") } } },
        }),
    );
    named.insert("CheckReport".into(), check_report(&mut generator));
    named.insert("Record".into(), record());
    named.insert(
        "Records".into(),
        json!({ "type": "array", "items": { "$ref": format!("{COMPONENTS}Record") } }),
    );
    for (name, schema) in generator.take_definitions(true) {
        named.entry(name).or_insert(schema);
    }
    Value::Object(named)
}

/// The open schema of a record, its inner references led into this document.
fn record() -> Value {
    let mut schema = published::record_schema().clone();
    if let Some(members) = schema.as_object_mut() {
        members.remove("$schema");
        members.remove("$id");
        members.insert(
            "externalDocs".into(),
            json!({ "url": format!("{}record.schema.json", published::BASE) }),
        );
    }
    lead_in(&mut schema);
    schema
}

fn lead_in(value: &mut Value) {
    match value {
        Value::Object(members) => {
            for (name, member) in members.iter_mut() {
                match member.as_str().and_then(|text| text.strip_prefix("#/$defs/")) {
                    Some(definition) if name == "$ref" => {
                        *member = json!(format!("{COMPONENTS}Record/$defs/{definition}"))
                    }
                    _ => lead_in(member),
                }
            }
        }
        Value::Array(items) => items.iter_mut().for_each(lead_in),
        _ => {}
    }
}

fn check_report(generator: &mut SchemaGenerator) -> Value {
    json!({
        "type": "object",
        "required": ["counts", "problems", "valid"],
        "properties": {
            "valid": { "type": "boolean", "description": "True where nothing would be refused." },
            "counts": generator.subschema_for::<haulout_checking::Counts>(),
            "problems": { "type": "array", "items": generator.subschema_for::<haulout_checking::Problem>() },
        },
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use serde_json::Value;
    use std::collections::BTreeSet;

    fn references(value: &Value, found: &mut BTreeSet<String>) {
        match value {
            Value::Object(members) => {
                for (name, member) in members {
                    match member.as_str() {
                        Some(reference) if name == "$ref" => drop(found.insert(reference.to_owned())),
                        _ => references(member, found),
                    }
                }
            }
            Value::Array(items) => items.iter().for_each(|item| references(item, found)),
            _ => {}
        }
    }

    #[test]
    fn the_description_is_whole() {
        let document = crate::server::description();
        let mut ids = BTreeSet::new();
        for (path, item) in document["paths"].as_object().unwrap() {
            for (method, operation) in item.as_object().unwrap() {
                let at = format!("{method} {path}");
                assert!(
                    ids.insert(operation["operationId"].as_str().unwrap().to_owned()),
                    "{at}: operationId twice"
                );
                let summary = operation["summary"].as_str().unwrap_or_default();
                assert!(!summary.is_empty() && !summary.contains('\n'), "{at}: {summary:?}");
                assert!(operation["responses"]["500"].is_object(), "{at}: no problem responses");
                let open = [
                    "/schemas",
                    "/problems",
                    "/v1/rules",
                    "/v1/checks",
                    "/v1/welfare",
                    "/healthz",
                    "/readyz",
                    "/metrics",
                    "/v1/sessions",
                    "/openapi.json",
                    "/docs",
                ];
                // Computations read nothing of the region, but for these.
                let reads_records = ["marks", "condition", "survival", "deaths"]
                    .iter()
                    .any(|name| path.strip_prefix("/v1/welfare/") == Some(name));
                let open = !reads_records && open.iter().any(|open| path.starts_with(open));
                let guarded = operation.get("security").is_some();
                assert_eq!(guarded, !open, "{at}: guarded or not");
            }
        }
        let mut found = BTreeSet::new();
        references(&document, &mut found);
        for reference in found.iter().filter(|reference| reference.starts_with('#')) {
            assert!(document.pointer(&reference[1..]).is_some(), "{reference} leads nowhere");
        }
    }
}

//! `/openapi.json` and `/docs`: the API's description for programs and for people. The page is made
//! here, once, from the same document, and loads nothing from elsewhere.

use actix_web::{HttpRequest, get, web};
use serde_json::Value;
use std::fmt::Write;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::web::etag::{self, Keep};
use crate::web::{Answer, negotiation::Format};

/// The description in both forms.
pub struct Description {
    json: Vec<u8>,
    page: Vec<u8>,
}

impl Description {
    /// Of a complete document.
    pub fn of(document: &Value) -> Self {
        Self { json: document.to_string().into_bytes(), page: page(document).into_bytes() }
    }
}

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(openapi).service(docs);
}

/// This description, OpenAPI 3.1.
#[utoipa::path(tag = "operation", responses((status = 200, description = "The document", body = Object)))]
#[get("/openapi.json")]
async fn openapi(request: HttpRequest, description: web::Data<Description>) -> Answer {
    Ok(etag::answer(&request, "application/json", Keep::Minutes, description.json.clone()))
}

/// This description as a page.
#[utoipa::path(tag = "operation", responses((status = 200, description = "The page", content_type = "text/html", body = String)))]
#[get("/docs")]
async fn docs(request: HttpRequest, description: web::Data<Description>) -> Answer {
    Ok(etag::answer(&request, Format::Html.media_type(), Keep::Minutes, description.page.clone()))
}

const STYLE: &str = "body{font:1rem/1.5 system-ui,sans-serif;margin:0 auto;max-width:60rem;padding:1rem;color:#1a1a1a;background:#fff}\
    h2{margin-top:2.5rem}h3{margin-top:1.5rem;font-size:1rem}code{font-family:ui-monospace,monospace;overflow-wrap:anywhere}\
    dt{font-weight:600}@media(prefers-color-scheme:dark){body{color:#eee;background:#16181b}a{color:#9cc8ff}}";

fn page(document: &Value) -> String {
    let text = |value: &Value| escaped(value.as_str().unwrap_or_default());
    let mut out = format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\">\
         <title>Haulout: the API</title><style>{STYLE}</style></head><body><main><h1>Haulout: the API</h1><p>{}</p>\
         <p>For programs: <a href=\"/openapi.json\">/openapi.json</a>. Error codes: <a href=\"/problems\">/problems</a>. \
         The open schema: <a href=\"/schemas\">/schemas</a>.</p>\n",
        text(&document["info"]["description"])
    );
    for tag in document["tags"].as_array().into_iter().flatten() {
        let _ = writeln!(out, "<h2>{}</h2><p>{}</p>", text(&tag["name"]), text(&tag["description"]));
        for (path, item) in document["paths"].as_object().into_iter().flatten() {
            for (method, operation) in item.as_object().into_iter().flatten() {
                if operation["tags"][0] == tag["name"] {
                    out.push_str(&section(method, path, operation));
                }
            }
        }
    }
    out.push_str("</main></body></html>\n");
    out
}

fn section(method: &str, path: &str, operation: &Value) -> String {
    let text = |value: &Value| escaped(value.as_str().unwrap_or_default());
    let mut out = format!(
        "<h3 id=\"{}\"><code>{} {}</code></h3><p>{}. {}</p>",
        text(&operation["operationId"]),
        escaped(&method.to_uppercase()),
        escaped(path),
        text(&operation["summary"]),
        text(&operation["description"])
    );
    if operation.get("security").is_some() {
        out.push_str("<p>Needs a token.</p>");
    }
    let parameters: Vec<&Value> = operation["parameters"].as_array().into_iter().flatten().collect();
    if !parameters.is_empty() {
        out.push_str("<dl>");
        for parameter in parameters {
            let _ = write!(
                out,
                "<dt><code>{}</code> ({})</dt><dd>{}</dd>",
                text(&parameter["name"]),
                text(&parameter["in"]),
                text(&parameter["description"])
            );
        }
        out.push_str("</dl>");
    }
    let responses = operation["responses"].as_object().into_iter().flatten();
    let told: Vec<String> = responses
        .filter(|(_, response)| response.get("$ref").is_none())
        .map(|(status, response)| {
            format!("<code>{}</code> {}", escaped(status), text(&response["description"]))
        })
        .collect();
    let _ = writeln!(out, "<p>Answers: {}.</p>", told.join("; "));
    out
}

/// Text inside markup.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

//! The open schema: published files, no account, cacheable.

use actix_web::{HttpRequest, HttpResponse, get, web};
use haulout_schemas::published;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::json;
use std::collections::BTreeMap;
use std::sync::LazyLock;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::web::etag::{self, Keep};
use crate::web::{Answer, Problem, codes};

static FILES: LazyLock<BTreeMap<String, String>> = LazyLock::new(files);

/// Every published file, name and text: the record kinds, what a plan is asked and answers, and the
/// statement.
pub fn files() -> BTreeMap<String, String> {
    let mut files: BTreeMap<String, String> = published::files().into_iter().collect();
    let statement = ("statement", haulout_reckoning::statement::schema());
    for (name, mut schema) in haulout_placement::plan::schemas().into_iter().chain([statement]) {
        let file = format!("{name}.schema.json");
        schema["$id"] = json!(format!("{}{file}", published::BASE));
        files.insert(file, format!("{schema:#}\n"));
    }
    files
}

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(index).service(exact).service(alias);
}

/// The files of the open schema.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct SchemaIndex {
    /// The version published.
    pub version: &'static str,
    /// Addresses of the files.
    pub files: Vec<String>,
}

/// Lists the files of the open schema.
#[utoipa::path(tag = "schema", responses((status = 200, description = "The files", body = ref("#/components/schemas/SchemaIndex"))))]
#[get("/schemas")]
async fn index(request: HttpRequest) -> Answer {
    let files = FILES.keys().map(|name| format!("/schemas/{}/{name}", published::VERSION)).collect();
    let index = SchemaIndex { version: published::VERSION, files };
    let bytes = serde_json::to_vec(&index)
        .map_err(|error| Problem::new(&codes::INTERNAL, "the list could not be written").because(error))?;
    Ok(etag::answer(&request, "application/json", Keep::Minutes, bytes))
}

/// One file of an exact version. It never changes, so it may be kept for ever.
#[utoipa::path(tag = "schema", params(("file" = String, Path, description = "Such as `rescue.schema.json`")),
    responses((status = 200, description = "A JSON Schema, 2020-12", content_type = "application/schema+json", body = Object)))]
#[get("/schemas/1.0/{file}")]
async fn exact(request: HttpRequest, file: web::Path<String>) -> Answer {
    serve(&request, &file, Keep::ForEver)
}

/// One file of the newest version 1.x.
#[utoipa::path(tag = "schema", params(("file" = String, Path, description = "Such as `rescue.schema.json`")),
    responses((status = 200, description = "A JSON Schema, 2020-12", content_type = "application/schema+json", body = Object)))]
#[get("/schemas/1/{file}")]
async fn alias(request: HttpRequest, file: web::Path<String>) -> Answer {
    serve(&request, &file, Keep::Minutes)
}

fn serve(request: &HttpRequest, file: &str, keep: Keep) -> Answer<HttpResponse> {
    match FILES.get(file) {
        Some(text) => Ok(etag::answer(request, "application/schema+json", keep, text.clone().into_bytes())),
        None => {
            Err(Problem::new(&codes::NOT_FOUND, "the schema has no such file; `/schemas` lists them all"))
        }
    }
}

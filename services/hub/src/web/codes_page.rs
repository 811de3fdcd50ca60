//! `/problems/{code}`: what a problem code means, for people and programs.

use actix_web::{HttpRequest, HttpResponse, get, web};
use utoipa_actix_web::service_config::ServiceConfig;

use super::codes::{self, Code};
use super::etag::{self, Keep};
use super::negotiation::{self, Format};
use super::problem::{Answer, BASE, Problem};
use serde_json::json;

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(all).service(one);
}

/// Lists every problem code with its status, title and advice.
#[utoipa::path(tag = "schema", responses((status = 200, description = "The table", body = ref("#/components/schemas/ProblemCodes"))))]
#[get("/problems")]
async fn all() -> HttpResponse {
    HttpResponse::Ok().json(json!({ "problems": codes::ALL }))
}

/// What one problem code means, and what to do.
#[utoipa::path(tag = "schema", params(("code" = String, Path, description = "Such as `token-missing`")),
    responses((status = 200, description = "Its meaning", body = ref("#/components/schemas/Code"))))]
#[get("/problems/{code}")]
async fn one(request: HttpRequest, code: web::Path<String>) -> Answer {
    let code = codes::find(&code).ok_or_else(|| {
        Problem::new(&codes::NOT_FOUND, "there is no such problem code; `/problems` lists them all")
    })?;
    match negotiation::choose(&request, None, &[Format::Json, Format::Html])? {
        Format::Html => {
            Ok(etag::answer(&request, Format::Html.media_type(), Keep::Minutes, page(code).into_bytes()))
        }
        _ => Ok(HttpResponse::Ok().json(code)),
    }
}

/// The page of a code. Its parts are constants of the table and hold no markup.
fn page(code: &Code) -> String {
    let Code { code, status, title, advice, retryable } = code;
    let again =
        if *retryable { "The same request may succeed later." } else { "The same request will fail again." };
    format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>{title}</title></head>\n\
         <body><main><h1>{title}</h1><p>{advice}</p><p>{again}</p>\
         <dl><dt>Code</dt><dd><code>{code}</code></dd><dt>HTTP status</dt><dd>{status}</dd>\
         <dt>Type</dt><dd><code>{BASE}{code}</code></dd></dl></main></body></html>\n"
    )
}

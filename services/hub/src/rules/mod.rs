//! The catalogue of rules.

use actix_web::{HttpRequest, get, web};
use serde_json::{Value, json};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::catalogue;
use crate::records::conditional;
use crate::web::{Answer, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(all).service(one);
}

/// A rule as the catalogue shows it.
pub fn schema() -> Value {
    json!({
        "type": "object",
        "required": ["code", "layer", "severity", "title", "meaning", "why", "mend", "source", "thresholds"],
        "properties": {
            "code": { "type": "string" }, "layer": { "type": "string" }, "severity": { "type": "string" },
            "title": { "type": "string" }, "meaning": { "type": "string" }, "why": { "type": "string" },
            "mend": { "type": "string" }, "source": { "type": "string" },
            "thresholds": { "type": "array", "items": {
                "type": "object", "required": ["name", "value", "unit", "source"],
                "properties": { "name": { "type": "string" }, "value": { "type": "integer" }, "unit": { "type": "string" }, "source": { "type": "string" } },
            } },
        },
    })
}

/// Every rule: what it means, why it matters, how to mend it, and where it comes from.
#[utoipa::path(tag = "schema", responses((status = 200, description = "The catalogue", body = ref("#/components/schemas/Rules"))))]
#[get("/v1/rules")]
async fn all(request: HttpRequest) -> Answer {
    conditional(&request, &json!({ "rules": catalogue::rules() }))
}

/// One rule.
#[utoipa::path(tag = "schema", params(("code" = String, Path, description = "Such as `census-difference`")),
    responses((status = 200, description = "The rule", body = ref("#/components/schemas/Rule"))))]
#[get("/v1/rules/{code}")]
async fn one(request: HttpRequest, code: web::Path<String>) -> Answer {
    let rule = catalogue::find(&code).ok_or_else(|| {
        let near = catalogue::nearest(&code);
        let hint =
            if near.is_empty() { String::new() } else { format!("; did you mean {}?", near.join(" or ")) };
        Problem::new(&codes::NOT_FOUND, format!("there is no such rule{hint}"))
    })?;
    conditional(&request, &rule)
}

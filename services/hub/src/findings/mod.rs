//! What does not add up, is missing or overdue, as it stands now.

use actix_web::{HttpRequest, HttpResponse, get, web};
use haulout_schemas::rule::Severity;
use haulout_store::FindingFilter;
use serde::Deserialize;
use serde_json::{Value, json};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::catalogue;
use crate::hub::Hub;
use crate::statements::own_or;
use crate::web::caller::ReadStatements;
use crate::web::paging;
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(list);
}

/// A page of findings.
pub fn schema() -> Value {
    json!({
        "type": "object", "required": ["evaluatedThrough", "items"],
        "properties": {
            "evaluatedThrough": { "type": "string", "description": "Deadlines are judged at this day; records dated through it count." },
            "next": { "type": "string" },
            "items": { "type": "array", "items": {
                "type": "object", "required": ["code", "severity", "centreIDs", "records", "parameters"],
                "properties": {
                    "code": { "type": "string" }, "severity": { "enum": ["critical", "major", "minor", "info"] },
                    "centreIDs": { "type": "array", "items": { "type": "string" } },
                    "records": { "type": "array", "items": { "type": "object", "required": ["authorID", "recordID"],
                        "properties": { "authorID": { "type": "string" }, "recordID": { "type": "string" } } } },
                    "dueDay": { "type": "string" },
                    "parameters": { "type": "object", "additionalProperties": { "type": ["string", "integer"] } },
                },
            } },
        },
    })
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Question {
    /// With this code.
    code: Option<String>,
    /// `critical`, `major`, `minor` or `info`.
    severity: Option<String>,
    /// That concern this centre or point. A centre always sees its own.
    #[serde(rename = "centreID")]
    #[param(rename = "centreID")]
    centre_id: Option<String>,
    /// The cursor of the page before.
    after: Option<String>,
    /// Entries of a page, 1 to 1000; 100 unless given.
    limit: Option<u32>,
}

/// What does not add up, is missing or overdue now: codes with parameters, each with the records it
/// rests on. `/v1/rules/{code}` says what a code means and how to mend it.
#[utoipa::path(tag = "statements", security(("token" = [])), params(Question),
    responses((status = 200, description = "A page", body = ref("#/components/schemas/FindingPage"))))]
#[get("/v1/findings")]
async fn list(
    hub: web::Data<Hub>,
    caller: Caller<ReadStatements>,
    request: HttpRequest,
    question: web::Query<Question>,
) -> Answer {
    let question = question.into_inner();
    let limit = paging::limit(question.limit)? as usize;
    let after = usize::try_from(paging::number("findings", question.after.as_deref())?).unwrap_or_default();
    let scope = caller.scope();
    let filter = FindingFilter {
        code: question.code.map(|code| known(&code)).transpose()?,
        severity: question.severity.as_deref().map(severity).transpose()?,
        place: own_or(&hub, &scope, question.centre_id).await?,
    };
    let found = hub.store.findings(&scope, &filter).await?;
    let items = found.findings.get(after..).unwrap_or_default();
    let more = items.len() > limit;
    let items = &items[..items.len().min(limit)];
    let mut answer = HttpResponse::Ok();
    let mut body = json!({ "evaluatedThrough": found.evaluated_through.to_string(), "items": items });
    if more {
        let next = paging::next(&request, &paging::cursor("findings", &(after + limit).to_string()));
        if let Some(link) = paging::link(&next) {
            answer.insert_header(link);
        }
        body["next"] = json!(next);
    }
    Ok(answer.json(body))
}

fn known(code: &str) -> Result<String, Problem> {
    match catalogue::find(code) {
        Some(rule) => Ok(rule.code.to_owned()),
        None => Err(Problem::new(&codes::BAD_QUERY, "there is no such rule; `/v1/rules` lists them")
            .at("code", "no such rule")),
    }
}

fn severity(text: &str) -> Result<Severity, Problem> {
    [Severity::Critical, Severity::Major, Severity::Minor, Severity::Info]
        .into_iter()
        .find(|severity| severity.as_str() == text)
        .ok_or_else(|| {
            Problem::new(&codes::BAD_QUERY, "severity is critical, major, minor or info")
                .at("severity", "no such severity")
        })
}

//! What does not add up, is missing or overdue, as it stands now; and what the authority accepted of it.

use actix_web::{HttpRequest, HttpResponse, get, post, web};
use haulout_reckoning::findings::{Finding, RecordName};
use haulout_reckoning::statement::{Acceptance, acceptance_of};
use haulout_schemas::RecordRef;
use haulout_schemas::rule::Severity;
use haulout_store::acts::FindingAccepted;
use haulout_store::{Act, FindingFilter};
use schemars::{JsonSchema, SchemaGenerator};
use serde::Deserialize;
use serde_json::{Value, json};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::catalogue;
use crate::hub::Hub;
use crate::statements::own_or;
use crate::statements::word::{Words, acceptance, within};
use crate::web::body::Json;
use crate::web::caller::{AcceptFindings, ReadStatements};
use crate::web::paging;
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(accept).service(list);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Accepting>();
    generator.subschema_for::<Finding>();
    generator.subschema_for::<Acceptance>();
}

/// A page of findings.
pub fn schema() -> Value {
    json!({
        "type": "object", "required": ["evaluatedThrough", "items"],
        "properties": {
            "evaluatedThrough": { "type": "string", "description": "Deadlines are judged at this day; records dated through it count." },
            "next": { "type": "string" },
            "items": { "type": "array", "items": {
                "allOf": [{ "$ref": "#/components/schemas/Finding" }],
                "properties": { "accepted": { "$ref": "#/components/schemas/Acceptance" } },
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
    let accepted = Words::known_at(&hub.store, None).await?.accepted();
    let items = items.iter().take(limit).map(|finding| {
        let mut shown = json!(finding);
        if let Some(word) = acceptance_of(&accepted, &finding.code, &finding.records) {
            shown["accepted"] = json!(word);
        }
        shown
    });
    let items: Vec<Value> = items.collect();
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

/// A finding that the authority accepts.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Accepting {
    /// The finding's code.
    code: String,
    /// The records that it rests on, as `GET /v1/findings` lists them.
    records: Vec<RecordRef>,
    /// Why it may stand, 1 to 2,000 characters.
    #[schemars(length(min = 1, max = 2000))]
    reason: String,
}

/// Accepts a finding that stands now, with a reason. It stays a finding in every statement; the word is
/// told beside it, and ends with it: a finding that comes to rest on other records is open again.
#[utoipa::path(tag = "statements", security(("token" = [])),
    request_body(content((ref("#/components/schemas/Accepting") = "application/json"))),
    responses((status = 201, description = "Accepted", body = ref("#/components/schemas/Acceptance")), (status = 409, description = "No such finding stands now")))]
#[post("/v1/findings/acceptances")]
async fn accept(hub: web::Data<Hub>, caller: Caller<AcceptFindings>, body: Json<Accepting>) -> Answer {
    let Accepting { code, mut records, reason } = body.0;
    let code = known(&code)?;
    within("#/reason", &reason)?;
    records.sort_by(|a, b| (&a.author_id, &a.record_id).cmp(&(&b.author_id, &b.record_id)));
    let filter = FindingFilter { code: Some(code.clone()), ..FindingFilter::default() };
    let names: Vec<RecordName> = records
        .iter()
        .map(|name| RecordName { author_id: name.author_id.clone(), record_id: name.record_id.clone() })
        .collect();
    let standing = hub.store.findings(&caller.scope(), &filter).await?.findings;
    if !standing.iter().any(|finding| finding.records == names) {
        return Err(Problem::new(
            &codes::STATE_CONFLICT,
            format!("no finding `{code}` that rests on just these records stands now; fetch /v1/findings?code={code} and take its `records` as they are"),
        )
        .at("#/records", "no such finding"));
    }
    let act = FindingAccepted { by: caller.who.by(), code, records, reason };
    let sealed = hub.store.append(Act::from(act)).await?;
    Ok(HttpResponse::Created().json(acceptance(&sealed)))
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

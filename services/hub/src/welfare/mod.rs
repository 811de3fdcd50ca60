//! The trade's computations over HTTP: each takes what is known, and answers with figures, what they
//! rest on, and what could not be computed. The page of an answer never says "safe".

mod clutches;
mod computations;
mod condition;
mod deaths;
mod growth;
mod handling;
mod marks;
mod page;
mod ration;
mod release;
mod survival;
mod today;

use actix_web::{HttpRequest, HttpResponse, get, post, web};
use haulout_schemas::names::Resolution;
use haulout_schemas::profile::Profile;
use haulout_store::Configuration;
use haulout_welfare::refusal::Refusal;
use schemars::SchemaGenerator;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use utoipa_actix_web::service_config::ServiceConfig;

use self::computations::COMPUTATIONS;
use crate::hub::Hub;
use crate::records::conditional;
use crate::web::body::Json;
use crate::web::{Answer, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    handling::routes(config);
    ration::routes(config);
    marks::routes(config);
    condition::routes(config);
    growth::routes(config);
    release::routes(config);
    survival::routes(config);
    deaths::routes(config);
    clutches::routes(config);
    today::routes(config);
    // Last: it takes every other name.
    config.service(list).service(compute);
}

/// The computations that take a body, each with an example that works as pasted.
#[utoipa::path(tag = "welfare", responses((status = 200, description = "Name, what it tells, and a body", body = Object)))]
#[get("/v1/welfare")]
async fn list(request: HttpRequest) -> Answer {
    let computations = COMPUTATIONS.iter().map(|one| {
        json!({
            "name": one.name, "tells": one.tells, "address": format!("/v1/welfare/{}", one.name),
            "method": "POST", "example": (one.example)(),
        })
    });
    conditional(&request, &json!({ "computations": computations.collect::<Vec<_>>() }))
}

/// Computes one of `GET /v1/welfare`: figures with what they rest on, or why there is none. It says
/// that no reason was found against, never that something is safe.
#[utoipa::path(tag = "welfare", params(("computation" = String, Path, description = "A name that `GET /v1/welfare` lists, such as `departures`")),
    request_body(content((Object = "application/json"))),
    responses((status = 200, description = "The figures", body = Object), (status = 422, description = "No figure: what, why, and how to mend it")))]
#[post("/v1/welfare/{computation}")]
async fn compute(hub: web::Data<Hub>, name: web::Path<String>, body: Json<Value>) -> Answer {
    let Some(one) = COMPUTATIONS.iter().find(|one| one.name == name.as_str()) else {
        return Err(Problem::new(
            &codes::NOT_FOUND,
            "there is no such computation; `GET /v1/welfare` lists them",
        ));
    };
    let configuration = hub.store.configuration().await?;
    Ok(HttpResponse::Ok().json((one.answer)(&configuration, body.0)?))
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    ration::schemas(generator);
}

/// What could not be computed is an answer: its own key, what, why and how to mend it.
impl From<Refusal> for Problem {
    fn from(refusal: Refusal) -> Self {
        Self::new(&codes::NOT_COMPUTED, refusal.to_string()).with("refusal", json!(refusal))
    }
}

/// Names that are asked back at most.
const ASKED_BACK: usize = 8;

/// The profile of one species.
///
/// # Errors
/// A problem that says what the name might have meant.
fn species<'a>(configuration: &'a Configuration, name: &str) -> Result<&'a Profile, Problem> {
    let resolved = configuration.names.resolve(name);
    let accepted = match &resolved {
        // An everyday name that means one species will do.
        Resolution::Common { accepted } => accepted,
        _ => name,
    };
    if let Some(profile) = configuration.names.profile(accepted) {
        return Ok(profile);
    }
    let detail = match resolved {
        Resolution::AmbiguousCommon { candidates } | Resolution::Higher { members: candidates, .. } => {
            let (few, more) = candidates.split_at(candidates.len().min(ASKED_BACK));
            let more = if more.is_empty() { String::new() } else { format!(" and {} more", more.len()) };
            format!("`{name}` may be any of {}{more}; name one", few.join(", "))
        }
        Resolution::Unknown { suggestions } if !suggestions.is_empty() => {
            format!("no species is called `{name}`; did you mean {}?", suggestions.join(" or "))
        }
        _ => format!("no profile is known for `{name}`; the region file may add one"),
    };
    Err(Problem::new(&codes::BAD_VALUE, detail).at("scientificName", "no species with a profile"))
}

/// A word of a vocabulary.
///
/// # Errors
/// A problem that names the parameter.
fn word<T: DeserializeOwned>(text: &str, parameter: &'static str) -> Result<T, Problem> {
    serde_json::from_value(json!(text)).map_err(|error| {
        Problem::new(&codes::BAD_QUERY, format!("`{text}` is no {parameter}: {error}"))
            .at(parameter, "not a word of the vocabulary")
    })
}

/// A figure, or in its place why there is none.
fn answer_or_refusal<T: Serialize>(answer: Result<T, Refusal>) -> Value {
    match answer {
        Ok(answer) => json!(answer),
        Err(refusal) => json!({ "refusal": refusal }),
    }
}

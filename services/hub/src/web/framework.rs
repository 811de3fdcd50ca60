//! What the framework itself refuses, told as problems: unknown addresses, other methods, broken
//! bodies, parameters that cannot be read.

use actix_web::dev::ResourceDef;
use actix_web::error::{JsonPayloadError, PathError, PayloadError, QueryPayloadError};
use actix_web::http::header::{ALLOW, CONTENT_LENGTH};
use actix_web::{Error, HttpRequest, HttpResponse, ResponseError, web};
use std::sync::Arc;

use super::problem::Problem;
use super::{codes, limits};

/// Every documented address with its methods, to tell an unknown address from another method.
#[derive(Clone)]
pub struct Addresses(Arc<Vec<(ResourceDef, Vec<String>)>>);

impl Addresses {
    /// Takes them from the OpenAPI document, so that none is forgotten.
    pub fn of(document: &serde_json::Value) -> Self {
        let paths = document.get("paths").and_then(serde_json::Value::as_object);
        let list = paths
            .into_iter()
            .flatten()
            .map(|(path, item)| {
                let methods = item.as_object().into_iter().flatten().map(|(method, _)| method.to_uppercase());
                (
                    ResourceDef::new(path.as_str()),
                    methods.filter(|method| method.chars().all(char::is_alphabetic)).collect(),
                )
            })
            .collect();
        Self(Arc::new(list))
    }

    /// The methods that an address takes; none where it is unknown.
    fn methods(&self, path: &str) -> Vec<String> {
        let mut methods: Vec<String> = self
            .0
            .iter()
            .filter(|(pattern, _)| pattern.is_match(path))
            .flat_map(|(_, methods)| methods.iter().cloned())
            .collect();
        if methods.iter().any(|method| method == "GET") {
            methods.push("HEAD".to_owned());
        }
        if !methods.is_empty() {
            methods.push("OPTIONS".to_owned());
        }
        methods.sort();
        methods.dedup();
        methods
    }
}

/// Answers what no handler takes.
pub async fn no_handler(
    request: HttpRequest,
    addresses: web::Data<Addresses>,
) -> Result<HttpResponse, Problem> {
    let methods = addresses.methods(request.path());
    if methods.is_empty() {
        return Err(Problem::new(
            &codes::NO_SUCH_ADDRESS,
            format!("`{}` is no address of this hub", shown(request.path())),
        ));
    }
    let allow = methods.join(", ");
    if request.method() == actix_web::http::Method::OPTIONS {
        return Ok(HttpResponse::NoContent().insert_header((ALLOW, allow)).finish());
    }
    Err(Problem::new(
        &codes::METHOD_NOT_ALLOWED,
        format!("`{}` is not possible here; possible: {allow}", request.method()),
    )
    .with_header(ALLOW, allow))
}

/// A part of the request as it may be repeated in a message: short and without control characters.
pub fn shown(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(200).collect()
}

/// The announced length of the body.
pub fn content_length(request: &HttpRequest) -> Option<u64> {
    request.headers().get(CONTENT_LENGTH)?.to_str().ok()?.parse().ok()
}

/// A body that could not be taken in.
pub fn payload_problem(error: Error) -> Problem {
    match error.as_error::<PayloadError>() {
        Some(PayloadError::Overflow) => Problem::new(
            &codes::BODY_TOO_LARGE,
            format!("the body has more than {} MiB", limits::JSON_BODY >> 20),
        ),
        Some(PayloadError::EncodingCorrupted) => {
            Problem::new(&codes::ENCODING_MISMATCH, "the body cannot be decompressed")
        }
        Some(PayloadError::UnknownLength | PayloadError::Incomplete(_)) | None => {
            Problem::new(&codes::BODY_INCOMPLETE, "the body could not be read to its end").because(error)
        }
        Some(other) => {
            let said = other.to_string();
            Problem::new(&codes::BODY_INCOMPLETE, "the body could not be read to its end").because(said)
        }
    }
}

/// Configuration of the framework's own extractors.
pub fn extractors(config: &mut web::ServiceConfig) {
    config
        .app_data(web::PayloadConfig::new(limits::JSON_BODY))
        .app_data(web::QueryConfig::default().error_handler(|error, _| query_problem(&error).into()))
        .app_data(web::PathConfig::default().error_handler(|error, _| path_problem(&error).into()))
        .app_data(web::JsonConfig::default().error_handler(|error, _| json_problem(&error).into()));
}

fn query_problem(error: &QueryPayloadError) -> Problem {
    let said = match error {
        QueryPayloadError::Deserialize(inner) => inner.to_string(),
        other => other.to_string(),
    };
    Problem::new(&codes::BAD_QUERY, shown(&said))
}

fn path_problem(error: &PathError) -> Problem {
    Problem::new(&codes::BAD_PATH, shown(&error.to_string()))
}

fn json_problem(error: &JsonPayloadError) -> Problem {
    Problem::new(&codes::BAD_JSON, shown(&error.to_string()))
}

/// An error answer of the framework that carries no problem yet.
pub fn problem_of(error: &Error) -> Problem {
    let status = error.as_response_error().status_code().as_u16();
    let code = match status {
        404 => &codes::NO_SUCH_ADDRESS,
        405 => &codes::METHOD_NOT_ALLOWED,
        408 => &codes::REQUEST_TIMEOUT,
        413 => &codes::BODY_TOO_LARGE,
        415 => &codes::MEDIA_TYPE_UNSUPPORTED,
        503 => &codes::BUSY,
        400..=499 => &codes::BAD_HEADER,
        _ => &codes::INTERNAL,
    };
    Problem::new(code, code.advice).because(error)
}

/// The answer to an error: its own problem, or the one that the framework's error amounts to.
pub fn error_answer(error: &Error) -> HttpResponse {
    match error.as_error::<Problem>() {
        Some(problem) => problem.error_response(),
        None => problem_of(error).error_response(),
    }
}

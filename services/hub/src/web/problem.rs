//! An error answer: RFC 9457 problem details, worded once for every surface.

use actix_web::http::StatusCode;
use actix_web::http::header::{HeaderName, HeaderValue, RETRY_AFTER};
use actix_web::{HttpResponse, ResponseError};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value, json};
use std::fmt;

use super::codes::Code;
use super::request_id;

/// Where the meaning of every code can be read, on every host.
pub const BASE: &str = "https://haulout.example/problems/";

/// The media type of a problem.
pub const MEDIA_TYPE: &str = "application/problem+json";

/// An error answer. The outer message is for the caller; the inner one goes to the log alone.
#[derive(Debug)]
pub struct Problem(Box<Parts>);

/// Boxed, because a result that nearly always is good should not carry so much around.
#[derive(Debug)]
struct Parts {
    code: &'static Code,
    detail: String,
    errors: Vec<Detail>,
    members: Map<String, Value>,
    headers: Vec<(HeaderName, HeaderValue)>,
    inner: Option<String>,
}

/// One reason among several, with its place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Detail {
    /// What is wrong, in words.
    pub detail: String,
    /// RFC 6901 pointer into the body, as a URI fragment.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pointer: Option<String>,
    /// Name of the query parameter or header.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub parameter: Option<String>,
    /// 1-based line of the body.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<u64>,
}

/// The shape of a problem, for OpenAPI. Answers are made by [`Problem`].
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "ProblemDetails")]
pub struct ProblemShape {
    /// Address of the problem's kind: `https://haulout.example/problems/CODE`.
    pub r#type: String,
    /// A few words, the same for every occurrence.
    pub title: String,
    /// HTTP status, the same as the status line's.
    pub status: u16,
    /// What is wrong in this case, and how to mend it.
    pub detail: String,
    /// The request, as `urn:haulout:request:ID`; the log knows the same id.
    pub instance: String,
    /// Stable code in kebab case.
    pub code: String,
    /// Reasons with their places.
    #[serde(default)]
    pub errors: Vec<Detail>,
}

impl Problem {
    /// A problem of a kind, with what is wrong in this case.
    pub fn new(code: &'static Code, detail: impl Into<String>) -> Self {
        Self(Box::new(Parts {
            code,
            detail: detail.into(),
            errors: Vec::new(),
            members: Map::new(),
            headers: Vec::new(),
            inner: None,
        }))
    }

    /// The same, with what only the log may know.
    #[must_use]
    pub fn because(mut self, inner: impl fmt::Display) -> Self {
        self.0.inner = Some(inner.to_string());
        self
    }

    /// The same, with one more reason at a place: a pointer beginning with `#`, or the name of a
    /// query parameter or header.
    #[must_use]
    pub fn at(mut self, place: impl Into<String>, detail: impl Into<String>) -> Self {
        let (place, detail) = (place.into(), detail.into());
        let (pointer, parameter) =
            if place.starts_with('#') { (Some(place), None) } else { (None, Some(place)) };
        self.0.errors.push(Detail { detail, pointer, parameter, line: None });
        self
    }

    /// The same, with one more reason.
    #[must_use]
    pub fn with_error(mut self, error: Detail) -> Self {
        self.0.errors.push(error);
        self
    }

    /// The same, with a member of its own.
    #[must_use]
    pub fn with(mut self, name: &str, value: Value) -> Self {
        self.0.members.insert(name.to_owned(), value);
        self
    }

    /// The same, with all members of an object.
    #[must_use]
    pub fn with_all(mut self, members: Value) -> Self {
        if let Value::Object(members) = members {
            self.0.members.extend(members);
        }
        self
    }

    /// The same, with a header in the answer.
    #[must_use]
    pub fn with_header(mut self, name: HeaderName, value: impl AsRef<str>) -> Self {
        if let Ok(value) = HeaderValue::from_str(value.as_ref()) {
            self.0.headers.push((name, value));
        }
        self
    }

    /// The kind of problem.
    pub fn code(&self) -> &'static Code {
        self.0.code
    }

    /// What is wrong in this case.
    pub fn detail(&self) -> &str {
        &self.0.detail
    }

    /// The problem as it is sent.
    pub fn to_json(&self) -> Value {
        let mut whole = self.0.members.clone();
        whole.insert("type".into(), json!(format!("{BASE}{}", self.0.code.code)));
        whole.insert("title".into(), json!(self.0.code.title));
        whole.insert("status".into(), json!(self.0.code.status));
        whole.insert("detail".into(), json!(self.0.detail));
        whole.insert("instance".into(), json!(format!("urn:haulout:request:{}", request_id::current())));
        whole.insert("code".into(), json!(self.0.code.code));
        if !self.0.errors.is_empty() {
            whole.insert("errors".into(), json!(self.0.errors));
        }
        Value::Object(whole)
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.0.code.title, self.0.detail)
    }
}

impl std::error::Error for Problem {}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.0.code.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        match &self.0.inner {
            Some(inner) if self.0.code.status >= 500 => {
                tracing::error!(code = self.0.code.code, request_id = request_id::current(), inner, "failed");
            }
            Some(inner) => {
                tracing::info!(code = self.0.code.code, request_id = request_id::current(), inner, "refused")
            }
            None => {}
        }
        let mut answer = HttpResponse::build(self.status_code());
        answer.content_type(MEDIA_TYPE);
        for (name, value) in &self.0.headers {
            answer.append_header((name.clone(), value.clone()));
        }
        let says_when = self.0.headers.iter().any(|(name, _)| name == RETRY_AFTER);
        if matches!(self.0.code.status, 408 | 409 | 429 | 503) && self.0.code.retryable && !says_when {
            answer.insert_header((RETRY_AFTER, "2"));
        }
        answer.body(self.to_json().to_string())
    }
}

/// What a handler gives back.
pub type Answer<T = HttpResponse> = Result<T, Problem>;

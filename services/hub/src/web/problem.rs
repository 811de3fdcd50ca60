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
pub struct Problem {
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
    /// RFC 6901 pointer into the body as a URI fragment, or the name of a parameter or header.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pointer: Option<String>,
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
        Self {
            code,
            detail: detail.into(),
            errors: Vec::new(),
            members: Map::new(),
            headers: Vec::new(),
            inner: None,
        }
    }

    /// The same, with what only the log may know.
    #[must_use]
    pub fn because(mut self, inner: impl fmt::Display) -> Self {
        self.inner = Some(inner.to_string());
        self
    }

    /// The same, with one more reason at a pointer, parameter or header.
    #[must_use]
    pub fn at(mut self, pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        self.errors.push(Detail { detail: detail.into(), pointer: Some(pointer.into()), line: None });
        self
    }

    /// The same, with one more reason.
    #[must_use]
    pub fn with_error(mut self, error: Detail) -> Self {
        self.errors.push(error);
        self
    }

    /// The same, with a member of its own.
    #[must_use]
    pub fn with(mut self, name: &str, value: Value) -> Self {
        self.members.insert(name.to_owned(), value);
        self
    }

    /// The same, with all members of an object.
    #[must_use]
    pub fn with_all(mut self, members: Value) -> Self {
        if let Value::Object(members) = members {
            self.members.extend(members);
        }
        self
    }

    /// The same, with a header in the answer.
    #[must_use]
    pub fn with_header(mut self, name: HeaderName, value: impl AsRef<str>) -> Self {
        if let Ok(value) = HeaderValue::from_str(value.as_ref()) {
            self.headers.push((name, value));
        }
        self
    }

    /// The kind of problem.
    pub fn code(&self) -> &'static Code {
        self.code
    }

    /// What is wrong in this case.
    pub fn detail(&self) -> &str {
        &self.detail
    }

    /// The problem as it is sent.
    pub fn to_json(&self) -> Value {
        let mut whole = self.members.clone();
        whole.insert("type".into(), json!(format!("{BASE}{}", self.code.code)));
        whole.insert("title".into(), json!(self.code.title));
        whole.insert("status".into(), json!(self.code.status));
        whole.insert("detail".into(), json!(self.detail));
        whole.insert("instance".into(), json!(format!("urn:haulout:request:{}", request_id::current())));
        whole.insert("code".into(), json!(self.code.code));
        if !self.errors.is_empty() {
            whole.insert("errors".into(), json!(self.errors));
        }
        Value::Object(whole)
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.code.title, self.detail)
    }
}

impl std::error::Error for Problem {}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.code.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        match &self.inner {
            Some(inner) if self.code.status >= 500 => {
                tracing::error!(code = self.code.code, request_id = request_id::current(), inner, "failed");
            }
            Some(inner) => tracing::info!(code = self.code.code, request_id = request_id::current(), inner, "refused"),
            None => {}
        }
        let mut answer = HttpResponse::build(self.status_code());
        answer.content_type(MEDIA_TYPE);
        for (name, value) in &self.headers {
            answer.append_header((name.clone(), value.clone()));
        }
        let says_when = self.headers.iter().any(|(name, _)| name == RETRY_AFTER);
        if matches!(self.code.status, 408 | 409 | 429 | 503) && self.code.retryable && !says_when {
            answer.insert_header((RETRY_AFTER, "2"));
        }
        answer.body(self.to_json().to_string())
    }
}

/// What a handler gives back.
pub type Answer<T = HttpResponse> = Result<T, Problem>;

//! The outermost layer: request id, one log line, HEAD as GET, security headers, and a problem in
//! place of whatever else the framework answers.

use actix_web::Error;
use actix_web::HttpMessage;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_ENCODING, ETAG, HeaderMap, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::web::Data;
use std::time::Instant;

use super::problem::Problem;
use super::{framework, request_id};
use crate::hub::Hub;

/// Whose request it is, for the log: the token's id or the person's login, never the token.
#[derive(Debug, Clone)]
pub struct AskedBy(pub String);

const SECURITY: [(&str, &str); 6] = [
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "geolocation=(), camera=(), microphone=()"),
    (
        "content-security-policy",
        "default-src 'none'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; script-src 'self'; \
         connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
];

/// Wraps every request.
pub async fn outermost<B: MessageBody + 'static>(
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let began = Instant::now();
    let id = request_id::choose(request.headers().get("x-request-id").and_then(|value| value.to_str().ok()));
    let method = request.method().clone();
    if method == Method::HEAD {
        // The connection knows that it was HEAD and sends no body; the handler need not.
        request.head_mut().method = Method::GET;
    }
    let hub = request.app_data::<Data<Hub>>().cloned();
    let answer = request_id::within(id.clone(), async move {
        let answer = next.call(request).await?.map_into_boxed_body();
        Ok::<_, Error>(as_problem(answer))
    });
    let mut answer = answer.await?;

    let route = answer.request().match_pattern().unwrap_or_else(|| "none".to_owned());
    let status = answer.status().as_u16();
    let asked_by = answer.request().extensions().get::<AskedBy>().map(|by| by.0.clone());
    let took = began.elapsed();
    if let Some(hub) = hub {
        hub.metrics.request(method.as_str(), &route, status, took);
    }
    tracing::info!(
        request_id = id,
        method = method.as_str(),
        route,
        status,
        milliseconds = u64::try_from(took.as_millis()).unwrap_or(u64::MAX),
        asked_by,
        "answered"
    );
    head(answer.headers_mut(), &id);
    Ok(answer)
}

/// An error of the framework becomes a problem; our own problems stay.
fn as_problem(answer: ServiceResponse<BoxBody>) -> ServiceResponse<BoxBody> {
    let replaced = match answer.response().error() {
        Some(error) if error.as_error::<Problem>().is_none() => Some(framework::error_answer(error)),
        _ => None,
    };
    match replaced {
        Some(problem) => answer.into_response(problem),
        None => answer,
    }
}

fn head(headers: &mut HeaderMap, id: &str) {
    if let Ok(id) = HeaderValue::from_str(id) {
        headers.insert(HeaderName::from_static("x-request-id"), id);
    }
    for (name, value) in SECURITY {
        let name = HeaderName::from_static(name);
        if !headers.contains_key(&name) {
            headers.insert(name, HeaderValue::from_static(value));
        }
    }
    if !headers.contains_key(CACHE_CONTROL) {
        headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    // Compressed bytes are another representation, so a strong tag must be another too.
    let encoding = headers.get(CONTENT_ENCODING).and_then(|value| value.to_str().ok()).map(str::to_owned);
    let tag = headers.get(ETAG).and_then(|value| value.to_str().ok()).map(str::to_owned);
    if let (Some(encoding @ ("gzip" | "zstd")), Some(tag)) = (encoding.as_deref(), tag)
        && let Some(bare) = tag.strip_suffix('"')
        && let Ok(tag) = HeaderValue::from_str(&format!("{bare}-{encoding}\""))
    {
        headers.insert(ETAG, tag);
    }
}

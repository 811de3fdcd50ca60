//! A caller of the demonstration's hub.

use crate::cli::Failure;
use serde_json::Value;
use ureq::Agent;

/// Somebody with a token.
#[derive(Clone)]
pub(super) struct Line {
    agent: Agent,
    base: String,
    token: String,
}

impl Line {
    pub(super) fn new(base: &str, token: String) -> Self {
        let agent = Agent::config_builder().http_status_as_error(false).build().new_agent();
        Self { agent, base: base.to_owned(), token }
    }

    pub(super) fn token(&self) -> &str {
        &self.token
    }

    pub(super) fn get(&self, path: &str) -> Result<Value, Failure> {
        let request = self.agent.get(format!("{}{path}", self.base));
        read(path, request.header("authorization", format!("Bearer {}", self.token)).call())
    }

    pub(super) fn post(&self, path: &str, body: &Value) -> Result<Value, Failure> {
        self.send(path, "application/json", body.to_string())
    }

    /// Posts records as a night's file.
    pub(super) fn submit(&self, records: &[Value]) -> Result<Value, Failure> {
        let lines: String = records.iter().map(|record| format!("{record}\n")).collect();
        self.send("/v1/submissions", "application/x-ndjson", lines)
    }

    fn send(&self, path: &str, media_type: &str, body: String) -> Result<Value, Failure> {
        let request = self.agent.post(format!("{}{path}", self.base)).header("content-type", media_type);
        read(path, request.header("authorization", format!("Bearer {}", self.token)).send(body))
    }
}

fn read(
    path: &str,
    response: Result<ureq::http::Response<ureq::Body>, ureq::Error>,
) -> Result<Value, Failure> {
    let mut response = response.map_err(|e| Failure::new(format!("{path}: {e}")))?;
    let status = response.status();
    let body: Value = response
        .body_mut()
        .read_json()
        .map_err(|e| Failure::new(format!("{path}: {status}, and no JSON: {e}")))?;
    // A night's file may be answered line by line; everything else that is not a success ends the story.
    if status.is_success() || body.get("lines").is_some() {
        Ok(body)
    } else {
        let word = |name: &str| body.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
        Err(Failure::new(format!("{path}: {status} {}: {}", word("title"), word("detail"))))
    }
}

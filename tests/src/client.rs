//! A client of the hub's HTTP interface. Every refusal it sees must be a problem in due form.

use serde_json::Value;
use ureq::http::Response;
use ureq::{Agent, Body};

/// Somebody who calls the hub.
#[derive(Clone)]
pub struct Client {
    agent: Agent,
    base: String,
    token: Option<String>,
}

/// What the hub answered.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The status.
    pub status: u16,
    /// Headers, names in lower case.
    pub headers: Vec<(String, String)>,
    /// The bytes.
    pub body: Vec<u8>,
}

impl Answer {
    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// The body as JSON.
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("not JSON: {}", self.text()))
    }

    /// A header.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(header, _)| header == name).map(|(_, value)| value.as_str())
    }
}

impl Client {
    /// A client with or without a token.
    pub fn new(base: &str, token: Option<String>) -> Self {
        let agent = Agent::config_builder().http_status_as_error(false).build().new_agent();
        Self { agent, base: base.to_owned(), token }
    }

    /// The token.
    pub fn token(&self) -> Option<&str> {
        self.token.as_deref()
    }

    /// GET.
    pub fn get(&self, path: &str) -> Answer {
        self.get_with(path, &[])
    }

    /// GET with headers.
    pub fn get_with(&self, path: &str, headers: &[(&str, &str)]) -> Answer {
        let mut request = self.agent.get(format!("{}{path}", self.base));
        for (name, value) in self.authorisation().iter().chain(&owned(headers)) {
            request = request.header(name, value);
        }
        answer(path, request.call())
    }

    /// POST of bytes.
    pub fn post(&self, path: &str, media_type: &str, body: &[u8], headers: &[(&str, &str)]) -> Answer {
        let mut request = self.agent.post(format!("{}{path}", self.base)).header("content-type", media_type);
        for (name, value) in self.authorisation().iter().chain(&owned(headers)) {
            request = request.header(name, value);
        }
        answer(path, request.send(body))
    }

    /// POST of a JSON document.
    pub fn post_json(&self, path: &str, body: &Value) -> Answer {
        self.post(path, "application/json", body.to_string().as_bytes(), &[])
    }

    /// Posts records as a submission.
    pub fn submit(&self, records: &[Value]) -> Answer {
        let lines: String = records.iter().map(|record| format!("{record}\n")).collect();
        self.submit_text(&lines)
    }

    /// Posts lines as a submission.
    pub fn submit_text(&self, lines: &str) -> Answer {
        self.post("/v1/submissions", "application/x-ndjson", lines.as_bytes(), &[])
    }

    /// The statement of a period as known at an instant or day.
    pub fn statement(&self, period: &str, as_known_at: Option<&str>) -> Value {
        let query =
            as_known_at.map(|at| format!("?asKnownAt={}", at.replace('+', "%2B"))).unwrap_or_default();
        let answer = self.get(&format!("/v1/statements/{period}{query}"));
        assert_eq!(answer.status, 200, "{}", answer.text());
        answer.json()
    }

    fn authorisation(&self) -> Vec<(String, String)> {
        self.token.iter().map(|token| ("authorization".to_owned(), format!("Bearer {token}"))).collect()
    }
}

fn owned(headers: &[(&str, &str)]) -> Vec<(String, String)> {
    headers.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
}

fn answer(path: &str, response: Result<Response<Body>, ureq::Error>) -> Answer {
    let mut response = response.unwrap_or_else(|error| panic!("{path}: {error}"));
    let headers = response
        .headers()
        .iter()
        .map(|(name, value)| (name.as_str().to_owned(), value.to_str().unwrap_or_default().to_owned()))
        .collect();
    let status = response.status().as_u16();
    let body = response.body_mut().with_config().limit(1 << 30).read_to_vec().unwrap();
    let answer = Answer { status, headers, body };
    let is_submission =
        path.starts_with("/v1/submissions") && answer.header("content-type") == Some("application/json");
    if status >= 400 && !is_submission {
        assert_eq!(
            answer.header("content-type"),
            Some("application/problem+json"),
            "{path} {status}: {}",
            answer.text()
        );
        let problem = answer.json();
        assert_eq!(problem["status"], status, "{path}: {problem}");
        assert!(
            problem["type"].as_str().is_some_and(|t| t.starts_with("https://haulout.example/problems/")),
            "{path}: {problem}"
        );
        assert!(problem["code"].is_string() && problem["title"].is_string(), "{path}: {problem}");
    }
    answer
}

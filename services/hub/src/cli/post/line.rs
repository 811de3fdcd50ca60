//! The line to the hub: one part at a time, tried again where trying helps.

use std::io::Write;
use std::thread::sleep;
use std::time::Duration;

use crate::cli::Failure;

/// First pause before another try; it doubles up to [`LONGEST_PAUSE`].
const FIRST_PAUSE: Duration = Duration::from_millis(500);
const LONGEST_PAUSE: Duration = Duration::from_secs(30);
/// Longest wait for one answer.
const PATIENCE: Duration = Duration::from_secs(120);
/// Longest answer that is read.
const ANSWER: u64 = 256 << 20;

/// A hub and a token.
pub struct Line {
    agent: ureq::Agent,
    address: String,
    token: String,
    attempts: u32,
}

/// What the hub answered.
pub struct Answered {
    /// HTTP status.
    pub status: u16,
    /// The body.
    pub body: serde_json::Value,
}

impl Line {
    /// A line to the hub at an address.
    pub fn new(hub: &str, token: &str, attempts: u32) -> Self {
        let config = ureq::Agent::config_builder()
            .timeout_global(Some(PATIENCE))
            .http_status_as_error(false)
            .user_agent(concat!("haulout/", env!("CARGO_PKG_VERSION")))
            .build();
        Self {
            agent: config.into(),
            address: format!("{}/v1/submissions", hub.trim_end_matches('/')),
            token: token.to_owned(),
            attempts,
        }
    }

    /// Posts one part under its key until it is answered.
    ///
    /// # Errors
    /// When no try was answered, or the hub will not take it from this caller.
    pub fn post(&self, key: &str, records: &[u8]) -> Result<Answered, Failure> {
        let body =
            gzip(records).map_err(|error| Failure::new("the part cannot be compressed").because(error))?;
        let mut pause = FIRST_PAUSE;
        let mut tried = 1;
        loop {
            let (said, asked_pause) = match self.once(key, &body) {
                Ok((answered, _)) if !matches!(answered.status, 408 | 409 | 429 | 500..=599) => {
                    return settled(answered);
                }
                Ok((answered, after)) => (said(&answered), after),
                Err(error) => (error.to_string(), None),
            };
            if tried >= self.attempts {
                return Err(Failure::new(format!(
                    "the hub at {} did not take the records in {tried} tries",
                    self.address
                ))
                .because(said));
            }
            tried += 1;
            let wait = asked_pause.unwrap_or(pause).min(LONGEST_PAUSE);
            eprintln!("haulout: {said}; trying again in {} s", wait.as_secs_f32());
            sleep(wait);
            pause = (pause * 2).min(LONGEST_PAUSE);
        }
    }

    fn once(&self, key: &str, body: &[u8]) -> Result<(Answered, Option<Duration>), ureq::Error> {
        let mut answer = self
            .agent
            .post(&self.address)
            .header("Authorization", format!("Bearer {}", self.token))
            .header("Content-Type", "application/x-ndjson")
            .header("Content-Encoding", "gzip")
            .header("Idempotency-Key", format!("\"{key}\""))
            .header("Accept", "application/json")
            .send(body)?;
        let after = answer.headers().get("retry-after").and_then(|value| value.to_str().ok());
        let after = after.and_then(|value| value.parse().ok()).map(Duration::from_secs);
        let status = answer.status().as_u16();
        let body = answer.body_mut().with_config().limit(ANSWER).read_to_vec()?;
        Ok((Answered { status, body: serde_json::from_slice(&body).unwrap_or_default() }, after))
    }
}

/// 401, 403, 413 and the like say that no record was looked at: going on makes no sense.
fn settled(answered: Answered) -> Result<Answered, Failure> {
    let has_lines = answered.body.get("lines").is_some();
    if has_lines {
        Ok(answered)
    } else {
        Err(Failure::new("the hub refused the submission").because(said(&answered)))
    }
}

fn said(answered: &Answered) -> String {
    let text = |name: &str| answered.body.get(name).and_then(serde_json::Value::as_str).unwrap_or_default();
    format!("{} {}: {}", answered.status, text("code"), text("detail"))
}

fn gzip(bytes: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(bytes)?;
    encoder.finish()
}

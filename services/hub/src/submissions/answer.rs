//! The answer to a submission, written as it comes: a million outcomes need no memory.

use actix_web::http::StatusCode;
use actix_web::http::header::{CONTENT_TYPE, LOCATION, RETRY_AFTER};
use actix_web::{HttpResponse, web};
use haulout_store::submissions::Submission as Stored;
use serde::Serialize;
use serde_json::{Value, json};
use std::io::{self, Read, Seek, SeekFrom, Write};
use tempfile::SpooledTempFile;

use super::outcome::{Outcome, Submission, Summary};
use super::prefer::Preferences;
use crate::web::problem::MEDIA_TYPE;
use crate::web::{Problem, body, codes, limits};

/// Outcomes as JSON, parted by commas, in memory or in a temporary file.
pub struct Lines {
    spool: SpooledTempFile,
    empty: bool,
    minimal: bool,
}

impl Lines {
    /// None yet. With `minimal`, lines without a problem are left out.
    pub fn new(minimal: bool) -> Self {
        Self { spool: SpooledTempFile::new(limits::IN_MEMORY), empty: true, minimal }
    }

    /// Adds one.
    ///
    /// # Errors
    /// When the temporary file fails.
    pub fn add(&mut self, outcome: &Outcome) -> io::Result<()> {
        if self.minimal && outcome.problems.is_empty() {
            return Ok(());
        }
        if !self.empty {
            self.spool.write_all(b",")?;
        }
        self.empty = false;
        write_json(&mut self.spool, outcome)
    }
}

fn write_json<T: Serialize>(into: &mut impl Write, value: &T) -> io::Result<()> {
    into.write_all(&serde_json::to_vec(value)?)
}

/// The whole answer. Where nothing was accepted it is a problem that carries the same members.
///
/// # Errors
/// A problem where the temporary file fails.
pub fn whole(
    id: &str,
    summary: &Summary,
    mut lines: Lines,
    preferences: Preferences,
) -> Result<HttpResponse, Problem> {
    let status = summary.counts.status(summary.faults());
    let mut members = json!({ "submissionID": id, "state": "done" });
    let summary_json = serde_json::to_value(summary).map_err(io::Error::other).map_err(body::storage)?;
    merge(&mut members, summary_json);
    let media = if status == StatusCode::UNPROCESSABLE_ENTITY {
        merge(&mut members, refusal(summary, preferences.strict).to_json());
        MEDIA_TYPE
    } else {
        "application/json"
    };
    let mut head = members.to_string();
    head.pop();
    let written = || -> io::Result<SpooledTempFile> {
        let mut out = SpooledTempFile::new(limits::IN_MEMORY);
        out.write_all(head.as_bytes())?;
        out.write_all(b",\"lines\":[")?;
        lines.spool.seek(SeekFrom::Start(0))?;
        io::copy(&mut lines.spool, &mut out)?;
        out.write_all(b"]}")?;
        out.seek(SeekFrom::Start(0))?;
        Ok(out)
    };
    let mut out = { written }().map_err(body::storage)?;
    let mut answer = HttpResponse::build(status);
    answer.insert_header((CONTENT_TYPE, media)).insert_header((LOCATION, format!("/v1/submissions/{id}")));
    if let Some(applied) = preferences.applied() {
        answer.insert_header(applied);
    }
    if out.is_rolled() {
        let file = out.into_file().map_err(body::storage)?;
        return Ok(answer.streaming(body::stream(file)));
    }
    let mut bytes = Vec::new();
    out.read_to_end(&mut bytes).map_err(body::storage)?;
    Ok(answer.body(web::Bytes::from(bytes)))
}

/// The answer to a submission that is not done: where to look, and when.
pub fn taken_in(submission: &Stored, preferences: Preferences) -> HttpResponse {
    let id = &submission.submission_id;
    let mut answer = HttpResponse::Accepted();
    answer.insert_header((LOCATION, format!("/v1/submissions/{id}"))).insert_header((RETRY_AFTER, "2"));
    if let Some(applied) = preferences.applied() {
        answer.insert_header(applied);
    }
    answer.json(Submission {
        submission_id: id.clone(),
        state: submission.state.as_str().to_owned(),
        summary: Summary::default(),
        lines: Vec::new(),
        next: None,
    })
}

fn merge(into: &mut Value, more: Value) {
    if let (Value::Object(into), Value::Object(more)) = (into, more) {
        into.extend(more);
    }
}

/// Why nothing was accepted.
pub fn refusal(summary: &Summary, strict: bool) -> Problem {
    let counts = &summary.counts;
    if counts.lines == 0 && summary.problems.is_empty() {
        return Problem::new(
            &codes::EMPTY_SUBMISSION,
            format!("no record was found; {} blank lines", counts.blank),
        );
    }
    if strict {
        return Problem::new(&codes::STRICT_REFUSED, format!("nothing of {} lines was stored", counts.lines));
    }
    Problem::new(
        &codes::NOTHING_ACCEPTED,
        format!("{} of {} lines were refused", counts.rejected, counts.lines),
    )
}

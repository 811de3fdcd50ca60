//! One file: checked, cut into parts, each part posted and its outcomes put back to their lines.

use haulout_checking::{CheckedLine, Checker, Problem, Sink, StreamError, StreamOptions};
use haulout_sheets::SheetForm;
use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};
use std::io::{self, Read};
use std::path::Path;

use super::line::Line;
use crate::cli::Failure;

/// Bytes of one part at most.
const PART_BYTES: usize = 1 << 20;

/// A file being posted.
pub struct Posting<'l> {
    name: String,
    line: &'l Line,
    checker: Checker,
    records: usize,
    /// The records of the part at hand, as NDJSON.
    part: Vec<u8>,
    /// What became of each line of the part: refused here, or still to be answered by the hub.
    lines: Vec<(u64, Option<Value>)>,
    sent: usize,
    failure: Option<Failure>,
    /// Answered parts.
    pub submissions: Vec<Value>,
}

impl<'l> Posting<'l> {
    /// A file that is to be posted.
    pub fn new(path: &Path, line: &'l Line, checker: Checker, records: usize) -> Self {
        Self {
            name: path.display().to_string(),
            line,
            checker,
            records,
            part: Vec::new(),
            lines: Vec::new(),
            sent: 0,
            failure: None,
            submissions: Vec::new(),
        }
    }

    /// Posts the whole file.
    ///
    /// # Errors
    /// When it cannot be read, or the hub does not take a part; what was answered stays answered.
    pub fn run(&mut self, reader: Box<dyn Read + Send>) -> Result<(), Failure> {
        let checker = self.checker.clone();
        let options = StreamOptions::for_file(&self.name);
        let done = match SheetForm::of_name(&self.name) {
            Some(form) => haulout_sheets::check(&checker, form, reader, &options, self),
            None => checker.check_stream(reader, &options, self),
        };
        if let Some(failure) = self.failure.take() {
            return Err(failure);
        }
        done.map_err(|error| match error {
            StreamError::Read(error) | StreamError::Sink(error) => {
                Failure::new(format!("cannot read {}", self.name)).because(error)
            }
        })?;
        self.send()
    }

    /// Lines that were refused, here or by the hub.
    pub fn rejected(&self) -> u64 {
        self.sum("rejected")
    }

    fn sum(&self, count: &str) -> u64 {
        self.submissions.iter().filter_map(|one| one["counts"][count].as_u64()).sum()
    }

    /// How the file fared, with every refused line.
    pub fn in_words(&self) -> String {
        let mut text = format!(
            "{}: {} accepted, {} known, {} rejected\n",
            self.name,
            self.sum("accepted"),
            self.sum("known"),
            self.sum("rejected")
        );
        let lines = self.submissions.iter().filter_map(|one| one["lines"].as_array()).flatten();
        for line in lines.filter(|line| line["outcome"] == "rejected") {
            for problem in line["problems"]
                .as_array()
                .into_iter()
                .flatten()
                .filter(|problem| problem["severity"] == "error")
            {
                let part = |name: &str| problem[name].as_str().unwrap_or_default().to_owned();
                text.push_str(&format!(
                    "  line {}: {} {} ({})\n",
                    line["line"],
                    part("code"),
                    part("message"),
                    part("pointer")
                ));
            }
        }
        text
    }

    fn send(&mut self) -> Result<(), Failure> {
        if self.lines.is_empty() {
            return Ok(());
        }
        let part = std::mem::take(&mut self.part);
        let lines = std::mem::take(&mut self.lines);
        let (mut answer, status) = if std::mem::take(&mut self.sent) == 0 {
            (Map::new(), 422)
        } else {
            // The key follows from the records, so that a repeat after a mishap carries the same one.
            let key = hex::encode(Sha256::digest(&part));
            let answered = self.line.post(&key, &part)?;
            let Value::Object(answer) = answered.body else {
                return Err(Failure::new("the hub's answer is not what was expected"));
            };
            (answer, answered.status)
        };
        let mut outcomes = match answer.remove("lines") {
            Some(Value::Array(outcomes)) => outcomes.into_iter(),
            _ => Vec::new().into_iter(),
        };
        let placed: Vec<Value> = lines
            .into_iter()
            .map(|(number, refused)| {
                let mut outcome = refused.unwrap_or_else(|| outcomes.next().unwrap_or_default());
                outcome["line"] = json!(number);
                for problem in outcome["problems"].as_array_mut().into_iter().flatten() {
                    problem["line"] = json!(number);
                    problem["file"] = json!(self.name);
                }
                outcome
            })
            .collect();
        let count = |word: &str| placed.iter().filter(|outcome| outcome["outcome"] == word).count();
        self.submissions.push(json!({
            "file": self.name,
            "submissionID": answer.get("submissionID"),
            "status": status,
            "counts": { "lines": placed.len(), "accepted": count("accepted"), "known": count("known"), "rejected": count("rejected") },
            "receipt": answer.get("receipt"),
            "lines": placed,
        }));
        Ok(())
    }
}

impl Sink for Posting<'_> {
    fn line(&mut self, line: CheckedLine) -> io::Result<()> {
        match &line {
            CheckedLine::Accepted(accepted) => {
                let kept = accepted.kept.as_ref();
                let kept = kept.ok_or_else(|| io::Error::other("a record was judged and not kept"))?;
                self.part.extend_from_slice(kept.canonical.as_bytes());
                self.part.push(b'\n');
                self.sent += 1;
                self.lines.push((accepted.line, None));
            }
            CheckedLine::Refused(refused) => {
                let identity = &refused.identity;
                let outcome = json!({
                    "outcome": "rejected", "authorID": identity.author_id, "recordID": identity.record_id,
                    "revision": identity.revision, "problems": refused.problems,
                });
                self.lines.push((refused.line, Some(outcome)));
            }
        }
        if (self.sent >= self.records
            || self.part.len() >= PART_BYTES
            || self.lines.len() >= 10 * self.records)
            && let Err(failure) = self.send()
        {
            self.failure = Some(failure);
            return Err(io::Error::other("the posting stopped"));
        }
        Ok(())
    }

    fn file(&mut self, problem: Problem) -> io::Result<()> {
        eprintln!("haulout: {}: {}: {}", self.name, problem.code, problem.message);
        if problem.refuses() {
            self.submissions.push(json!({
                "file": self.name, "status": 422, "counts": { "lines": 0, "accepted": 0, "known": 0, "rejected": 1 },
                "problems": [problem], "lines": [],
            }));
        }
        Ok(())
    }
}

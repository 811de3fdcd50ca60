//! Works through one submission: reads and checks in one thread, asks whose each record is, seals
//! in chunks, and hands on the outcomes in the order of the lines.

use haulout_checking::{
    Accepted, CheckedLine, Checker, Counts as CheckCounts, Kept, Limits, Problem as LineProblem, Sink,
    StreamError, StreamOptions,
};
use haulout_reckoning::region::Region;
use haulout_schemas::text::PartyId;
use haulout_store::clock::instant_text;
use haulout_store::{Sealed, Store, ToSeal};
use std::future::Future;
use std::io::{self, Read};
use std::sync::Arc;
use tokio::sync::mpsc;
use tokio::time::{Instant, timeout_at};

use super::outcome::{Became, ChainHead, Outcome, Summary};
use super::{permission, refusals};
use crate::web::{Problem, codes, limits};

/// Answers waiting between the thread that checks and the one that seals.
const WAITING: usize = 128;

/// What one submission is worked through with.
pub struct Work {
    /// Where records are sealed.
    pub store: Store,
    /// With the day and the names in force.
    pub checker: Checker,
    /// Whose records they may be.
    pub writer: PartyId,
    /// What decides who may write what.
    pub region: Option<Arc<Region>>,
    /// All or nothing.
    pub strict: bool,
}

enum Message {
    Line(Box<CheckedLine>),
    Fault(LineProblem),
    End(Result<CheckCounts, StreamError>),
}

struct Channel(mpsc::Sender<Message>);

impl Channel {
    fn send(&self, message: Message) -> io::Result<()> {
        self.0.blocking_send(message).map_err(|_| io::Error::other("the submission was given up"))
    }
}

impl Sink for Channel {
    fn line(&mut self, line: CheckedLine) -> io::Result<()> {
        self.send(Message::Line(Box::new(line)))
    }

    fn file(&mut self, problem: LineProblem) -> io::Result<()> {
        self.send(Message::Fault(problem))
    }
}

/// Takes outcomes, in the order of the lines, once they are sure.
pub trait Outcomes: Send {
    /// Takes some.
    ///
    /// # Errors
    /// A problem ends the work; what was sealed stays sealed.
    fn take(&mut self, outcomes: Vec<Outcome>) -> impl Future<Output = Result<(), Problem>> + Send;
}

impl Work {
    /// Works through a body. The first `done` records have their outcome from an earlier run.
    ///
    /// # Errors
    /// A problem where the store or the body's temporary file fails; what was sealed stays sealed,
    /// and is `known` when the same is sent again.
    pub async fn run<R: Read + Send + 'static>(
        &self,
        body: R,
        mut options: StreamOptions,
        done: i64,
        outcomes: &mut impl Outcomes,
    ) -> Result<Summary, Problem> {
        if self.strict {
            options.limits = Limits { lines: Some(limits::STRICT_LINES), ..options.limits };
        }
        let mut messages = self.check_aside(body, options);
        let mut summary = Summary::default();
        let mut chunk: Vec<CheckedLine> = Vec::new();
        let mut bytes = 0;
        let mut to_skip = done;
        let mut due = Instant::now() + limits::CHUNK_WAIT;
        loop {
            let waited = timeout_at(due, messages.recv()).await;
            let is_due = waited.is_err();
            match waited {
                Err(_) => due = Instant::now() + limits::CHUNK_WAIT,
                Ok(Some(Message::Line(_))) if to_skip > 0 => to_skip -= 1,
                Ok(Some(Message::Line(line))) => {
                    if chunk.is_empty() {
                        due = Instant::now() + limits::CHUNK_WAIT;
                    }
                    bytes += kept_bytes(&line);
                    chunk.push(*line);
                }
                Ok(Some(Message::Fault(problem))) => summary.problems.push(problem),
                Ok(Some(Message::End(end))) => {
                    summary.counts.blank = end.map_err(unread)?.blank;
                    break;
                }
                Ok(None) => {
                    return Err(Problem::new(&codes::INTERNAL, "the check broke down")
                        .because("the checking thread ended early"));
                }
            }
            let is_full = chunk.len() >= limits::CHUNK_LINES || bytes >= limits::CHUNK_BYTES;
            if !self.strict && (is_full || (is_due && !chunk.is_empty())) {
                bytes = 0;
                outcomes.take(self.seal(std::mem::take(&mut chunk), &mut summary).await?).await?;
            }
        }
        let refuses = summary.problems.iter().any(LineProblem::refuses);
        let last = if self.strict && refuses {
            withheld(chunk, &mut summary)
        } else {
            self.seal(chunk, &mut summary).await?
        };
        outcomes.take(last).await?;
        Ok(summary)
    }

    /// Reads and checks in a thread of its own; what it finds comes through the channel, in order.
    fn check_aside<R: Read + Send + 'static>(
        &self,
        body: R,
        options: StreamOptions,
    ) -> mpsc::Receiver<Message> {
        let (sender, messages) = mpsc::channel(WAITING);
        let checker = self.checker.clone();
        tokio::task::spawn_blocking(move || {
            let mut channel = Channel(sender);
            let end = checker.check_stream(body, &options, &mut channel);
            // Nobody listens any more when the submission was given up.
            let _ = channel.send(Message::End(end));
        });
        messages
    }

    /// Seals one chunk and words its outcomes.
    async fn seal(&self, chunk: Vec<CheckedLine>, summary: &mut Summary) -> Result<Vec<Outcome>, Problem> {
        let judged: Vec<CheckedLine> = chunk.into_iter().map(|line| self.judged(line)).collect();
        if self.strict && judged.iter().any(|line| matches!(line, CheckedLine::Refused(_))) {
            return Ok(withheld(judged, summary));
        }
        let mut to_seal = Vec::with_capacity(judged.len());
        let mut outcomes = Vec::with_capacity(judged.len());
        for line in judged {
            match line {
                CheckedLine::Accepted(mut accepted) => {
                    let kept = accepted.kept.take().ok_or_else(only_judged)?;
                    outcomes.push(accepted_outcome(&accepted, &kept));
                    to_seal.push(ToSeal {
                        line: accepted.line,
                        record: accepted.record,
                        canonical: kept.canonical,
                        record_hash: *kept.record_hash.as_bytes(),
                        content_hash: *kept.content_hash.as_bytes(),
                    });
                }
                CheckedLine::Refused(refused) => {
                    outcomes.push(Outcome::rejected(refused.line, refused.identity, refused.problems));
                }
            }
        }
        if !to_seal.is_empty() {
            let sealing = self.store.seal(to_seal, self.strict).await?;
            let sealed = outcomes.iter_mut().filter(|outcome| outcome.outcome == Became::Accepted);
            for (outcome, sealed) in sealed.zip(sealing.lines) {
                became(outcome, sealed);
            }
            for (party, (sequence, link)) in sealing.heads {
                summary.receipt.chains.insert(party, ChainHead { sequence, link: hex::encode(link) });
            }
        }
        for outcome in &outcomes {
            summary.counts.add(outcome.outcome);
        }
        Ok(outcomes)
    }

    /// The line after the hub's own question: whose record is it?
    fn judged(&self, line: CheckedLine) -> CheckedLine {
        let CheckedLine::Accepted(accepted) = &line else { return line };
        match permission::refusal(&accepted.record, &self.writer, self.region.as_deref()) {
            None => line,
            Some(problem) => refused(line, problem),
        }
    }
}

/// What a line weighs in a chunk.
fn kept_bytes(line: &CheckedLine) -> usize {
    match line {
        CheckedLine::Accepted(accepted) => accepted.kept.as_ref().map_or(0, |kept| kept.canonical.len()),
        CheckedLine::Refused(_) => 0,
    }
}

fn refused(line: CheckedLine, problem: LineProblem) -> CheckedLine {
    let number = line.line();
    let identity = line.identity();
    let mut problems = vec![problem.on_line(number)];
    problems.extend(line.problems().iter().cloned());
    CheckedLine::Refused(haulout_checking::Refused { line: number, identity, problems })
}

/// Every line of a strict submission of which one was refused.
fn withheld(chunk: Vec<CheckedLine>, summary: &mut Summary) -> Vec<Outcome> {
    chunk
        .into_iter()
        .map(|line| {
            let line = match line {
                CheckedLine::Refused(_) => line,
                CheckedLine::Accepted(_) => refused(
                    line,
                    LineProblem::of(
                        &refusals::WITHHELD,
                        "nothing was stored because another line was refused",
                    ),
                ),
            };
            summary.counts.add(Became::Rejected);
            Outcome::rejected(line.line(), line.identity(), line.problems().to_vec())
        })
        .collect()
}

fn accepted_outcome(accepted: &Accepted, kept: &Kept) -> Outcome {
    let envelope = &accepted.record.envelope;
    Outcome {
        line: accepted.line,
        outcome: Became::Accepted,
        author_id: Some(envelope.author_id.to_string()),
        record_id: Some(envelope.record_id.to_string()),
        revision: Some(envelope.revision),
        sequence: None,
        known_from: None,
        record_hash: Some(kept.record_hash.to_string()),
        problems: accepted.problems.clone(),
    }
}

fn became(outcome: &mut Outcome, sealed: Sealed) {
    let mut place = |became, sequence, known_from| {
        outcome.outcome = became;
        outcome.sequence = Some(sequence);
        outcome.known_from = Some(instant_text(known_from));
    };
    match sealed {
        Sealed::Accepted { sequence, known_from } => place(Became::Accepted, sequence, known_from),
        Sealed::Known { sequence, known_from } => place(Became::Known, sequence, known_from),
        Sealed::Reused { fields } => {
            let message = format!("the hub holds this revision with another {}", fields.join(", "));
            reject(outcome, LineProblem::of(&refusals::REVISION_REUSED, message).at("/revision"));
        }
        Sealed::Withheld => {
            reject(
                outcome,
                LineProblem::of(&refusals::WITHHELD, "nothing was stored because another line was refused"),
            );
        }
    }
}

fn reject(outcome: &mut Outcome, problem: LineProblem) {
    outcome.outcome = Became::Rejected;
    outcome.record_hash = None;
    outcome.problems.insert(0, problem.on_line(outcome.line));
}

/// A submission is checked to be kept; anything else is a fault of ours and stores nothing.
fn only_judged() -> Problem {
    Problem::new(&codes::INTERNAL, "a record was judged and not made ready to be kept")
}

fn unread(error: StreamError) -> Problem {
    match error {
        StreamError::Read(error) | StreamError::Sink(error) => crate::web::body::storage(error),
    }
}

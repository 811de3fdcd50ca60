//! Outcomes as they are kept: in the store for later, and at hand for the answer.

use actix_web::HttpResponse;
use haulout_store::idempotency::Answer as Kept;
use haulout_store::submissions::{Keeping, LineOutcome, Submission, SubmissionState};
use haulout_store::{Scope, Store};
use serde_json::Value;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tokio::time::Instant;

use super::LEASE;
use super::answer::{self, Lines};
use super::chunks::Outcomes;
use super::outcome::{Counts, Outcome, Summary};
use super::prefer::Preferences;
use crate::web::{Problem, body, codes, limits};

/// Keeps the outcomes of one submission while it is worked on.
pub struct Keeper {
    /// Where.
    pub store: Store,
    /// The submission.
    pub submission: Submission,
    /// Whether the store has it already: one that somebody waits for is kept with its first outcomes.
    pub begun: bool,
    /// Caller and key, where the call may be repeated.
    pub claim: Option<(String, String)>,
    /// For the answer, where somebody waits for it.
    pub lines: Option<Lines>,
    /// Outcomes so far.
    pub ordinal: i64,
    /// Outcomes that the store does not have yet.
    pub to_keep: Vec<LineOutcome>,
    /// Whether the work is in the background and holds a lease.
    pub leased: bool,
    /// Set when the hub is about to stop: background work is left for later.
    pub stopping: Arc<AtomicBool>,
    /// When the lease was last lengthened.
    pub renewed: Instant,
}

impl Outcomes for Keeper {
    async fn take(&mut self, outcomes: Vec<Outcome>) -> Result<(), Problem> {
        // Those of the last chunk are kept together with the end.
        self.keep(None, None).await?;
        for outcome in &outcomes {
            if let Some(lines) = &mut self.lines {
                lines.add(outcome).map_err(body::storage)?;
            }
            self.ordinal += 1;
            self.to_keep.push(LineOutcome {
                ordinal: self.ordinal,
                outcome: outcome.outcome.as_str().to_owned(),
                canonical: serde_json::to_string(outcome)
                    .map_err(std::io::Error::other)
                    .map_err(body::storage)?,
            });
        }
        if self.leased {
            // Whoever takes the work over begins after the last outcome kept.
            self.keep(None, None).await?;
        }
        self.go_on().await
    }
}

impl Keeper {
    /// Lengthens the lease, or stops where the hub is about to.
    async fn go_on(&mut self) -> Result<(), Problem> {
        if self.leased && self.stopping.load(Ordering::Relaxed) {
            return Err(Problem::new(
                &codes::UNAVAILABLE,
                "the hub stops; the submission goes on after its start",
            ));
        }
        if self.renewed.elapsed() < LEASE / 4 {
            return Ok(());
        }
        self.renewed = Instant::now();
        if let Some((caller, key)) = &self.claim {
            self.store.renew_claim(caller, key, LEASE).await?;
        }
        if self.leased && !self.store.renew_submission(&self.submission.submission_id, LEASE).await? {
            return Err(Problem::new(&codes::STATE_CONFLICT, "another process took the submission over"));
        }
        Ok(())
    }

    /// Keeps the end: counts, receipt, and what the key stands for.
    ///
    /// # Errors
    /// A problem where the store fails.
    pub async fn finish(&mut self, summary: &Summary) -> Result<(), Problem> {
        let json = serde_json::to_value(summary).map_err(std::io::Error::other).map_err(body::storage)?;
        let status = summary.counts.status(summary.faults()).as_u16();
        let body = self.submission.submission_id.clone().into_bytes();
        let answer = Kept { status, media_type: "text/plain".to_owned(), body };
        self.keep(Some(&json), Some(&answer)).await
    }

    /// Keeps that the work broke down.
    ///
    /// # Errors
    /// A problem where the store fails.
    pub async fn fail(&mut self, problem: &Problem) -> Result<(), Problem> {
        self.keep(None, None).await?;
        Ok(self.store.fail_submission(&self.submission.submission_id, problem.detail()).await?)
    }

    /// Keeps what the store does not have yet, and the end where it has come.
    async fn keep(&mut self, done: Option<&Value>, answer: Option<&Kept>) -> Result<(), Problem> {
        if self.to_keep.is_empty() && done.is_none() {
            return Ok(());
        }
        let keeping = Keeping {
            begun: (!self.begun).then_some(&self.submission),
            lines: &self.to_keep,
            done,
            answer: self
                .claim
                .as_ref()
                .zip(answer)
                .map(|((caller, key), answer)| (caller.as_str(), key.as_str(), answer)),
        };
        self.store.keep_submission(&self.submission.submission_id, keeping).await?;
        self.begun = true;
        self.to_keep.clear();
        Ok(())
    }
}

/// The answer to a submission that was worked on before: the same as the first time.
///
/// # Errors
/// A problem where it is not there any more, or the store fails.
pub async fn again(
    store: &Store,
    scope: &Scope,
    id: &str,
    preferences: Preferences,
) -> Result<HttpResponse, Problem> {
    let submission = store.submission(scope, id).await?;
    let Some(summary) = summary_of(&submission)? else {
        return Ok(answer::taken_in(&submission, preferences));
    };
    let mut lines = Lines::new(preferences.minimal);
    let mut after = 0;
    loop {
        let page = store.submission_lines(scope, id, after, limits::OUTCOMES_A_PAGE as u64).await?;
        let Some(last) = page.last() else { break };
        after = last.ordinal;
        for line in &page {
            lines.add(&read(line)?).map_err(body::storage)?;
        }
    }
    answer::whole(id, &summary, lines, preferences)
}

/// Counts and receipt of a submission that is done.
///
/// # Errors
/// A problem where they do not read: the hub's own fault.
pub fn summary_of(submission: &Submission) -> Result<Option<Summary>, Problem> {
    if submission.state != SubmissionState::Done {
        return Ok(None);
    }
    serde_json::from_value(submission.counts.clone()).map(Some).map_err(unreadable)
}

/// How the outcomes kept so far fared: where a run goes on after a stop.
///
/// # Errors
/// A problem where the store fails.
pub async fn counts_so_far(store: &Store, id: &str) -> Result<Counts, Problem> {
    let mut counts = Counts::default();
    let mut after = 0;
    loop {
        let page = store.submission_lines(&Scope::Region, id, after, limits::OUTCOMES_A_PAGE as u64).await?;
        let Some(last) = page.last() else { return Ok(counts) };
        after = last.ordinal;
        for line in &page {
            counts.add(read(line)?.outcome);
        }
    }
}

/// An outcome as it was kept.
///
/// # Errors
/// A problem where it does not read: the hub's own fault.
pub fn read(line: &LineOutcome) -> Result<Outcome, Problem> {
    serde_json::from_str(&line.canonical).map_err(unreadable)
}

fn unreadable(error: serde_json::Error) -> Problem {
    Problem::new(&codes::INTERNAL, "a kept outcome could not be read").because(error)
}

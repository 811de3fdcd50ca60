//! Submissions and what became of their lines. One that is worked on later lies here in pieces, so
//! that it outlives a restart.
//!
//! Leases go by the machine's time, never by a demonstration's calendar.

use crate::bulk::Rows;
use crate::clock::machine_now;
use crate::database::{Store, row, rows, run, run_with};
use crate::error::{Result, StoreError};
use crate::idempotency::{Answer, keep_answer, micros};
use crate::people::Role;
use crate::scope::Scope;
use crate::secret::random_name;
use haulout_reckoning::Micros;
use haulout_schemas::text::PartyId;
use sea_orm::{ConnectionTrait, QueryResult, Value};
use std::time::Duration;

/// How far a submission is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SubmissionState {
    /// Its body is coming in.
    Receiving,
    /// It lies ready.
    Waiting,
    /// Somebody is at it.
    Running,
    /// Every line has its outcome.
    Done,
    /// It could not be worked on.
    Failed,
}

impl SubmissionState {
    /// The state as it is written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Receiving => "receiving",
            Self::Waiting => "waiting",
            Self::Running => "running",
            Self::Done => "done",
            Self::Failed => "failed",
        }
    }

    fn of(text: &str) -> Result<Self> {
        [Self::Receiving, Self::Waiting, Self::Running, Self::Done, Self::Failed]
            .into_iter()
            .find(|state| state.as_str() == text)
            .ok_or_else(|| StoreError::bug(format!("`{text}` is no state of a submission")))
    }
}

/// Who submits what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewSubmission {
    /// Login or token.
    pub caller: String,
    /// In which role.
    pub role: Role,
    /// For which party.
    pub party: Option<PartyId>,
    /// Of the body.
    pub media_type: String,
    /// All or nothing.
    pub strict: bool,
}

/// A submission.
#[derive(Clone, Debug, PartialEq)]
pub struct Submission {
    /// Its number.
    pub submission_id: String,
    /// Who submitted what.
    pub by: NewSubmission,
    /// How far it is.
    pub state: SubmissionState,
    /// When it came.
    pub received_at: Micros,
    /// When its last line had its outcome.
    pub finished_at: Option<Micros>,
    /// Counts of outcomes, as shown.
    pub counts: serde_json::Value,
    /// Why it could not be worked on.
    pub failure: Option<String>,
}

/// What became of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineOutcome {
    /// 1, 2, 3, … in the order of the input.
    pub ordinal: i64,
    /// `accepted`, `known`, `rejected`.
    pub outcome: String,
    /// The outcome as shown, JSON.
    pub canonical: String,
}

/// What is kept of a submission in one transaction; what is left out stays as it is.
#[derive(Clone, Copy, Debug, Default)]
pub struct Keeping<'a> {
    /// It begins: nothing of it is kept yet.
    pub begun: Option<&'a Submission>,
    /// Outcomes of lines; one that is there already stays.
    pub lines: &'a [LineOutcome],
    /// Every line has its outcome, and these are the counts; the body is no longer needed.
    pub done: Option<&'a serde_json::Value>,
    /// Caller, key, and what the key stands for from now on.
    pub answer: Option<(&'a str, &'a str, &'a Answer)>,
}

const COLUMNS: &str = "submission_id, caller, party, role, media_type, strict, state, received_at, finished_at, counts, failure";

impl Store {
    /// Gives a submission its number. Nothing of it is kept until [`Store::keep_submission`].
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn name_submission(&self, new: &NewSubmission) -> Result<Submission> {
        Ok(Submission {
            submission_id: random_name()?,
            by: new.clone(),
            state: SubmissionState::Receiving,
            received_at: self.now().await?,
            finished_at: None,
            counts: serde_json::json!({}),
            failure: None,
        })
    }

    /// Begins a submission; its lines or its body follow.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn begin_submission(&self, new: &NewSubmission) -> Result<Submission> {
        let submission = self.name_submission(new).await?;
        let begun = Keeping { begun: Some(&submission), ..Keeping::default() };
        self.keep_submission(&submission.submission_id, begun).await?;
        Ok(submission)
    }

    /// Keeps what there is to keep of a submission, all of it or nothing, in one transaction: a
    /// small submission costs one write through to the disk beside that of its records.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn keep_submission(&self, id: &str, keeping: Keeping<'_>) -> Result<()> {
        let finished_at = self.now().await?;
        let aside = self.write_aside().await?;
        if let Some(begun) = keeping.begun {
            insert(&aside.tx, begun).await?;
        }
        add_lines(&aside.tx, id, keeping.lines).await?;
        if let Some(counts) = keeping.done {
            set_state(&aside.tx, id, SubmissionState::Done, Some(finished_at), Some(counts), None).await?;
            run(&aside.tx, DROP_PARTS, [id.into()]).await?;
        }
        if let Some((caller, key, answer)) = keeping.answer {
            keep_answer(&aside.tx, caller, key, answer).await?;
        }
        aside.commit().await
    }

    /// Adds a piece of the decompressed body; `ordinal` counts from 0.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn add_submission_part(&self, id: &str, ordinal: i64, bytes: Vec<u8>) -> Result<()> {
        let sql = "INSERT INTO submission_part (submission_id, ordinal, bytes) VALUES ($1, $2, $3)";
        run(self.db(), sql, [id.into(), ordinal.into(), bytes.into()]).await?;
        Ok(())
    }

    /// A piece of the body; `None` after the last.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn submission_part(&self, id: &str, ordinal: i64) -> Result<Option<Vec<u8>>> {
        let sql = "SELECT bytes FROM submission_part WHERE submission_id = $1 AND ordinal = $2";
        let found = row(self.db(), sql, [id.into(), ordinal.into()]).await?;
        found.map(|row| Ok(row.try_get("", "bytes")?)).transpose()
    }

    /// The whole body is there: it may be worked on.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn submission_waits(&self, id: &str) -> Result<()> {
        set_state(self.db(), id, SubmissionState::Waiting, None, None, None).await
    }

    /// Takes a waiting submission, or one whose worker is gone; the oldest first. Its lines that have
    /// an outcome keep it: begin after the last one.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn take_submission(&self, lease: Duration) -> Result<Option<(Submission, i64)>> {
        let now = machine_now();
        let sql = format!(
            "SELECT {COLUMNS} FROM submission WHERE state = 'waiting' OR (state = 'running' AND taken_until < $1) \
             ORDER BY received_at, submission_id LIMIT 1"
        );
        let Some(found) = row(self.db(), &sql, [now.into()]).await? else { return Ok(None) };
        let submission = submission(&found)?;
        let taken = run(
            self.db(),
            "UPDATE submission SET state = 'running', taken_by = $1, taken_until = $2 WHERE submission_id = $3 \
             AND (state = 'waiting' OR (state = 'running' AND taken_until < $4))",
            [
                self.inner.process.as_str().into(),
                now.saturating_add(micros(lease)).into(),
                submission.submission_id.as_str().into(),
                now.into(),
            ],
        )
        .await?;
        if taken == 0 {
            return Ok(None);
        }
        let last = row(
            self.db(),
            "SELECT COALESCE(MAX(ordinal), 0) AS last FROM submission_line WHERE submission_id = $1",
            [submission.submission_id.as_str().into()],
        )
        .await?;
        let last = last.map_or(Ok(0), |row| row.try_get("", "last"))?;
        Ok(Some((submission, last)))
    }

    /// Lengthens the lease while the work goes on. Whether it was still ours.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn renew_submission(&self, id: &str, lease: Duration) -> Result<bool> {
        let until = machine_now().saturating_add(micros(lease));
        let sql = "UPDATE submission SET taken_until = $1 WHERE submission_id = $2 AND taken_by = $3 AND state = 'running'";
        Ok(run(self.db(), sql, [until.into(), id.into(), self.inner.process.as_str().into()]).await? == 1)
    }

    /// It could not be worked on, and will not be.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn fail_submission(&self, id: &str, outer_message: &str) -> Result<()> {
        let finished_at = Some(self.now().await?);
        set_state(self.db(), id, SubmissionState::Failed, finished_at, None, Some(outer_message)).await?;
        run(self.db(), DROP_PARTS, [id.into()]).await?;
        Ok(())
    }

    /// A submission of one's own party, or any for the region and the authority.
    ///
    /// # Errors
    /// `NotFound` where there is none that the scope may see.
    pub async fn submission(&self, scope: &Scope, id: &str) -> Result<Submission> {
        let sql = format!("SELECT {COLUMNS} FROM submission WHERE submission_id = $1");
        let found = row(self.db(), &sql, [id.into()]).await?;
        let found = found.as_ref().map(submission).transpose()?;
        found
            .filter(|found| match &found.by.party {
                Some(party) => scope.sees_party(party.as_str()),
                None => scope.sees_region(),
            })
            .ok_or_else(|| StoreError::not_found(format!("there is no submission {id}")))
    }

    /// Outcomes after a line, in order.
    ///
    /// # Errors
    /// `NotFound` as for the submission.
    pub async fn submission_lines(
        &self,
        scope: &Scope,
        id: &str,
        after: i64,
        limit: u64,
    ) -> Result<Vec<LineOutcome>> {
        self.submission(scope, id).await?;
        let sql = format!(
            "SELECT ordinal, outcome, canonical FROM submission_line WHERE submission_id = $1 AND ordinal > $2 \
             ORDER BY ordinal LIMIT {limit}"
        );
        let found = rows(self.db(), sql, vec![id.into(), after.into()]).await?;
        found
            .iter()
            .map(|row| {
                Ok(LineOutcome {
                    ordinal: row.try_get("", "ordinal")?,
                    outcome: row.try_get("", "outcome")?,
                    canonical: row.try_get("", "canonical")?,
                })
            })
            .collect()
    }
}

const DROP_PARTS: &str = "DELETE FROM submission_part WHERE submission_id = $1";

async fn insert(on: &impl ConnectionTrait, begun: &Submission) -> Result<()> {
    run_with(
        on,
        "INSERT INTO submission (submission_id, caller, party, role, media_type, strict, state, received_at, counts) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)"
            .to_owned(),
        vec![
            begun.submission_id.as_str().into(),
            begun.by.caller.as_str().into(),
            begun.by.party.as_ref().map(ToString::to_string).into(),
            begun.by.role.as_str().into(),
            begun.by.media_type.as_str().into(),
            begun.by.strict.into(),
            begun.state.as_str().into(),
            begun.received_at.into(),
            "{}".into(),
        ],
    )
    .await?;
    Ok(())
}

/// Keeps the outcomes of lines; one that is there already stays.
async fn add_lines(on: &impl ConnectionTrait, id: &str, lines: &[LineOutcome]) -> Result<()> {
    let mut written = Rows::new(
        "INSERT INTO submission_line (submission_id, ordinal, outcome, canonical)",
        "ON CONFLICT (submission_id, ordinal) DO NOTHING",
    );
    for line in lines {
        written.push([
            id.into(),
            line.ordinal.into(),
            line.outcome.as_str().into(),
            Value::from(line.canonical.as_str()),
        ]);
    }
    written.write(on).await
}

/// What has become of a submission; counts that are left out stay as they were.
async fn set_state(
    on: &impl ConnectionTrait,
    id: &str,
    state: SubmissionState,
    finished_at: Option<Micros>,
    counts: Option<&serde_json::Value>,
    failure: Option<&str>,
) -> Result<()> {
    run(
        on,
        "UPDATE submission SET state = $1, finished_at = $2, counts = COALESCE($3, counts), failure = $4, \
         taken_by = NULL, taken_until = NULL WHERE submission_id = $5",
        [
            state.as_str().into(),
            finished_at.into(),
            counts.map(ToString::to_string).into(),
            failure.map(str::to_owned).into(),
            id.into(),
        ],
    )
    .await?;
    Ok(())
}

fn submission(row: &QueryResult) -> Result<Submission> {
    Ok(Submission {
        submission_id: row.try_get("", "submission_id")?,
        by: NewSubmission {
            caller: row.try_get("", "caller")?,
            role: row.try_get::<String>("", "role")?.parse()?,
            party: row.try_get::<Option<String>>("", "party")?.map(PartyId),
            media_type: row.try_get("", "media_type")?,
            strict: row.try_get("", "strict")?,
        },
        state: SubmissionState::of(&row.try_get::<String>("", "state")?)?,
        received_at: row.try_get("", "received_at")?,
        finished_at: row.try_get("", "finished_at")?,
        counts: serde_json::from_str(&row.try_get::<String>("", "counts")?)?,
        failure: row.try_get("", "failure")?,
    })
}

//! Submissions and what became of their lines. One that is worked on later lies here in pieces, so
//! that it outlives a restart.
//!
//! Leases go by the machine's time, never by a demonstration's calendar.

use crate::bulk::Rows;
use crate::clock::machine_now;
use crate::database::{Store, row, rows, run, run_with};
use crate::error::{Result, StoreError};
use crate::idempotency::micros;
use crate::people::Role;
use crate::scope::Scope;
use crate::secret::random_name;
use haulout_reckoning::Micros;
use haulout_schemas::text::PartyId;
use sea_orm::{QueryResult, Value};
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

const COLUMNS: &str = "submission_id, caller, party, role, media_type, strict, state, received_at, finished_at, counts, failure";

impl Store {
    /// Begins a submission; its lines or its body follow.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn begin_submission(&self, new: &NewSubmission) -> Result<Submission> {
        let submission = Submission {
            submission_id: random_name()?,
            by: new.clone(),
            state: SubmissionState::Receiving,
            received_at: self.now().await?,
            finished_at: None,
            counts: serde_json::json!({}),
            failure: None,
        };
        run_with(
            self.db(),
            "INSERT INTO submission (submission_id, caller, party, role, media_type, strict, state, received_at, counts) \
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)"
                .to_owned(),
            vec![
                submission.submission_id.as_str().into(),
                new.caller.as_str().into(),
                new.party.as_ref().map(ToString::to_string).into(),
                new.role.as_str().into(),
                new.media_type.as_str().into(),
                new.strict.into(),
                submission.state.as_str().into(),
                submission.received_at.into(),
                "{}".into(),
            ],
        )
        .await?;
        Ok(submission)
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
        self.set_submission(id, SubmissionState::Waiting, None, None).await
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

    /// Keeps the outcomes of lines; one that is there already stays.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn add_submission_lines(&self, id: &str, lines: &[LineOutcome]) -> Result<()> {
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
        let tx = sea_orm::TransactionTrait::begin(self.db()).await?;
        written.write(&tx).await?;
        Ok(tx.commit().await?)
    }

    /// Every line has its outcome; the body is no longer needed.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn finish_submission(&self, id: &str, counts: &serde_json::Value) -> Result<()> {
        self.set_submission(id, SubmissionState::Done, Some(counts), None).await?;
        run(self.db(), "DELETE FROM submission_part WHERE submission_id = $1", [id.into()]).await?;
        Ok(())
    }

    /// It could not be worked on, and will not be.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn fail_submission(&self, id: &str, outer_message: &str) -> Result<()> {
        self.set_submission(id, SubmissionState::Failed, None, Some(outer_message)).await?;
        run(self.db(), "DELETE FROM submission_part WHERE submission_id = $1", [id.into()]).await?;
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

    async fn set_submission(
        &self,
        id: &str,
        state: SubmissionState,
        counts: Option<&serde_json::Value>,
        failure: Option<&str>,
    ) -> Result<()> {
        let ended = matches!(state, SubmissionState::Done | SubmissionState::Failed);
        let finished = if ended { Some(self.now().await?) } else { None };
        run(
            self.db(),
            "UPDATE submission SET state = $1, finished_at = $2, counts = COALESCE($3, counts), failure = $4, \
             taken_by = NULL, taken_until = NULL WHERE submission_id = $5",
            [
                state.as_str().into(),
                finished.into(),
                counts.map(ToString::to_string).into(),
                failure.map(str::to_owned).into(),
                id.into(),
            ],
        )
        .await?;
        Ok(())
    }
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

//! Calls that may be repeated: the second time, the first answer.
//!
//! Leases go by the machine's time, never by a demonstration's calendar.

use crate::chain::Hash;
use crate::clock::machine_now;
use crate::database::{Store, digest_of, row, run};
use crate::error::Result;
use haulout_reckoning::Micros;
use sea_orm::ConnectionTrait;
use std::time::Duration;

/// An answer that was given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// Media type.
    pub media_type: String,
    /// The body.
    pub body: Vec<u8>,
}

/// What a call with a key finds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Claim {
    /// Nobody had it, or whoever had it is gone: the work is the caller's, until the lease ends.
    Taken,
    /// Somebody is at it.
    Running,
    /// It was done.
    Answered(Answer),
    /// The key was used for another body.
    OtherBody,
}

impl Store {
    /// Claims a caller's key for a body (its decompressed bytes' digest).
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn claim(&self, caller: &str, key: &str, body_digest: &Hash, lease: Duration) -> Result<Claim> {
        let now = machine_now();
        let until = now.saturating_add(micros(lease));
        let inserted = run(
            self.db(),
            "INSERT INTO idempotency (caller, key, body_digest, started_at, taken_by, taken_until) \
             VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (caller, key) DO NOTHING",
            [
                caller.into(),
                key.into(),
                body_digest.to_vec().into(),
                now.into(),
                self.inner.process.as_str().into(),
                until.into(),
            ],
        )
        .await?;
        if inserted == 1 {
            return Ok(Claim::Taken);
        }
        let sql =
            "SELECT body_digest, status, media_type, answer FROM idempotency WHERE caller = $1 AND key = $2";
        let Some(found) = row(self.db(), sql, [caller.into(), key.into()]).await? else {
            return Ok(Claim::Running);
        };
        if digest_of(&found, "body_digest")? != *body_digest {
            return Ok(Claim::OtherBody);
        }
        if let Some(status) = found.try_get::<Option<i64>>("", "status")? {
            return Ok(Claim::Answered(Answer {
                status: u16::try_from(status).unwrap_or(500),
                media_type: found.try_get::<Option<String>>("", "media_type")?.unwrap_or_default(),
                body: found.try_get::<Option<Vec<u8>>>("", "answer")?.unwrap_or_default(),
            }));
        }
        let taken_over = run(
            self.db(),
            "UPDATE idempotency SET taken_by = $1, taken_until = $2 \
             WHERE caller = $3 AND key = $4 AND status IS NULL AND taken_until < $5",
            [self.inner.process.as_str().into(), until.into(), caller.into(), key.into(), now.into()],
        )
        .await?;
        Ok(if taken_over == 1 { Claim::Taken } else { Claim::Running })
    }

    /// Lengthens the lease of a claim while the work goes on. Whether it was still ours.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn renew_claim(&self, caller: &str, key: &str, lease: Duration) -> Result<bool> {
        let until = machine_now().saturating_add(micros(lease));
        let changed = run(
            self.db(),
            "UPDATE idempotency SET taken_until = $1 WHERE caller = $2 AND key = $3 AND taken_by = $4 AND status IS NULL",
            [until.into(), caller.into(), key.into(), self.inner.process.as_str().into()],
        )
        .await?;
        Ok(changed == 1)
    }

    /// Keeps the answer to a claimed call.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn answer_claim(&self, caller: &str, key: &str, answer: &Answer) -> Result<()> {
        keep_answer(self.db(), caller, key, answer).await
    }

    /// Gives a claim back, so that the next try does the work.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn give_up_claim(&self, caller: &str, key: &str) -> Result<()> {
        run(
            self.db(),
            "DELETE FROM idempotency WHERE caller = $1 AND key = $2 AND taken_by = $3 AND status IS NULL",
            [caller.into(), key.into(), self.inner.process.as_str().into()],
        )
        .await?;
        Ok(())
    }

    /// Forgets keys older than an age. How many.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub async fn forget_claims(&self, age: Duration) -> Result<u64> {
        let before = machine_now().saturating_sub(micros(age));
        run(self.db(), "DELETE FROM idempotency WHERE started_at < $1", [before.into()]).await
    }
}

pub(crate) async fn keep_answer(
    on: &impl ConnectionTrait,
    caller: &str,
    key: &str,
    answer: &Answer,
) -> Result<()> {
    run(
        on,
        "UPDATE idempotency SET status = $1, media_type = $2, answer = $3 WHERE caller = $4 AND key = $5",
        [
            i64::from(answer.status).into(),
            answer.media_type.as_str().into(),
            answer.body.clone().into(),
            caller.into(),
            key.into(),
        ],
    )
    .await?;
    Ok(())
}

pub(crate) fn micros(duration: Duration) -> Micros {
    Micros::try_from(duration.as_micros()).unwrap_or(Micros::MAX)
}

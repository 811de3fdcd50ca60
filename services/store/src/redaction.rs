//! Blanking free text that should never have been written, such as a person's name in a note.
//!
//! The hash of the record as sent stays, and so does the chain; the act keeps the hash of what the
//! text became, so that a change to a blanked text is noticed as well.

use crate::acts::{By, Redaction, StoredAct};
use crate::chain::sha256;
use crate::database::{Store, row, run};
use crate::effective::parse;
use crate::error::{Result, StoreError};
use crate::projection::Staged;
use haulout_schemas::RecordRef;
use serde_json::Value;

/// What stands in the place of a blanked text.
pub const BLANK: &str = "[redacted]";

impl Store {
    /// Blanks texts of one revision of a record, named by JSON Pointers.
    ///
    /// # Errors
    /// `NotFound` for an unknown revision; `Invalid` for a pointer that leads to no text, or to one
    /// on which figures or findings rest.
    pub async fn redact(
        &self,
        by: By,
        record: RecordRef,
        revision: u16,
        pointers: Vec<String>,
        reason: String,
    ) -> Result<StoredAct> {
        let mut locked = self.lock().await?;
        let configuration = self.in_force(&locked).await?;
        let found = row(
            &locked.tx,
            "SELECT feed, canonical FROM journal WHERE author_id = $1 AND record_id = $2 AND revision = $3",
            [record.author_id.as_str().into(), record.record_id.as_str().into(), i64::from(revision).into()],
        )
        .await?
        .ok_or_else(|| {
            StoreError::not_found(format!(
                "there is no revision {revision} of record {} of {}",
                record.record_id, record.author_id
            ))
        })?;
        let feed: i64 = found.try_get("", "feed")?;
        let before: String = found.try_get("", "canonical")?;
        let after = blanked(&before, &pointers)?;
        let refused = || {
            StoreError::invalid(
                "only free text can be blanked: figures or findings rest on what one of the pointers names",
            )
        };
        let (old, new) = (parse(&before, feed)?, parse(&after, feed).map_err(|_| refused())?);
        let (old_staged, new_staged) =
            (Staged::of(&old, &configuration.names), Staged::of(&new, &configuration.names));
        let same_frame = {
            let (old, new) = (&old.envelope, &new.envelope);
            (&old.record_id, &old.author_id, old.revision, old.kind)
                == (&new.record_id, &new.author_id, new.revision, new.kind)
                && (&old.event_date, &old.centre_id, &old.point_id)
                    == (&new.event_date, &new.centre_id, &new.point_id)
                && (&old.scientific_name, &old.schema_version) == (&new.scientific_name, &new.schema_version)
        };
        if !same_frame || old_staged.entries != new_staged.entries || old_staged.keys != new_staged.keys {
            return Err(refused());
        }
        run(
            &locked.tx,
            "UPDATE journal SET canonical = $1, redacted = $2 WHERE feed = $3",
            [after.as_str().into(), true.into(), feed.into()],
        )
        .await?;
        let redacted_hash = hex::encode(sha256(after.as_bytes()));
        let act = Redaction { by, record, revision, pointers, redacted_hash, reason };
        let mut sealed = locked.append(&[act.into()]).await?;
        locked.commit().await?;
        self.inner.records.forget(feed);
        self.inner.ground.forget();
        sealed.pop().ok_or_else(|| StoreError::bug("a redaction was not sealed"))
    }
}

fn blanked(canonical: &str, pointers: &[String]) -> Result<String> {
    if pointers.is_empty() {
        return Err(StoreError::invalid("name at least one text to blank, such as /notes"));
    }
    let mut record: Value = serde_json::from_str(canonical)?;
    for pointer in pointers {
        match record.pointer_mut(pointer) {
            Some(Value::String(text)) => BLANK.clone_into(text),
            Some(_) => return Err(StoreError::invalid(format!("{pointer} is no text"))),
            None => return Err(StoreError::invalid(format!("there is nothing at {pointer}"))),
        }
    }
    Ok(serde_json_canonicalizer::to_string(&record)?)
}

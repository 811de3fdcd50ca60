//! Which revisions of a record there are, and which one counts.

use crate::chain::Hash;
use crate::database::{among_numbers, digest_of, rows, run};
use crate::effective::json_texts;
use crate::error::Result;
use haulout_reckoning::Micros;
use sea_orm::{ConnectionTrait, DbBackend};
use std::collections::HashMap;

/// A revision in the journal.
#[derive(Clone, Debug)]
pub(crate) struct Revision {
    pub feed: i64,
    pub sequence: i64,
    pub known_from: Micros,
    pub content_hash: Hash,
}

/// What the journal has of one record.
#[derive(Clone, Debug, Default)]
pub(crate) struct History {
    pub revisions: HashMap<u16, Revision>,
    /// The revision that counts, and its feed number.
    pub counting: Option<(u16, i64)>,
}

/// Author and record.
pub(crate) type RecordKey = (String, String);

/// The histories of some records of one author.
pub(crate) async fn histories(
    on: &impl ConnectionTrait,
    author: &str,
    records: &[&str],
    into: &mut HashMap<RecordKey, History>,
) -> Result<()> {
    // Driven by the list, one step down the index for each record: a planner that believes a young
    // table to be small would read all of an author's records and sift them.
    let listed = if on.get_database_backend() == DbBackend::Postgres {
        "(SELECT DISTINCT json_array_elements_text($2::json) AS id) w CROSS JOIN LATERAL \
         (SELECT * FROM journal WHERE author_id = $1 AND record_id = w.id OFFSET 0) j"
    } else {
        "(SELECT DISTINCT value AS id FROM json_each($2)) w CROSS JOIN journal j ON j.author_id = $1 AND j.record_id = w.id"
    };
    let sql = format!(
        "SELECT j.feed AS feed, j.record_id AS record_id, j.revision AS revision, j.sequence AS sequence, \
         j.known_from AS known_from, j.content_hash AS content_hash, \
         CASE WHEN v.feed IS NOT NULL AND v.effective_until IS NULL THEN 1 ELSE 0 END AS counts \
         FROM {listed} LEFT JOIN record_version v ON v.feed = j.feed"
    );
    for row in rows(on, sql, vec![author.into(), json_texts(records.iter().copied())?.into()]).await? {
        let record: String = row.try_get("", "record_id")?;
        let revision = u16::try_from(row.try_get::<i64>("", "revision")?).unwrap_or(u16::MAX);
        let feed = row.try_get("", "feed")?;
        let history = into.entry((author.to_owned(), record)).or_default();
        history.revisions.insert(
            revision,
            Revision {
                feed,
                sequence: row.try_get("", "sequence")?,
                known_from: row.try_get("", "known_from")?,
                content_hash: digest_of(&row, "content_hash")?,
            },
        );
        if row.try_get::<i32>("", "counts")? == 1 {
            history.counting = Some((revision, feed));
        }
    }
    Ok(())
}

/// Canonical texts by feed number.
pub(crate) async fn texts(on: &impl ConnectionTrait, feeds: &[i64]) -> Result<HashMap<i64, String>> {
    if feeds.is_empty() {
        return Ok(HashMap::new());
    }
    let sql = format!(
        "SELECT feed, canonical FROM journal WHERE feed {}",
        among_numbers(on.get_database_backend(), 1)
    );
    let found = rows(on, sql, vec![serde_json::to_string(feeds)?.into()]).await?;
    found.iter().map(|row| Ok((row.try_get("", "feed")?, row.try_get("", "canonical")?))).collect()
}

/// A revision ceases to count.
pub(crate) async fn end(on: &impl ConnectionTrait, feed: i64, until: Micros) -> Result<()> {
    run(on, "UPDATE record_version SET effective_until = $1 WHERE feed = $2", [until.into(), feed.into()])
        .await?;
    Ok(())
}

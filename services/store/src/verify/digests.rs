//! Digests of the projections.
//!
//! A digest is the SHA-256 of the sorted SHA-256s of the rows, each row the canonical JSON of its
//! columns; so it does not depend on the order in which a database gives them.

use crate::chain::{Hash, sha256};
use crate::database::rows;
use crate::error::{Result, StoreError};
use schemars::JsonSchema;
use sea_orm::{ConnectionTrait, QueryResult, TryGetable};
use serde::Serialize;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Feed numbers, or keys, read at once.
const PAGE: i64 = 5_000;

/// Two digests of one projection, in lower-case hexadecimal.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Digests {
    /// Of what counts, without arrival: equal on every hub with the same records, region file and release.
    pub now: String,
    /// Of all of it, with arrival: equal to a rebuild of this journal.
    pub full: String,
}

/// A column: its name, and how it is read.
#[derive(Clone, Copy)]
enum Column {
    Text(&'static str),
    Number(&'static str),
    Yes(&'static str),
    Bytes(&'static str),
}
use Column::{Bytes, Number, Text, Yes};

const LEDGER_LINE: [Column; 9] = [
    Text("day"),
    Text("account"),
    Text("counter"),
    Text("direction"),
    Text("scientific_name"),
    Yes("eggs"),
    Text("life_stage"),
    Text("sex"),
    Text("death_when"),
];
const CARRIED: [Column; 6] = [
    Text("span"),
    Text("account"),
    Text("scientific_name"),
    Yes("eggs"),
    Text("life_stage"),
    Number("delta"),
];
const BALANCE: [Column; 9] = [
    Text("month"),
    Text("account"),
    Text("counter"),
    Text("direction"),
    Text("scientific_name"),
    Yes("eggs"),
    Text("life_stage"),
    Text("death_when"),
    Number("delta"),
];

/// Every projection that rests on records.
pub(super) async fn all(on: &impl ConnectionTrait) -> Result<BTreeMap<&'static str, Digests>> {
    let named = [Text("author_id"), Text("record_id"), Number("revision")];
    let mut all = BTreeMap::new();
    let now = paged(
        on,
        "SELECT j.author_id AS author_id, j.record_id AS record_id, j.revision AS revision, j.kind AS kind, \
         j.event_day AS event_day, j.content_hash AS content_hash FROM record_version v JOIN journal j ON j.feed = v.feed \
         WHERE v.feed > $1 AND v.feed <= $2 AND v.effective_until IS NULL",
        &[&named[..], &[Text("kind"), Text("event_day"), Bytes("content_hash")]].concat(),
    )
    .await?;
    let full = paged(
        on,
        "SELECT feed, effective_from, effective_until FROM record_version WHERE feed > $1 AND feed <= $2",
        &[Number("feed"), Number("effective_from"), Number("effective_until")],
    )
    .await?;
    all.insert("records", Digests { now, full });
    all.insert("keys", keys(on).await?);
    let now = paged(
        on,
        "SELECT j.author_id AS author_id, j.record_id AS record_id, j.revision AS revision, e.day AS day, \
         e.account AS account, e.counter AS counter, e.direction AS direction, e.scientific_name AS scientific_name, \
         e.eggs AS eggs, e.life_stage AS life_stage, e.sex AS sex, e.death_when AS death_when, \
         CAST(SUM(e.delta) AS BIGINT) AS delta FROM entry e JOIN journal j ON j.feed = e.feed \
         WHERE e.feed > $1 AND e.feed <= $2 GROUP BY j.author_id, j.record_id, j.revision, e.day, e.account, \
         e.counter, e.direction, e.scientific_name, e.eggs, e.life_stage, e.sex, e.death_when HAVING SUM(e.delta) <> 0",
        &[&named[..], &LEDGER_LINE[..], &[Number("delta")]].concat(),
    )
    .await?;
    let entry = [Number("known_from"), Number("ordinal"), Number("feed"), Number("delta"), Yes("reversal")];
    let full = paged(
        on,
        "SELECT * FROM entry WHERE feed > $1 AND feed <= $2",
        &[&entry[..], &LEDGER_LINE[..]].concat(),
    )
    .await?;
    all.insert("ledger", Digests { now, full });
    let now = whole(
        on,
        "SELECT month, account, counter, direction, scientific_name, eggs, life_stage, death_when, \
         CAST(SUM(delta) AS BIGINT) AS delta FROM balance GROUP BY month, account, counter, direction, \
         scientific_name, eggs, life_stage, death_when HAVING SUM(delta) <> 0",
        &BALANCE,
    )
    .await?;
    let full = whole(on, "SELECT * FROM balance", &[&[Text("known")][..], &BALANCE[..]].concat()).await?;
    all.insert("balances", Digests { now, full });
    let carried = whole(on, "SELECT * FROM carried", &CARRIED).await?;
    all.insert("carried", Digests { now: carried.clone(), full: carried });
    let now = whole(on, "SELECT DISTINCT canonical FROM finding", &[Text("canonical")]).await?;
    let full = whole(
        on,
        "SELECT key, ordinal, code, severity, centres, canonical FROM finding",
        &[Text("key"), Number("ordinal"), Text("code"), Text("severity"), Text("centres"), Text("canonical")],
    )
    .await?;
    all.insert("findings", Digests { now, full });
    Ok(all)
}

/// The keys, read in stretches of keys: they are many, and found by nothing else.
async fn keys(on: &impl ConnectionTrait) -> Result<Digests> {
    let sql = format!(
        "SELECT k.key AS key, k.day AS day, k.feed AS feed, j.author_id AS author_id, j.record_id AS record_id, \
         v.effective_until AS effective_until FROM filed k JOIN record_version v ON v.feed = k.feed \
         JOIN journal j ON j.feed = k.feed WHERE (k.key, k.day, k.feed) > ($1, $2, $3) ORDER BY k.key, k.day, k.feed LIMIT {PAGE}"
    );
    let (mut now, mut full) = (Vec::new(), Vec::new());
    let mut after = (String::new(), String::new(), 0_i64);
    loop {
        let (key, day, feed) = after;
        let page = rows(on, sql.as_str(), vec![key.into(), day.into(), feed.into()]).await?;
        let Some(last) = page.last() else { break };
        after = (last.try_get("", "key")?, last.try_get("", "day")?, last.try_get("", "feed")?);
        for row in &page {
            full.push(hash(row, &[Text("key"), Text("day"), Number("feed")])?);
            if row.try_get::<Option<i64>>("", "effective_until")?.is_none() {
                now.push(hash(row, &[Text("key"), Text("author_id"), Text("record_id")])?);
            }
        }
    }
    Ok(Digests { now: digest(now), full: digest(full) })
}

/// A table read in stretches of feed numbers.
async fn paged(on: &impl ConnectionTrait, sql: &str, columns: &[Column]) -> Result<String> {
    let last = crate::database::read_state(on).await?.last_feed;
    let mut hashes = Vec::new();
    let mut after = 0;
    while after < last {
        for row in rows(on, sql, vec![after.into(), (after + PAGE).into()]).await? {
            hashes.push(hash(&row, columns)?);
        }
        after += PAGE;
    }
    Ok(digest(hashes))
}

async fn whole(on: &impl ConnectionTrait, sql: &str, columns: &[Column]) -> Result<String> {
    let found = rows(on, sql, Vec::new()).await?;
    let hashes: Vec<Hash> = found.iter().map(|row| hash(row, columns)).collect::<Result<_>>()?;
    Ok(digest(hashes))
}

fn hash(row: &QueryResult, columns: &[Column]) -> Result<Hash> {
    let values: Vec<Value> = columns.iter().map(|column| value(row, *column)).collect::<Result<_>>()?;
    // Texts, truth values and nothing: what serde writes of them is canonical already.
    Ok(sha256(&serde_json::to_vec(&values)?))
}

fn value(row: &QueryResult, column: Column) -> Result<Value> {
    fn get<T: TryGetable>(row: &QueryResult, name: &str) -> Result<Option<T>> {
        Ok(row.try_get("", name)?)
    }
    Ok(match column {
        Text(name) => get::<String>(row, name)?.map_or(Value::Null, Value::from),
        // As text: canonical JSON numbers are doubles, and stamps need more than 53 bits one day.
        Number(name) => get::<i64>(row, name)?.map_or(Value::Null, |number| number.to_string().into()),
        Yes(name) => {
            Value::Bool(get(row, name)?.ok_or_else(|| StoreError::bug(format!("{name} is missing")))?)
        }
        Bytes(name) => get::<Vec<u8>>(row, name)?.map_or(Value::Null, |bytes| hex::encode(bytes).into()),
    })
}

fn digest(mut hashes: Vec<Hash>) -> String {
    hashes.sort_unstable();
    let mut whole = Sha256::new();
    for hash in hashes {
        whole.update(hash);
    }
    hex::encode(whole.finalize())
}

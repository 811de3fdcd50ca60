//! The chains, entry by entry.

use super::{Fault, Redacted};
use crate::acts::{Act, stored};
use crate::chain::{CHAIN_OF_ACTS, Hash, link, sha256};
use crate::database::{NO_LINK, digest_of, read_state, rows};
use crate::error::Result;
use crate::sealing::{counterpart, place};
use haulout_reckoning::Micros;
use haulout_schemas::Record;
use sea_orm::{ConnectionTrait, QueryResult};
use serde_json::Value;
use std::collections::{BTreeMap, HashMap};

/// Entries read at once.
const PAGE: usize = 5_000;

/// What was found so far.
#[derive(Default)]
pub(super) struct Found {
    pub records: i64,
    pub acts: i64,
    pub faults: Vec<Fault>,
    pub redacted: Vec<Redacted>,
}

impl Found {
    fn fault(&mut self, author: &str, sequence: i64, problem: impl Into<String>) {
        self.faults.push(Fault { author_id: author.to_owned(), sequence, problem: problem.into() });
    }
}

/// How far a chain has been followed.
struct Following {
    sequence: i64,
    link: Hash,
}

/// Every record, in the order of its arrival; each author's chain is followed along the way.
pub(super) async fn records(on: &impl ConnectionTrait, found: &mut Found) -> Result<()> {
    let blanked = blanked(on).await?;
    let mut chains: BTreeMap<String, Following> = BTreeMap::new();
    let (mut after, mut newest): (i64, Micros) = (0, Micros::MIN);
    loop {
        let sql = format!("SELECT * FROM journal WHERE feed > $1 ORDER BY feed LIMIT {PAGE}");
        let page = rows(on, sql, vec![after.into()]).await?;
        if page.is_empty() {
            break;
        }
        for row in &page {
            let feed: i64 = row.try_get("", "feed")?;
            let author: String = row.try_get("", "author_id")?;
            let sequence: i64 = row.try_get("", "sequence")?;
            let known_from: Micros = row.try_get("", "known_from")?;
            found.records += 1;
            if feed != after + 1 {
                found.fault(
                    &author,
                    sequence,
                    format!("entries are missing before it: number {feed} follows {after}"),
                );
            }
            after = feed;
            if known_from <= newest {
                found.fault(&author, sequence, "its stamp is not later than that of the entry before");
            }
            newest = known_from;
            for problem in own_faults(row, &blanked)? {
                found.fault(&author, sequence, problem);
            }
            if row.try_get("", "redacted")? {
                found.redacted.push(Redacted { author_id: author.clone(), sequence });
            }
            let chain = chains.entry(author.clone()).or_insert(Following { sequence: 0, link: NO_LINK });
            follow(
                found,
                chain,
                &author,
                sequence,
                known_from,
                &digest_of(row, "record_hash")?,
                &digest_of(row, "link")?,
            )?;
        }
    }
    let mut heads: BTreeMap<String, (i64, Hash)> = BTreeMap::new();
    for row in rows(on, "SELECT author_id, sequence, link FROM chain_head", Vec::new()).await? {
        heads.insert(row.try_get("", "author_id")?, (row.try_get("", "sequence")?, digest_of(&row, "link")?));
    }
    for (author, chain) in &chains {
        if heads.remove(author) != Some((chain.sequence, chain.link)) {
            found.fault(author, chain.sequence, "the head of the chain is not its last entry");
        }
    }
    for (author, (sequence, _)) in heads {
        found.fault(&author, sequence, "the head of the chain has no entries behind it");
    }
    if read_state(on).await?.last_feed != after {
        found.fault("", after, "entries are missing at the end of the journal");
    }
    Ok(())
}

fn follow(
    found: &mut Found,
    chain: &mut Following,
    author: &str,
    sequence: i64,
    known_from: Micros,
    hash: &Hash,
    stored: &Hash,
) -> Result<()> {
    if sequence != chain.sequence + 1 {
        found.fault(
            author,
            sequence,
            format!("entry {sequence} follows entry {} of the chain", chain.sequence),
        );
    } else if link(author, sequence, known_from, hash, &chain.link)? != *stored {
        found.fault(author, sequence, "its link does not cover it and the entry before");
    }
    *chain = Following { sequence, link: *stored };
    Ok(())
}

/// What is wrong with an entry by itself: its text against its hashes, its columns against its text.
fn own_faults(row: &QueryResult, blanked: &HashMap<(String, String, i64), String>) -> Result<Vec<String>> {
    let canonical: String = row.try_get("", "canonical")?;
    let (author, record): (String, String) = (row.try_get("", "author_id")?, row.try_get("", "record_id")?);
    let revision: i64 = row.try_get("", "revision")?;
    let redacted: bool = row.try_get("", "redacted")?;
    let hash = sha256(canonical.as_bytes());
    let mut problems = Vec::new();
    if redacted {
        match blanked.get(&(author.clone(), record.clone(), revision)) {
            None => problems.push("it is marked as redacted, and no act says so".to_owned()),
            Some(then) if *then != hex::encode(hash) => {
                problems.push("its redacted text was altered".to_owned())
            }
            Some(_) => {}
        }
    } else if hash != digest_of(row, "record_hash")? {
        problems.push("its text does not have the hash under which it was sealed".to_owned());
    }
    let Ok(parsed) = Record::parse(&canonical) else {
        problems.push("its text is no record".to_owned());
        return Ok(problems);
    };
    if !redacted && content_hash(&canonical)? != digest_of(row, "content_hash")? {
        problems.push("its content hash is not that of its text".to_owned());
    }
    let frame = &parsed.envelope;
    let text = |column: &str| row.try_get::<Option<String>>("", column);
    let same = frame.author_id.as_str() == author
        && frame.record_id.as_str() == record
        && i64::from(frame.revision) == revision
        && text("kind")?.as_deref() == Some(frame.kind.as_str())
        && text("event_day")? == Some(frame.event_date.day().to_string())
        && text("place")? == place(&parsed)
        && text("counterpart")? == counterpart(&parsed);
    if !same {
        problems.push("the columns it is found by do not agree with its text".to_owned());
    }
    Ok(problems)
}

/// SHA-256 of the canonical text without `schemaVersion`.
pub(crate) fn content_hash(canonical: &str) -> Result<Hash> {
    let mut record: Value = serde_json::from_str(canonical)?;
    if let Some(members) = record.as_object_mut() {
        members.remove("schemaVersion");
    }
    Ok(sha256(&serde_json_canonicalizer::to_vec(&record)?))
}

/// Hash of what each redacted text became, by its newest act.
async fn blanked(on: &impl ConnectionTrait) -> Result<HashMap<(String, String, i64), String>> {
    let mut hashes = HashMap::new();
    for row in rows(on, "SELECT * FROM act WHERE kind = 'redaction' ORDER BY sequence", Vec::new()).await? {
        if let Ok(Act::Redaction(act)) = stored(&row).map(|stored| stored.act) {
            let key =
                (act.record.author_id.to_string(), act.record.record_id.to_string(), i64::from(act.revision));
            hashes.insert(key, act.redacted_hash);
        }
    }
    Ok(hashes)
}

/// Every act, along the region's chain.
pub(super) async fn acts(on: &impl ConnectionTrait, found: &mut Found) -> Result<()> {
    let mut chain = Following { sequence: 0, link: NO_LINK };
    let mut newest = Micros::MIN;
    loop {
        let sql = format!("SELECT * FROM act WHERE sequence > $1 ORDER BY sequence LIMIT {PAGE}");
        let page = rows(on, sql, vec![chain.sequence.into()]).await?;
        if page.is_empty() {
            break;
        }
        for row in &page {
            found.acts += 1;
            let sequence: i64 = row.try_get("", "sequence")?;
            let known_from: Micros = row.try_get("", "known_from")?;
            let canonical: String = row.try_get("", "canonical")?;
            let kind: String = row.try_get("", "kind")?;
            if sha256(canonical.as_bytes()) != digest_of(row, "hash")? {
                found.fault(
                    CHAIN_OF_ACTS,
                    sequence,
                    "its text does not have the hash under which it was sealed",
                );
            }
            if !serde_json::from_str::<Act>(&canonical).is_ok_and(|act| act.kind() == kind) {
                found.fault(
                    CHAIN_OF_ACTS,
                    sequence,
                    "the column it is found by does not agree with its text",
                );
            }
            if known_from <= newest {
                found.fault(CHAIN_OF_ACTS, sequence, "its stamp is not later than that of the entry before");
            }
            newest = known_from;
            follow(
                found,
                &mut chain,
                CHAIN_OF_ACTS,
                sequence,
                known_from,
                &digest_of(row, "hash")?,
                &digest_of(row, "link")?,
            )?;
        }
    }
    let state = read_state(on).await?;
    if (state.act_sequence, state.act_link) != (chain.sequence, chain.link) {
        found.fault(CHAIN_OF_ACTS, chain.sequence, "the head of the chain is not its last entry");
    }
    Ok(())
}

//! The sealing step: checked and hashed records are given their place in the journal.
//!
//! Everything that can be worked out beforehand is; under the lock there are a few look-ups, the
//! decisions, and bulk inserts. When [`Store::seal`] returns, what it accepted is on disk.

use crate::bulk::Rows;
use crate::chain::{Hash, link};
use crate::configuration::Configuration;
use crate::database::{Locked, NO_LINK, Store, among_texts, digest_of, rows};
use crate::effective::{json_texts, parse};
use crate::error::{Result, StoreError};
use crate::projection::{Projection, Staged};
use crate::versions::{History, RecordKey, Revision, histories, texts};
use haulout_reckoning::Micros;
use haulout_schemas::{Body, Record};
use serde_json::Value;
use std::collections::{BTreeMap, HashMap, HashSet};

/// Lines in one transaction at most; longer lists are sealed in several.
pub const CHUNK: usize = 2_000;
/// Lines of a strict submission at most: they are sealed in one transaction or not at all.
pub const STRICT_LINES: usize = 10_000;

/// A record that passed every check and is the writer's to write.
#[derive(Clone, Debug)]
pub struct ToSeal {
    /// 1-based line, or place in the array.
    pub line: u64,
    /// The record.
    pub record: Record,
    /// RFC 8785 text of the record as sent.
    pub canonical: String,
    /// SHA-256 of it.
    pub record_hash: Hash,
    /// The same without `schemaVersion`.
    pub content_hash: Hash,
}

/// What became of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sealed {
    /// It is in the journal now.
    Accepted {
        /// Place in the author's chain.
        sequence: i64,
        /// Since when the hub knows it.
        known_from: Micros,
    },
    /// It was there already, with the same content.
    Known {
        /// Place in the author's chain.
        sequence: i64,
        /// Since when the hub knows it.
        known_from: Micros,
    },
    /// The same author, record and revision was there already with other content.
    Reused {
        /// The top-level members that differ, sorted.
        fields: Vec<String>,
    },
    /// Not sealed because another line of a strict submission was reused.
    Withheld,
}

/// Sealed lines, and where each author's chain stands after them: the receipt.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sealing {
    /// One for each line, in order.
    pub lines: Vec<Sealed>,
    /// Head of each chain that the lines belong to: sequence and link.
    pub heads: BTreeMap<String, (i64, Hash)>,
}

impl Store {
    /// Gives records their place in the journal, at most [`CHUNK`] in one transaction. Lenient: each
    /// line for itself. Strict: all or none, at most [`STRICT_LINES`].
    ///
    /// # Errors
    /// `Unavailable` when the database is busy or away, `Full` when its disk is; of a list longer
    /// than [`CHUNK`], earlier chunks stay sealed and are `Known` when it is sent again. `Invalid`
    /// for a strict list that is too long.
    pub async fn seal(&self, lines: Vec<ToSeal>, strict: bool) -> Result<Sealing> {
        if strict && lines.len() > STRICT_LINES {
            return Err(StoreError::invalid(format!("a strict submission has at most {STRICT_LINES} lines")));
        }
        let names = self.configuration().await?;
        let size = if strict { STRICT_LINES } else { CHUNK };
        let mut whole = Sealing::default();
        for chunk in lines.chunks(size) {
            let staged: Vec<Staged> =
                chunk.iter().map(|line| Staged::of(&line.record, &names.names)).collect();
            let part = self.seal_chunk(chunk, staged, &names, strict).await?;
            whole.lines.extend(part.lines);
            whole.heads.extend(part.heads);
        }
        Ok(whole)
    }

    async fn seal_chunk(
        &self,
        chunk: &[ToSeal],
        mut staged: Vec<Staged>,
        staged_under: &Configuration,
        strict: bool,
    ) -> Result<Sealing> {
        let mut locked = self.lock().await?;
        let configuration = self.in_force(&locked).await?;
        if configuration.sequence != staged_under.sequence {
            staged = chunk.iter().map(|line| Staged::of(&line.record, &configuration.names)).collect();
        }
        let mut heads = heads(&locked, chunk).await?;
        let mut plan = decide(&locked, chunk).await?;
        plan.name_differences(&locked, chunk).await?;
        let reused = plan.decisions.iter().any(|decision| matches!(decision, Decision::Reused { .. }));
        if strict && reused {
            return Ok(Sealing { lines: plan.withheld(), heads });
        }
        if !plan.decisions.iter().any(|decision| matches!(decision, Decision::New { .. })) {
            return Ok(Sealing { lines: plan.outcomes(&[]), heads });
        }
        let stamps = write(&mut locked, chunk, &staged, &plan, &configuration, &mut heads).await?;
        locked.commit().await?;
        Ok(Sealing { lines: plan.outcomes(&stamps), heads })
    }
}

/// What is to become of a line.
enum Decision {
    /// To be sealed; `before` is the revision that it replaces, `counts` whether it counts at all.
    New { before: Option<Before>, counts: bool },
    /// In the journal already.
    Known { sequence: i64, known_from: Micros },
    /// An earlier line of this chunk says the same.
    Repeats { index: usize },
    /// Another content under the same key, in the journal or in an earlier line.
    Reused { of: Before, fields: Vec<String> },
}

/// A revision that came before: in the journal, or in this chunk.
#[derive(Clone, Copy)]
enum Before {
    Journal(i64),
    Chunk(usize),
}

struct Plan {
    decisions: Vec<Decision>,
}

/// Feed numbers of this chunk, until they are given, count down from here.
fn provisional(index: usize) -> i64 {
    -1 - i64::try_from(index).unwrap_or(i64::MAX - 1)
}

fn before(feed: i64) -> Before {
    if feed < 0 {
        Before::Chunk(usize::try_from(-1 - feed).unwrap_or(usize::MAX))
    } else {
        Before::Journal(feed)
    }
}

async fn decide(locked: &Locked, chunk: &[ToSeal]) -> Result<Plan> {
    let mut by_author: HashMap<&str, HashSet<&str>> = HashMap::new();
    for line in chunk {
        let frame = &line.record.envelope;
        by_author.entry(frame.author_id.as_str()).or_default().insert(frame.record_id.as_str());
    }
    let mut known: HashMap<RecordKey, History> = HashMap::with_capacity(chunk.len());
    for (author, records) in by_author {
        let records: Vec<&str> = records.into_iter().collect();
        histories(&locked.tx, author, &records, &mut known).await?;
    }
    let mut decisions = Vec::with_capacity(chunk.len());
    for (index, line) in chunk.iter().enumerate() {
        let frame = &line.record.envelope;
        let history = known.entry((frame.author_id.to_string(), frame.record_id.to_string())).or_default();
        if let Some(there) = history.revisions.get(&frame.revision) {
            let of = before(there.feed);
            decisions.push(match (there.content_hash == line.content_hash, of) {
                (true, Before::Chunk(index)) => Decision::Repeats { index },
                (true, Before::Journal(_)) => {
                    Decision::Known { sequence: there.sequence, known_from: there.known_from }
                }
                (false, of) => Decision::Reused { of, fields: Vec::new() },
            });
            continue;
        }
        let feed = provisional(index);
        let revision = Revision { feed, sequence: 0, known_from: 0, content_hash: line.content_hash };
        history.revisions.insert(frame.revision, revision);
        let counts = history.counting.is_none_or(|(highest, _)| highest < frame.revision);
        let replaced = if counts { history.counting.replace((frame.revision, feed)) } else { None };
        decisions.push(Decision::New { before: replaced.map(|(_, feed)| before(feed)), counts });
    }
    Ok(Plan { decisions })
}

impl Plan {
    /// Finds out in which members reused lines differ from what was there first.
    async fn name_differences(&mut self, locked: &Locked, chunk: &[ToSeal]) -> Result<()> {
        let feeds: Vec<i64> = self
            .decisions
            .iter()
            .filter_map(|decision| match decision {
                Decision::Reused { of: Before::Journal(feed), .. } => Some(*feed),
                _ => None,
            })
            .collect();
        let there = texts(&locked.tx, &feeds).await?;
        for (index, decision) in self.decisions.iter_mut().enumerate() {
            if let Decision::Reused { of, fields } = decision {
                let first = match *of {
                    Before::Journal(feed) => there.get(&feed).map(String::as_str).unwrap_or_default(),
                    Before::Chunk(earlier) => &chunk[earlier].canonical,
                };
                *fields = differing_members(first, &chunk[index].canonical)?;
            }
        }
        Ok(())
    }

    /// The outcomes; `stamps` are those of the new lines, in order.
    fn outcomes(self, stamps: &[(i64, Micros)]) -> Vec<Sealed> {
        let mut given = stamps.iter();
        let mut outcomes: Vec<Sealed> = Vec::with_capacity(self.decisions.len());
        for decision in self.decisions {
            outcomes.push(match decision {
                Decision::New { .. } => match given.next() {
                    Some(&(sequence, known_from)) => Sealed::Accepted { sequence, known_from },
                    None => Sealed::Withheld,
                },
                Decision::Known { sequence, known_from } => Sealed::Known { sequence, known_from },
                Decision::Repeats { index } => match &outcomes[index] {
                    Sealed::Accepted { sequence, known_from } => {
                        Sealed::Known { sequence: *sequence, known_from: *known_from }
                    }
                    other => other.clone(),
                },
                Decision::Reused { fields, .. } => Sealed::Reused { fields },
            });
        }
        outcomes
    }

    fn withheld(self) -> Vec<Sealed> {
        self.outcomes(&[])
    }
}

/// Writes journal and projections; gives sequence and stamp of each new line, in order.
async fn write(
    locked: &mut Locked,
    chunk: &[ToSeal],
    staged: &[Staged],
    plan: &Plan,
    configuration: &Configuration,
    heads: &mut BTreeMap<String, (i64, Hash)>,
) -> Result<Vec<(i64, Micros)>> {
    let replaced = replaced(locked, plan, configuration).await?;
    let mut journal = Rows::new(
        "INSERT INTO journal (feed, author_id, sequence, record_id, revision, kind, place, counterpart, event_day, \
         known_from, record_hash, content_hash, link, canonical, redacted)",
        "",
    );
    let mut projection = Projection::new();
    let mut stamps = Vec::with_capacity(chunk.len());
    let mut feeds = vec![0; chunk.len()];
    for (index, (line, decision)) in chunk.iter().zip(&plan.decisions).enumerate() {
        let Decision::New { before, counts } = decision else { continue };
        let frame = &line.record.envelope;
        let known_from = locked.state.stamp();
        locked.state.last_feed += 1;
        let feed = locked.state.last_feed;
        feeds[index] = feed;
        let head = match heads.get_mut(frame.author_id.as_str()) {
            Some(head) => head,
            None => heads.entry(frame.author_id.to_string()).or_insert((0, NO_LINK)),
        };
        head.0 += 1;
        head.1 = link(frame.author_id.as_str(), head.0, known_from, &line.record_hash, &head.1)?;
        journal.push([
            feed.into(),
            frame.author_id.as_str().into(),
            head.0.into(),
            frame.record_id.as_str().into(),
            i64::from(frame.revision).into(),
            frame.kind.as_str().into(),
            place(&line.record).into(),
            counterpart(&line.record).into(),
            frame.event_date.day().to_string().into(),
            known_from.into(),
            line.record_hash.to_vec().into(),
            line.content_hash.to_vec().into(),
            head.1.to_vec().into(),
            line.canonical.as_str().into(),
            false.into(),
        ]);
        stamps.push((head.0, known_from));
        if *counts {
            let before = match *before {
                Some(Before::Journal(old)) => replaced.get(&old).map(|gone| (old, gone)),
                Some(Before::Chunk(earlier)) => Some((feeds[earlier], &staged[earlier])),
                None => None,
            };
            projection.counts(feed, known_from, &staged[index], before)?;
        }
    }
    journal.write(&locked.tx).await?;
    projection.write(&locked.tx).await?;
    let mut moved = Rows::new(
        "INSERT INTO chain_head (author_id, sequence, link)",
        "ON CONFLICT (author_id) DO UPDATE SET sequence = excluded.sequence, link = excluded.link",
    );
    for (author, (sequence, link)) in heads.iter() {
        moved.push([author.as_str().into(), (*sequence).into(), link.to_vec().into()]);
    }
    moved.write(&locked.tx).await?;
    Ok(stamps)
}

/// What the replaced revisions of earlier chunks posted.
async fn replaced(
    locked: &Locked,
    plan: &Plan,
    configuration: &Configuration,
) -> Result<HashMap<i64, Staged>> {
    let feeds: Vec<i64> = plan
        .decisions
        .iter()
        .filter_map(|decision| match decision {
            Decision::New { before: Some(Before::Journal(feed)), .. } => Some(*feed),
            _ => None,
        })
        .collect();
    let found = texts(&locked.tx, &feeds).await?;
    found
        .into_iter()
        .map(|(feed, text)| Ok((feed, Staged::of(&parse(&text, feed)?, &configuration.names))))
        .collect()
}

/// Where the chains of the chunk's authors stand; a new author's is left out.
async fn heads(locked: &Locked, chunk: &[ToSeal]) -> Result<BTreeMap<String, (i64, Hash)>> {
    let authors: HashSet<&str> = chunk.iter().map(|line| line.record.envelope.author_id.as_str()).collect();
    let sql = format!(
        "SELECT author_id, sequence, link FROM chain_head WHERE author_id {}",
        among_texts(sea_orm::ConnectionTrait::get_database_backend(&locked.tx), 1)
    );
    let found = rows(&locked.tx, sql, vec![json_texts(authors.into_iter())?.into()]).await?;
    found
        .iter()
        .map(|row| {
            Ok((row.try_get("", "author_id")?, (row.try_get("", "sequence")?, digest_of(row, "link")?)))
        })
        .collect()
}

/// The centre or point of a record.
pub(crate) fn place(record: &Record) -> Option<String> {
    let frame = &record.envelope;
    frame.centre_id.as_ref().or(frame.point_id.as_ref()).map(ToString::to_string)
}

/// The other end of a consignment, where the record names it: it may see the record.
pub(crate) fn counterpart(record: &Record) -> Option<String> {
    match &record.body {
        Some(Body::Dispatch(dispatch)) => dispatch.destination_id.as_ref().map(ToString::to_string),
        Some(Body::Receipt(receipt)) => receipt.origin_id.as_ref().map(ToString::to_string),
        _ => None,
    }
}

/// Top-level members in which two records differ, `schemaVersion` apart, sorted.
fn differing_members(first: &str, second: &str) -> Result<Vec<String>> {
    let (first, second): (BTreeMap<String, Value>, BTreeMap<String, Value>) =
        (serde_json::from_str(first)?, serde_json::from_str(second)?);
    let mut names: Vec<String> = first
        .keys()
        .chain(second.keys())
        .filter(|name| *name != "schemaVersion" && first.get(*name) != second.get(*name))
        .cloned()
        .collect();
    names.sort();
    names.dedup();
    Ok(names)
}

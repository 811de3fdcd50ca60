//! Rebuilding: every projection made anew from the journal, in one transaction.
//!
//! Records are taken in the order of their stamps, acts in between, through the same code that
//! sealing uses; so what comes out is what stood there, to the byte.

use crate::acts::{Act, StoredAct, stored};
use crate::configuration::Configuration;
use crate::database::{Locked, NO_LINK, Store, digest_of, row, rows, run};
use crate::effective::parse;
use crate::error::Result;
use crate::projection::{Projection, Staged};
use crate::reservations::{clear_reservations, project_reservation};
use crate::versions::{History, RecordKey, histories, texts};
use haulout_reckoning::Micros;
use haulout_schemas::Record;
use sea_orm::ConnectionTrait;
use std::collections::HashMap;
use std::sync::Arc;

/// Records taken at once.
const SEGMENT: usize = 2_000;

/// The versions of the rules by which projections are made; kept beside them.
pub(crate) fn projection_rules() -> String {
    let names = haulout_schemas::names::Names::standard();
    let filing = haulout_reckoning::FILING_VERSION;
    let milestones = haulout_reckoning::findings::MILESTONE_VERSION;
    format!(
        "postings {}; names {}; filing {filing}; balances 2; milestones {milestones}",
        haulout_reckoning::POSTING_RULES,
        names.version()
    )
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rebuilt {
    /// Records.
    pub records: i64,
    /// Acts.
    pub acts: i64,
}

struct Line {
    feed: i64,
    known_from: Micros,
    record: Record,
}

impl Store {
    /// Makes every projection anew, in one transaction: whoever reads meanwhile sees what stood
    /// before. The findings follow in transactions of their own.
    ///
    /// # Errors
    /// When the database cannot be read or written, or a record of the journal does not read.
    pub async fn rebuild(&self) -> Result<Rebuilt> {
        let mut locked = self.lock().await?;
        for table in [
            "record_version",
            "filed",
            "entry",
            "balance",
            "carried",
            "chain_head",
            "finding",
            "key_due",
            "touched",
            "milestone",
            "finding_state",
        ] {
            run(&locked.tx, &format!("DELETE FROM {table}"), []).await?;
        }
        let acts = acts(&locked.tx).await?;
        let records = self.replay(&locked, &acts).await?;
        clear_reservations(&locked.tx).await?;
        for act in &acts {
            project_reservation(&locked.tx, act).await?;
        }
        heads(&locked.tx).await?;
        self.restate(&mut locked, &acts).await?;
        locked.commit().await?;
        self.refresh_findings().await?;
        Ok(Rebuilt { records, acts: i64::try_from(acts.len()).unwrap_or(i64::MAX) })
    }

    /// Projects every record, under the configuration that was in force when it came.
    async fn replay(&self, locked: &Locked, acts: &[StoredAct]) -> Result<i64> {
        let mut coming = acts.iter().filter(|act| matches!(act.act, Act::ConfigurationLoaded(_))).peekable();
        let mut in_force = Arc::new(Configuration::none());
        let (mut after, mut read) = (0, 0);
        loop {
            let page = page(&locked.tx, after).await?;
            let Some(last) = page.last() else { break };
            after = last.feed;
            read += i64::try_from(page.len()).unwrap_or(0);
            let mut rest = page.as_slice();
            while !rest.is_empty() {
                let until = coming.peek().map_or(Micros::MAX, |act| act.known_from);
                let before = rest.iter().take_while(|line| line.known_from < until).count();
                let (segment, later) = rest.split_at(before);
                project(&locked.tx, segment, &in_force).await?;
                rest = later;
                if !rest.is_empty() {
                    in_force = self.follow(locked, &mut coming, &in_force).await?;
                }
            }
        }
        while coming.peek().is_some() {
            in_force = self.follow(locked, &mut coming, &in_force).await?;
        }
        Ok(read)
    }

    /// The next configuration comes into force.
    async fn follow<'a>(
        &self,
        locked: &Locked,
        coming: &mut impl Iterator<Item = &'a StoredAct>,
        in_force: &Arc<Configuration>,
    ) -> Result<Arc<Configuration>> {
        let Some(act) = coming.next() else { return Ok(Arc::clone(in_force)) };
        let next = self.configuration_of(&locked.tx, act.sequence).await?;
        crate::ledger::rename(&locked.tx, &in_force.names, &next).await?;
        Ok(next)
    }

    /// Where the journal stands, by what is in it.
    async fn restate(&self, locked: &mut Locked, acts: &[StoredAct]) -> Result<()> {
        let last = row(
            &locked.tx,
            "SELECT COALESCE(MAX(feed), 0) AS feed, COALESCE(MAX(known_from), 0) AS known_from FROM journal",
            [],
        )
        .await?;
        let (feed, known_from) = match last {
            Some(last) => (last.try_get("", "feed")?, last.try_get::<Micros>("", "known_from")?),
            None => (0, 0),
        };
        let act = acts.last();
        locked.state.last_feed = feed;
        locked.state.last_known_from = known_from.max(act.map_or(0, |act| act.known_from));
        locked.state.act_sequence = act.map_or(0, |act| act.sequence);
        locked.state.act_link = act.map_or(NO_LINK, |act| act.link);
        let mut configurations = acts.iter().filter(|act| matches!(act.act, Act::ConfigurationLoaded(_)));
        locked.state.configuration = configurations.next_back().map_or(0, |act| act.sequence);
        locked.state.projected_by = projection_rules();
        Ok(())
    }
}

async fn acts(on: &impl ConnectionTrait) -> Result<Vec<StoredAct>> {
    rows(on, "SELECT * FROM act ORDER BY sequence", Vec::new()).await?.iter().map(stored).collect()
}

async fn page(on: &impl ConnectionTrait, after: i64) -> Result<Vec<Line>> {
    let sql = format!(
        "SELECT feed, known_from, canonical FROM journal WHERE feed > $1 ORDER BY feed LIMIT {SEGMENT}"
    );
    rows(on, sql, vec![after.into()])
        .await?
        .iter()
        .map(|row| {
            let feed = row.try_get("", "feed")?;
            let record = parse(&row.try_get::<String>("", "canonical")?, feed)?;
            Ok(Line { feed, known_from: row.try_get("", "known_from")?, record })
        })
        .collect()
}

/// Projects a run of records under one configuration.
async fn project(on: &impl ConnectionTrait, segment: &[Line], in_force: &Configuration) -> Result<()> {
    if segment.is_empty() {
        return Ok(());
    }
    let mut by_author: HashMap<&str, Vec<&str>> = HashMap::new();
    for line in segment {
        let frame = &line.record.envelope;
        by_author.entry(frame.author_id.as_str()).or_default().push(frame.record_id.as_str());
    }
    let mut known: HashMap<RecordKey, History> = HashMap::new();
    for (author, mut records) in by_author {
        records.sort_unstable();
        records.dedup();
        histories(on, author, &records, &mut known).await?;
    }
    let mut counting: HashMap<RecordKey, (u16, i64)> = HashMap::new();
    let mut earlier = Vec::new();
    for (key, history) in known {
        if let Some((revision, feed)) = history.counting {
            earlier.push(feed);
            counting.insert(key, (revision, feed));
        }
    }
    let mut staged: HashMap<i64, Staged> = HashMap::new();
    for (feed, text) in texts(on, &earlier).await? {
        staged.insert(feed, Staged::of(&parse(&text, feed)?, &in_force.names));
    }
    let mut projection = Projection::new();
    for line in segment {
        let frame = &line.record.envelope;
        let key = (frame.author_id.to_string(), frame.record_id.to_string());
        let before = counting.get(&key).copied();
        if before.is_some_and(|(revision, _)| revision >= frame.revision) {
            continue;
        }
        let own = Staged::of(&line.record, &in_force.names);
        let gone = before.and_then(|(_, feed)| Some((feed, staged.get(&feed)?)));
        projection.counts(line.feed, line.known_from, &own, gone)?;
        counting.insert(key, (frame.revision, line.feed));
        staged.insert(line.feed, own);
    }
    projection.write(on).await
}

/// Head of each party's chain.
async fn heads(on: &impl ConnectionTrait) -> Result<()> {
    let sql = "SELECT j.author_id AS author_id, j.sequence AS sequence, j.link AS link FROM journal j JOIN \
               (SELECT author_id, MAX(sequence) AS last FROM journal GROUP BY author_id) m \
               ON m.author_id = j.author_id AND m.last = j.sequence";
    for head in rows(on, sql, Vec::new()).await? {
        let (author, sequence): (String, i64) =
            (head.try_get("", "author_id")?, head.try_get("", "sequence")?);
        let link = digest_of(&head, "link")?.to_vec();
        let sql = "INSERT INTO chain_head (author_id, sequence, link) VALUES ($1, $2, $3)";
        run(on, sql, [author.into(), sequence.into(), link.into()]).await?;
    }
    Ok(())
}

//! Reading the journal: records and their history, what is new, where the chains stand.

use crate::chain::Hash;
use crate::configuration::Configuration;
use crate::database::{Store, digest_of, row, rows};
use crate::effective::AsOf;
use crate::error::{Result, StoreError};
use crate::scope::Scope;
use chrono::NaiveDate;
use haulout_reckoning::{Key, Micros, Period};
use haulout_schemas::Kind;
use haulout_schemas::text::{ConsignmentId, OrganismId};
use sea_orm::{DbBackend, QueryResult, Value};
use std::collections::BTreeMap;

/// A record as the journal keeps it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredRecord {
    /// Order of arrival over all parties; a page begins after one.
    pub feed: i64,
    /// The party that wrote it.
    pub author_id: String,
    /// Place in the author's chain.
    pub sequence: i64,
    /// The writer's identifier.
    pub record_id: String,
    /// The revision.
    pub revision: u16,
    /// What it tells of.
    pub kind: Kind,
    /// The centre or point.
    pub place: Option<String>,
    /// The day on which it counts, `YYYY-MM-DD`.
    pub event_day: String,
    /// Since when the hub knows it.
    pub known_from: Micros,
    /// SHA-256 of the canonical text as sent; for callers who may see the exact record.
    pub record_hash: Hash,
    /// The link of the author's chain.
    pub link: Hash,
    /// RFC 8785 text.
    pub canonical: String,
    /// Whether listed free text was blanked.
    pub redacted: bool,
    /// Whether it is the revision that counts now.
    pub counts: bool,
}

/// Which records; every member narrows.
#[derive(Clone, Debug, Default)]
pub struct RecordFilter {
    /// Written by this party.
    pub author: Option<String>,
    /// At this centre or point.
    pub place: Option<String>,
    /// Of this kind.
    pub kind: Option<Kind>,
    /// Not before this day.
    pub from: Option<NaiveDate>,
    /// Not after this day.
    pub through: Option<NaiveDate>,
    /// Found again under this key, such as `consignment/ID`.
    pub key: Option<String>,
    /// Only revisions that count, as known at an instant or now.
    pub counting: Option<AsOf>,
    /// Newest first instead of oldest first.
    pub newest_first: bool,
}

/// A page, and where the next one begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page<T> {
    /// What was found.
    pub items: Vec<T>,
    /// Pass it as `after` for the next page; `None` at the end.
    pub next: Option<i64>,
}

/// A night for which a place's census counts, and when the first one of that day arrived.
pub use haulout_reckoning::statement::Night;

const COLUMNS: &str = "j.feed AS feed, j.author_id AS author_id, j.sequence AS sequence, j.record_id AS record_id, \
    j.revision AS revision, j.kind AS kind, j.place AS place, j.event_day AS event_day, j.known_from AS known_from, \
    j.record_hash AS record_hash, j.link AS link, j.canonical AS canonical, j.redacted AS redacted, \
    CASE WHEN v.feed IS NOT NULL AND v.effective_until IS NULL THEN 1 ELSE 0 END AS counts";

impl Store {
    /// A page of records.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn records(
        &self,
        scope: &Scope,
        filter: &RecordFilter,
        after: Option<i64>,
        limit: u64,
    ) -> Result<Page<StoredRecord>> {
        let configuration = self.configuration().await?;
        let mut values: Vec<Value> = Vec::new();
        let (mut condition, more) = scope_condition(scope, &configuration, 1);
        values.extend(more);
        let mut narrow = |sql: &str, value: Option<Value>| {
            if let Some(value) = value {
                values.push(value);
                condition += &format!(" AND {sql} ${}", values.len());
            }
        };
        narrow("j.author_id =", filter.author.as_deref().map(Value::from));
        narrow("j.place =", filter.place.as_deref().map(Value::from));
        narrow("j.kind =", filter.kind.map(|kind| kind.as_str().into()));
        narrow("j.event_day >=", filter.from.map(|day| day.to_string().into()));
        narrow("j.event_day <=", filter.through.map(|day| day.to_string().into()));
        narrow(if filter.newest_first { "j.feed <" } else { "j.feed >" }, after.map(Value::from));
        narrow("k.key =", filter.key.as_deref().map(Value::from));
        if let Some(as_of) = filter.counting {
            let counting = as_of.condition(&mut values);
            condition += &format!(" AND v.feed IS NOT NULL AND {counting}");
        }
        let from = match &filter.key {
            Some(_) => {
                "filed k JOIN journal j ON j.feed = k.feed LEFT JOIN record_version v ON v.feed = j.feed"
            }
            None => "journal j LEFT JOIN record_version v ON v.feed = j.feed",
        };
        let order = if filter.newest_first { "DESC" } else { "ASC" };
        let sql = format!(
            "SELECT {COLUMNS} FROM {from} WHERE {condition} ORDER BY j.feed {order} LIMIT {}",
            limit.saturating_add(1)
        );
        page(rows(self.db(), sql, values).await?, limit)
    }

    /// What is new after a feed number, in the order in which it was sealed. Nothing ever appears
    /// before a number already given out.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn changes(&self, scope: &Scope, after: i64, limit: u64) -> Result<Page<StoredRecord>> {
        self.records(scope, &RecordFilter::default(), Some(after), limit).await
    }

    /// The revision of a record that counts.
    ///
    /// # Errors
    /// `NotFound` where there is none that the scope may see.
    pub async fn record(&self, scope: &Scope, author: &str, record: &str) -> Result<StoredRecord> {
        let revisions = self.revisions(scope, author, record).await?;
        revisions
            .into_iter()
            .find(|revision| revision.counts)
            .ok_or_else(|| StoreError::not_found(format!("there is no record {record} of {author}")))
    }

    /// Every revision of a record, lowest first.
    ///
    /// # Errors
    /// `NotFound` where there is none that the scope may see.
    pub async fn revisions(&self, scope: &Scope, author: &str, record: &str) -> Result<Vec<StoredRecord>> {
        let configuration = self.configuration().await?;
        let (seen, more) = scope_condition(scope, &configuration, 3);
        let mut values: Vec<Value> = vec![author.into(), record.into()];
        values.extend(more);
        let sql = format!(
            "SELECT {COLUMNS} FROM journal j LEFT JOIN record_version v ON v.feed = j.feed \
             WHERE j.author_id = $1 AND j.record_id = $2 AND {seen} ORDER BY j.revision"
        );
        let found = rows(self.db(), sql, values).await?;
        if found.is_empty() {
            return Err(StoreError::not_found(format!("there is no record {record} of {author}")));
        }
        found.iter().map(stored_record).collect()
    }

    /// What counts of one animal's life, oldest event first.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn animal(&self, scope: &Scope, animal: &OrganismId) -> Result<Vec<StoredRecord>> {
        self.under(scope, &Key::animal(animal), AsOf::NOW).await
    }

    /// What counts of one journey. Whoever may see one record of it (its two ends) sees them all.
    ///
    /// # Errors
    /// `NotFound` where there is no journey that the scope may see.
    pub async fn consignment(&self, scope: &Scope, consignment: &ConsignmentId) -> Result<Vec<StoredRecord>> {
        let key = Key::consignment(consignment);
        if scope.sees_records() && !self.under(scope, &key, AsOf::NOW).await?.is_empty() {
            return self.under(&Scope::Region, &key, AsOf::NOW).await;
        }
        Err(StoreError::not_found(format!("there is no consignment {consignment}")))
    }

    /// What counts under a key, by day, author and record.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn under(&self, scope: &Scope, key: &Key, as_of: AsOf) -> Result<Vec<StoredRecord>> {
        let filter = RecordFilter {
            key: Some(key.as_str().to_owned()),
            counting: Some(as_of),
            ..RecordFilter::default()
        };
        let mut found = self.records(scope, &filter, None, u64::from(u32::MAX)).await?.items;
        found.sort_by(|a, b| {
            (&a.event_day, a.kind.rank(), &a.author_id, &a.record_id).cmp(&(
                &b.event_day,
                b.kind.rank(),
                &b.author_id,
                &b.record_id,
            ))
        });
        Ok(found)
    }

    /// Head of every party's chain as known at an instant: sequence and link.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn chain_heads(&self, known_at: Option<Micros>) -> Result<BTreeMap<String, (i64, Hash)>> {
        let all = rows(self.db(), "SELECT author_id, sequence, link FROM chain_head", Vec::new()).await?;
        let newest = self.newest_stamp().await?;
        let mut heads = BTreeMap::new();
        for head in &all {
            let author: String = head.try_get("", "author_id")?;
            match known_at.filter(|instant| *instant < newest) {
                None => {
                    heads.insert(author, (head.try_get("", "sequence")?, digest_of(head, "link")?));
                }
                Some(instant) => {
                    if let Some(found) = self.head_at(&author, instant).await? {
                        heads.insert(author, found);
                    }
                }
            }
        }
        Ok(heads)
    }

    /// Stamps grow along a chain, so the last link before an instant is found by halving.
    async fn head_at(&self, author: &str, instant: Micros) -> Result<Option<(i64, Hash)>> {
        let head =
            row(self.db(), "SELECT sequence FROM chain_head WHERE author_id = $1", [author.into()]).await?;
        let (mut low, mut high) = (0_i64, head.map_or(Ok(0), |row| row.try_get::<i64>("", "sequence"))?);
        let mut found = None;
        while low < high {
            let middle = low + (high - low + 1) / 2;
            let sql = "SELECT known_from, link FROM journal WHERE author_id = $1 AND sequence = $2";
            let link = row(self.db(), sql, [author.into(), middle.into()])
                .await?
                .ok_or_else(|| StoreError::bug(format!("link {middle} of {author} is missing")))?;
            if link.try_get::<Micros>("", "known_from")? <= instant {
                (low, found) = (middle, Some((middle, digest_of(&link, "link")?)));
            } else {
                high = middle - 1;
            }
        }
        Ok(found)
    }

    /// For which nights of a period a census counts, and when the first one of each day arrived.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn nights(
        &self,
        scope: &Scope,
        period: &Period,
        known_at: Option<Micros>,
    ) -> Result<Vec<Night>> {
        let configuration = self.configuration().await?;
        let mut values: Vec<Value> = vec![period.first.to_string().into(), period.last.to_string().into()];
        let counting = AsOf { known_at, through: None }.condition(&mut values);
        let (seen, more) = scope_condition(scope, &configuration, values.len() + 1);
        values.extend(more);
        // A withdrawn census is effective and counts nothing.
        let counts = if self.backend() == DbBackend::Postgres {
            "COALESCE(j.canonical::json ->> 'withdrawn', 'false') = 'false'"
        } else {
            "COALESCE(json_extract(j.canonical, '$.withdrawn'), 0) = 0"
        };
        let sql = format!(
            "SELECT j.place AS place, j.event_day AS day, MIN(f.known_from) AS first_known FROM journal j \
             JOIN record_version v ON v.feed = j.feed \
             JOIN journal f ON f.author_id = j.author_id AND f.record_id = j.record_id \
             WHERE j.kind = 'census' AND j.place IS NOT NULL AND j.event_day >= $1 AND j.event_day <= $2 \
             AND f.event_day = j.event_day AND {counting} AND {counts} AND {seen} GROUP BY j.place, j.event_day ORDER BY j.place, j.event_day"
        );
        rows(self.db(), sql, values)
            .await?
            .iter()
            .map(|row| {
                let day: String = row.try_get("", "day")?;
                Ok(Night {
                    place: row.try_get("", "place")?,
                    day: day.parse().map_err(|_| StoreError::bug(format!("`{day}` is no day")))?,
                    first_known: row.try_get("", "first_known")?,
                })
            })
            .collect()
    }
}

/// The condition of a scope, with the points that a party keeps.
pub(crate) fn scope_condition(
    scope: &Scope,
    configuration: &Configuration,
    first: usize,
) -> (String, Vec<Value>) {
    let kept = match scope {
        Scope::Party(party) => configuration.points_kept_by(party),
        _ => Vec::new(),
    };
    scope.condition(first, &kept)
}

fn page(found: Vec<QueryResult>, limit: u64) -> Result<Page<StoredRecord>> {
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let more = found.len() > limit;
    let items: Vec<StoredRecord> = found.iter().take(limit).map(stored_record).collect::<Result<_>>()?;
    let next = if more { items.last().map(|last| last.feed) } else { None };
    Ok(Page { items, next })
}

pub(crate) fn stored_record(row: &QueryResult) -> Result<StoredRecord> {
    let kind: String = row.try_get("", "kind")?;
    Ok(StoredRecord {
        feed: row.try_get("", "feed")?,
        author_id: row.try_get("", "author_id")?,
        sequence: row.try_get("", "sequence")?,
        record_id: row.try_get("", "record_id")?,
        revision: u16::try_from(row.try_get::<i64>("", "revision")?).unwrap_or(u16::MAX),
        kind: kind.parse().map_err(|()| StoreError::bug(format!("`{kind}` is no kind")))?,
        place: row.try_get("", "place")?,
        event_day: row.try_get("", "event_day")?,
        known_from: row.try_get("", "known_from")?,
        record_hash: digest_of(row, "record_hash")?,
        link: digest_of(row, "link")?,
        canonical: row.try_get("", "canonical")?,
        redacted: row.try_get("", "redacted")?,
        counts: row.try_get::<i32>("", "counts")? == 1,
    })
}

//! Records that count: the highest revision known of each, now or as known at an instant.

use crate::configuration::Configuration;
use crate::database::{Store, among_numbers, among_texts, rows};
use crate::error::{Result, StoreError};
use crate::scope::Scope;
use chrono::NaiveDate;
use haulout_reckoning::findings::by_order;
use haulout_reckoning::{Effective, Micros};
use haulout_schemas::{Kind, Record};
use sea_orm::{ConnectionTrait, QueryResult, Value};
use std::collections::HashMap;
use std::sync::{Arc, Mutex};

/// As known when, and dated through which day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AsOf {
    /// Instant of knowledge, inclusive; `None`: everything known.
    pub known_at: Option<Micros>,
    /// Last day considered; `None`: all days.
    pub through: Option<NaiveDate>,
}

impl AsOf {
    /// Everything known, all days.
    pub const NOW: Self = Self { known_at: None, through: None };

    /// The condition on `record_version AS v` and `journal AS j`.
    pub(crate) fn condition(self, values: &mut Vec<Value>) -> String {
        let mut condition = match self.known_at {
            None => "v.effective_until IS NULL".to_owned(),
            Some(instant) => {
                values.push(instant.into());
                let n = values.len();
                format!(
                    "v.effective_from <= ${n} AND (v.effective_until IS NULL OR v.effective_until > ${n})"
                )
            }
        };
        if let Some(day) = self.through {
            values.push(day.to_string().into());
            // A link holds from the beginning, whatever its date.
            condition += &format!(" AND (j.event_day <= ${} OR j.kind = 'link')", values.len());
        }
        condition
    }
}

/// Which effective records.
#[derive(Clone, Debug, Default)]
pub struct EffectiveFilter {
    /// Of these centres and points; empty: of all.
    pub places: Vec<String>,
    /// Of these kinds; empty: of all.
    pub kinds: Vec<Kind>,
    /// Not before this day.
    pub from: Option<NaiveDate>,
    /// Found again under this key, such as `consignment/ID`.
    pub key: Option<String>,
}

/// Records read lately, so that a record is parsed once and not for every question. What a record
/// posts and tells never changes; a text blanked by another hub of the same database may linger here
/// until it is dropped, so pages show the journal's text and not this one.
#[derive(Default)]
pub(crate) struct RecordCache {
    halves: Mutex<[HashMap<i64, Arc<Effective>>; 2]>,
}

/// Records in each half of the cache; the older half is dropped when the younger one is full.
const CACHED: usize = 20_000;

impl RecordCache {
    fn get(&self, feed: i64) -> Option<Arc<Effective>> {
        let mut halves = self.halves.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        if let Some(found) = halves[0].get(&feed) {
            return Some(Arc::clone(found));
        }
        let found = halves[1].remove(&feed)?;
        Self::keep(&mut halves, feed, Arc::clone(&found));
        Some(found)
    }

    fn put(&self, feed: i64, record: Arc<Effective>) {
        Self::keep(&mut self.halves.lock().unwrap_or_else(|poisoned| poisoned.into_inner()), feed, record);
    }

    fn keep(halves: &mut [HashMap<i64, Arc<Effective>>; 2], feed: i64, record: Arc<Effective>) {
        if halves[0].len() >= CACHED {
            halves.swap(0, 1);
            halves[0].clear();
        }
        halves[0].insert(feed, record);
    }

    pub(crate) fn forget(&self, feed: i64) {
        let mut halves = self.halves.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        for half in halves.iter_mut() {
            half.remove(&feed);
        }
    }
}

impl Store {
    /// Effective records, in the contract's order: by start, end, kind rank, author, record.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn effective(
        &self,
        scope: &Scope,
        as_of: AsOf,
        filter: &EffectiveFilter,
    ) -> Result<Vec<Arc<Effective>>> {
        let configuration = self.configuration().await?;
        self.effective_on(self.db(), &configuration, scope, as_of, filter).await
    }

    pub(crate) async fn effective_on(
        &self,
        on: &impl ConnectionTrait,
        configuration: &Configuration,
        scope: &Scope,
        as_of: AsOf,
        filter: &EffectiveFilter,
    ) -> Result<Vec<Arc<Effective>>> {
        let backend = on.get_database_backend();
        let mut values = Vec::new();
        let mut condition = as_of.condition(&mut values);
        let kept = match scope {
            Scope::Party(party) => configuration.points_kept_by(party),
            _ => Vec::new(),
        };
        let (seen, more) = scope.condition(values.len() + 1, &kept);
        values.extend(more);
        condition += &format!(" AND {seen}");
        if !filter.places.is_empty() {
            values.push(json_texts(filter.places.iter().map(String::as_str))?.into());
            condition += &format!(" AND j.place {}", among_texts(backend, values.len()));
        }
        if !filter.kinds.is_empty() {
            values.push(json_texts(filter.kinds.iter().map(|kind| kind.as_str()))?.into());
            condition += &format!(" AND j.kind {}", among_texts(backend, values.len()));
        }
        if let Some(day) = filter.from {
            values.push(day.to_string().into());
            condition += &format!(" AND j.event_day >= ${}", values.len());
        }
        let mut from = "journal j JOIN record_version v ON v.feed = j.feed".to_owned();
        if let Some(key) = &filter.key {
            values.push(key.as_str().into());
            from = "filed k JOIN journal j ON j.feed = k.feed JOIN record_version v ON v.feed = j.feed"
                .to_owned();
            condition += &format!(" AND k.key = ${}", values.len());
        }
        let feeds = rows(on, format!("SELECT j.feed FROM {from} WHERE {condition}"), values).await?;
        let feeds: Vec<i64> = feeds.iter().map(|row| Ok(row.try_get("", "feed")?)).collect::<Result<_>>()?;
        let mut records: Vec<Arc<Effective>> = self.records_of(on, &feeds).await?.into_values().collect();
        in_order(&mut records);
        Ok(records)
    }

    /// Effective records of several keys at once.
    pub(crate) async fn effective_of_keys(
        &self,
        on: &impl ConnectionTrait,
        keys: &[String],
        as_of: AsOf,
    ) -> Result<HashMap<String, Vec<Arc<Effective>>>> {
        let mut values = vec![Value::from(json_texts(keys.iter().map(String::as_str))?)];
        let condition = as_of.condition(&mut values);
        let sql = format!(
            "SELECT k.key AS key, k.feed AS feed FROM filed k JOIN record_version v ON v.feed = k.feed \
             JOIN journal j ON j.feed = k.feed WHERE k.key {} AND {condition}",
            among_texts(on.get_database_backend(), 1)
        );
        let found = rows(on, sql, values).await?;
        let pairs: Vec<(String, i64)> = found
            .iter()
            .map(|row| Ok((row.try_get("", "key")?, row.try_get("", "feed")?)))
            .collect::<Result<_>>()?;
        let mut feeds: Vec<i64> = pairs.iter().map(|(_, feed)| *feed).collect();
        feeds.sort_unstable();
        feeds.dedup();
        let records = self.records_of(on, &feeds).await?;
        let mut of_keys: HashMap<String, Vec<Arc<Effective>>> =
            keys.iter().map(|key| (key.clone(), Vec::new())).collect();
        for (key, feed) in pairs {
            if let Some(record) = records.get(&feed) {
                of_keys.entry(key).or_default().push(Arc::clone(record));
            }
        }
        for records in of_keys.values_mut() {
            in_order(records);
        }
        Ok(of_keys)
    }

    /// The records of these feed numbers, from the cache as far as it has them.
    pub(crate) async fn records_of(
        &self,
        on: &impl ConnectionTrait,
        feeds: &[i64],
    ) -> Result<HashMap<i64, Arc<Effective>>> {
        let mut found = HashMap::with_capacity(feeds.len());
        let mut missing = Vec::new();
        for feed in feeds {
            match self.inner.records.get(*feed) {
                Some(record) => {
                    found.insert(*feed, record);
                }
                None => missing.push(*feed),
            }
        }
        for part in missing.chunks(5_000) {
            for row in canonical_texts(on, part).await? {
                let (feed, record) = read_record(&row)?;
                let record = Arc::new(record);
                self.inner.records.put(feed, Arc::clone(&record));
                found.insert(feed, record);
            }
        }
        Ok(found)
    }
}

async fn canonical_texts(on: &impl ConnectionTrait, feeds: &[i64]) -> Result<Vec<QueryResult>> {
    let sql = format!(
        "SELECT feed, known_from, canonical FROM journal WHERE feed {}",
        among_numbers(on.get_database_backend(), 1)
    );
    rows(on, sql, vec![serde_json::to_string(feeds)?.into()]).await
}

fn read_record(row: &QueryResult) -> Result<(i64, Effective)> {
    let feed: i64 = row.try_get("", "feed")?;
    let canonical: String = row.try_get("", "canonical")?;
    Ok((feed, Effective { record: parse(&canonical, feed)?, known_from: row.try_get("", "known_from")? }))
}

/// A record from the journal; it was read once before it was sealed.
pub(crate) fn parse(canonical: &str, feed: i64) -> Result<Record> {
    Record::parse(canonical)
        .map_err(|error| StoreError::bug(format!("record {feed} of the journal does not read: {error}")))
}

/// The contract's order of ties; never arrival.
pub(crate) fn in_order(records: &mut [Arc<Effective>]) {
    records.sort_by(|one, other| by_order(&one.record, &other.record));
}

pub(crate) fn json_texts<'a>(texts: impl Iterator<Item = &'a str>) -> Result<String> {
    Ok(serde_json::to_string(&texts.collect::<Vec<_>>())?)
}

//! What follows from a record the moment it counts: its span, keys, ledger rows, month balances.
//!
//! Sealing and rebuilding go through here alike, so that a rebuilt projection is the same to the byte.

use crate::bulk::Rows;
use crate::error::{Result, StoreError};
use crate::ledger::Balances;
use haulout_reckoning::findings::reaches_back;
use haulout_reckoning::{Entry, Micros, entries, keys, postings};
use haulout_schemas::Record;
use haulout_schemas::names::Names;
use sea_orm::{ConnectionTrait, Value};
use std::collections::BTreeMap;

/// Worked out of a record before the lock is taken.
#[derive(Clone, Debug, Default)]
pub(crate) struct Staged {
    pub keys: Vec<String>,
    /// The day on which it counts; empty where it reaches back beyond it.
    pub day: String,
    pub entries: Vec<Entry>,
}

impl Staged {
    pub fn of(record: &Record, names: &Names) -> Self {
        Self {
            keys: keys(record, names).iter().map(|key| key.as_str().to_owned()).collect(),
            day: if reaches_back(record) {
                String::new()
            } else {
                record.envelope.event_date.day().to_string()
            },
            entries: entries(&postings(record, names)),
        }
    }
}

/// Everything that a chunk of records changes beside the journal itself.
pub(crate) struct Projection {
    /// Revisions that began to count in this chunk, and until when they did.
    spans: BTreeMap<i64, (Micros, Option<Micros>)>,
    /// Revisions of earlier chunks that ceased to.
    ended: Vec<(i64, Micros)>,
    keys: Vec<(String, String, i64)>,
    /// The keys and the first day that changed under each.
    touched: BTreeMap<String, String>,
    entries: Rows,
    ordinals: (Micros, i64),
    balances: Balances,
}

impl Projection {
    pub fn new() -> Self {
        Self {
            spans: BTreeMap::new(),
            ended: Vec::new(),
            keys: Vec::new(),
            touched: BTreeMap::new(),
            entries: Rows::new(
                "INSERT INTO entry (known_from, ordinal, feed, day, account, counter, direction, scientific_name, \
                 eggs, delta, life_stage, sex, death_when, reversal)",
                "",
            ),
            ordinals: (Micros::MIN, 0),
            balances: Balances::default(),
        }
    }

    /// A revision counts from `stamp` on, in place of `before` where there was one.
    pub fn counts(
        &mut self,
        feed: i64,
        stamp: Micros,
        staged: &Staged,
        before: Option<(i64, &Staged)>,
    ) -> Result<()> {
        if let Some((old, gone)) = before {
            match self.spans.get_mut(&old) {
                Some(span) => span.1 = Some(stamp),
                None => self.ended.push((old, stamp)),
            }
            self.touch(gone);
            self.post(old, stamp, &gone.entries, true)?;
        }
        self.spans.insert(feed, (stamp, None));
        self.keys.extend(staged.keys.iter().map(|key| (key.clone(), staged.day.clone(), feed)));
        self.touch(staged);
        self.post(feed, stamp, &staged.entries, false)
    }

    /// What a record posted is posted anew under other names, at `stamp`.
    pub fn reposts(&mut self, feed: i64, stamp: Micros, before: &Staged, after: &Staged) -> Result<()> {
        self.touch(before);
        self.touch(after);
        self.post(feed, stamp, &before.entries, true)?;
        self.post(feed, stamp, &after.entries, false)
    }

    fn touch(&mut self, staged: &Staged) {
        for key in &staged.keys {
            match self.touched.get_mut(key) {
                Some(day) if *day <= staged.day => {}
                Some(day) => day.clone_from(&staged.day),
                None => drop(self.touched.insert(key.clone(), staged.day.clone())),
            }
        }
    }

    fn post(&mut self, feed: i64, stamp: Micros, entries: &[Entry], reversal: bool) -> Result<()> {
        if self.ordinals.0 != stamp {
            self.ordinals = (stamp, 0);
        }
        for entry in entries {
            let delta = if reversal {
                entry.delta.checked_neg().ok_or_else(|| StoreError::bug("a count beyond all bounds"))?
            } else {
                entry.delta
            };
            self.balances.add(entry, delta, stamp);
            self.entries.push([
                stamp.into(),
                self.ordinals.1.into(),
                feed.into(),
                entry.day.to_string().into(),
                entry.account.as_str().into(),
                entry.counter.as_str().into(),
                crate::ledger::direction_text(entry.direction).into(),
                entry.commodity.scientific_name.as_str().into(),
                entry.commodity.eggs.into(),
                delta.into(),
                entry.life_stage.map_or("", |stage| stage.as_str()).into(),
                entry.sex.map_or("", |sex| sex.as_str()).into(),
                entry.death_when.map_or("", |when| when.as_str()).into(),
                reversal.into(),
            ]);
            self.ordinals.1 += 1;
        }
        Ok(())
    }

    /// Writes it all, in the caller's transaction.
    pub async fn write(self, on: &impl ConnectionTrait) -> Result<()> {
        for (feed, until) in self.ended {
            crate::versions::end(on, feed, until).await?;
        }
        let mut spans = Rows::new("INSERT INTO record_version (feed, effective_from, effective_until)", "");
        for (feed, (from, until)) in self.spans {
            spans.push([feed.into(), from.into(), until.into()]);
        }
        spans.write(on).await?;
        // Keys in their own order: neighbours in the table are written together.
        let mut keys = self.keys;
        keys.sort_unstable();
        let mut filed = Rows::new("INSERT INTO filed (key, day, feed)", "");
        for (key, day, feed) in keys {
            filed.push([Value::from(key), day.into(), feed.into()]);
        }
        filed.write(on).await?;
        let mut touched = Rows::new(
            "INSERT INTO touched (key, woken, day)",
            "ON CONFLICT (key) DO UPDATE SET woken = excluded.woken, day = \
             CASE WHEN touched.day < excluded.day THEN touched.day ELSE excluded.day END",
        );
        for (key, day) in self.touched {
            touched.push([Value::from(key), false.into(), day.into()]);
        }
        touched.write(on).await?;
        self.entries.write(on).await?;
        self.balances.write(on).await
    }
}

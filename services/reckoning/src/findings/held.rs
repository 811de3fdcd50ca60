//! Effective records held in memory, by key.

use super::{Records, counts_through};
use crate::effective::Effective;
use crate::keys::{Key, keys};
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

/// Effective records by key, and the keys that were asked for and are not held.
///
/// A store that cannot be asked in the middle of a judgement loads what it knows to be needed, judges,
/// and, where [`Held::missing`] is not empty, loads those keys and judges again: the judgement is pure,
/// and its last run had everything it asked for.
#[derive(Clone, Debug, Default)]
pub struct Held {
    by_key: HashMap<Key, Vec<Arc<Effective>>>,
    missing: RefCell<BTreeSet<Key>>,
}

impl Held {
    /// Files records under all their keys; those dated after `day` are left aside.
    pub fn through(effective: &[Arc<Effective>], names: &Names, day: NaiveDate) -> Self {
        let mut by_key: HashMap<Key, Vec<Arc<Effective>>> = HashMap::new();
        for one in effective.iter().filter(|one| counts_through(&one.record, day)) {
            for key in keys(&one.record, names) {
                by_key.entry(key).or_default().push(Arc::clone(one));
            }
        }
        Self { by_key, missing: RefCell::default() }
    }

    /// Holds the records of one key: all of them, dated through the evaluated day.
    pub fn hold(&mut self, key: Key, records: Vec<Arc<Effective>>) {
        self.missing.get_mut().remove(&key);
        self.by_key.insert(key, records);
    }

    /// The keys held, in no order.
    pub fn keys(&self) -> impl Iterator<Item = &Key> {
        self.by_key.keys()
    }

    /// The keys that were asked for and are not held, sorted.
    pub fn missing(&self) -> Vec<Key> {
        self.missing.borrow().iter().cloned().collect()
    }
}

impl Records for Held {
    fn of(&self, key: &Key) -> Vec<Arc<Effective>> {
        if let Some(records) = self.by_key.get(key) {
            return records.clone();
        }
        self.missing.borrow_mut().insert(key.clone());
        Vec::new()
    }
}

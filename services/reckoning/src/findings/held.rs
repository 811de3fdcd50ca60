//! Effective records held in memory, by key.

use super::{Records, counts_through};
use crate::effective::Effective;
use crate::keys::{Key, keys};
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use std::collections::HashMap;
use std::sync::Arc;

/// Effective records under all their keys: everything that [`super::evaluate_all`] judges, and what
/// [`crate::tracing`] looks things up in where a whole region is at hand.
#[derive(Clone, Debug, Default)]
pub struct Held {
    by_key: HashMap<Key, Vec<Arc<Effective>>>,
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
        Self { by_key }
    }

    /// The keys held, in no order.
    pub(crate) fn keys(&self) -> impl Iterator<Item = &Key> {
        self.by_key.keys()
    }
}

impl Records for Held {
    fn of(&self, key: &Key) -> Vec<Arc<Effective>> {
        self.by_key.get(key).cloned().unwrap_or_default()
    }
}

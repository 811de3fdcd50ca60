//! Which names a name covers.

use haulout_schemas::names::{Names, Resolution};
use std::collections::{BTreeMap, BTreeSet};

/// Names and the accepted names they mean, looked up once for a judgement.
pub(crate) struct Coverage<'n> {
    names: &'n Names,
    meant: BTreeMap<String, BTreeSet<String>>,
}

impl<'n> Coverage<'n> {
    pub(crate) fn new(names: &'n Names) -> Self {
        Self { names, meant: BTreeMap::new() }
    }

    /// Whether every species that `narrow` may mean is among those of `wide`.
    pub(crate) fn covers(&mut self, wide: &str, narrow: &str) -> bool {
        if self.names.commodity(wide) == self.names.commodity(narrow) {
            return true;
        }
        self.look_up(wide);
        self.look_up(narrow);
        match (self.meant.get(wide), self.meant.get(narrow)) {
            (Some(wide), Some(narrow)) => !narrow.is_empty() && narrow.is_subset(wide),
            _ => false,
        }
    }

    /// Whether two names may mean the same animal: the same, or one covers the other.
    pub(crate) fn compatible(&mut self, one: &str, other: &str) -> bool {
        self.covers(one, other) || self.covers(other, one)
    }

    fn look_up(&mut self, name: &str) {
        if self.meant.contains_key(name) {
            return;
        }
        let meant = match self.names.resolve(name) {
            Resolution::Accepted { accepted }
            | Resolution::Synonym { accepted }
            | Resolution::Subspecies { accepted } => BTreeSet::from([accepted]),
            Resolution::Higher { members, .. } => members.into_iter().collect(),
            Resolution::Hybrid { parents } => parents.into_iter().collect(),
            Resolution::Common { .. } | Resolution::AmbiguousCommon { .. } | Resolution::Unknown { .. } => {
                BTreeSet::from([name.to_owned()])
            }
        };
        self.meant.insert(name.to_owned(), meant);
    }
}

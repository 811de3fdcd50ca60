//! What the routine of the days in care, and whose the animals are, is reckoned from.

use crate::effective::Effective;
use crate::findings::RuleSettings;
use haulout_schemas::profile::Profiles;
use haulout_schemas::text::PartyId;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Records of the stocks of a region, and what they are judged with.
pub struct InHand {
    /// The centres and points that are told of.
    pub places: BTreeSet<PartyId>,
    /// For every centre and point of the region, told of or not, the records filed under
    /// [`crate::Key::units`] of it, dated through the end of the period: an animal that came with
    /// another's title to one centre may stand in another.
    pub floors: BTreeMap<PartyId, Vec<Arc<Effective>>>,
    /// The outlooks and receipts of all places, dated through the end of the period: neither an
    /// outlook nor a receipt of carcasses alone touches a stock.
    pub others: Vec<Arc<Effective>>,
    /// Care of the period.
    pub care: Vec<Arc<Effective>>,
    /// Severities and thresholds in force.
    pub settings: Arc<RuleSettings>,
    /// Species profiles in force.
    pub profiles: Arc<Profiles>,
}

impl InHand {
    /// The records of all floors and the others, each once.
    pub(super) fn all(&self) -> Vec<Arc<Effective>> {
        let mut seen = BTreeSet::new();
        let all = self.floors.values().flatten().chain(&self.others);
        all.filter(|one| {
            let frame = &one.record.envelope;
            seen.insert((frame.author_id.as_str(), frame.record_id.as_str()))
        })
        .cloned()
        .collect()
    }
}

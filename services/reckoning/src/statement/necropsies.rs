//! How many of the dead were looked into, and why the others were not.

use crate::effective::Effective;
use crate::findings::deaths::deaths;
use crate::period::Period;
use haulout_schemas::envelope::RecordRef;
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::records::identity::LinkEvent;
use haulout_schemas::{Body, Record};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Necropsies of those that died in the period, as far as the records dated through its end tell.
/// Deaths before the rescue need one too; eggs do not.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Necropsies {
    /// Carcasses.
    pub deaths: i64,
    /// Examined.
    pub done: i64,
    /// Told to be impossible, with the reason.
    pub not_possible: i64,
    /// The reasons as written, with the number of carcasses each.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reasons: Vec<Reason>,
    /// Neither examined nor told why not: open, and past its day a finding.
    pub open: i64,
}

/// Why there was no necropsy.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Reason {
    /// As written.
    pub because: String,
    /// Carcasses.
    pub individual_count: i64,
}

type Name = (String, String);

fn name(record: &Record) -> Name {
    let frame = &record.envelope;
    (frame.author_id.to_string(), frame.record_id.to_string())
}

fn named(reference: &RecordRef) -> Name {
    (reference.author_id.to_string(), reference.record_id.to_string())
}

/// From records dated through the end of the period; those of another place or species must have been
/// left out before.
pub fn necropsies(records: &[Arc<Effective>], period: &Period) -> Necropsies {
    let taken_back: BTreeSet<Name> = records
        .iter()
        .filter_map(|one| match &one.record.body {
            Some(Body::Link(link)) if link.event == LinkEvent::Same => link
                .not_counted
                .as_ref()
                .map(|other| (other.author_id.to_string(), other.record_id.to_string())),
            _ => None,
        })
        .collect();
    let mut open: BTreeMap<Name, i64> = records
        .iter()
        .filter(|one| period.contains(one.record.envelope.event_date.day()))
        .map(|one| (name(&one.record), deaths(&one.record)))
        .filter(|(name, count)| *count > 0 && !taken_back.contains(name))
        .collect();
    let mut told = Necropsies { deaths: open.values().sum(), ..Necropsies::default() };
    let mut reasons: BTreeMap<&str, i64> = BTreeMap::new();
    for one in records {
        let Some(Body::Mortality(mortality)) = &one.record.body else { continue };
        if mortality.event != MortalityEvent::Necropsy {
            continue;
        }
        let Some(left) = mortality.death_of.as_ref().and_then(|of| open.get_mut(&named(of))) else {
            continue;
        };
        // More examined than died is another record's fault; here each carcass counts once.
        let count = i64::from(mortality.individual_count).min(*left);
        if mortality.necropsy_done == Some(true) {
            told.done += count;
        } else if let Some(because) = &mortality.not_possible_because {
            told.not_possible += count;
            *reasons.entry(because).or_default() += count;
        } else {
            continue;
        }
        *left -= count;
    }
    told.open = open.values().sum();
    told.reasons = reasons
        .into_iter()
        .filter(|(_, count)| *count > 0)
        .map(|(because, individual_count)| Reason { because: because.to_owned(), individual_count })
        .collect();
    told
}

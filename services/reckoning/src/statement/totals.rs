//! The region's totals by species, and the proof that they add up.

use super::reading::{self, Word};
use super::{AccountRow, TransitRow};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One species and commodity over all places: the sums of its rows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Total {
    /// Accepted name.
    pub scientific_name: String,
    /// `animals` or `eggs`.
    #[serde(deserialize_with = "reading::commodity")]
    pub commodity: Word,
    /// In centres and points at the close of the day before the period.
    pub opening: i64,
    /// Gains of the places, by where from.
    #[serde(rename = "in")]
    pub gains: BTreeMap<String, i64>,
    /// Losses of the places, by where to.
    #[serde(rename = "out")]
    pub losses: BTreeMap<String, i64>,
    /// In centres and points at the close of the period.
    pub closing: i64,
    /// On the road at the close of the day before the period.
    pub opening_in_transit: i64,
    /// On the road at the close of the period.
    pub closing_in_transit: i64,
}

/// Whether every posting has its other side: over all accounts, stocks and others, what they gained
/// and lost in the period comes to zero for each commodity.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct TrialBalance {
    /// Commodities that moved in the period.
    pub commodities: u64,
    /// Those whose sum is not zero, and the sum: a fault of the hub and not of a record.
    pub out_of_balance: BTreeMap<String, i64>,
}

impl TrialBalance {
    /// From the sum over all accounts of each name and commodity; true is eggs.
    pub fn of(sums: &[(String, bool, i64)]) -> Self {
        let out_of_balance = sums.iter().filter(|(_, _, sum)| *sum != 0);
        Self {
            commodities: u64::try_from(sums.len()).unwrap_or(u64::MAX),
            out_of_balance: out_of_balance
                .map(|(name, eggs, sum)| (if *eggs { format!("{name} (eggs)") } else { name.clone() }, *sum))
                .collect(),
        }
    }
}

/// Totals of the rows, by species and commodity.
pub(super) fn totals(rows: &[AccountRow], transit: &[TransitRow]) -> Vec<Total> {
    let mut totals: BTreeMap<(&str, Word), Total> = BTreeMap::new();
    for row in rows {
        let total = totals
            .entry((row.scientific_name.as_str(), row.commodity))
            .or_insert_with(|| none(&row.scientific_name, row.commodity));
        total.opening += row.opening;
        total.closing += row.closing;
        add(&mut total.gains, &row.gains);
        add(&mut total.losses, &row.losses);
    }
    for row in transit {
        let total = totals
            .entry((row.scientific_name.as_str(), row.commodity))
            .or_insert_with(|| none(&row.scientific_name, row.commodity));
        total.opening_in_transit += row.opening;
        total.closing_in_transit += row.closing;
    }
    totals.into_values().collect()
}

fn none(name: &str, commodity: Word) -> Total {
    Total {
        scientific_name: name.to_owned(),
        commodity,
        opening: 0,
        gains: BTreeMap::new(),
        losses: BTreeMap::new(),
        closing: 0,
        opening_in_transit: 0,
        closing_in_transit: 0,
    }
}

fn add(into: &mut BTreeMap<String, i64>, more: &BTreeMap<String, i64>) {
    for (counter, count) in more {
        *into.entry(counter.clone()).or_default() += count;
    }
}

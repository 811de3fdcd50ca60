//! From sums of the ledger to the rows of an account.

use super::Account;
use super::reading::{self, UNSTATED, Word, counted};
use crate::account::Account as LedgerAccount;
use crate::posting::Direction;
use chrono::NaiveDate;
use haulout_schemas::vocabulary::{DeathWhen, LifeStage};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A sum of ledger entries that agree in everything but their day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sum {
    /// A stock account.
    pub account: LedgerAccount,
    /// The other side; [`LedgerAccount::CARRIED`] where `within` is zero and `before` is of all sides.
    pub counter: LedgerAccount,
    /// Gain or loss.
    pub direction: Direction,
    /// Accepted name.
    pub scientific_name: String,
    /// Eggs, not animals.
    pub eggs: bool,
    /// Age class.
    pub life_stage: Option<LifeStage>,
    /// For a death, when it fell.
    pub death_when: Option<DeathWhen>,
    /// Sum of the deltas before the period.
    pub before: i64,
    /// Sum of the deltas within it.
    pub within: i64,
}

/// What a party counted on its last counted day of the period.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CensusTaken {
    /// The stock that was counted.
    pub account: LedgerAccount,
    /// The day.
    pub day: NaiveDate,
    /// True where a missing line means zero.
    pub complete: bool,
    /// Counted, by accepted name and eggs; `None` for what cannot be counted now.
    pub counts: BTreeMap<(String, bool), Option<i64>>,
}

/// The census cell of a row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct CensusCell {
    /// The day of the count.
    pub day: String,
    /// Counted.
    pub individual_count: i64,
}

/// One place and commodity.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct AccountRow {
    /// The centre.
    #[serde(rename = "centreID", skip_serializing_if = "Option::is_none")]
    pub centre_id: Option<String>,
    /// The holding point.
    #[serde(rename = "pointID", skip_serializing_if = "Option::is_none")]
    pub point_id: Option<String>,
    /// Accepted name.
    pub scientific_name: String,
    /// `animals` or `eggs`.
    #[serde(deserialize_with = "reading::commodity")]
    pub commodity: Word,
    /// At the close of the day before the period.
    pub opening: i64,
    /// Gains, by where from.
    #[serde(rename = "in")]
    pub gains: BTreeMap<String, i64>,
    /// Losses, by where to.
    #[serde(rename = "out")]
    pub losses: BTreeMap<String, i64>,
    /// At the close of the period.
    pub closing: i64,
    /// What the party itself counted last in the period.
    pub census: Option<CensusCell>,
    /// The closing by age class as recorded on arrival, hatching and departure; shown, never balanced.
    #[serde(deserialize_with = "reading::stages")]
    pub stages: BTreeMap<Word, i64>,
}

/// One journey and commodity.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct TransitRow {
    /// The journey.
    #[serde(rename = "consignmentID")]
    pub consignment_id: String,
    /// Accepted name.
    pub scientific_name: String,
    /// `animals` or `eggs`.
    #[serde(deserialize_with = "reading::commodity")]
    pub commodity: Word,
    /// At the close of the day before the period.
    pub opening: i64,
    /// Put on the road, by where from.
    #[serde(rename = "in")]
    pub gains: BTreeMap<String, i64>,
    /// Taken off the road, by where to.
    #[serde(rename = "out")]
    pub losses: BTreeMap<String, i64>,
    /// At the close of the period: zero, or a discrepancy.
    pub closing: i64,
}

/// Deaths of animals, by when they fell; those by order apart.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Deaths {
    /// Before anyone came.
    pub before_rescue: i64,
    /// On the way.
    pub in_transit: i64,
    /// Within 48 hours of arrival.
    pub within48h: i64,
    /// Later, in care.
    pub in_care: i64,
    /// Put to death by order: beside the four, whenever it fell, and in no rate. Left out where none
    /// was, so that the digest of an account without any stays what it was.
    #[serde(default, skip_serializing_if = "is_none")]
    pub destroyed_by_order: i64,
}

/// Whether a count is of none.
#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde hands over a reference")]
const fn is_none(count: &i64) -> bool {
    *count == 0
}

#[derive(Default)]
struct Figures {
    opening: i64,
    gains: BTreeMap<String, i64>,
    losses: BTreeMap<String, i64>,
    closing: i64,
    stages: BTreeMap<Word, i64>,
}

impl Figures {
    fn add(&mut self, sum: &Sum) {
        self.opening += sum.before;
        self.closing += sum.before + sum.within;
        let heading = sum.counter.heading().to_owned();
        match sum.direction {
            Direction::In => *self.gains.entry(heading).or_default() += sum.within,
            Direction::Out => *self.losses.entry(heading).or_default() -= sum.within,
        }
        let stage = sum.life_stage.map_or(UNSTATED, LifeStage::as_str);
        *self.stages.entry(stage).or_default() += sum.before + sum.within;
    }

    fn without_zeros(mut self) -> Self {
        self.gains.retain(|_, count| *count != 0);
        self.losses.retain(|_, count| *count != 0);
        self.stages.retain(|_, count| *count != 0);
        self
    }

    fn is_empty(&self) -> bool {
        self.opening == 0 && self.closing == 0 && self.gains.is_empty() && self.losses.is_empty()
    }
}

pub(super) fn account(sums: &[Sum], censuses: &[CensusTaken]) -> Account {
    let mut figures: BTreeMap<(&str, &str, bool), Figures> = BTreeMap::new();
    let mut deaths = Deaths::default();
    for sum in sums {
        if sum.account.is_stock() {
            let key = (sum.account.as_str(), sum.scientific_name.as_str(), sum.eggs);
            figures.entry(key).or_default().add(sum);
        }
        if sum.account == LedgerAccount::DESTROYED_BY_ORDER && !sum.eggs {
            deaths.destroyed_by_order += sum.within;
        }
        // Deaths are read on the account of the dead, so that a carcass that no stock ever held counts
        // too, and one that a link or a settlement takes back does not.
        if sum.account == LedgerAccount::DEAD && !sum.eggs {
            match sum.death_when {
                Some(DeathWhen::BeforeRescue) => deaths.before_rescue += sum.within,
                Some(DeathWhen::InTransit) => deaths.in_transit += sum.within,
                Some(DeathWhen::Within48h) => deaths.within48h += sum.within,
                Some(DeathWhen::InCare) | None => deaths.in_care += sum.within,
            }
        }
    }
    // What was counted and is in no book gets a row of its own, at zero.
    for census in censuses {
        for (name, eggs) in census.counts.keys() {
            figures.entry((census.account.as_str(), name, *eggs)).or_default();
        }
    }
    let mut rows = Vec::new();
    let mut transit = Vec::new();
    for ((account, name, eggs), figures) in figures {
        let figures = figures.without_zeros();
        let ledger = LedgerAccount::from_text(account);
        if let Some(consignment) = ledger.consignment() {
            if !figures.is_empty() {
                transit.push(TransitRow {
                    consignment_id: consignment.to_owned(),
                    scientific_name: name.to_owned(),
                    commodity: counted(eggs),
                    opening: figures.opening,
                    gains: figures.gains,
                    losses: figures.losses,
                    closing: figures.closing,
                });
            }
            continue;
        }
        let place = ledger.place().unwrap_or_default();
        let census = cell(censuses, &ledger, name, eggs);
        if figures.is_empty() && census.as_ref().is_none_or(|cell| cell.individual_count == 0) {
            continue;
        }
        let centre = account.starts_with("centre/");
        rows.push(AccountRow {
            centre_id: centre.then(|| place.to_owned()),
            point_id: (!centre).then(|| place.to_owned()),
            scientific_name: name.to_owned(),
            commodity: counted(eggs),
            opening: figures.opening,
            gains: figures.gains,
            losses: figures.losses,
            closing: figures.closing,
            census,
            stages: figures.stages,
        });
    }
    Account { rows, transit, deaths }
}

fn cell(censuses: &[CensusTaken], account: &LedgerAccount, name: &str, eggs: bool) -> Option<CensusCell> {
    let census = censuses.iter().find(|census| census.account == *account)?;
    let counted = match census.counts.get(&(name.to_owned(), eggs)) {
        Some(counted) => *counted,
        None if census.complete => Some(0),
        None => None,
    };
    Some(CensusCell { day: census.day.to_string(), individual_count: counted? })
}

//! What room rests on and no act changes: who is where, what stands in force, what is on the road.
//!
//! Only records and the region file change it, so a reading serves until the next record comes. Those
//! who race for the last place write acts, and need not read all of it again for every one of them.

use super::room::{Journey, journeys};
use crate::configuration::Configuration;
use crate::database::{HubState, Store};
use crate::effective::{AsOf, EffectiveFilter, in_order};
use crate::error::Result;
use crate::scope::Scope;
use haulout_reckoning::{Effective, Key};
use haulout_schemas::Kind;
use haulout_schemas::text::PartyId;
use sea_orm::ConnectionTrait;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

const STANDING: [Kind; 6] =
    [Kind::Capacity, Kind::Readiness, Kind::Biosecurity, Kind::Licence, Kind::Order, Kind::Custody];

/// One reading.
#[derive(Debug)]
pub(crate) struct Ground {
    /// Newest record of the reading.
    last_feed: i64,
    /// Act of the region file that it was read under.
    configuration: i64,
    floors: BTreeMap<String, Vec<Arc<Effective>>>,
    pub(super) standing: Vec<Arc<Effective>>,
    pub(super) journeys: Vec<Journey>,
    pub(super) journey_records: Vec<Arc<Effective>>,
}

impl Ground {
    fn serves(&self, state: &HubState, centres: &[PartyId]) -> bool {
        self.last_feed == state.last_feed
            && self.configuration == state.configuration
            && centres.iter().all(|centre| self.floors.contains_key(centre.as_str()))
    }

    /// By centre: effective records that tell who is where in it.
    pub(super) fn floors_of(&self, centres: &[PartyId]) -> BTreeMap<String, Vec<Arc<Effective>>> {
        centres
            .iter()
            .map(|centre| (centre.to_string(), self.floors.get(centre.as_str()).cloned().unwrap_or_default()))
            .collect()
    }
}

/// The last reading of this process.
#[derive(Default)]
pub(crate) struct GroundCache(Mutex<Option<Arc<Ground>>>);

impl GroundCache {
    fn get(&self, state: &HubState, centres: &[PartyId]) -> Option<Arc<Ground>> {
        let held = self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        held.as_ref().filter(|ground| ground.serves(state, centres)).map(Arc::clone)
    }

    /// A later reading is kept, and of two of one state the one that knows more centres.
    fn put(&self, ground: &Arc<Ground>) {
        let mut held = self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        let knows_more = held.as_ref().is_none_or(|held| {
            let state = |ground: &Ground| (ground.configuration, ground.last_feed, ground.floors.len());
            state(ground) > state(held)
        });
        if knows_more {
            *held = Some(Arc::clone(ground));
        }
    }

    pub(crate) fn forget(&self) {
        *self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner()) = None;
    }
}

impl Store {
    pub(super) async fn ground_on(
        &self,
        on: &impl ConnectionTrait,
        configuration: &Configuration,
        state: &HubState,
        centres: &[PartyId],
    ) -> Result<Arc<Ground>> {
        if let Some(ground) = self.inner.ground.get(state, centres) {
            return Ok(ground);
        }
        let keys: Vec<String> = centres.iter().map(|centre| Key::units(centre).as_str().to_owned()).collect();
        let mut by_key = self.effective_of_keys(on, &keys, AsOf::NOW).await?;
        let floors = centres
            .iter()
            .map(|centre| {
                (centre.to_string(), by_key.remove(Key::units(centre).as_str()).unwrap_or_default())
            })
            .collect();
        let standing = EffectiveFilter { kinds: STANDING.to_vec(), ..EffectiveFilter::default() };
        let standing = self.effective_on(on, configuration, &Scope::Region, AsOf::NOW, &standing).await?;
        let journeys = journeys(on, None).await?;
        let mut roads: Vec<String> =
            journeys.iter().map(|one| format!("consignment/{}", one.consignment_id)).collect();
        roads.dedup();
        let mut journey_records: Vec<Arc<Effective>> = Vec::new();
        if !roads.is_empty() {
            journey_records
                .extend(self.effective_of_keys(on, &roads, AsOf::NOW).await?.into_values().flatten());
            in_order(&mut journey_records);
            journey_records.dedup_by(|a, b| Arc::ptr_eq(a, b));
        }
        let ground = Arc::new(Ground {
            last_feed: state.last_feed,
            configuration: state.configuration,
            floors,
            standing,
            journeys,
            journey_records,
        });
        self.inner.ground.put(&ground);
        Ok(ground)
    }
}

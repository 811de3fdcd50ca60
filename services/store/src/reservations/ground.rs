//! What room rests on and no act changes: who is where, what stands in force, what is on the road.
//!
//! Only records and the region file change it, so a reading serves until the next record comes, and
//! then it is carried on by the records that came since. Those who race for the last place write
//! acts, and need not read any of it again; those who ask while a region posts its night read what
//! was posted, and not the region.

use super::room::{Journey, journeys};
use crate::configuration::Configuration;
use crate::database::{HubState, Store, rows};
use crate::effective::{AsOf, EffectiveFilter, in_order};
use crate::error::Result;
use crate::scope::Scope;
use haulout_reckoning::keys::Family;
use haulout_reckoning::{Effective, Key, keys};
use haulout_schemas::Kind;
use haulout_schemas::text::PartyId;
use sea_orm::ConnectionTrait;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

const STANDING: [Kind; 6] =
    [Kind::Capacity, Kind::Readiness, Kind::Biosecurity, Kind::Licence, Kind::Order, Kind::Custody];

/// More new records than this are not followed one by one: the region is read anew.
const FOLLOWED: i64 = 5_000;

/// Records in the contract's order, shared by whoever reads them.
pub type Records = Arc<Vec<Arc<Effective>>>;

/// One reading.
#[derive(Clone, Debug)]
pub(crate) struct Ground {
    /// Newest record of the reading.
    last_feed: i64,
    /// Act of the region file that it was read under.
    configuration: i64,
    floors: BTreeMap<String, Records>,
    pub(super) standing: Records,
    pub(super) journeys: Arc<Vec<Journey>>,
    pub(super) journey_records: Records,
}

impl Ground {
    fn serves(&self, state: &HubState, centres: &[PartyId]) -> bool {
        self.last_feed == state.last_feed && self.leads_to(state, centres)
    }

    /// Whether the records that came since make it what would be read now.
    fn leads_to(&self, state: &HubState, centres: &[PartyId]) -> bool {
        self.last_feed <= state.last_feed
            && state.last_feed - self.last_feed <= FOLLOWED
            && self.configuration == state.configuration
            && centres.iter().all(|centre| self.floors.contains_key(centre.as_str()))
    }

    /// By centre: effective records that tell who is where in it.
    pub(super) fn floors_of(&self, centres: &[PartyId]) -> BTreeMap<String, Records> {
        centres
            .iter()
            .map(|centre| (centre.to_string(), self.floors.get(centre.as_str()).cloned().unwrap_or_default()))
            .collect()
    }

    /// Carries the reading on by records that count from now on, each in place of its earlier
    /// revision. Whether what is on the road may have changed.
    fn carry_on(&mut self, came: &[Arc<Effective>], configuration: &Configuration) -> bool {
        let came: Vec<Filed<'_>> =
            came.iter().map(|one| (one, keys(&one.record, &configuration.names))).collect();
        for (place, floor) in &mut self.floors {
            let units = Key::units(&PartyId::from(place.as_str()));
            follow(floor, &came, |(_, keys)| keys.contains(&units));
        }
        follow(&mut self.standing, &came, |(one, _)| STANDING.contains(&one.record.kind()));
        // What a revision replaces may have named a journey that it no longer names.
        came.iter().any(|(one, keys)| {
            one.record.envelope.revision > 1
                || keys.iter().any(|key| key.family() == Some(Family::Consignment))
        })
    }
}

/// A record and the keys under which it is found again.
type Filed<'a> = (&'a Arc<Effective>, Vec<Key>);

/// Takes earlier revisions out of a list and adds what belongs there.
fn follow(list: &mut Records, came: &[Filed<'_>], belongs: impl Fn(&Filed<'_>) -> bool) {
    let mut changed = false;
    for filed in came {
        if let Some(at) = replaced_in(list, filed.0) {
            Arc::make_mut(list).remove(at);
            changed = true;
        }
        if belongs(filed) {
            Arc::make_mut(list).push(Arc::clone(filed.0));
            changed = true;
        }
    }
    if changed {
        in_order(Arc::<Vec<_>>::make_mut(list));
    }
}

/// Where the earlier revision of a record stands. A first revision has none.
fn replaced_in(list: &Records, one: &Effective) -> Option<usize> {
    let frame = &one.record.envelope;
    if frame.revision <= 1 {
        return None;
    }
    list.iter().position(|other| {
        let other = &other.record.envelope;
        other.record_id == frame.record_id && other.author_id == frame.author_id
    })
}

/// The last reading of this process.
#[derive(Default)]
pub(crate) struct GroundCache(Mutex<Option<Arc<Ground>>>);

impl GroundCache {
    fn get(&self) -> Option<Arc<Ground>> {
        self.0.lock().unwrap_or_else(|poisoned| poisoned.into_inner()).clone()
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
        let held = self.inner.ground.get();
        let ground = match held {
            Some(held) if held.serves(state, centres) => return Ok(held),
            Some(held) if held.leads_to(state, centres) => {
                self.ground_since(on, configuration, state, &held).await?
            }
            _ => self.ground_anew(on, configuration, state, centres).await?,
        };
        let ground = Arc::new(ground);
        self.inner.ground.put(&ground);
        Ok(ground)
    }

    /// A reading carried on to the state.
    async fn ground_since(
        &self,
        on: &impl ConnectionTrait,
        configuration: &Configuration,
        state: &HubState,
        held: &Ground,
    ) -> Result<Ground> {
        let sql = "SELECT feed FROM record_version WHERE feed > $1 AND effective_until IS NULL ORDER BY feed";
        let feeds = rows(on, sql, vec![held.last_feed.into()]).await?;
        let feeds: Vec<i64> = feeds.iter().map(|row| Ok(row.try_get("", "feed")?)).collect::<Result<_>>()?;
        let records = self.records_of(on, &feeds).await?;
        let came: Vec<Arc<Effective>> =
            feeds.iter().filter_map(|feed| records.get(feed)).map(Arc::clone).collect();
        let mut ground = Ground { last_feed: state.last_feed, ..held.clone() };
        if ground.carry_on(&came, configuration) {
            self.read_roads(on, &mut ground).await?;
        }
        Ok(ground)
    }

    async fn ground_anew(
        &self,
        on: &impl ConnectionTrait,
        configuration: &Configuration,
        state: &HubState,
        centres: &[PartyId],
    ) -> Result<Ground> {
        let keys: Vec<String> = centres.iter().map(|centre| Key::units(centre).as_str().to_owned()).collect();
        let mut by_key = self.effective_of_keys(on, &keys, AsOf::NOW).await?;
        let mut floor_of = |centre: &PartyId| by_key.remove(Key::units(centre).as_str()).unwrap_or_default();
        let floors = centres.iter().map(|centre| (centre.to_string(), Arc::new(floor_of(centre)))).collect();
        let standing = EffectiveFilter { kinds: STANDING.to_vec(), ..EffectiveFilter::default() };
        let standing = self.effective_on(on, configuration, &Scope::Region, AsOf::NOW, &standing).await?;
        let mut ground = Ground {
            last_feed: state.last_feed,
            configuration: state.configuration,
            floors,
            standing: Arc::new(standing),
            journeys: Arc::default(),
            journey_records: Arc::default(),
        };
        self.read_roads(on, &mut ground).await?;
        Ok(ground)
    }

    /// What is on the road, and the records of those journeys.
    async fn read_roads(&self, on: &impl ConnectionTrait, ground: &mut Ground) -> Result<()> {
        let journeys = journeys(on, None).await?;
        let mut roads: Vec<String> =
            journeys.iter().map(|one| format!("consignment/{}", one.consignment_id)).collect();
        roads.dedup();
        let mut records: Vec<Arc<Effective>> = Vec::new();
        if !roads.is_empty() {
            records.extend(self.effective_of_keys(on, &roads, AsOf::NOW).await?.into_values().flatten());
            in_order(&mut records);
            records.dedup_by(|a, b| Arc::ptr_eq(a, b));
        }
        ground.journeys = Arc::new(journeys);
        ground.journey_records = Arc::new(records);
        Ok(())
    }
}

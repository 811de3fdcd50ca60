//! What room rests on and no act changes: who is where, what stands in force, what is on the road.
//!
//! Only records and the region file change it, so a reading serves until the next record comes, and
//! then it is carried on by the records that came since. Those who race for the last place write
//! acts, and need not read any of it again; those who ask while a region posts its night read what
//! was posted, and not the region.
//!
//! Lists are shared between readings, and one that no record changed is the same in both: who made
//! something of a list need not make it again.

use super::room::{Journey, journeys};
use crate::configuration::Configuration;
use crate::database::{HubState, Store, rows};
use crate::effective::{AsOf, EffectiveFilter, in_order};
use crate::error::Result;
use crate::scope::Scope;
use haulout_reckoning::findings::by_order;
use haulout_reckoning::keys::Family;
use haulout_reckoning::{Effective, Key, keys};
use haulout_schemas::Kind;
use haulout_schemas::text::PartyId;
use sea_orm::{ConnectionTrait, QueryResult};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex};

const STANDING: [Kind; 6] =
    [Kind::Capacity, Kind::Readiness, Kind::Biosecurity, Kind::Licence, Kind::Order, Kind::Custody];

/// So many new records are followed one by one, however small the reading; of a large one as many as it
/// holds, since reading it anew takes longer than they do, and a region that posts meanwhile would never
/// be caught up with.
const FOLLOWED: usize = 5_000;

/// Records in the contract's order, shared by whoever reads them.
pub type Records = Arc<Vec<Arc<Effective>>>;

/// Records of the region that stand until they are taken back: capacity, readiness, standstills, licences,
/// orders, custody.
#[derive(Clone, Debug, Default)]
pub struct StandingRecords(BTreeMap<Kind, BTreeMap<String, Records>>);

impl StandingRecords {
    /// Of a kind and an author.
    pub fn by(&self, kind: Kind, author: &PartyId) -> Records {
        self.0.get(&kind).and_then(|authors| authors.get(author.as_str())).cloned().unwrap_or_default()
    }

    /// Of a kind and some authors, in the contract's order.
    pub fn by_any<'a>(
        &self,
        kind: Kind,
        authors: impl IntoIterator<Item = &'a PartyId>,
    ) -> Vec<Arc<Effective>> {
        let of_all = self.0.get(&kind);
        let lists = authors.into_iter().filter_map(|author| of_all?.get(author.as_str()));
        merged(lists)
    }

    /// Of a kind, of all authors, in the contract's order.
    pub fn of(&self, kind: Kind) -> Vec<Arc<Effective>> {
        merged(self.0.get(&kind).into_iter().flat_map(BTreeMap::values))
    }

    fn count(&self) -> usize {
        self.0.values().flat_map(BTreeMap::values).map(|records| records.len()).sum()
    }

    /// The list that a record belongs to.
    fn list(&mut self, one: &Effective) -> &mut Records {
        let author = one.record.envelope.author_id.to_string();
        self.0.entry(one.record.kind()).or_default().entry(author).or_default()
    }
}

/// What is on the road by one consignment, and the records of the journey.
#[derive(Clone, Debug, Default)]
struct OnRoad {
    journeys: Vec<Journey>,
    records: Vec<Arc<Effective>>,
}

/// One reading.
#[derive(Clone, Debug)]
pub(crate) struct Ground {
    /// Newest record of the reading.
    last_feed: i64,
    /// Act of the region file that it was read under.
    configuration: i64,
    floors: BTreeMap<String, Records>,
    pub(super) standing: Arc<StandingRecords>,
    /// By consignment.
    roads: Arc<BTreeMap<String, OnRoad>>,
    pub(super) journeys: Arc<Vec<Journey>>,
    pub(super) journey_records: Records,
}

impl Ground {
    fn serves(&self, state: &HubState, centres: &[PartyId]) -> bool {
        self.last_feed == state.last_feed && self.leads_to(state, centres)
    }

    /// Whether the records that came since make it what would be read now.
    fn leads_to(&self, state: &HubState, centres: &[PartyId]) -> bool {
        let came = usize::try_from(state.last_feed - self.last_feed);
        came.is_ok_and(|came| came <= FOLLOWED || came <= self.count())
            && self.configuration == state.configuration
            && centres.iter().all(|centre| self.floors.contains_key(centre.as_str()))
    }

    fn count(&self) -> usize {
        self.floors.values().map(|floor| floor.len()).sum::<usize>() + self.standing.count()
    }

    /// By centre: effective records that tell who is where in it.
    pub(super) fn floors_of(&self, centres: &[PartyId]) -> BTreeMap<String, Records> {
        centres
            .iter()
            .map(|centre| (centre.to_string(), self.floors.get(centre.as_str()).cloned().unwrap_or_default()))
            .collect()
    }

    /// Carries floors and what stands on by records that count from now on, in place of earlier revisions
    /// of them; gives the consignments that either name.
    fn carry_on(
        &mut self,
        earlier: &[Arc<Effective>],
        came: &[Arc<Effective>],
        configuration: &Configuration,
    ) -> BTreeSet<String> {
        let mut named = BTreeSet::new();
        for one in earlier {
            self.change(one, take_out, configuration, &mut named);
        }
        for one in came {
            self.change(one, insert, configuration, &mut named);
        }
        named
    }

    /// Changes every list that a record belongs to, and notes the consignments that it names.
    fn change(
        &mut self,
        one: &Arc<Effective>,
        change: fn(&mut Records, &Arc<Effective>),
        configuration: &Configuration,
        named: &mut BTreeSet<String>,
    ) {
        for key in keys(&one.record, &configuration.names) {
            match key.family() {
                Some(Family::Units) => {
                    if let Some(floor) = self.floors.get_mut(key.id()) {
                        change(floor, one);
                    }
                }
                Some(Family::Consignment) => drop(named.insert(key.id().to_owned())),
                _ => {}
            }
        }
        if STANDING.contains(&one.record.kind()) {
            change(Arc::make_mut(&mut self.standing).list(one), one);
        }
    }

    /// Tells what is on the road out of its consignments.
    fn tell_roads(&mut self) {
        self.journeys = Arc::new(self.roads.values().flat_map(|road| road.journeys.clone()).collect());
        let mut records: Vec<Arc<Effective>> =
            self.roads.values().flat_map(|road| road.records.iter().cloned()).collect();
        in_order(&mut records);
        records.dedup_by(|one, other| by_order(&one.record, &other.record).is_eq());
        self.journey_records = Arc::new(records);
    }
}

fn merged<'a>(lists: impl Iterator<Item = &'a Records>) -> Vec<Arc<Effective>> {
    let mut records: Vec<Arc<Effective>> = lists.flat_map(|records| records.iter().cloned()).collect();
    in_order(&mut records);
    records
}

/// Where a record stands in a list, or would.
fn place(list: &Records, one: &Effective) -> std::result::Result<usize, usize> {
    list.binary_search_by(|other| by_order(&other.record, &one.record))
}

fn insert(list: &mut Records, one: &Arc<Effective>) {
    if let Err(at) = place(list, one) {
        Arc::make_mut(list).insert(at, Arc::clone(one));
    }
}

fn take_out(list: &mut Records, one: &Arc<Effective>) {
    if let Ok(at) = place(list, one) {
        Arc::make_mut(list).remove(at);
    }
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
        let feeds = feeds(rows(on, sql, vec![held.last_feed.into()]).await?)?;
        let came = self.in_sequence(on, &feeds).await?;
        let earlier = self.earlier(on, &came).await?;
        let mut ground = Ground { last_feed: state.last_feed, ..held.clone() };
        let named = ground.carry_on(&earlier, &came, configuration);
        if !named.is_empty() {
            let journeys = journeys(on, Some(named.iter().map(String::as_str))).await?;
            let of_named = self.roads_of(on, journeys).await?;
            let roads = Arc::make_mut(&mut ground.roads);
            roads.retain(|consignment, _| !named.contains(consignment));
            roads.extend(of_named);
            ground.tell_roads();
        }
        Ok(ground)
    }

    async fn in_sequence(&self, on: &impl ConnectionTrait, feeds: &[i64]) -> Result<Vec<Arc<Effective>>> {
        let records = self.records_of(on, feeds).await?;
        Ok(feeds.iter().filter_map(|feed| records.get(feed)).map(Arc::clone).collect())
    }

    /// Earlier revisions of records: they may have been filed elsewhere.
    async fn earlier(
        &self,
        on: &impl ConnectionTrait,
        came: &[Arc<Effective>],
    ) -> Result<Vec<Arc<Effective>>> {
        let mut earlier = Vec::new();
        for one in came.iter().filter(|one| one.record.envelope.revision > 1) {
            let frame = &one.record.envelope;
            let sql = "SELECT feed FROM journal WHERE author_id = $1 AND record_id = $2 AND revision < $3";
            let values = vec![
                frame.author_id.as_str().into(),
                frame.record_id.as_str().into(),
                i64::from(frame.revision).into(),
            ];
            earlier.extend(feeds(rows(on, sql, values).await?)?);
        }
        self.in_sequence(on, &earlier).await
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
        let mut by_kind = StandingRecords::default();
        for one in self.effective_on(on, configuration, &Scope::Region, AsOf::NOW, &standing).await? {
            insert(by_kind.list(&one), &one);
        }
        let roads = self.roads_of(on, journeys(on, None::<[&str; 0]>).await?).await?;
        let mut ground = Ground {
            last_feed: state.last_feed,
            configuration: state.configuration,
            floors,
            standing: Arc::new(by_kind),
            roads: Arc::new(roads),
            journeys: Arc::default(),
            journey_records: Arc::default(),
        };
        ground.tell_roads();
        Ok(ground)
    }

    /// What is on the road by consignment, with the records of those journeys.
    async fn roads_of(
        &self,
        on: &impl ConnectionTrait,
        journeys: Vec<Journey>,
    ) -> Result<BTreeMap<String, OnRoad>> {
        let mut roads: BTreeMap<String, OnRoad> = BTreeMap::new();
        for journey in journeys {
            roads.entry(journey.consignment_id.clone()).or_default().journeys.push(journey);
        }
        let key = |consignment: &str| format!("consignment/{consignment}");
        let keys: Vec<String> = roads.keys().map(|consignment| key(consignment)).collect();
        if !keys.is_empty() {
            let mut records = self.effective_of_keys(on, &keys, AsOf::NOW).await?;
            for (consignment, road) in &mut roads {
                road.records = records.remove(&key(consignment)).unwrap_or_default();
            }
        }
        Ok(roads)
    }
}

fn feeds(rows: Vec<QueryResult>) -> Result<Vec<i64>> {
    rows.iter().map(|row| Ok(row.try_get("", "feed")?)).collect()
}

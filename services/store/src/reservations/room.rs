//! What must be known to say whether there is room, read in one state of the database.

use super::{Reservation, ReservationNow, fold};
use crate::clock::day_of;
use crate::configuration::Configuration;
use crate::database::{Store, among_texts, rows};
use crate::effective::{AsOf, EffectiveFilter, in_order, json_texts};
use crate::error::Result;
use crate::scope::Scope;
use chrono::NaiveDate;
use haulout_reckoning::{Effective, Key, Micros};
use haulout_schemas::Kind;
use haulout_schemas::text::PartyId;
use sea_orm::ConnectionTrait;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is on the road, by name: animals or eggs not yet received.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Journey {
    /// The consignment.
    pub consignment_id: String,
    /// Accepted name.
    pub scientific_name: String,
    /// Eggs, not animals.
    pub eggs: bool,
    /// How many are left on the way; below zero where more arrived than set out.
    pub count: i64,
}

/// Everything that room is reckoned from, as it is at one moment.
#[derive(Clone, Debug)]
pub struct RoomState {
    /// The hub's time.
    pub now: Micros,
    /// The day in the region's zone.
    pub today: NaiveDate,
    /// The region, names, profiles and rules in force.
    pub configuration: Arc<Configuration>,
    /// By centre: effective records that tell who is where in it, for `reckoning::occupancy`.
    pub floors: BTreeMap<String, Vec<Arc<Effective>>>,
    /// Effective standing records of the region: capacity, readiness, standstills, licences, orders, custody.
    pub standing: Vec<Arc<Effective>>,
    /// What is on the road, and the records of those journeys.
    pub journeys: Vec<Journey>,
    /// Effective records of the journeys.
    pub journey_records: Vec<Arc<Effective>>,
    /// Reservations at the centres that weigh, as kept places or as animals expected.
    pub reservations: Vec<ReservationNow>,
}

const STANDING: [Kind; 6] =
    [Kind::Capacity, Kind::Readiness, Kind::Biosecurity, Kind::Licence, Kind::Order, Kind::Custody];

impl Store {
    /// What room in these centres is reckoned from. For finding options; a place is granted only by
    /// [`Store::keep`], which reads the same inside its transaction.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn room_state(&self, centres: &[PartyId]) -> Result<RoomState> {
        // Before the snapshot: who holds one connection must not wait for a second.
        let now = self.now().await?;
        let configuration = self.configuration().await?;
        let tx = self.snapshot().await?;
        self.room_on(&tx, configuration, now, centres).await
    }

    pub(crate) async fn room_on(
        &self,
        on: &impl ConnectionTrait,
        configuration: Arc<Configuration>,
        now: Micros,
        centres: &[PartyId],
    ) -> Result<RoomState> {
        let keys: Vec<String> = centres.iter().map(|centre| Key::units(centre).as_str().to_owned()).collect();
        let mut by_key = self.effective_of_keys(on, &keys, AsOf::NOW).await?;
        let floors = centres
            .iter()
            .map(|centre| {
                (centre.to_string(), by_key.remove(Key::units(centre).as_str()).unwrap_or_default())
            })
            .collect();
        let standing = EffectiveFilter { kinds: STANDING.to_vec(), ..EffectiveFilter::default() };
        let standing = self.effective_on(on, &configuration, &Scope::Region, AsOf::NOW, &standing).await?;
        let journeys = journeys(on).await?;
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
        let reservations = self.stand(on, open(on, centres).await?, now).await?;
        let reservations =
            reservations.into_iter().filter(|one| one.weighs() != super::Weighs::Nothing).collect();
        Ok(RoomState {
            now,
            today: day_of(now, configuration.zone()),
            configuration,
            floors,
            standing,
            journeys,
            journey_records,
            reservations,
        })
    }
}

async fn open(on: &impl ConnectionTrait, centres: &[PartyId]) -> Result<Vec<Reservation>> {
    let sql = format!(
        "SELECT canonical FROM reservation WHERE state IN ('asked', 'promised') AND centre_id {} ORDER BY opened",
        among_texts(on.get_database_backend(), 1)
    );
    let centres = json_texts(centres.iter().map(PartyId::as_str))?;
    rows(on, sql, vec![centres.into()]).await?.iter().map(fold::stored).collect()
}

async fn journeys(on: &impl ConnectionTrait) -> Result<Vec<Journey>> {
    let sql = "SELECT account, scientific_name, eggs, CAST(SUM(delta) AS BIGINT) AS count FROM month_balance \
               WHERE account >= 'transit/' AND account < 'transit0' GROUP BY account, scientific_name, eggs \
               HAVING SUM(delta) <> 0 ORDER BY account, scientific_name, eggs";
    rows(on, sql, Vec::new())
        .await?
        .iter()
        .map(|row| {
            let account: String = row.try_get("", "account")?;
            Ok(Journey {
                consignment_id: account.strip_prefix("transit/").unwrap_or(&account).to_owned(),
                scientific_name: row.try_get("", "scientific_name")?,
                eggs: row.try_get("", "eggs")?,
                count: row.try_get("", "count")?,
            })
        })
        .collect()
}

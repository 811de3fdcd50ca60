//! What must be known to say whether there is room, read in one state of the database.

use super::ground::{Records, StandingRecords};
use super::{Reservation, ReservationNow, fold};
use crate::clock::day_of;
use crate::configuration::Configuration;
use crate::database::{HubState, Store, among_texts, read_state, rows};
use crate::effective::json_texts;
use crate::error::Result;
use chrono::NaiveDate;
use haulout_reckoning::Micros;
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
    /// Stamp of the newest entry of the journal: while it stays, nothing has been written.
    pub newest: Micros,
    /// The day in the region's zone.
    pub today: NaiveDate,
    /// The region, names, profiles and rules in force.
    pub configuration: Arc<Configuration>,
    /// By centre: effective records that tell who is where in it, for `reckoning::occupancy`.
    pub floors: BTreeMap<String, Records>,
    /// Effective records of the region that stand until they are taken back.
    pub standing: Arc<StandingRecords>,
    /// What is on the road, and the records of those journeys.
    pub journeys: Arc<Vec<Journey>>,
    /// Effective records of the journeys.
    pub journey_records: Records,
    /// Reservations at the centres that weigh, as kept places or as animals expected.
    pub reservations: Vec<ReservationNow>,
}

impl Store {
    /// What room in these centres is reckoned from. For finding options; a place is granted only by
    /// [`Store::keep`], which reads the same inside its transaction.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn room_state(&self, centres: &[PartyId]) -> Result<RoomState> {
        // Before the snapshot: who holds one connection must not wait for a second.
        let now = self.now().await?;
        let held = self.configuration().await?;
        let tx = self.snapshot().await?;
        let state = read_state(&tx).await?;
        let configuration = if held.sequence == state.configuration {
            held
        } else {
            self.configuration_of(&tx, state.configuration).await?
        };
        self.room_on(&tx, configuration, &state, now, centres).await
    }

    /// The same within a transaction. What no act changes is taken from an earlier reading where no
    /// record has come since.
    pub(crate) async fn room_on(
        &self,
        on: &impl ConnectionTrait,
        configuration: Arc<Configuration>,
        state: &HubState,
        now: Micros,
        centres: &[PartyId],
    ) -> Result<RoomState> {
        let ground = self.ground_on(on, &configuration, state, centres).await?;
        let reservations = self.stand(on, open(on, centres).await?, now).await?;
        let reservations =
            reservations.into_iter().filter(|one| one.weighs() != super::Weighs::Nothing).collect();
        Ok(RoomState {
            now,
            newest: state.last_known_from,
            today: day_of(now, configuration.zone()),
            configuration,
            floors: ground.floors_of(centres),
            standing: Arc::clone(&ground.standing),
            journeys: Arc::clone(&ground.journeys),
            journey_records: Arc::clone(&ground.journey_records),
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

/// What is on the road, by some consignments or by all.
pub(super) async fn journeys<'a>(
    on: &impl ConnectionTrait,
    only: Option<impl IntoIterator<Item = &'a str>>,
) -> Result<Vec<Journey>> {
    let (which, values) = match only {
        Some(consignments) => {
            let accounts: Vec<String> =
                consignments.into_iter().map(|one| format!("transit/{one}")).collect();
            let which = format!("account {}", among_texts(on.get_database_backend(), 1));
            (which, vec![json_texts(accounts.iter().map(String::as_str))?.into()])
        }
        None => ("account >= 'transit/' AND account < 'transit0'".to_owned(), Vec::new()),
    };
    let sql = format!(
        "SELECT account, scientific_name, eggs, CAST(SUM(delta) AS BIGINT) AS count FROM carried \
         WHERE LENGTH(span) = 3 AND {which} GROUP BY account, scientific_name, eggs \
         HAVING SUM(delta) <> 0 ORDER BY account, scientific_name, eggs"
    );
    rows(on, sql, values)
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

//! Kept places: asked, promised; or refused, cancelled. Every step is an act of the region's chain,
//! and a reservation is what its acts come to.
//!
//! *Under way*, *taken* and *lapsed* are worked out when read, from effective records and the hub's
//! time. Room is checked inside the transaction that keeps a place: of two who ask for the last one,
//! the second is told so.

mod fold;
mod ground;
mod journey;
mod room;
mod steps;

pub use fold::{Reservation, ReservationState, Step};
pub(crate) use fold::{clear as clear_reservations, project as project_reservation};
pub(crate) use ground::GroundCache;
pub use ground::{Records, StandingRecords};
pub use journey::JourneyNow;
pub use room::{Journey, RoomState};
pub use steps::Ask;

use crate::clock::instant_of;
use crate::database::{Store, row, rows};
use crate::effective::AsOf;
use crate::error::{Result, StoreError};
use crate::scope::Scope;
use haulout_reckoning::{Effective, Key, Micros};
use haulout_schemas::Body;
use haulout_schemas::records::breeding::ClutchEvent;
use haulout_schemas::text::ConsignmentId;
use sea_orm::{ConnectionTrait, Value};
use serde::Serialize;
use std::collections::HashMap;
use std::sync::Arc;

/// Where a reservation stands, records and hub time considered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Standing {
    /// Asked for, and there is time to answer.
    Asked,
    /// Asked for, and the deadline is past.
    Lapsed,
    /// Promised. A promised place never lapses by itself.
    Promised,
    /// The animals have set out.
    UnderWay,
    /// They are there.
    Taken,
    /// Refused by the centre.
    Refused,
    /// Given up.
    Cancelled,
}

/// How a reservation weighs in a centre's room: each animal once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weighs {
    /// As a kept place.
    Reserved,
    /// As animals expected: a dispatch names its consignment, and they are counted in transit.
    Expected,
    /// Not: nobody comes, or they are counted in the stock.
    Nothing,
}

/// A reservation and where it stands.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct ReservationNow {
    /// What its acts came to.
    #[serde(flatten)]
    pub reservation: Reservation,
    /// Where it stands.
    pub standing: Standing,
    /// Whether an effective dispatch names its consignment.
    pub dispatched: bool,
    /// An alarm: promised, and the animals should have been there.
    pub overdue: bool,
}

impl ReservationNow {
    /// How it weighs in the centre's room.
    pub const fn weighs(&self) -> Weighs {
        match self.standing {
            Standing::Asked | Standing::Promised | Standing::UnderWay if self.dispatched => Weighs::Expected,
            Standing::Asked | Standing::Promised | Standing::UnderWay => Weighs::Reserved,
            Standing::Lapsed | Standing::Taken | Standing::Refused | Standing::Cancelled => Weighs::Nothing,
        }
    }
}

/// Which reservations; every member narrows.
#[derive(Clone, Debug, Default)]
pub struct ReservationFilter {
    /// At this centre.
    pub centre: Option<String>,
    /// With this consignment.
    pub consignment: Option<String>,
    /// Only those neither taken, lapsed, refused nor cancelled.
    pub open: bool,
    /// Only those of which an alarm may speak: open ones, and those with a step that was recorded for
    /// the centre and that it has not confirmed.
    pub to_watch: bool,
}

impl Store {
    /// A reservation.
    ///
    /// # Errors
    /// `NotFound` where there is none that the scope may see.
    pub async fn reservation(&self, scope: &Scope, id: &str) -> Result<ReservationNow> {
        let found = read(self.db(), id).await?;
        let now = self.now().await?;
        let kept = self.points_of(scope).await?;
        match found.filter(|reservation| seen(scope, &kept, reservation)) {
            Some(reservation) => {
                self.stand(self.db(), vec![reservation], now).await?.pop().ok_or_else(|| unknown(id))
            }
            None => Err(unknown(id)),
        }
    }

    /// Reservations that a scope may see, newest first.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub async fn reservations(
        &self,
        scope: &Scope,
        filter: &ReservationFilter,
        limit: u64,
    ) -> Result<Vec<ReservationNow>> {
        let mut values: Vec<Value> = Vec::new();
        let mut condition = "1 = 1".to_owned();
        if let Some(centre) = &filter.centre {
            values.push(centre.as_str().into());
            condition += &format!(" AND centre_id = ${}", values.len());
        }
        if let Some(consignment) = &filter.consignment {
            values.push(consignment.as_str().into());
            condition += &format!(" AND consignment_id = ${}", values.len());
        }
        if filter.open {
            condition += " AND state IN ('asked', 'promised')";
        }
        if filter.to_watch {
            // Within a text a quotation mark is escaped, so only the member itself reads like this.
            condition += " AND (state IN ('asked', 'promised') OR canonical LIKE '%\"unconfirmed\":true%')";
        }
        match scope {
            Scope::Region | Scope::Authority => {}
            Scope::Public => return Ok(Vec::new()),
            Scope::Party(party) => {
                values.push(party.as_str().into());
                let n = values.len();
                let mut from = vec![format!("${n}")];
                for point in self.points_of(scope).await? {
                    values.push(point.into());
                    from.push(format!("${}", values.len()));
                }
                let from = from.join(", ");
                condition += &format!(" AND (centre_id = ${n} OR from_id IN ({from}) OR asked_by = ${n})");
            }
        }
        let now = self.now().await?;
        let sql =
            format!("SELECT canonical FROM reservation WHERE {condition} ORDER BY opened DESC LIMIT {limit}");
        let found = rows(self.db(), sql, values).await?;
        let found: Vec<Reservation> = found.iter().map(fold::stored).collect::<Result<_>>()?;
        let mut standing = self.stand(self.db(), found, now).await?;
        if filter.open {
            standing.retain(|one| one.weighs() != Weighs::Nothing);
        }
        if filter.to_watch {
            standing.retain(|one| one.weighs() != Weighs::Nothing || one.reservation.unconfirmed);
        }
        Ok(standing)
    }

    /// The points that a party keeps: it sees what leaves them.
    async fn points_of(&self, scope: &Scope) -> Result<Vec<String>> {
        match scope {
            Scope::Party(party) => Ok(self.configuration().await?.points_kept_by(party)),
            _ => Ok(Vec::new()),
        }
    }

    /// Works out where reservations stand.
    pub(crate) async fn stand(
        &self,
        on: &impl ConnectionTrait,
        reservations: Vec<Reservation>,
        now: Micros,
    ) -> Result<Vec<ReservationNow>> {
        let mut keys: Vec<String> = Vec::new();
        for reservation in &reservations {
            keys.extend(reservation.consignment_id.as_ref().map(consignment_key));
            keys.extend(
                reservation.filled_by.as_ref().map(|record| Key::referred(record).as_str().to_owned()),
            );
        }
        let records = if keys.is_empty() {
            HashMap::new()
        } else {
            self.effective_of_keys(on, &keys, AsOf::NOW).await?
        };
        Ok(reservations.into_iter().map(|reservation| standing(reservation, &records, now)).collect())
    }
}

fn standing(
    reservation: Reservation,
    records: &HashMap<String, Vec<Arc<Effective>>>,
    now: Micros,
) -> ReservationNow {
    let journey = reservation.consignment_id.as_ref().and_then(|id| records.get(&consignment_key(id)));
    let journey = journey.map(Vec::as_slice).unwrap_or_default();
    let dispatched = journey.iter().any(|one| matches!(one.record.body, Some(Body::Dispatch(_))));
    let arrived = journey.iter().any(|one| match &one.record.body {
        Some(Body::Receipt(_) | Body::Rescue(_)) => true,
        Some(Body::Clutch(clutch)) => clutch.event == ClutchEvent::Collected,
        _ => false,
    });
    // The record that was named counts while it stands; withdrawn, the animals are expected again.
    let filled = reservation.filled_by.as_ref().is_some_and(|named| {
        records.get(Key::referred(named).as_str()).into_iter().flatten().any(|one| {
            let frame = &one.record.envelope;
            frame.author_id == named.author_id
                && frame.record_id == named.record_id
                && one.record.body.is_some()
        })
    });
    let standing = match reservation.state {
        ReservationState::Asked
            if instant_of(&reservation.deadline).is_some_and(|deadline| deadline < now) =>
        {
            Standing::Lapsed
        }
        ReservationState::Asked => Standing::Asked,
        ReservationState::Promised if arrived || filled => Standing::Taken,
        ReservationState::Promised if dispatched || reservation.departed_at.is_some() => Standing::UnderWay,
        ReservationState::Promised => Standing::Promised,
        ReservationState::Refused => Standing::Refused,
        ReservationState::Cancelled => Standing::Cancelled,
    };
    let expected = reservation.expected_at.as_deref().and_then(instant_of);
    let overdue = matches!(standing, Standing::Promised | Standing::UnderWay)
        && expected.is_some_and(|expected| expected < now);
    ReservationNow { reservation, standing, dispatched, overdue }
}

fn consignment_key(id: &ConsignmentId) -> String {
    Key::consignment(id).as_str().to_owned()
}

pub(crate) async fn read(on: &impl ConnectionTrait, id: &str) -> Result<Option<Reservation>> {
    let found = row(on, "SELECT canonical FROM reservation WHERE reservation_id = $1", [id.into()]).await?;
    found.as_ref().map(fold::stored).transpose()
}

fn seen(scope: &Scope, kept: &[String], reservation: &Reservation) -> bool {
    let asked_by = reservation.asked_by.party_id.as_ref();
    scope.sees_party(reservation.centre_id.as_str())
        || reservation.from_id.iter().chain(asked_by).any(|party| scope.sees_party(party.as_str()))
        || reservation.from_id.iter().any(|from| kept.iter().any(|point| point == from.as_str()))
}

fn unknown(id: &str) -> StoreError {
    StoreError::not_found(format!("there is no reservation {id}"))
}

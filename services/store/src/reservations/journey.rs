//! All that is known of one journey: the places kept for it, what both ends wrote, what the ledger
//! still has on the road.

use super::room::{Journey, journeys};
use super::{ReservationFilter, ReservationNow};
use crate::database::Store;
use crate::effective::AsOf;
use crate::error::{ErrorKind, Result, StoreError};
use crate::journal::StoredRecord;
use crate::scope::Scope;
use haulout_reckoning::Key;
use haulout_schemas::text::ConsignmentId;

/// One journey as it stands.
#[derive(Clone, Debug)]
pub struct JourneyNow {
    /// The consignment.
    pub consignment_id: ConsignmentId,
    /// The places kept for it, oldest first.
    pub reservations: Vec<ReservationNow>,
    /// Its records that count, by day.
    pub records: Vec<StoredRecord>,
    /// What the ledger still has on the road, by name.
    pub on_the_road: Vec<Journey>,
}

impl Store {
    /// One journey. Whoever may see a place kept for it or one of its records (its two ends, and who
    /// asked) sees all of it.
    ///
    /// # Errors
    /// `NotFound` where there is no journey that the scope may see.
    pub async fn journey(&self, scope: &Scope, consignment: &ConsignmentId) -> Result<JourneyNow> {
        let of_it =
            ReservationFilter { consignment: Some(consignment.to_string()), ..ReservationFilter::default() };
        let all = u64::from(u32::MAX);
        let seen = !self.reservations(scope, &of_it, 1).await?.is_empty();
        let records = match self.consignment(scope, consignment).await {
            Ok(records) => records,
            Err(error) if error.kind() == ErrorKind::NotFound && seen => {
                self.under(&Scope::Region, &Key::consignment(consignment), AsOf::NOW).await?
            }
            Err(error) => return Err(error),
        };
        let mut reservations = self.reservations(&Scope::Region, &of_it, all).await?;
        reservations.reverse();
        if records.is_empty() && reservations.is_empty() {
            return Err(StoreError::not_found(format!("there is no consignment {consignment}")));
        }
        Ok(JourneyNow {
            consignment_id: consignment.clone(),
            reservations,
            records,
            on_the_road: journeys(self.db(), Some([consignment.as_str()])).await?,
        })
    }
}

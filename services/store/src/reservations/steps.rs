//! The steps of a reservation, each a transaction under the lock and an act of the region's chain.

use super::{Reservation, ReservationNow, RoomState, Standing, fold, read, unknown};
use crate::acts::{
    Act, By, OnBehalfOf, ReservationAsked, ReservationCancelled, ReservationConfirmed, ReservationDeparted,
    ReservationFilled, ReservationPromised, ReservationRefused,
};
use crate::clock::instant_text;
use crate::database::{Locked, Store, rows};
use crate::effective::AsOf;
use crate::error::{Result, StoreError};
use haulout_reckoning::{Key, Micros};
use haulout_schemas::RecordRef;
use haulout_schemas::text::{ConsignmentId, LocalId, PartyId, ScientificName};
use serde_json::{Value, json};

/// A place to be kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// Where.
    pub centre_id: PartyId,
    /// In which unit or row; the centre decides where it is left out.
    pub unit_id: Option<LocalId>,
    /// For how many.
    pub individual_count: u32,
    /// Of which species.
    pub scientific_name: ScientificName,
    /// The centre or point that the animals come from; `None`: they are in the wild.
    pub from_id: Option<PartyId>,
    /// Until when the centre may answer.
    pub deadline: Micros,
    /// When the animals should arrive.
    pub expected_at: Option<Micros>,
    /// The request that it answers, as the planner knows it.
    pub request: Value,
    /// The plan of which it is part.
    pub plan_id: Option<String>,
}

impl Store {
    /// Keeps places, all or none. `room` is shown the state in which they would be kept, and nothing
    /// can change between its answer and the commit; what it gives as `Err` is told to the caller.
    ///
    /// # Errors
    /// `Conflict` with the detail that `room` gave, where there is no room; `Invalid` for no ask at
    /// all or a deadline that is past.
    pub async fn keep(
        &self,
        by: By,
        asks: Vec<Ask>,
        room: impl FnOnce(&RoomState) -> std::result::Result<(), Value>,
    ) -> Result<Vec<ReservationNow>> {
        if asks.is_empty() {
            return Err(StoreError::invalid("name at least one place to keep"));
        }
        let locked = self.lock().await?;
        let now = locked.now();
        if asks.iter().any(|ask| ask.deadline <= now) {
            return Err(StoreError::invalid(
                "the deadline for the centre's answer is past already; give a later one",
            ));
        }
        let mut centres: Vec<PartyId> = asks.iter().map(|ask| ask.centre_id.clone()).collect();
        centres.sort();
        centres.dedup();
        let configuration = self.in_force(&locked).await?;
        let state = self.room_on(&locked.tx, configuration, &locked.state, now, &centres).await?;
        room(&state).map_err(|detail| {
            StoreError::conflict("a place is not free as things stand now").with_detail(detail)
        })?;
        let first = locked.state.act_sequence;
        let acts: Vec<Act> = (1_i64..)
            .zip(asks)
            .map(|(nth, ask)| {
                ReservationAsked {
                    by: by.clone(),
                    reservation_id: format!("R{}", first + nth),
                    centre_id: ask.centre_id,
                    unit_id: ask.unit_id,
                    individual_count: ask.individual_count,
                    scientific_name: ask.scientific_name,
                    from_id: ask.from_id,
                    deadline: instant_text(ask.deadline),
                    expected_at: ask.expected_at.map(instant_text),
                    request: ask.request,
                    plan_id: ask.plan_id,
                }
                .into()
            })
            .collect();
        self.take(locked, acts).await
    }

    /// Promises places that were asked for, all or none. Those that come from one place to one centre
    /// travel under one consignment number, as do others of the same plan that were promised before
    /// and have not set out.
    ///
    /// # Errors
    /// `NotFound`, or `Conflict` for one that is not (or no longer) asked for.
    pub async fn promise(
        &self,
        by: By,
        ids: &[String],
        on_behalf_of: Option<OnBehalfOf>,
    ) -> Result<Vec<ReservationNow>> {
        let locked = self.lock().await?;
        let mut issued: Vec<(Reservation, ConsignmentId)> = Vec::new();
        for id in ids {
            let asked = self.expect(&locked, id, &[Standing::Asked], "be promised").await?.reservation;
            let shared = issued
                .iter()
                .find(|(other, _)| together(other, &asked, true))
                .map(|(_, number)| number.clone());
            let number = match shared {
                Some(number) => number,
                None => match self.promised_before(&locked, &asked).await? {
                    Some(number) => number,
                    None => self.new_consignment(&locked, issued.len()).await?,
                },
            };
            issued.push((asked, number));
        }
        let acts = issued
            .into_iter()
            .map(|(asked, consignment_id)| {
                ReservationPromised {
                    by: by.clone(),
                    reservation_id: asked.reservation_id,
                    consignment_id,
                    on_behalf_of: on_behalf_of.clone(),
                }
                .into()
            })
            .collect();
        self.take(locked, acts).await
    }

    /// The centre confirms what was recorded for it.
    ///
    /// # Errors
    /// `NotFound`, or `Conflict` where there is nothing to confirm.
    pub async fn confirm(&self, by: By, id: &str) -> Result<ReservationNow> {
        let locked = self.lock().await?;
        let reservation = read(&locked.tx, id).await?.ok_or_else(|| unknown(id))?;
        if !reservation.unconfirmed {
            return Err(StoreError::conflict(format!(
                "nothing was recorded on behalf of the centre for {id}"
            )));
        }
        self.take_one(locked, ReservationConfirmed { by, reservation_id: id.to_owned() }.into()).await
    }

    /// The centre refuses.
    ///
    /// # Errors
    /// `NotFound`, or `Conflict` once the animals have set out or the matter is closed.
    pub async fn refuse(
        &self,
        by: By,
        id: &str,
        reason: String,
        on_behalf_of: Option<OnBehalfOf>,
    ) -> Result<ReservationNow> {
        let locked = self.lock().await?;
        self.expect(&locked, id, &[Standing::Asked, Standing::Promised], "be refused").await?;
        self.take_one(
            locked,
            ReservationRefused { by, reservation_id: id.to_owned(), reason, on_behalf_of }.into(),
        )
        .await
    }

    /// The animals set out.
    ///
    /// # Errors
    /// `NotFound`, or `Conflict` for a place that is not promised.
    pub async fn depart(
        &self,
        by: By,
        id: &str,
        departed_at: Micros,
        on_behalf_of: Option<OnBehalfOf>,
    ) -> Result<ReservationNow> {
        let locked = self.lock().await?;
        self.expect(&locked, id, &[Standing::Promised, Standing::UnderWay], "depart").await?;
        let departed_at = instant_text(departed_at);
        self.take_one(
            locked,
            ReservationDeparted { by, reservation_id: id.to_owned(), departed_at, on_behalf_of }.into(),
        )
        .await
    }

    /// The place is given up.
    ///
    /// # Errors
    /// `NotFound`, or `Conflict` once the animals are there or the matter is closed.
    pub async fn cancel(
        &self,
        by: By,
        id: &str,
        reason: String,
        on_behalf_of: Option<OnBehalfOf>,
    ) -> Result<ReservationNow> {
        let locked = self.lock().await?;
        let open = [Standing::Asked, Standing::Lapsed, Standing::Promised, Standing::UnderWay];
        self.expect(&locked, id, &open, "be cancelled").await?;
        self.take_one(
            locked,
            ReservationCancelled { by, reservation_id: id.to_owned(), reason, on_behalf_of }.into(),
        )
        .await
    }

    /// The coordination names the record that filled the place.
    ///
    /// # Errors
    /// `NotFound` for an unknown reservation or record, `Conflict` for a place that is not promised.
    pub async fn fill(&self, by: By, id: &str, record: RecordRef) -> Result<ReservationNow> {
        let locked = self.lock().await?;
        self.expect(&locked, id, &[Standing::Promised, Standing::UnderWay], "be filled").await?;
        let key = Key::referred(&record).as_str().to_owned();
        let there = self.effective_of_keys(&locked.tx, std::slice::from_ref(&key), AsOf::NOW).await?;
        let own = |one: &std::sync::Arc<haulout_reckoning::Effective>| {
            let frame = &one.record.envelope;
            frame.author_id == record.author_id
                && frame.record_id == record.record_id
                && one.record.body.is_some()
        };
        if !there.get(&key).is_some_and(|records| records.iter().any(own)) {
            return Err(StoreError::not_found(format!(
                "there is no record {} of {}",
                record.record_id, record.author_id
            )));
        }
        self.take_one(locked, ReservationFilled { by, reservation_id: id.to_owned(), record }.into()).await
    }

    /// The reservation, if it stands so that the step can be taken.
    async fn expect(
        &self,
        locked: &Locked,
        id: &str,
        allowed: &[Standing],
        step: &str,
    ) -> Result<ReservationNow> {
        let reservation = read(&locked.tx, id).await?.ok_or_else(|| unknown(id))?;
        let standing = self
            .stand(&locked.tx, vec![reservation], locked.now())
            .await?
            .pop()
            .ok_or_else(|| unknown(id))?;
        if allowed.contains(&standing.standing) {
            return Ok(standing);
        }
        let stands = serde_json::to_value(standing.standing)?;
        Err(StoreError::conflict(format!("reservation {id} is {} and cannot {step}", word(&stands)))
            .with_detail(json!({ "reservationID": id, "standing": stands })))
    }

    async fn take_one(&self, locked: Locked, act: Act) -> Result<ReservationNow> {
        let mut taken = self.take(locked, vec![act]).await?;
        taken.pop().ok_or_else(|| StoreError::bug("a step left no reservation"))
    }

    /// Seals steps, projects them, commits, and tells where the reservations stand.
    async fn take(&self, mut locked: Locked, acts: Vec<Act>) -> Result<Vec<ReservationNow>> {
        let now = locked.now();
        let mut reservations = Vec::with_capacity(acts.len());
        for sealed in locked.append(&acts).await? {
            reservations.extend(fold::project(&locked.tx, &sealed).await?);
        }
        let standing = self.stand(&locked.tx, reservations, now).await?;
        locked.commit().await?;
        Ok(standing)
    }

    /// The number of a consignment of the same plan, place and centre that has not set out.
    async fn promised_before(&self, locked: &Locked, asked: &Reservation) -> Result<Option<ConsignmentId>> {
        if asked.plan_id.is_none() {
            return Ok(None);
        }
        let sql =
            "SELECT canonical FROM reservation WHERE centre_id = $1 AND state = 'promised' ORDER BY opened";
        let found = rows(&locked.tx, sql, vec![asked.centre_id.as_str().into()]).await?;
        let found: Vec<Reservation> = found.iter().map(fold::stored).collect::<Result<_>>()?;
        let found = found.into_iter().filter(|other| together(other, asked, false)).collect();
        let standing = self.stand(&locked.tx, found, locked.now()).await?;
        Ok(standing
            .into_iter()
            .find(|one| one.standing == Standing::Promised)
            .and_then(|one| one.reservation.consignment_id))
    }

    /// A consignment number that nobody has: the region, and the act that issues it.
    async fn new_consignment(&self, locked: &Locked, nth: usize) -> Result<ConsignmentId> {
        let configuration = self.in_force(locked).await?;
        let region = configuration.region.as_ref().map_or("region", |region| region.region.as_str());
        let act = locked.state.act_sequence + 1 + i64::try_from(nth).map_err(StoreError::bug)?;
        Ok(ConsignmentId(format!("{region}.hub:{act}")))
    }
}

/// Whether two reservations travel together: from one place to one centre, and of one plan where
/// they are not promised in one step.
fn together(one: &Reservation, other: &Reservation, in_one_step: bool) -> bool {
    one.from_id.is_some()
        && one.from_id == other.from_id
        && one.centre_id == other.centre_id
        && (in_one_step || one.plan_id == other.plan_id)
}

fn word(standing: &Value) -> String {
    match standing.as_str() {
        Some("underWay") => "under way".to_owned(),
        Some(word) => word.to_owned(),
        None => String::new(),
    }
}

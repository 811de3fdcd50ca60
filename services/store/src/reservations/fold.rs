//! A reservation is what its acts come to, whether they are taken now or read from the journal.

use crate::acts::{Act, By, OnBehalfOf, StoredAct};
use crate::clock::instant_text;
use crate::database::{run, run_with};
use crate::error::{Result, StoreError};
use haulout_schemas::RecordRef;
use haulout_schemas::text::{ConsignmentId, LocalId, PartyId, ScientificName};
use schemars::JsonSchema;
use sea_orm::{ConnectionTrait, QueryResult, Value};
use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;

/// Where its acts left it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum ReservationState {
    /// Asked for.
    Asked,
    /// Promised.
    Promised,
    /// Refused.
    Refused,
    /// Cancelled.
    Cancelled,
}

impl ReservationState {
    /// The state as it is written.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Asked => "asked",
            Self::Promised => "promised",
            Self::Refused => "refused",
            Self::Cancelled => "cancelled",
        }
    }
}

/// One step, as told beside the reservation.
#[skip_serializing_none]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Step {
    /// Kind of the act.
    pub kind: String,
    /// Since when the hub knows it, RFC 3339 in UTC.
    pub known_from: String,
    /// Who took it.
    pub by: By,
    /// For whom it was recorded.
    pub on_behalf_of: Option<OnBehalfOf>,
    /// Why, where a reason was given.
    pub reason: Option<String>,
}

/// A kept place.
#[skip_serializing_none]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Reservation {
    /// Its number.
    #[serde(rename = "reservationID")]
    pub reservation_id: String,
    /// Where its acts left it.
    pub state: ReservationState,
    /// Where.
    #[serde(rename = "centreID")]
    pub centre_id: PartyId,
    /// In which unit or row; the centre decides where it is left out.
    #[serde(rename = "unitID")]
    pub unit_id: Option<LocalId>,
    /// For how many.
    pub individual_count: u32,
    /// Of which species.
    pub scientific_name: ScientificName,
    /// The centre or point that the animals come from; left out, they are in the wild.
    #[serde(rename = "fromID")]
    pub from_id: Option<PartyId>,
    /// Until when the centre may answer, RFC 3339 in UTC.
    pub deadline: String,
    /// When the animals should arrive, RFC 3339 in UTC.
    pub expected_at: Option<String>,
    /// The request that it answers, as the planner knows it.
    pub request: serde_json::Value,
    /// The plan of which it is part.
    #[serde(rename = "planID")]
    pub plan_id: Option<String>,
    /// Who asked.
    pub asked_by: By,
    /// The journey under which the animals come.
    #[serde(rename = "consignmentID")]
    pub consignment_id: Option<ConsignmentId>,
    /// When they set out, RFC 3339.
    pub departed_at: Option<String>,
    /// The record that filled the place, where the coordination named one.
    pub filled_by: Option<RecordRef>,
    /// An alarm: a step was recorded for the centre by telephone, and it has not confirmed it yet.
    pub unconfirmed: bool,
    /// Its steps, oldest first.
    pub steps: Vec<Step>,
    /// The act that asked.
    #[serde(rename = "openedBy")]
    pub opened: i64,
}

impl Reservation {
    /// What an act makes of the reservation that it names; `None` for an act of another family.
    pub(crate) fn after(before: Option<Self>, sealed: &StoredAct) -> Result<Option<Self>> {
        let (mut reservation, reason, on_behalf_of) = match (&sealed.act, before) {
            (Act::ReservationAsked(asked), _) => {
                let opened = Self {
                    reservation_id: asked.reservation_id.clone(),
                    state: ReservationState::Asked,
                    centre_id: asked.centre_id.clone(),
                    unit_id: asked.unit_id.clone(),
                    individual_count: asked.individual_count,
                    scientific_name: asked.scientific_name.clone(),
                    from_id: asked.from_id.clone(),
                    deadline: asked.deadline.clone(),
                    expected_at: asked.expected_at.clone(),
                    request: asked.request.clone(),
                    plan_id: asked.plan_id.clone(),
                    asked_by: asked.by.clone(),
                    consignment_id: None,
                    departed_at: None,
                    filled_by: None,
                    unconfirmed: false,
                    steps: Vec::new(),
                    opened: sealed.sequence,
                };
                (opened, None, None)
            }
            (act, before) => {
                let Some(id) = named(act) else { return Ok(None) };
                let mut reservation = before.ok_or_else(|| {
                    StoreError::bug(format!("act {} names no reservation: {id}", sealed.sequence))
                })?;
                let (reason, behalf) = reservation.apply(act);
                (reservation, reason, behalf)
            }
        };
        reservation.steps.push(Step {
            kind: sealed.act.kind().to_owned(),
            known_from: instant_text(sealed.known_from),
            by: sealed.act.by().clone(),
            on_behalf_of,
            reason,
        });
        Ok(Some(reservation))
    }

    /// Applies a later step; gives its reason and for whom it was recorded.
    fn apply(&mut self, act: &Act) -> (Option<String>, Option<OnBehalfOf>) {
        match act {
            Act::ReservationPromised(promised) => {
                self.state = ReservationState::Promised;
                self.consignment_id = Some(promised.consignment_id.clone());
                self.unconfirmed |= promised.on_behalf_of.is_some();
                (None, promised.on_behalf_of.clone())
            }
            Act::ReservationConfirmed(_) => {
                self.unconfirmed = false;
                (None, None)
            }
            Act::ReservationRefused(refused) => {
                self.state = ReservationState::Refused;
                self.unconfirmed |= refused.on_behalf_of.is_some();
                (Some(refused.reason.clone()), refused.on_behalf_of.clone())
            }
            Act::ReservationDeparted(departed) => {
                self.departed_at = Some(departed.departed_at.clone());
                (None, departed.on_behalf_of.clone())
            }
            Act::ReservationCancelled(cancelled) => {
                self.state = ReservationState::Cancelled;
                (Some(cancelled.reason.clone()), cancelled.on_behalf_of.clone())
            }
            Act::ReservationFilled(filled) => {
                self.filled_by = Some(filled.record.clone());
                (None, None)
            }
            _ => (None, None),
        }
    }

    /// Puts it where it can be found.
    pub(crate) async fn write(&self, on: &impl ConnectionTrait) -> Result<()> {
        run_with(
            on,
            "INSERT INTO reservation (reservation_id, state, centre_id, from_id, asked_by, consignment_id, opened, \
             canonical) VALUES ($1, $2, $3, $4, $5, $6, $7, $8) ON CONFLICT (reservation_id) DO UPDATE SET \
             state = excluded.state, consignment_id = excluded.consignment_id, canonical = excluded.canonical"
                .to_owned(),
            vec![
                self.reservation_id.as_str().into(),
                self.state.as_str().into(),
                self.centre_id.as_str().into(),
                self.from_id.as_ref().map(ToString::to_string).into(),
                self.asked_by.party_id.as_ref().map(ToString::to_string).into(),
                self.consignment_id.as_ref().map(ToString::to_string).into(),
                self.opened.into(),
                Value::from(serde_json_canonicalizer::to_string(self)?),
            ],
        )
        .await?;
        Ok(())
    }
}

/// The reservation that an act names.
pub(crate) fn named(act: &Act) -> Option<&str> {
    match act {
        Act::ReservationAsked(act) => Some(&act.reservation_id),
        Act::ReservationPromised(act) => Some(&act.reservation_id),
        Act::ReservationConfirmed(act) => Some(&act.reservation_id),
        Act::ReservationRefused(act) => Some(&act.reservation_id),
        Act::ReservationDeparted(act) => Some(&act.reservation_id),
        Act::ReservationCancelled(act) => Some(&act.reservation_id),
        Act::ReservationFilled(act) => Some(&act.reservation_id),
        Act::ConfigurationLoaded(_) | Act::SignedOff(_) | Act::FindingAccepted(_) | Act::Redaction(_) => None,
    }
}

/// Takes the projection of an act: used when a step is sealed and when all are made anew.
pub(crate) async fn project(on: &impl ConnectionTrait, sealed: &StoredAct) -> Result<Option<Reservation>> {
    let Some(id) = named(&sealed.act) else { return Ok(None) };
    let before = super::read(on, id).await?;
    let after = Reservation::after(before, sealed)?;
    if let Some(reservation) = &after {
        reservation.write(on).await?;
    }
    Ok(after)
}

/// Forgets them all, before they are made anew.
pub(crate) async fn clear(on: &impl ConnectionTrait) -> Result<()> {
    run(on, "DELETE FROM reservation", []).await?;
    Ok(())
}

pub(crate) fn stored(row: &QueryResult) -> Result<Reservation> {
    Ok(serde_json::from_str(&row.try_get::<String>("", "canonical")?)?)
}

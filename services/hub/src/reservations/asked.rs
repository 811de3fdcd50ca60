//! What is asked to be kept, and whether it is still free.

use haulout_placement::view::{Occupant, RegionView};
use haulout_placement::{Request, options, room_left};
use haulout_reckoning::Micros;
use haulout_schemas::text::{LocalId, PartyId, ScientificName};
use haulout_store::clock::instant_of;
use haulout_store::{Ask, ErrorKind, RoomState, StoreError};
use schemars::JsonSchema;
use serde::Deserialize;
use serde_json::{Value, json};

use crate::options::{instant, region_view};
use crate::web::{Problem, codes};

/// How long a centre has to answer where the request does not say (common practice).
const ANSWER_WITHIN_MINUTES: u32 = 120;
/// Places in one request at most.
const PLACES: usize = 500;
/// Alternatives told to the loser of a race.
const ALTERNATIVES: usize = 5;

/// Places to be kept, all or none.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Keep {
    /// The places.
    pub places: Vec<PlaceToKeep>,
    /// The plan that they are part of.
    #[serde(default, rename = "planID")]
    pub plan_id: Option<String>,
}

/// One option that is to be kept.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct PlaceToKeep {
    /// The request as it was sent for options.
    pub request: Request,
    /// The centre of the option.
    #[serde(rename = "centreID")]
    pub centre_id: PartyId,
    /// The unit of the option.
    #[serde(rename = "unitID")]
    pub unit_id: LocalId,
    /// Minutes that the centre has to answer; 120 unless given.
    #[serde(default)]
    pub answer_within_minutes: Option<u32>,
    /// When the animals should arrive, RFC 3339 with an offset.
    #[serde(default)]
    pub expected_at: Option<String>,
}

impl Keep {
    /// The asks, as the store takes them.
    ///
    /// # Errors
    /// A problem that names the place at fault.
    pub(super) fn asks(&self, now: Micros) -> Result<Vec<Ask>, Problem> {
        if self.places.is_empty() || self.places.len() > PLACES {
            return Err(Problem::new(&codes::BAD_VALUE, format!("name 1 to {PLACES} places"))
                .at("#/places", "none, or too many"));
        }
        self.places.iter().enumerate().map(|(at, place)| self.ask(place, at, now)).collect()
    }

    fn ask(&self, place: &PlaceToKeep, at: usize, now: Micros) -> Result<Ask, Problem> {
        let expected_at = match &place.expected_at {
            None => None,
            Some(text) => Some(instant_of(text).ok_or_else(|| {
                Problem::new(
                    &codes::BAD_VALUE,
                    format!("`{text}` is no instant; write 2026-07-02T06:30:00+05:30"),
                )
                .at(format!("#/places/{at}/expectedAt"), "no RFC 3339 instant")
            })?),
        };
        let minutes = place.answer_within_minutes.unwrap_or(ANSWER_WITHIN_MINUTES);
        let request = serde_json::to_value(&place.request).map_err(|error| {
            Problem::new(&codes::INTERNAL, "the request could not be kept").because(error)
        })?;
        let from = place.request.from.place_id.clone();
        Ok(Ask {
            centre_id: place.centre_id.clone(),
            unit_id: Some(place.unit_id.clone()),
            individual_count: place.request.individual_count,
            scientific_name: ScientificName::from(place.request.scientific_name.as_str()),
            from_id: from.map(PartyId::from),
            deadline: now + i64::from(minutes) * 60_000_000,
            expected_at,
            request,
            plan_id: self.plan_id.clone(),
        })
    }
}

/// Whether every place is still an option with room, each judged with those before it kept. What is
/// not is told with the best alternatives.
pub(super) fn is_free(state: &RoomState, places: &[PlaceToKeep]) -> Result<(), Value> {
    let mut view = region_view(state);
    let at = instant(state).map_err(|problem| problem.to_json())?;
    let configuration = &state.configuration;
    for place in places {
        let request = &place.request;
        let answer = options(&view, request, &configuration.profiles, &configuration.names, at);
        let lawful = answer
            .options
            .iter()
            .chain(&answer.waived)
            .any(|option| option.centre_id == place.centre_id.as_str());
        let unit = (place.centre_id.as_str(), place.unit_id.as_str());
        let room = room_left(&view, request, &configuration.profiles, &configuration.names, at, unit);
        let has_room = room.as_ref().is_some_and(|room| room.heads >= request.individual_count);
        if !lawful || !has_room {
            let excluded = answer.excluded.iter().find(|centre| centre.centre_id == place.centre_id.as_str());
            let reason = excluded.map(|centre| centre.reason.clone()).or(room.map(|room| room.because));
            let reason =
                reason.unwrap_or_else(|| format!("{} has no unit {}", place.centre_id, place.unit_id));
            let alternatives: Vec<_> = answer.options.into_iter().take(ALTERNATIVES).collect();
            return Err(
                json!({ "requestID": request.request_id, "reason": reason, "alternatives": alternatives }),
            );
        }
        occupy(&mut view, place);
    }
    Ok(())
}

fn occupy(view: &mut RegionView, place: &PlaceToKeep) {
    let request = &place.request;
    let unit = view
        .units
        .iter_mut()
        .find(|unit| unit.centre_id == place.centre_id.as_str() && unit.unit_id == place.unit_id.as_str());
    if let Some(unit) = unit {
        unit.reserved.push(Occupant {
            organism_id: request.organism_id.clone(),
            lot_id: request.lot_id.clone(),
            reservation_id: Some(request.request_id.clone()),
            scientific_name: request.scientific_name.clone(),
            individual_count: request.individual_count,
            length: request.length.clone(),
            sex: request.sex,
            life_stage: request.life_stage,
            batch_id: request.batch_id.clone(),
        });
    }
}

/// A lost race, with the alternatives that were told.
pub(super) fn refused(error: StoreError) -> Problem {
    match (error.kind(), error.detail().cloned()) {
        (ErrorKind::Conflict, Some(detail)) => {
            let reason = detail.get("reason").and_then(Value::as_str).unwrap_or_default();
            Problem::new(&codes::PLACE_TAKEN, format!("{error}: {reason}")).with_all(detail)
        }
        _ => error.into(),
    }
}

//! What is asked to be kept: one place, or the places of a plan.

use haulout_placement::Request;
use haulout_placement::plan::Plan;
use haulout_reckoning::Micros;
use haulout_schemas::text::{LocalId, PartyId, ScientificName};
use haulout_store::clock::{instant_of, instant_text};
use haulout_store::{Ask, RoomState};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use crate::web::body::parse;
use crate::web::{Problem, codes};

/// How long a centre has to answer where the request does not say (common practice).
const ANSWER_WITHIN_MINUTES: u32 = 120;
/// Places in one request at most.
const PLACES: usize = 500;

/// One place, or the places of a plan.
#[derive(Debug, JsonSchema)]
#[serde(untagged)]
pub enum Keeping {
    /// Several places, all or none.
    Plan(Keep),
    /// One place.
    One(Box<PlaceToKeep>),
}

/// Places to be kept, all or none.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Keep {
    /// The places.
    pub places: Vec<PlaceToKeep>,
    /// The plan that they are part of.
    #[serde(default, rename = "planID")]
    pub plan_id: Option<String>,
    /// The instant, RFC 3339, at which the region stood as the places were chosen. Where something
    /// has been written since, the answer says so. Every place is checked again in any case.
    #[serde(default)]
    pub as_of: Option<String>,
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

/// On which state of the region the places were chosen, and on which they were checked.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Basis {
    /// The instant at which the region stood as the places were chosen.
    as_of: String,
    /// Stamp of the newest entry of the journal when they were checked.
    newest_entry: String,
    /// Whether something was written in between.
    stale: bool,
    /// Places that were checked again, each by itself.
    checked_again: usize,
    /// The same in a sentence.
    sentence: String,
}

impl Keeping {
    /// Reads the body: whoever names `places`, or a plan, means several.
    ///
    /// # Errors
    /// A problem with the place where it stops fitting.
    pub fn read(body: &RawValue) -> Result<Self, Problem> {
        let several = serde_json::from_str::<serde_json::Value>(body.get())
            .is_ok_and(|value| value.get("places").is_some() || value.get("planID").is_some());
        let bytes = body.get().as_bytes();
        if several { parse(bytes).map(Self::Plan) } else { parse(bytes).map(Self::One) }
    }

    /// The places.
    pub fn into_keep(self) -> Keep {
        match self {
            Self::Plan(keep) => keep,
            Self::One(place) => Keep { places: vec![*place], plan_id: None, as_of: None },
        }
    }
}

impl Keep {
    /// The places of a plan: each assignment is a part of its request.
    pub fn of_plan(plan_id: &str, requests: &[Request], plan: &Plan) -> Self {
        let places = plan.assignments.iter().filter_map(|one| {
            let request = requests.iter().find(|request| request.request_id == one.request_id)?;
            Some(PlaceToKeep {
                request: Request { individual_count: one.individual_count, ..request.clone() },
                centre_id: PartyId::from(one.centre_id.as_str()),
                unit_id: LocalId::from(one.unit_id.as_str()),
                answer_within_minutes: None,
                expected_at: None,
            })
        });
        Self {
            places: places.collect(),
            plan_id: Some(plan_id.to_owned()),
            as_of: Some(plan.at.to_rfc3339()),
        }
    }

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
        if place.request.individual_count == 0 {
            return Err(Problem::new(&codes::BAD_VALUE, "a place for no animal cannot be kept")
                .at(format!("#/places/{at}/request/individualCount"), "less than 1"));
        }
        let expected_at = match &place.expected_at {
            None => None,
            Some(text) => Some(stamp(text, &format!("#/places/{at}/expectedAt"))?),
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
            deadline: now.saturating_add(i64::from(minutes) * 60_000_000),
            expected_at,
            request,
            plan_id: self.plan_id.clone(),
        })
    }

    /// On what the places were chosen, where the request says it.
    ///
    /// # Errors
    /// A problem where the instant cannot be read or has not come yet.
    pub(super) fn basis(&self, state: &RoomState) -> Result<Option<Basis>, Problem> {
        let Some(as_of) = &self.as_of else { return Ok(None) };
        let chosen = stamp(as_of, "#/asOf")?;
        if chosen > state.now.max(state.newest) {
            return Err(Problem::new(
                &codes::NOT_YET_KNOWN,
                format!("`{as_of}` has not come yet; give the instant that the plan itself names"),
            )
            .at("#/asOf", "in the future"));
        }
        let stale = chosen < state.newest;
        let checked = self.places.len();
        let sentence = if stale {
            format!(
                "The places were chosen as the region stood at {as_of}, and more has been written since: \
                 each of the {checked} was checked again by itself."
            )
        } else {
            format!(
                "Nothing has been written since the places were chosen; each of the {checked} was checked again."
            )
        };
        Ok(Some(Basis {
            as_of: as_of.clone(),
            newest_entry: instant_text(state.newest),
            stale,
            checked_again: checked,
            sentence,
        }))
    }
}

fn stamp(text: &str, pointer: &str) -> Result<Micros, Problem> {
    instant_of(text).ok_or_else(|| {
        Problem::new(&codes::BAD_VALUE, format!("`{text}` is no instant; write 2026-07-02T06:30:00+05:30"))
            .at(pointer, "no RFC 3339 instant")
    })
}

//! Alarms: what somebody has to see to about kept places and journeys.
//!
//! They are worked out when read and never stored, from the records that count, the acts and the
//! hub's time; so a standstill that comes into force speaks to every promise and every journey at once.

mod counted;
mod rules;
mod standstill;
mod watch;
pub mod words;

use actix_web::{HttpResponse, get, web};
use haulout_schemas::envelope::RecordRef;
use haulout_store::ReservationFilter;
use schemars::{JsonSchema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

pub use rules::{ALL as RULES, UNCONFIRMED};
pub use watch::Watch;

use crate::hub::Hub;
use crate::web::caller::SeeCentres;
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(list);
}

/// Types of this subject.
pub(super) fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Alarms>();
}

/// Something that somebody has to see to about a kept place or a journey.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Alarm {
    /// Code of the rule; `/v1/rules/{code}` says what it means and how to mend it.
    pub code: &'static str,
    /// `critical`, `major` or `minor`.
    pub severity: &'static str,
    /// What is wrong, in one sentence.
    pub sentence: String,
    /// The kept place.
    #[serde(rename = "reservationID", skip_serializing_if = "Option::is_none")]
    pub reservation_id: Option<String>,
    /// The journey.
    #[serde(rename = "consignmentID", skip_serializing_if = "Option::is_none")]
    pub consignment_id: Option<String>,
    /// The centres and points that it concerns.
    #[serde(rename = "placeIDs")]
    pub place_ids: Vec<String>,
    /// Since when, RFC 3339 in UTC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since: Option<String>,
    /// The records that it rests on.
    pub records: Vec<RecordRef>,
}

/// Alarms, the gravest first.
#[derive(Debug, Serialize, JsonSchema)]
struct Alarms {
    /// All that the caller may see.
    alarms: Vec<Alarm>,
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Which {
    /// With this code.
    code: Option<String>,
    /// That concern this centre or point.
    #[serde(rename = "placeID")]
    #[param(rename = "placeID")]
    place_id: Option<String>,
}

/// What somebody has to see to about kept places and journeys, the gravest first: a standstill that
/// forbids a move, a count or a housing that leaves no room, animals overdue, steps recorded by
/// telephone that the centre has not confirmed. Worked out as it is read; a centre sees its own.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(Which),
    responses((status = 200, description = "The alarms", body = ref("#/components/schemas/Alarms"))))]
#[get("/v1/alarms")]
async fn list(hub: web::Data<Hub>, caller: Caller<SeeCentres>, which: web::Query<Which>) -> Answer {
    if let Some(code) = which.code.as_deref().filter(|code| RULES.iter().all(|rule| rule.code != *code)) {
        let known: Vec<&str> = RULES.iter().map(|rule| rule.code).collect();
        return Err(Problem::new(
            &codes::BAD_QUERY,
            format!("there is no alarm `{code}`; the alarms are {}", known.join(", ")),
        )
        .at("code", "no such alarm"));
    }
    let scope = caller.scope();
    let filter = ReservationFilter { to_watch: true, ..ReservationFilter::default() };
    let watched = hub.store.reservations(&scope, &filter, u64::from(u32::MAX)).await?;
    let watch = Watch::whole(&hub, &watched).await?;
    let mut alarms: Vec<Alarm> = watched.iter().flat_map(|one| watch.alarms_of(one)).collect();
    alarms.extend(watch.on_the_road_unkept(&scope));
    alarms.retain(|alarm| {
        which.code.as_deref().is_none_or(|code| alarm.code == code)
            && which.place_id.as_ref().is_none_or(|place| alarm.place_ids.contains(place))
    });
    let rank = |alarm: &Alarm| RULES.iter().position(|rule| rule.code == alarm.code);
    let grave = |alarm: &Alarm| RULES.iter().find(|rule| rule.code == alarm.code).map(|rule| rule.severity);
    alarms.sort_by_cached_key(|alarm| {
        (grave(alarm), rank(alarm), alarm.reservation_id.clone(), alarm.consignment_id.clone())
    });
    Ok(HttpResponse::Ok().json(Alarms { alarms }))
}

//! Kept places and their steps.
//!
//! A place is granted inside the store's own transaction, on the state read there, by the same rules
//! that found it: two requests cannot both get the last one. Whoever is too late already is told so
//! before the lock, so that a crowd does not queue for what is gone.

pub mod alarms;
mod asked;
mod free;
mod steps;
pub mod views;

use actix_web::{HttpRequest, HttpResponse, get, post, web};
use haulout_store::{By, ReservationFilter, ReservationNow, RoomState};
use schemars::{JsonSchema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use serde_json::{Value, json};
use std::sync::Arc;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::options::{Assembled, instant, room, with_custody};
use crate::records::conditional;
use crate::web::body::Json;
use crate::web::caller::{Place, SeeCentres};
use crate::web::{Answer, Caller, Problem, codes, paging};
use alarms::{Alarm, Watch};
use asked::{Basis, Keeping, PlaceToKeep};
use free::NoLonger;

pub use asked::Keep;

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(keep).service(list).service(read);
    steps::routes(config);
    alarms::routes(config);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Keeping>();
    generator.subschema_for::<Reservations>();
    generator.subschema_for::<ReservationShown>();
    generator.subschema_for::<NoLonger>();
    steps::schemas(generator);
    alarms::schemas(generator);
}

/// A reservation as it stands, with what is wrong about it now.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReservationShown {
    /// As it stands.
    #[serde(flatten)]
    pub now: ReservationNow,
    /// What somebody has to see to, worked out as it is read.
    pub alarms: Vec<Alarm>,
}

/// Kept places.
#[derive(Debug, Serialize, JsonSchema)]
struct Reservations {
    /// As they stand now.
    reservations: Vec<ReservationShown>,
    /// On which state of the region they were chosen and checked, where the request said it.
    #[serde(skip_serializing_if = "Option::is_none")]
    basis: Option<Basis>,
}

/// Reservations with their alarms.
///
/// # Errors
/// A problem where the database cannot be read.
pub async fn shown(hub: &Hub, reservations: Vec<ReservationNow>) -> Result<Vec<ReservationShown>, Problem> {
    let watch = Watch::over(hub, &reservations).await?;
    Ok(reservations.into_iter().map(|now| ReservationShown { alarms: watch.alarms_of(&now), now }).collect())
}

/// One reservation with its alarms.
///
/// # Errors
/// As [`shown`].
async fn shown_one(hub: &Hub, reservation: ReservationNow) -> Result<ReservationShown, Problem> {
    shown(hub, vec![reservation]).await?.pop().ok_or_else(|| {
        Problem::new(&codes::INTERNAL, "the hub failed").because("a reservation was lost on its way out")
    })
}

/// Keeps one place, or the places of a plan, all or none. Every place is checked again on the region
/// as it stands under the lock, whatever it was when the place was chosen. Where one is no longer
/// free nothing is kept: 409 says of each such place why, with the best alternatives now.
#[utoipa::path(tag = "reservations", security(("token" = [])),
    request_body(content((ref("#/components/schemas/Keeping") = "application/json"))),
    responses((status = 201, description = "Kept until the centre answers", body = ref("#/components/schemas/Reservations")),
        (status = 409, description = "A place is no longer free, and none was kept; `noLonger` says of each why, with the best alternatives now")))]
#[post("/v1/reservations")]
async fn keep(hub: web::Data<Hub>, caller: Caller<Place>, body: Json<Box<RawValue>>) -> Answer {
    let keep = Keeping::read(&body.0)?.into_keep();
    let (reservations, basis) = kept(&hub, caller.who.by(), keep).await?;
    Ok(HttpResponse::Created().json(Reservations { reservations, basis }))
}

/// Keeps places, all or none, and tells how they stand.
///
/// # Errors
/// A problem that names every place that is not free, with the best alternatives.
pub async fn kept(
    hub: &Hub,
    by: By,
    mut asked: Keep,
) -> Result<(Vec<ReservationShown>, Option<Basis>), Problem> {
    let seen = room(hub).await?;
    for place in &mut asked.places {
        place.request = with_custody(&seen, place.request.clone());
    }
    let basis = asked.basis(&seen)?;
    let asks = asked.asks(seen.now)?;
    let view = hub.views.of(&seen);
    let at = instant(&seen)?;
    let mut gone = hub.answering.install(|| free::not_free(&view, &seen.configuration, at, &asked.places));
    let mut now = None;
    if gone.is_empty() {
        let checked_again = |state: &RoomState| -> Result<(), Value> {
            if state.newest == seen.newest {
                return Ok(());
            }
            let at = instant(state).map_err(|problem| problem.to_json())?;
            gone = hub.answering.install(|| {
                // Of the centres asked about only, so it is none of the views that are kept.
                let mut assembled = Assembled::default();
                assembled.move_on(state);
                free::not_free(&assembled.seen().view, &state.configuration, at, &asked.places)
            });
            if gone.is_empty() { Ok(()) } else { Err(Value::Null) }
        };
        match hub.store.keep(by, asks, checked_again).await {
            Ok(kept) => return Ok((shown(hub, kept).await?, basis)),
            Err(error) if gone.is_empty() => return Err(error.into()),
            // Somebody was faster: the alternatives are those of a region that has moved on.
            Err(_) => now = Some(room(hub).await?),
        }
    }
    Err(lost(hub, now.unwrap_or(seen), asked.places, gone, basis).await?)
}

/// The answer to who came too late.
async fn lost(
    hub: &Hub,
    now: RoomState,
    places: Vec<PlaceToKeep>,
    gone: Vec<NoLonger>,
    basis: Option<Basis>,
) -> Result<Problem, Problem> {
    let view = hub.views.of(&now);
    let (at, configuration) = (instant(&now)?, now.configuration);
    let asked = places.len();
    let threads = Arc::clone(&hub.answering);
    let looked_for = web::block(move || {
        threads.install(|| free::with_alternatives(&view, &configuration, at, &places, gone))
    });
    let gone = looked_for.await.map_err(|error| {
        Problem::new(&codes::BUSY, "the hub has too much to do at the moment").because(error)
    })?;
    let first = gone.first();
    let reason = first.map(|one| one.reason.clone()).unwrap_or_default();
    let detail = if asked == 1 {
        format!("the place is not free as things stand now: {reason}")
    } else {
        let place = first.map(|one| format!("{} of {}", one.unit_id, one.centre_id)).unwrap_or_default();
        let count = gone.len();
        format!(
            "{count} of {asked} places are not free as things stand now, so none was kept; {place}: {reason}"
        )
    };
    let alternatives = json!(first.map(|one| &one.alternatives));
    let mut problem = Problem::new(&codes::PLACE_TAKEN, detail)
        .with("reason", json!(reason))
        .with("alternatives", alternatives)
        .with("noLonger", json!(gone));
    if let Some(basis) = basis {
        problem = problem.with("basis", json!(basis));
    }
    Ok(problem)
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Which {
    /// At this centre.
    #[serde(rename = "centreID")]
    #[param(rename = "centreID")]
    centre_id: Option<String>,
    /// `true`: only those that are neither taken, lapsed, refused nor cancelled.
    open: Option<bool>,
    /// Entries, 1 to 1000; 100 unless given.
    limit: Option<u32>,
}

/// Lists kept places as they stand, newest first, with their alarms. A centre sees its own.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(Which),
    responses((status = 200, description = "The places", body = ref("#/components/schemas/Reservations"))))]
#[get("/v1/reservations")]
async fn list(hub: web::Data<Hub>, caller: Caller<SeeCentres>, which: web::Query<Which>) -> Answer {
    let filter = ReservationFilter {
        centre: which.centre_id.clone(),
        open: which.open.unwrap_or_default(),
        ..ReservationFilter::default()
    };
    let limit = u64::from(paging::limit(which.limit)?);
    let reservations = hub.store.reservations(&caller.scope(), &filter, limit).await?;
    let reservations = shown(&hub, reservations).await?;
    Ok(HttpResponse::Ok().json(Reservations { reservations, basis: None }))
}

/// One kept place, with its steps and alarms.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(("reservationID" = String, Path, description = "Its number")),
    responses((status = 200, description = "The place", body = ref("#/components/schemas/ReservationShown")), (status = 304, description = "You have it already")))]
#[get("/v1/reservations/{reservationID}")]
async fn read(
    hub: web::Data<Hub>,
    caller: Caller<SeeCentres>,
    request: HttpRequest,
    id: web::Path<String>,
) -> Answer {
    let reservation = hub.store.reservation(&caller.scope(), &id).await?;
    conditional(&request, &shown_one(&hub, reservation).await?)
}

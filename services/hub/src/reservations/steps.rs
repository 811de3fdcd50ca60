//! The steps of a kept place. The centre answers; the coordination may record its answer by
//! telephone, naming office and channel, and the centre confirms later.

use actix_web::{HttpResponse, post, web};
use haulout_schemas::RecordRef;
use haulout_store::clock::instant_of;
use haulout_store::{OnBehalfOf, Role};
use schemars::{JsonSchema, SchemaGenerator};
use serde::Deserialize;
use utoipa_actix_web::service_config::ServiceConfig;

use super::shown_one;
use crate::hub::Hub;
use crate::web::body::Json;
use crate::web::caller::{AnswerReservations, Place};
use crate::web::{Answer, Caller, Problem, codes};

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(promise).service(confirm).service(refuse).service(depart).service(cancel).service(fill);
}

pub(super) fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Step>();
    generator.subschema_for::<Reasoned>();
    generator.subschema_for::<Departure>();
    generator.subschema_for::<Filled>();
}

/// A step, by the centre itself or on its behalf.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Step {
    /// Whose word it is, where the coordination records it.
    #[serde(default)]
    on_behalf_of: Option<OnBehalfOf>,
}

/// A step with its reason.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Reasoned {
    /// Why.
    reason: String,
    /// Whose word it is, where the coordination records it.
    #[serde(default)]
    on_behalf_of: Option<OnBehalfOf>,
}

/// A departure.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Departure {
    /// When they set out, RFC 3339 with an offset; now unless given.
    #[serde(default)]
    departed_at: Option<String>,
    /// Whose word it is, where the coordination records it.
    #[serde(default)]
    on_behalf_of: Option<OnBehalfOf>,
}

/// The record that filled the place.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Filled {
    /// A receipt, rescue or clutch.
    record: RecordRef,
}

/// The centre promises the place; the answer names the consignment under which the animals travel.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(("reservationID" = String, Path, description = "Its number")),
    request_body(content((ref("#/components/schemas/Step") = "application/json"))),
    responses((status = 200, description = "Promised", body = ref("#/components/schemas/ReservationShown")), (status = 409, description = "Not as things stand")))]
#[post("/v1/reservations/{reservationID}/promise")]
async fn promise(
    hub: web::Data<Hub>,
    caller: Caller<AnswerReservations>,
    id: web::Path<String>,
    body: Json<Step>,
) -> Answer {
    answers_for(&hub, &caller, &id, body.0.on_behalf_of.as_ref()).await?;
    let promised =
        hub.store.promise(caller.who.by(), std::slice::from_ref(&*id), body.0.on_behalf_of).await?;
    match promised.into_iter().next() {
        Some(promised) => Ok(HttpResponse::Ok().json(shown_one(&hub, promised).await?)),
        None => {
            Err(Problem::new(&codes::INTERNAL, "the hub failed")
                .because("a promise gave no reservation back"))
        }
    }
}

/// The centre confirms what the coordination recorded for it.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(("reservationID" = String, Path, description = "Its number")),
    responses((status = 200, description = "Confirmed", body = ref("#/components/schemas/ReservationShown")), (status = 409, description = "Nothing to confirm")))]
#[post("/v1/reservations/{reservationID}/confirmation")]
async fn confirm(hub: web::Data<Hub>, caller: Caller<AnswerReservations>, id: web::Path<String>) -> Answer {
    let reservation = hub.store.reservation(&caller.scope(), &id).await?.reservation;
    if caller.who.party.as_ref() != Some(&reservation.centre_id) {
        return Err(Problem::new(
            &codes::NOT_YOURS,
            format!("only {} itself can confirm", reservation.centre_id),
        ));
    }
    let confirmed = hub.store.confirm(caller.who.by(), &id).await?;
    Ok(HttpResponse::Ok().json(shown_one(&hub, confirmed).await?))
}

/// The centre refuses the place.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(("reservationID" = String, Path, description = "Its number")),
    request_body(content((ref("#/components/schemas/Reasoned") = "application/json"))),
    responses((status = 200, description = "Refused", body = ref("#/components/schemas/ReservationShown")), (status = 409, description = "Not as things stand")))]
#[post("/v1/reservations/{reservationID}/refusal")]
async fn refuse(
    hub: web::Data<Hub>,
    caller: Caller<AnswerReservations>,
    id: web::Path<String>,
    body: Json<Reasoned>,
) -> Answer {
    answers_for(&hub, &caller, &id, body.0.on_behalf_of.as_ref()).await?;
    let refused = hub.store.refuse(caller.who.by(), &id, body.0.reason, body.0.on_behalf_of).await?;
    Ok(HttpResponse::Ok().json(shown_one(&hub, refused).await?))
}

/// The animals set out.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(("reservationID" = String, Path, description = "Its number")),
    request_body(content((ref("#/components/schemas/Departure") = "application/json"))),
    responses((status = 200, description = "Under way", body = ref("#/components/schemas/ReservationShown")), (status = 409, description = "Not as things stand")))]
#[post("/v1/reservations/{reservationID}/departure")]
async fn depart(
    hub: web::Data<Hub>,
    caller: Caller<AnswerReservations>,
    id: web::Path<String>,
    body: Json<Departure>,
) -> Answer {
    let at = match &body.0.departed_at {
        None => hub.store.now().await?,
        Some(text) => instant_of(text).ok_or_else(|| {
            Problem::new(
                &codes::BAD_VALUE,
                format!("`{text}` is no instant; write 2026-07-02T06:30:00+05:30"),
            )
            .at("#/departedAt", "no RFC 3339 instant")
        })?,
    };
    hub.store.reservation(&caller.scope(), &id).await?;
    let departed = hub.store.depart(caller.who.by(), &id, at, body.0.on_behalf_of).await?;
    Ok(HttpResponse::Ok().json(shown_one(&hub, departed).await?))
}

/// The place is given up.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(("reservationID" = String, Path, description = "Its number")),
    request_body(content((ref("#/components/schemas/Reasoned") = "application/json"))),
    responses((status = 200, description = "Given up", body = ref("#/components/schemas/ReservationShown")), (status = 409, description = "Not as things stand")))]
#[post("/v1/reservations/{reservationID}/cancellation")]
async fn cancel(
    hub: web::Data<Hub>,
    caller: Caller<Place>,
    id: web::Path<String>,
    body: Json<Reasoned>,
) -> Answer {
    let given_up = hub.store.cancel(caller.who.by(), &id, body.0.reason, body.0.on_behalf_of).await?;
    Ok(HttpResponse::Ok().json(shown_one(&hub, given_up).await?))
}

/// The coordination names the record that filled the place.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(("reservationID" = String, Path, description = "Its number")),
    request_body(content((ref("#/components/schemas/Filled") = "application/json"))),
    responses((status = 200, description = "Taken", body = ref("#/components/schemas/ReservationShown")), (status = 409, description = "Not as things stand")))]
#[post("/v1/reservations/{reservationID}/fulfilment")]
async fn fill(
    hub: web::Data<Hub>,
    caller: Caller<Place>,
    id: web::Path<String>,
    body: Json<Filled>,
) -> Answer {
    let filled = hub.store.fill(caller.who.by(), &id, body.0.record).await?;
    Ok(HttpResponse::Ok().json(shown_one(&hub, filled).await?))
}

/// A centre answers for itself; the coordination only by naming on whose word.
async fn answers_for(
    hub: &Hub,
    caller: &Caller<AnswerReservations>,
    id: &str,
    on_behalf_of: Option<&OnBehalfOf>,
) -> Result<(), Problem> {
    let reservation = hub.store.reservation(&caller.scope(), id).await?.reservation;
    match (caller.who.role, on_behalf_of) {
        (Role::Coordinator, None) => Err(Problem::new(
            &codes::BAD_VALUE,
            format!(
                "say on whose word {} answers: `onBehalfOf` with office and channel",
                reservation.centre_id
            ),
        )
        .at("#/onBehalfOf", "missing")),
        (Role::Coordinator, Some(_)) => Ok(()),
        _ if caller.who.party.as_ref() == Some(&reservation.centre_id) => Ok(()),
        _ => Err(Problem::new(
            &codes::NOT_YOURS,
            format!("only {} can answer for this place", reservation.centre_id),
        )),
    }
}

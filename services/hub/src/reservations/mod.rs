//! Kept places and their steps.
//!
//! A place is granted inside the store's own transaction, on the state read there, by the same rules
//! that found it: two requests cannot both get the last one.

mod asked;
mod steps;

use actix_web::{HttpRequest, HttpResponse, get, post, web};
use haulout_store::{ReservationFilter, ReservationNow};
use schemars::{JsonSchema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::options::with_custody;
use crate::records::conditional;
use crate::web::body::Json;
use crate::web::caller::{Place, SeeCentres};
use crate::web::{Answer, Caller, paging};
use asked::Keep;

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(keep).service(list).service(read);
    steps::routes(config);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Keep>();
    generator.subschema_for::<Reservations>();
    steps::schemas(generator);
}

/// Kept places.
#[derive(Debug, Serialize, JsonSchema)]
struct Reservations {
    /// As they stand now.
    reservations: Vec<ReservationNow>,
}

/// Keeps places, all or none. The loser of a race gets 409 with the best alternatives now.
#[utoipa::path(tag = "reservations", security(("token" = [])),
    request_body(content((ref("#/components/schemas/Keep") = "application/json"))),
    responses((status = 201, description = "Kept until the centre answers", body = ref("#/components/schemas/Reservations")),
        (status = 409, description = "A place is no longer free; `alternatives` holds the best ones now")))]
#[post("/v1/reservations")]
async fn keep(hub: web::Data<Hub>, caller: Caller<Place>, body: Json<Keep>) -> Answer {
    let state = crate::options::room(&hub).await?;
    let mut keep = body.0;
    for place in &mut keep.places {
        place.request = with_custody(&state, place.request.clone());
    }
    let asks = keep.asks(state.now)?;
    let kept = hub.store.keep(caller.who.by(), asks, |state| asked::is_free(state, &keep.places)).await;
    match kept {
        Ok(reservations) => Ok(HttpResponse::Created().json(Reservations { reservations })),
        Err(error) => Err(asked::refused(error)),
    }
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

/// Lists kept places as they stand, newest first. A centre sees its own.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(Which),
    responses((status = 200, description = "The places", body = ref("#/components/schemas/Reservations"))))]
#[get("/v1/reservations")]
async fn list(hub: web::Data<Hub>, caller: Caller<SeeCentres>, which: web::Query<Which>) -> Answer {
    let filter = ReservationFilter {
        centre: which.centre_id.clone(),
        consignment: None,
        open: which.open.unwrap_or_default(),
    };
    let limit = u64::from(paging::limit(which.limit)?);
    let reservations = hub.store.reservations(&caller.scope(), &filter, limit).await?;
    Ok(HttpResponse::Ok().json(Reservations { reservations }))
}

/// One kept place, with its steps.
#[utoipa::path(tag = "reservations", security(("token" = [])), params(("reservationID" = String, Path, description = "Its number")),
    responses((status = 200, description = "The place", body = ref("#/components/schemas/ReservationNow")), (status = 304, description = "You have it already")))]
#[get("/v1/reservations/{reservationID}")]
async fn read(
    hub: web::Data<Hub>,
    caller: Caller<SeeCentres>,
    request: HttpRequest,
    id: web::Path<String>,
) -> Answer {
    conditional(&request, &hub.store.reservation(&caller.scope(), &id).await?)
}

//! The demonstration's calendar.

use actix_web::{HttpResponse, post, web};
use haulout_store::clock::{instant_of, instant_text};
use schemars::{JsonSchema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::web::body::Json;
use crate::web::caller::Operate;
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(set);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Now>();
}

/// An instant.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Now {
    /// RFC 3339 with an offset.
    now: String,
}

/// Sets a demonstration's calendar forward. Never back, and only in a database made with
/// `--demo-clock`.
#[utoipa::path(tag = "operation", security(("token" = [])),
    request_body(content((ref("#/components/schemas/Now") = "application/json"))),
    responses((status = 200, description = "Where it stands", body = ref("#/components/schemas/Now")), (status = 409, description = "It never goes back")))]
#[post("/v1/demo/clock")]
async fn set(hub: web::Data<Hub>, _: Caller<Operate>, body: Json<Now>) -> Answer {
    let instant = instant_of(&body.0.now).ok_or_else(|| {
        Problem::new(&codes::BAD_VALUE, "`now` is no instant; write 2026-07-02T01:20:00+05:30")
            .at("#/now", "no RFC 3339 instant")
    })?;
    hub.store.set_demo_clock(instant).await?;
    Ok(HttpResponse::Ok().json(Now { now: instant_text(hub.store.now().await?) }))
}

//! For machines that watch: alive, ready, figures.

use actix_web::http::header::CONTENT_TYPE;
use actix_web::{HttpResponse, get, web};
use schemars::{JsonSchema, SchemaGenerator};
use serde::Serialize;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::web::Answer;

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(healthz).service(readyz).service(metrics);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Health>();
}

/// How the hub is.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
struct Health {
    /// `alive` or `ready`.
    status: &'static str,
    /// Version of this software.
    release: &'static str,
    /// True in a database whose calendar is set by hand.
    demonstration: bool,
}

impl Health {
    fn of(hub: &Hub, status: &'static str) -> HttpResponse {
        HttpResponse::Ok().json(Self {
            status,
            release: env!("CARGO_PKG_VERSION"),
            demonstration: hub.store.is_demonstration(),
        })
    }
}

/// The process is alive, whatever its database does.
#[utoipa::path(tag = "operation", responses((status = 200, description = "Alive", body = ref("#/components/schemas/Health"))))]
#[get("/healthz")]
async fn healthz(hub: web::Data<Hub>) -> HttpResponse {
    Health::of(&hub, "alive")
}

/// The hub can serve: its database answers.
#[utoipa::path(tag = "operation", responses((status = 200, description = "Ready", body = ref("#/components/schemas/Health"))))]
#[get("/readyz")]
async fn readyz(hub: web::Data<Hub>) -> Answer {
    hub.store.ping().await?;
    Ok(Health::of(&hub, "ready"))
}

/// Figures in the text format of Prometheus.
#[utoipa::path(tag = "operation", responses((status = 200, description = "Figures", content_type = "text/plain", body = String)))]
#[get("/metrics")]
async fn metrics(hub: web::Data<Hub>) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header((CONTENT_TYPE, "text/plain; version=0.0.4; charset=utf-8"))
        .body(hub.metrics.text())
}

//! The HTTP server: routes, layers, graceful stop.

use actix_web::dev::Server;
use actix_web::http::header::CONTENT_TYPE;
use actix_web::middleware::{Compress, from_fn};
use actix_web::{App, HttpResponse, HttpServer, web};
use schemars::SchemaGenerator;
use serde_json::Value;
use std::net::{SocketAddr, TcpListener};
use std::time::Duration;
use utoipa_actix_web::AppExt;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::docs::Description;
use crate::hub::Hub;
use crate::web::codes_page;
use crate::web::framework::{self, Addresses};
use crate::web::outermost::outermost;
use crate::{
    animals, centres, checks, clock, consignments, contacts, docs, findings, health, openapi, options, plans,
    records, reservations, rules, schemas, sessions, statements, submissions,
};

/// How long running requests may take to end after the signal to stop.
const LAST_REQUESTS_SECONDS: u64 = 30;

/// Every documented route, by subject.
fn routes(config: &mut ServiceConfig) {
    schemas::routes(config);
    codes_page::routes(config);
    rules::routes(config);
    checks::routes(config);
    submissions::routes(config);
    records::routes(config);
    animals::routes(config);
    options::routes(config);
    plans::routes(config);
    reservations::routes(config);
    consignments::routes(config);
    centres::routes(config);
    statements::routes(config);
    findings::routes(config);
    contacts::routes(config);
    sessions::routes(config);
    docs::routes(config);
    clock::routes(config);
    health::routes(config);
}

/// The types that operations refer to, by subject.
pub fn types(generator: &mut SchemaGenerator) {
    generator.subschema_for::<schemas::SchemaIndex>();
    submissions::schemas(generator);
    records::schemas(generator);
    animals::schemas(generator);
    options::schemas(generator);
    plans::schemas(generator);
    reservations::schemas(generator);
    consignments::schemas(generator);
    centres::schemas(generator);
    statements::schemas(generator);
    sessions::schemas(generator);
    clock::schemas(generator);
    health::schemas(generator);
}

/// The API's description.
pub fn description() -> Value {
    let (_, handlers) = App::new().into_utoipa_app().configure(routes).split_for_parts();
    openapi::complete(&handlers)
}

async fn favicon() -> HttpResponse {
    HttpResponse::NoContent().insert_header((CONTENT_TYPE, "image/svg+xml")).finish()
}

/// Starts to serve on a listening socket.
///
/// # Errors
/// When the socket cannot be used.
pub fn start(hub: web::Data<Hub>, listener: TcpListener) -> std::io::Result<(Server, SocketAddr)> {
    let address = listener.local_addr()?;
    let document = description();
    let addresses = web::Data::new(Addresses::of(&document));
    let described = web::Data::new(Description::of(&document));
    let server = HttpServer::new(move || {
        let (app, _) = App::new()
            .app_data(hub.clone())
            .app_data(described.clone())
            .app_data(addresses.clone())
            .configure(framework::extractors)
            .into_utoipa_app()
            .configure(routes)
            .split_for_parts();
        app.route("/favicon.ico", web::get().to(favicon))
            .default_service(web::to(framework::no_handler))
            .wrap(Compress::default())
            .wrap(from_fn(outermost))
    })
    .listen(listener)?
    .client_request_timeout(Duration::from_secs(15))
    .keep_alive(Duration::from_secs(75))
    .shutdown_timeout(LAST_REQUESTS_SECONDS)
    .disable_signals()
    .run();
    Ok((server, address))
}

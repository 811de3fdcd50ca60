//! People come in with login and password, and go out. Machines use tokens instead.

mod throttle;

use actix_web::http::header::{COOKIE as COOKIES, SET_COOKIE};
use actix_web::{HttpRequest, HttpResponse, delete, post, web};
use haulout_schemas::text::PartyId;
use haulout_store::Role;
use schemars::{JsonSchema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use utoipa_actix_web::service_config::ServiceConfig;

pub use throttle::Throttle;

use crate::hub::Hub;
use crate::web::body::Json;
use crate::web::{Answer, Problem, codes};

/// How long the cookie lasts, second: as long as the session, twelve hours.
const LASTS: u32 = 12 * 3600;
/// Name of the cookie; the prefix makes browsers hold it to this host and to TLS.
const COOKIE: &str = "__Host-haulout";

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(come_in).service(go_out);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Credentials>();
    generator.subschema_for::<Session>();
}

/// Login and password.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Credentials {
    /// An office or a pseudonym.
    login: String,
    /// The password.
    password: String,
}

/// Who came in.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
struct Session {
    /// An office or a pseudonym.
    login: String,
    /// What they may do.
    role: Role,
    /// The party that they act for.
    #[serde(rename = "partyID", skip_serializing_if = "Option::is_none")]
    party_id: Option<PartyId>,
}

/// Comes in: the answer sets a cookie that lasts twelve hours. Unknown logins and wrong passwords
/// are one answer and take the same time; after several failures a login must wait.
#[utoipa::path(tag = "operation", request_body(content((ref("#/components/schemas/Credentials") = "application/json"))),
    responses((status = 201, description = "Come in", body = ref("#/components/schemas/Session")), (status = 401, description = "Not let in"), (status = 429, description = "Wait as `Retry-After` says")))]
#[post("/v1/sessions")]
async fn come_in(hub: web::Data<Hub>, body: Json<Credentials>) -> Answer {
    let Credentials { login, password } = body.0;
    hub.throttle.may_try(&login)?;
    let Some(person) = hub.store.check_password(&login, &password).await? else {
        hub.throttle.failed(&login);
        return Err(Problem::new(&codes::LOGIN_FAILED, "no such login with this password is let in"));
    };
    hub.throttle.succeeded(&login);
    let secret = hub.store.start_session(&person.login).await?;
    let session = Session { login: person.login, role: person.role, party_id: person.party };
    Ok(HttpResponse::Created().insert_header((SET_COOKIE, cookie(&secret, LASTS))).json(session))
}

/// Goes out: the session ends at once.
#[utoipa::path(tag = "operation", responses((status = 204, description = "Gone out")))]
#[delete("/v1/sessions/current")]
async fn go_out(hub: web::Data<Hub>, request: HttpRequest) -> Answer {
    if let Some(secret) = secret(&request) {
        hub.store.end_session(&secret).await?;
    }
    Ok(HttpResponse::NoContent().insert_header((SET_COOKIE, cookie("", 0))).finish())
}

/// Out of reach of scripts and other sites; only over TLS, or to this very machine.
fn cookie(secret: &str, seconds: u32) -> String {
    format!("{COOKIE}={secret}; Path=/; Max-Age={seconds}; Secure; HttpOnly; SameSite=Lax")
}

/// The secret of the session that a request carries.
pub fn secret(request: &HttpRequest) -> Option<String> {
    let headers = request.headers().get_all(COOKIES).filter_map(|value| value.to_str().ok());
    let mut pairs = headers.flat_map(|value| value.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.find(|(name, secret)| *name == COOKIE && !secret.is_empty()).map(|(_, secret)| secret.to_owned())
}

//! Who asks, and with which right: a handler takes `Caller<Right>`, so a forgotten check does not
//! compile, and every query of the store takes the caller's [`Scope`].

use actix_web::dev::Payload;
use actix_web::http::header::{AUTHORIZATION, WWW_AUTHENTICATE};
use actix_web::web::Data;
use actix_web::{FromRequest, HttpMessage, HttpRequest};
use haulout_schemas::text::PartyId;
use haulout_store::{By, Presented, Role, Scope};
use std::future::Future;
use std::marker::PhantomData;
use std::pin::Pin;

use super::codes::{self, Code};
use super::outermost::AskedBy;
use super::problem::Problem;
use crate::hub::Hub;
use crate::sessions;

/// Something that a role may do.
pub trait Right: 'static {
    /// The right as a refusal names it.
    const NAME: &'static str;
    /// The roles that have it.
    const ROLES: &'static [Role];
}

macro_rules! rights {
    ($($(#[doc = $doc:literal])+ $name:ident = $words:literal, [$($role:ident),+];)+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy)]
        pub struct $name;
        impl Right for $name {
            const NAME: &'static str = $words;
            const ROLES: &'static [Role] = &[$(Role::$role),+];
        }
    )+};
}

rights! {
    /// Posting records of one's own.
    PostRecords = "post records", [Centre, Coordinator, Authority, Laboratory];
    /// Reading records: one's own, or the region's.
    ReadRecords = "read records", [Centre, Coordinator, Authority, Laboratory];
    /// Seeing who is there and what is free.
    SeeCentres = "see centres", [Centre, Coordinator, Authority];
    /// Finding places and keeping them.
    Place = "place animals", [Coordinator];
    /// Answering for a kept place: the centre itself, or the coordination on its behalf.
    AnswerReservations = "answer reservations", [Centre, Coordinator];
    /// Reading the account and what does not add up.
    ReadStatements = "read statements", [Centre, Coordinator, Authority];
    /// Signing a statement off: a centre its own part.
    SignOffStatements = "sign statements off", [Centre, Coordinator, Authority];
    /// Accepting a finding, with a reason.
    AcceptFindings = "accept findings", [Authority];
    /// People, tokens, the region file, the demonstration's calendar.
    Operate = "operate the hub", [Operator];
}

/// Who asks.
#[derive(Debug, Clone)]
pub struct Who {
    /// The token's id or the person's login: what the log and acts may name.
    pub id: String,
    /// Its role.
    pub role: Role,
    /// Its party.
    pub party: Option<PartyId>,
}

impl Who {
    /// What of the region the caller may see.
    pub fn scope(&self) -> Scope {
        match (self.role, &self.party) {
            (Role::Coordinator, _) => Scope::Region,
            (Role::Authority, _) => Scope::Authority,
            (Role::Centre | Role::Laboratory, Some(party)) => Scope::Party(party.clone()),
            _ => Scope::Public,
        }
    }

    /// As an act names it.
    pub fn by(&self) -> By {
        By { role: self.role, party_id: self.party.clone(), recorded_by: Some(self.id.clone()) }
    }

    /// The party that the caller writes for.
    ///
    /// # Errors
    /// A problem where the token names none.
    pub fn party(&self) -> Result<&PartyId, Problem> {
        self.party.as_ref().ok_or_else(|| {
            Problem::new(&codes::NOT_YOURS, "the token names no party to act for; an operator issues one with `haulout token issue --party ID`")
        })
    }
}

/// A caller with a right.
#[derive(Debug, Clone)]
pub struct Caller<R: Right> {
    /// Who asks.
    pub who: Who,
    right: PhantomData<R>,
}

impl<R: Right> Caller<R> {
    /// What of the region the caller may see.
    pub fn scope(&self) -> Scope {
        self.who.scope()
    }
}

impl<R: Right> FromRequest for Caller<R> {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let request = request.clone();
        Box::pin(async move {
            let who = who(&request).await?;
            request.extensions_mut().insert(AskedBy(who.id.clone()));
            if R::ROLES.contains(&who.role) {
                return Ok(Self { who, right: PhantomData });
            }
            let roles: Vec<&str> = R::ROLES.iter().map(|role| role.as_str()).collect();
            let (right, roles, role) = (R::NAME, roles.join(", "), who.role.as_str());
            let have = match R::ROLES {
                [_] => format!("role {roles} has"),
                _ => format!("roles {roles} have"),
            };
            Err(Problem::new(
                &codes::RIGHT_MISSING,
                format!("this needs the right to {right}, which the {have}; the token's role is {role}"),
            ))
        })
    }
}

async fn who(request: &HttpRequest) -> Result<Who, Problem> {
    let hub = request.app_data::<Data<Hub>>().cloned();
    let hub = hub.ok_or_else(|| {
        Problem::new(&codes::INTERNAL, "the hub failed").because("no hub in the application's data")
    })?;
    let header = request.headers().get(AUTHORIZATION);
    if header.is_none()
        && let Some(secret) = sessions::secret(request)
    {
        return person(request, &hub, &secret).await;
    }
    let header = header
        .ok_or_else(|| challenge(&codes::TOKEN_MISSING, "the request has no Authorization header", ""))?;
    let token = header.to_str().ok().and_then(bearer).ok_or_else(|| {
        challenge(
            &codes::TOKEN_MALFORMED,
            "the Authorization header is not `Bearer TOKEN` with a token of this hub",
            ", error=\"invalid_request\"",
        )
    })?;
    let refused = |code, detail| Err(challenge(code, detail, ", error=\"invalid_token\""));
    match hub.store.caller_of_token(token).await? {
        Presented::InForce(token) => Ok(Who { id: token.token_id, role: token.role, party: token.party }),
        Presented::Expired => refused(&codes::TOKEN_EXPIRED, "the token's time has ended"),
        Presented::Revoked => refused(&codes::TOKEN_REVOKED, "the token was taken back"),
        Presented::Unknown => refused(&codes::TOKEN_UNKNOWN, "no such token was issued here"),
    }
}

/// The person of a session. A browser says from where a request comes; what another site made it
/// send changes nothing here.
async fn person(request: &HttpRequest, hub: &Hub, secret: &str) -> Result<Who, Problem> {
    let from = request.headers().get("sec-fetch-site").and_then(|value| value.to_str().ok());
    if !request.method().is_safe() && !matches!(from, Some("same-origin" | "none")) {
        return Err(Problem::new(
            &codes::RIGHT_MISSING,
            "a change with a session's cookie must come from the hub's own pages; programs use a token",
        ));
    }
    match hub.store.person_of_session(secret).await? {
        Some(person) => Ok(Who { id: person.login, role: person.role, party: person.party }),
        None => Err(challenge(&codes::SESSION_ENDED, "the session has ended, or was ended", "")),
    }
}

/// The token of a header. The scheme's case does not matter (RFC 9110, section 11.1).
fn bearer(header: &str) -> Option<&str> {
    let (scheme, token) = header.split_once(' ')?;
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-' | b'.');
    (scheme.eq_ignore_ascii_case("bearer") && (16..=200).contains(&token.len()) && token.bytes().all(plain))
        .then_some(token)
}

fn challenge(code: &'static Code, detail: &str, error: &str) -> Problem {
    Problem::new(code, detail).with_header(WWW_AUTHENTICATE, format!("Bearer realm=\"haulout\"{error}"))
}

#[cfg(test)]
mod tests {
    use super::bearer;

    #[test]
    fn only_a_plain_token_is_looked_up() {
        assert_eq!(bearer("bearer hlt_0123456789abcdef"), Some("hlt_0123456789abcdef"));
        for wrong in [
            "",
            "Bearer",
            "Bearer ",
            "Bearer short",
            "Basic aGVsbG86d29ybGQhISEh",
            "Bearer \"hlt_0123456789abcdef\"",
            "Bearer a b0123456789abcdef",
        ] {
            assert_eq!(bearer(wrong), None, "{wrong}");
        }
    }
}

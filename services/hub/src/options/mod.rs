//! Options for one animal: the region as it stands, and where the animal may go.

mod centre;
mod coming;
mod floor;
mod view;

use actix_web::{HttpResponse, post, web};
use chrono::{DateTime, FixedOffset, Offset};
use haulout_placement::request::Custody;
use haulout_placement::{Fault, Options, Prepared, Request};
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::Known;
use haulout_store::RoomState;
use schemars::SchemaGenerator;
use utoipa_actix_web::service_config::ServiceConfig;

pub use view::{Assembled, Seen};

use crate::hub::Hub;
use crate::web::body::Json;
use crate::web::caller::Place;
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(for_one);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Request>();
    generator.subschema_for::<Options>();
}

/// Which centres can take an animal, best first, and why the others cannot.
///
/// Every centre appears once. What cannot be checked is not passed. An option says that no reason was
/// found against it; local codes and the licensed people on the spot decide.
#[utoipa::path(tag = "placements", security(("token" = [])),
    request_body(content((ref("#/components/schemas/Request") = "application/json"))),
    responses((status = 200, description = "Options and exclusions", body = ref("#/components/schemas/Options"))))]
#[post("/v1/placements/options")]
async fn for_one(hub: web::Data<Hub>, _: Caller<Place>, body: Json<Request>) -> Answer {
    let state = room(&hub).await?;
    let request = with_custody(&state, body.0);
    let at = instant(&state)?;
    let answered = web::block(move || answer(&hub, &state, &request, at));
    let answered = answered.await.map_err(|error| {
        Problem::new(&codes::BUSY, "the hub has too much to do at the moment").because(error)
    })?;
    Ok(HttpResponse::Ok().json(answered.map_err(faulty)?))
}

fn answer(
    hub: &Hub,
    state: &RoomState,
    request: &Request,
    at: DateTime<FixedOffset>,
) -> Result<Options, Vec<Fault>> {
    let seen = hub.views.seen(state);
    let faults = request.faults(&seen.view);
    if !faults.is_empty() {
        return Err(faults);
    }
    let (profiles, names) = (&state.configuration.profiles, &state.configuration.names);
    let prepared = Prepared::new(&seen.view, &seen.index, profiles, names);
    Ok(hub.answering.install(|| prepared.options(request, at)))
}

/// A request that holds what cannot be.
fn faulty(faults: Vec<Fault>) -> Problem {
    let problem = Problem::new(&codes::BAD_VALUE, "the request holds what cannot be; see `errors`");
    let told = |problem: Problem, fault: Fault| {
        problem.at(format!("#{}", fault.pointer), format!("{}; {}", fault.why, fault.mend))
    };
    faults.into_iter().fold(problem, told)
}

/// The region's room as it is now.
///
/// # Errors
/// A problem where no region file is loaded or the database cannot be read.
pub async fn room(hub: &Hub) -> Result<RoomState, Problem> {
    loop {
        let configuration = hub.store.configuration().await?;
        let Some(region) = &configuration.region else {
            return Err(Problem::new(
                &codes::STATE_CONFLICT,
                "no region file is loaded, so no centre is known; load one with `haulout region load FILE`",
            ));
        };
        let centres: Vec<PartyId> = region.centres().map(|party| party.party_id.clone()).collect();
        let state = hub.store.room_state(&centres).await?;
        // Another file that was loaded meanwhile may hold a centre that was not asked for.
        if state.configuration.sequence == configuration.sequence {
            return Ok(state);
        }
    }
}

/// The state's instant in the region's zone.
///
/// # Errors
/// A problem where it is outside the calendar.
pub fn instant(state: &RoomState) -> Result<DateTime<FixedOffset>, Problem> {
    let utc = DateTime::from_timestamp_micros(state.now).ok_or_else(|| {
        Problem::new(&codes::INTERNAL, "the hub failed").because("the clock is outside the calendar")
    })?;
    let local = utc.with_timezone(&state.configuration.zone());
    Ok(local.with_timezone(&Offset::fix(local.offset())))
}

/// What the records say of case property counts where the request is silent.
pub fn with_custody(state: &RoomState, mut request: Request) -> Request {
    if request.custody.is_none()
        && view::bound(state, request.organism_id.as_deref(), request.lot_id.as_deref()) == Known::Yes
    {
        request.custody = Some(Custody { case_property: Known::Yes, leave: None });
    }
    request
}

//! Who is there, and what is free.

use actix_web::{HttpRequest, get, web};
use haulout_placement::view::{Centre, RegionView, Unit};
use haulout_schemas::text::PartyId;
use haulout_store::Scope;
use schemars::{JsonSchema, SchemaGenerator};
use serde::Serialize;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::options::room;
use crate::records::conditional;
use crate::web::caller::SeeCentres;
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(list).service(one_centre).service(units_of);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Centres>();
    generator.subschema_for::<CentreNow>();
    generator.subschema_for::<Units>();
}

/// The centres that the caller may see.
#[derive(Debug, Serialize, JsonSchema)]
struct Centres {
    /// By identifier.
    centres: Vec<CentreNow>,
}

/// A centre as it stands.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
struct CentreNow {
    /// Licences, crews, arrivals of the day.
    #[serde(flatten)]
    centre: Centre,
    /// Its units, rows counted as stated.
    units: u32,
    /// Units in which nobody stands, is expected or has a place kept.
    empty_units: u32,
    /// Animals in its units, expected or with a place kept, and unhoused.
    occupied: u32,
}

/// The units of a centre as they stand.
#[derive(Debug, Serialize, JsonSchema)]
struct Units {
    /// By identifier.
    units: Vec<Unit>,
}

/// Lists the centres as they stand.
#[utoipa::path(tag = "centres", security(("token" = [])),
    responses((status = 200, description = "The centres", body = ref("#/components/schemas/Centres")), (status = 304, description = "You have them already")))]
#[get("/v1/centres")]
async fn list(hub: web::Data<Hub>, caller: Caller<SeeCentres>, request: HttpRequest) -> Answer {
    let view = hub.views.of(&room(&hub).await?);
    let seen = view.centres.iter().filter(|centre| sees(&caller.scope(), &centre.centre_id));
    conditional(&request, &Centres { centres: seen.map(|centre| now(&view, centre)).collect() })
}

/// One centre as it stands.
#[utoipa::path(tag = "centres", security(("token" = [])), params(("centreID" = String, Path, description = "Its identifier")),
    responses((status = 200, description = "The centre", body = ref("#/components/schemas/CentreNow")), (status = 304, description = "You have it already")))]
#[get("/v1/centres/{centreID}")]
async fn one_centre(
    hub: web::Data<Hub>,
    caller: Caller<SeeCentres>,
    request: HttpRequest,
    id: web::Path<String>,
) -> Answer {
    let view = hub.views.of(&room(&hub).await?);
    conditional(&request, &now(&view, find(&view, &caller, &id)?))
}

/// The units of a centre: what they are, who is in them, what is kept and what is free.
#[utoipa::path(tag = "centres", security(("token" = [])), params(("centreID" = String, Path, description = "The centre's identifier")),
    responses((status = 200, description = "The units", body = ref("#/components/schemas/Units")), (status = 304, description = "You have them already")))]
#[get("/v1/centres/{centreID}/units")]
async fn units_of(
    hub: web::Data<Hub>,
    caller: Caller<SeeCentres>,
    request: HttpRequest,
    id: web::Path<String>,
) -> Answer {
    let view = hub.views.of(&room(&hub).await?);
    let centre = find(&view, &caller, &id)?;
    let units = view.units.iter().filter(|unit| unit.centre_id == centre.centre_id).cloned().collect();
    conditional(&request, &Units { units })
}

fn find<'a>(view: &'a RegionView, caller: &Caller<SeeCentres>, id: &str) -> Result<&'a Centre, Problem> {
    let found = view.centres.iter().find(|centre| centre.centre_id == id && sees(&caller.scope(), id));
    found.ok_or_else(|| Problem::new(&codes::NOT_FOUND, "there is no such centre that you may see"))
}

/// A centre sees itself; the coordination and the authority see all.
fn sees(scope: &Scope, centre: &str) -> bool {
    match scope {
        Scope::Region | Scope::Authority => true,
        Scope::Party(party) => *party == PartyId::from(centre),
        Scope::Public => false,
    }
}

fn now(view: &RegionView, centre: &Centre) -> CentreNow {
    let units: Vec<&Unit> = view.units.iter().filter(|unit| unit.centre_id == centre.centre_id).collect();
    CentreNow {
        centre: centre.clone(),
        units: units.iter().map(|unit| unit.units).sum(),
        empty_units: units.iter().map(|unit| unit.standing_empty()).sum(),
        occupied: units.iter().map(|unit| unit.heads()).sum::<u32>()
            + centre.unhoused.iter().map(|one| one.individual_count).sum::<u32>(),
    }
}

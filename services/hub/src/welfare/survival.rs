//! How long released animals are known to live, by sightings.

use actix_web::{HttpRequest, get, web};
use haulout_reckoning::care::followed::released;
use haulout_schemas::Kind;
use haulout_store::{AsOf, EffectiveFilter, Scope};
use haulout_welfare::grounds::Grounds;
use haulout_welfare::release::survival::{CAUTION, curve};
use haulout_welfare::units::LEVEL;
use serde::Deserialize;
use serde_json::json;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::{answer_or_refusal, species};
use crate::hub::Hub;
use crate::records::{conditional, day_or_today};
use crate::web::caller::ReadRecords;
use crate::web::{Answer, Caller};

/// What tells of a release and of what came after it.
const KINDS: [Kind; 6] =
    [Kind::Release, Kind::Sighting, Kind::Mortality, Kind::Rescue, Kind::Marking, Kind::Link];

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// The species; an everyday name will do where it means only one.
    species: String,
    /// The last day considered; today unless given.
    through: Option<String>,
}

/// Survival of released animals of a species over all centres, after Kaplan and Meier, with intervals. An
/// animal not seen again is not dead: it leaves the count on its last sighting. Detection is not modelled,
/// and that limits what the curve can say. Only the curve leaves the hub, never who was seen where.
#[utoipa::path(tag = "welfare", security(("token" = [])), params(Question),
    responses((status = 200, description = "How many were followed, and the curve or why there is none", body = Object), (status = 304, description = "You have it already"), (status = 422, description = "No such species")))]
#[get("/v1/welfare/survival")]
async fn show(
    hub: web::Data<Hub>,
    _caller: Caller<ReadRecords>,
    request: HttpRequest,
    question: web::Query<Question>,
) -> Answer {
    let configuration = hub.store.configuration().await?;
    let profile = species(&configuration, &question.species)?;
    let through = day_or_today(&hub, "through", question.through.as_deref()).await?;
    let filter = EffectiveFilter { kinds: KINDS.to_vec(), ..EffectiveFilter::default() };
    let as_of = AsOf { known_at: None, through: Some(through) };
    // Only the curve leaves the hub, so every centre's animals may stand in it.
    let records = hub.store.effective(&Scope::Authority, as_of, &filter).await?;
    let told = released(&records, &profile.scientific_name, &configuration.names, through);
    let deaths = told.followed.iter().filter(|one| one.died).count();
    conditional(
        &request,
        &json!({
            "scientificName": profile.scientific_name, "through": through,
            "animals": told.followed.len(), "foundAgain": told.found_again, "deaths": deaths,
            "releasedWithoutNumber": told.without_number,
            "curve": answer_or_refusal(curve(&told.followed, LEVEL)),
            "caution": CAUTION,
            "grounds": Grounds::records("releases, sightings, deaths and readmissions as posted by all centres"),
        }),
    )
}

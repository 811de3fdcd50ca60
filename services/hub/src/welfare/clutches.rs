//! Hatch success of a centre's clutches.

use actix_web::{HttpRequest, get, web};
use haulout_reckoning::care::clutches::{Clutch, clutches};
use haulout_schemas::Kind;
use haulout_store::{AsOf, EffectiveFilter};
use haulout_welfare::eggs::success::{Outcome, success};
use haulout_welfare::grounds::Grounds;
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::answer_or_refusal;
use super::today::centre;
use crate::hub::Hub;
use crate::records::{conditional, day_or_today};
use crate::web::caller::SeeCentres;
use crate::web::{Answer, Caller};

const CAUTION: &str = "eggs of one clutch share a mother and a box, so the interval is narrower than it should be; eggs whose outcome is open may be alive: do not open or discard";

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// The last day considered; today unless given.
    through: Option<String>,
}

/// Hatch success of each clutch of a centre, and of all of a species, with its denominators side by side:
/// of the eggs whose outcome is known, and of all at least and at most.
#[utoipa::path(tag = "welfare", security(("token" = [])), params(("centreID" = String, Path, description = "The centre's identifier"), Question),
    responses((status = 200, description = "By clutch and by species, or why there is no figure", body = Object), (status = 304, description = "You have it already")))]
#[get("/v1/centres/{centreID}/clutches")]
async fn show(
    hub: web::Data<Hub>,
    caller: Caller<SeeCentres>,
    request: HttpRequest,
    id: web::Path<String>,
    question: web::Query<Question>,
) -> Answer {
    let configuration = hub.store.configuration().await?;
    let (_, place) = centre(&configuration, &caller.scope(), &id)?;
    let through = day_or_today(&hub, "through", question.through.as_deref()).await?;
    let filter = EffectiveFilter {
        places: vec![place.to_string()],
        kinds: vec![Kind::Clutch, Kind::Dispatch, Kind::Receipt],
        ..EffectiveFilter::default()
    };
    let as_of = AsOf { known_at: None, through: Some(through) };
    let records = hub.store.effective(&caller.scope(), as_of, &filter).await?;
    let found = clutches(&place, &records, &configuration.names, through);
    let mut sums: BTreeMap<&str, Outcome> = BTreeMap::new();
    for clutch in &found {
        let sum = sums.entry(&clutch.scientific_name).or_insert(Outcome { eggs: 0, hatched: 0, failed: 0 });
        sum.eggs = sum.eggs.saturating_add(clutch.outcome.eggs);
        sum.hatched = sum.hatched.saturating_add(clutch.outcome.hatched);
        sum.failed = sum.failed.saturating_add(clutch.outcome.failed);
    }
    let species: Vec<Value> = sums
        .iter()
        .map(|(name, outcome)| {
            json!({ "scientificName": name, "outcome": outcome, "success": answer_or_refusal(success(outcome)) })
        })
        .collect();
    conditional(
        &request,
        &json!({
            "centreID": place, "through": through, "clutches": found.iter().map(one).collect::<Vec<_>>(),
            "species": species, "caution": CAUTION,
            "grounds": Grounds::records("clutches and journeys of eggs as posted"),
        }),
    )
}

fn one(clutch: &Clutch) -> Value {
    json!({
        "lotID": clutch.lot_id, "scientificName": clutch.scientific_name, "since": clutch.since,
        "motherID": clutch.mother_id, "outcome": clutch.outcome,
        "success": answer_or_refusal(success(&clutch.outcome)),
    })
}

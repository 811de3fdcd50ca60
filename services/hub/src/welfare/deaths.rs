//! Deaths in a centre's care over a period.

use actix_web::{HttpRequest, get, web};
use haulout_reckoning::care::deaths::deaths;
use haulout_reckoning::findings::by_order;
use haulout_reckoning::{Key, Period};
use haulout_schemas::Kind;
use haulout_store::{AsOf, EffectiveFilter};
use haulout_welfare::grounds::Grounds;
use haulout_welfare::units::Share;
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::today::centre;
use crate::hub::Hub;
use crate::records::{conditional, day};
use crate::web::caller::SeeCentres;
use crate::web::{Answer, Caller, Problem, codes};

/// Days of a window unless asked otherwise: a week (a choice of this programme).
const WINDOW: u16 = 7;
/// Chance at or below which a window is told, after correction for all windows looked at (by convention).
const MOST: f64 = 0.05;
/// Longest period: ten years.
const LONGEST: i64 = 3660;
const CAUTION: &str = "a cluster is a question for the veterinarian, never a cause; the rate is that of the whole period, and every day is taken to have held as many animals as the others";

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// The centre.
    centre: String,
    /// First day.
    from: String,
    /// Last day.
    to: String,
    /// Days of a window, 1 to 90; 7 unless given.
    days: Option<u16>,
}

/// Deaths in a centre's care: how many of how many, with the exact interval; windows in a unit or a water
/// circuit with more deaths than the centre's own rate explains, corrected for the many looks; what the
/// necropsies found in them, and in the dead of each unit and water beside the others. A cluster is a
/// question for the veterinarian, never a cause.
#[utoipa::path(tag = "welfare", security(("token" = [])), params(Question),
    responses((status = 200, description = "Rate, clusters, necropsies", body = Object), (status = 304, description = "You have it already"), (status = 422, description = "Nobody was in care, or the window does not fit the period")))]
#[get("/v1/welfare/deaths")]
async fn show(
    hub: web::Data<Hub>,
    caller: Caller<SeeCentres>,
    request: HttpRequest,
    question: web::Query<Question>,
) -> Answer {
    let configuration = hub.store.configuration().await?;
    let (_, place) = centre(&configuration, &caller.scope(), &question.centre)?;
    let period = period(&question)?;
    let as_of = AsOf { known_at: None, through: Some(period.last) };
    let floor =
        EffectiveFilter { key: Some(Key::units(&place).as_str().to_owned()), ..EffectiveFilter::default() };
    let necropsies = EffectiveFilter {
        places: vec![place.to_string()],
        kinds: vec![Kind::Mortality, Kind::Capacity],
        ..EffectiveFilter::default()
    };
    let mut records = hub.store.effective(&caller.scope(), as_of, &floor).await?;
    // A necropsy of a death is often dated after the period.
    let beside = hub.store.effective(&caller.scope(), AsOf::NOW, &necropsies).await?;
    records.extend(beside);
    records.sort_by(|one, other| by_order(&one.record, &other.record));
    records.dedup();
    let (names, days) = (Arc::clone(&configuration.names), question.days.unwrap_or(WINDOW));
    let most = Share::new(MOST)?;
    let found = web::block(move || deaths(&place, &records, &names, &period, days, most)).await;
    let found = found.map_err(|error| {
        Problem::new(&codes::BUSY, "the hub has too much to do at the moment").because(error)
    })??;
    conditional(
        &request,
        &json!({
            "centreID": question.centre, "from": question.from, "to": question.to, "windowDays": days,
            "deaths": found, "caution": CAUTION, "grounds": Grounds::records("deaths, stays and necropsies as posted"),
        }),
    )
}

fn period(question: &Question) -> Result<Period, Problem> {
    let (first, last) = (day("from", &question.from)?, day("to", &question.to)?);
    let length = (last - first).num_days() + 1;
    if (1..=LONGEST).contains(&length) {
        let text = format!("{first}..{last}");
        return Period::parse(&text).map_err(|error| Problem::new(&codes::BAD_QUERY, error.to_string()));
    }
    Err(Problem::new(&codes::BAD_QUERY, "a period has from 1 day to ten years; give the first day first")
        .at("to", "before `from`, or too far from it"))
}

//! Who shared water or crate with an animal, a lot, a unit, a centre or the cases of a disease.

use actix_web::{HttpResponse, get, web};
use haulout_reckoning::findings::Held;
use haulout_reckoning::tracing::{DEPTH, Question, Start, WINDOW_DAYS, svg, trace};
use haulout_schemas::text::{LotId, OrganismId, PartyId};
use haulout_store::{AsOf, EffectiveFilter};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::web::caller::SeeCentres;
use crate::web::{Answer, Caller, Problem, codes};

/// Removes that may be asked for.
const MOST_REMOVES: u32 = 10;
/// Days of a window that may be asked for: two years.
const LONGEST_WINDOW: u32 = 730;

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(traced);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Asked {
    /// One animal, by its number.
    animal: Option<String>,
    /// One lot, by its number.
    lot: Option<String>,
    /// One unit, as `PLACE/UNIT`.
    unit: Option<String>,
    /// One centre or holding point.
    centre: Option<String>,
    /// An agent of disease: every necropsy and positive result that names it.
    agent: Option<String>,
    /// The day of the first sign; that of the first confirmed case unless given.
    #[param(value_type = Option<String>)]
    sign_day: Option<chrono::NaiveDate>,
    /// Days before the sign from which it may have carried, 0 to 730; 30 unless given.
    days: Option<u32>,
    /// Removes to follow, 0 to 10; 3 unless given.
    depth: Option<u32>,
    /// The last day considered; today unless given.
    #[param(value_type = Option<String>)]
    through: Option<chrono::NaiveDate>,
    /// `json` or `svg`.
    format: Option<String>,
}

/// From one animal, lot, unit, centre or disease: who shared water or crate with it and when, where they
/// are now, and which units to close; as a list, or as a picture. A centre's answer rests on the records
/// that it may see, the coordination's and the authority's on all.
#[utoipa::path(tag = "records", security(("token" = [])), params(Asked),
    responses((status = 200, description = "Sources, exposed, crates, proposed closings, lanes; or an SVG picture")))]
#[get("/v1/tracing")]
async fn traced(hub: web::Data<Hub>, caller: Caller<SeeCentres>, asked: web::Query<Asked>) -> Answer {
    let asked = asked.into_inner();
    let picture = match asked.format.as_deref() {
        None | Some("json") => false,
        Some("svg") => true,
        Some(other) => {
            return Err(Problem::new(
                &codes::NOT_ACCEPTABLE,
                format!("format `{other}` cannot be made here; possible: json, svg"),
            ));
        }
    };
    let through = match asked.through {
        Some(day) => day,
        None => hub.today().await?,
    };
    let question = Question {
        start: start(&asked)?,
        sign_day: asked.sign_day,
        window_days: within("days", asked.days.unwrap_or(WINDOW_DAYS), LONGEST_WINDOW)?,
        depth: within("depth", asked.depth.unwrap_or(DEPTH), MOST_REMOVES)?,
        through,
    };
    let as_of = AsOf { known_at: None, through: Some(through) };
    let records = hub.store.effective(&caller.scope(), as_of, &EffectiveFilter::default()).await?;
    let configuration = hub.store.configuration().await?;
    // Seconds of work for a large region: beside the requests that others wait for.
    let names = configuration.names.clone();
    let found = web::block(move || {
        let held = Held::through(&records, &names, question.through);
        trace(&held, &names, &question)
    })
    .await
    .map_err(|error| Problem::new(&codes::BUSY, "the hub has too much to do at the moment").because(error))?;
    // An empty answer to a slip of the pen would read as "nobody was exposed".
    if found.sources.iter().all(|source| source.records.is_empty() && source.now.is_empty()) {
        return Err(Problem::new(
            &codes::NOT_FOUND,
            format!(
                "no record that you may see, dated through {through}, tells of what the tracing should start from; check how it is written"
            ),
        ));
    }
    Ok(if picture {
        HttpResponse::Ok().content_type("image/svg+xml").body(svg(&found))
    } else {
        HttpResponse::Ok().json(&found)
    })
}

/// The one start that was asked for.
fn start(asked: &Asked) -> Result<Start, Problem> {
    let unit = asked.unit.as_deref().map(|text| {
        text.split_once('/')
            .filter(|(place, unit)| !place.is_empty() && !unit.is_empty())
            .map(|(place, unit)| Start::Unit { place_id: PartyId::from(place), unit_id: unit.to_owned() })
            .ok_or_else(|| {
                Problem::new(&codes::BAD_QUERY, "a unit is named with its place, as `meruva.desharu/DR1`")
                    .at("unit", "not PLACE/UNIT")
            })
    });
    let mut starts: Vec<Start> = [
        asked.animal.as_deref().map(|id| Start::Animal(OrganismId::from(id))),
        asked.lot.as_deref().map(|id| Start::Lot(LotId::from(id))),
        unit.transpose()?,
        asked.centre.as_deref().map(|id| Start::Centre(PartyId::from(id))),
        asked.agent.clone().map(Start::Disease),
    ]
    .into_iter()
    .flatten()
    .collect();
    match (starts.pop(), starts.is_empty()) {
        (Some(start), true) => Ok(start),
        _ => Err(Problem::new(
            &codes::BAD_QUERY,
            "tracing starts from one thing: give one of animal, lot, unit, centre, agent",
        )),
    }
}

fn within(name: &str, value: u32, most: u32) -> Result<u32, Problem> {
    if value <= most {
        Ok(value)
    } else {
        Err(Problem::new(&codes::BAD_QUERY, format!("{name} is at most {most}")).at(name, "too large"))
    }
}

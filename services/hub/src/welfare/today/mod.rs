//! What is due at a centre on a day, from what it posts anyway.

mod page;

use actix_web::{HttpRequest, get, web};
use chrono::{Days, NaiveDate};
use haulout_placement::view::Settings;
use haulout_reckoning::care::{Asked, CARE_DAYS, Today, today};
use haulout_reckoning::region::Role;
use haulout_reckoning::{Effective, Key, Region, World};
use haulout_schemas::Kind;
use haulout_schemas::text::PartyId;
use haulout_store::{AsOf, Configuration, EffectiveFilter, Scope};
use haulout_welfare::refusal::Refusal;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::sync::Arc;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::records::{conditional, day_or_today};
use crate::web::caller::SeeCentres;
use crate::web::etag::{self, Keep};
use crate::web::negotiation::{self, Format};
use crate::web::{Answer, Caller, Problem, codes};

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// The day, `2026-07-20`; today unless given.
    at: Option<String>,
    /// `json` or `html`.
    format: Option<String>,
}

/// What is due at a centre on a day: bindings, quarantine and what is wanting before it may end, eggs,
/// water and heat where the rules fit, the census, a day's food by type. Each line says where, since when
/// and what it rests on; what could not be computed is told with its reason. As JSON, or as a page that
/// prints on A4. It is made of what was posted: the animals and the veterinarian stand above it.
#[utoipa::path(tag = "welfare", security(("token" = [])), params(("centreID" = String, Path, description = "The centre's identifier"), Question),
    responses((status = 200, description = "Overdue, due, due tomorrow, not due and why; food; what could not be computed", body = Object), (status = 304, description = "You have it already")))]
#[get("/v1/centres/{centreID}/today")]
async fn show(
    hub: web::Data<Hub>,
    caller: Caller<SeeCentres>,
    request: HttpRequest,
    id: web::Path<String>,
    question: web::Query<Question>,
) -> Answer {
    let format = negotiation::choose(&request, question.format.as_deref(), &[Format::Json, Format::Html])?;
    let configuration = hub.store.configuration().await?;
    let (region, centre) = centre(&configuration, &caller.scope(), &id)?;
    let at = day_or_today(&hub, "at", question.at.as_deref()).await?;
    let records = read(&hub, &caller.scope(), &centre, AsOf { known_at: None, through: Some(at) }).await?;
    let none = records.is_empty();
    let (held, here, place) = (Arc::clone(&configuration), Arc::clone(&region), centre.clone());
    // A large centre is seconds of work: beside the requests that others wait for.
    let told = web::block(move || due(&held, &here, &place, at, &records)).await;
    let mut told = told.map_err(|error| {
        Problem::new(&codes::BUSY, "the hub has too much to do at the moment").because(error)
    })?;
    if none {
        let first = hub.store.effective(&caller.scope(), AsOf::NOW, &of_place(&centre)).await?;
        let first = first.iter().map(|one| one.record.envelope.event_date.day()).min();
        told.unknown.push(before_the_first(&id, at, first));
    }
    if format == Format::Html {
        let name = region.party(&centre).map_or(id.as_str(), |party| party.name.as_str());
        let page = page::page(&told, name, &region.name).into_string().into_bytes();
        return Ok(etag::answer(&request, format.media_type(), Keep::Private, page));
    }
    conditional(&request, &told)
}

/// What is due by the records of a centre.
fn due(
    configuration: &Configuration,
    region: &Region,
    centre: &PartyId,
    at: NaiveDate,
    records: &[Arc<Effective>],
) -> Today {
    let world = World {
        evaluated_through: at,
        settings: &configuration.settings,
        names: &configuration.names,
        profiles: &configuration.profiles,
        region,
    };
    let seasons = Settings::default();
    today(&Asked {
        centre,
        at,
        records,
        world: &world,
        cool_months: &seasons.cool_months,
        dry_months: &seasons.dry_months,
    })
}

/// A centre of the region that the caller may see.
///
/// # Errors
/// A problem where there is none.
pub(super) fn centre(
    configuration: &Configuration,
    scope: &Scope,
    id: &str,
) -> Result<(Arc<Region>, PartyId), Problem> {
    let centre = PartyId::from(id);
    let region = configuration.region.clone();
    region
        .filter(|region| region.role(&centre) == Some(Role::Centre) && scope.sees_party(id))
        .map(|region| (region, centre))
        .ok_or_else(|| Problem::new(&codes::NOT_FOUND, "there is no such centre that you may see"))
}

fn of_place(centre: &PartyId) -> EffectiveFilter {
    EffectiveFilter { places: vec![centre.to_string()], ..EffectiveFilter::default() }
}

/// What counts of the centre: all kinds, of the long row of its rounds only the last weeks, and the links
/// that concern its stock.
async fn read(
    hub: &Hub,
    scope: &Scope,
    centre: &PartyId,
    as_of: AsOf,
) -> Result<Vec<Arc<Effective>>, Problem> {
    let kinds = Kind::ALL.iter().copied().filter(|kind| *kind != Kind::Care).collect();
    let since = as_of.through.and_then(|day| day.checked_sub_days(Days::new(CARE_DAYS)));
    let rounds = EffectiveFilter { kinds: vec![Kind::Care], from: since, ..of_place(centre) };
    let floor =
        EffectiveFilter { key: Some(Key::units(centre).as_str().to_owned()), ..EffectiveFilter::default() };
    let mut records =
        hub.store.effective(scope, as_of, &EffectiveFilter { kinds, ..of_place(centre) }).await?;
    records.extend(hub.store.effective(scope, as_of, &rounds).await?);
    let mut known: BTreeSet<(String, String)> = records.iter().map(|one| name(one)).collect();
    for one in hub.store.effective(scope, as_of, &floor).await? {
        if known.insert(name(&one)) {
            records.push(one);
        }
    }
    records.sort_by(|one, other| haulout_reckoning::findings::by_order(&one.record, &other.record));
    Ok(records)
}

fn name(one: &Effective) -> (String, String) {
    let frame = &one.record.envelope;
    (frame.author_id.to_string(), frame.record_id.to_string())
}

fn before_the_first(centre: &str, at: NaiveDate, first: Option<NaiveDate>) -> Refusal {
    let what = format!("what is due at {centre} on {at}");
    match first {
        Some(first) => Refusal::new(
            "before-first-record",
            what,
            format!("the centre's first record is of {first}"),
            "ask for that day or a later one",
        ),
        None => Refusal::new(
            "no-records",
            what,
            "the centre has posted nothing yet",
            "post its units, its opening census and its nights",
        ),
    }
}

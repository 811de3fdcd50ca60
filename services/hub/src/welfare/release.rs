//! One animal before its release: the gate by its records; and after it: when to look, when it was seen.

use actix_web::{HttpRequest, get, web};
use chrono::NaiveDate;
use haulout_reckoning::care::freed::freed;
use haulout_reckoning::care::release::{Candidate, Site, candidates, last_place, leads_to, own_numbers};
use haulout_reckoning::findings::{Held, by_order};
use haulout_reckoning::{Effective, Key};
use haulout_schemas::text::{OrganismId, PartyId};
use haulout_schemas::vocabulary::Known;
use haulout_schemas::{Body, Kind};
use haulout_store::{AsOf, Configuration, EffectiveFilter, Scope};
use haulout_welfare::grounds::Grounds;
use haulout_welfare::refusal::Refusal;
use haulout_welfare::release::gate::{SiteSeen, gate};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::sync::Arc;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::{answer_or_refusal, word};
use crate::hub::Hub;
use crate::records::{conditional, day, day_or_today};
use crate::web::caller::ReadRecords;
use crate::web::{Answer, Caller, Problem, codes};

/// Rounds in which numbers, lots, cases and marks that records name are followed.
const ROUNDS: usize = 8;

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// The planned day, `2026-09-22`; today unless given.
    on: Option<String>,
    /// The day on which the site was assessed; no record has a field for it.
    site_assessed: Option<String>,
    /// Whether its habitat is fit for the species: `yes`, `no`, `unknown`.
    habitat: Option<String>,
    /// Whether the same or a related species lives there, or did: `yes`, `no`, `unknown`.
    species_history: Option<String>,
    /// Whether it lies in the basin that the animal comes from: `yes`, `no`, `unknown`.
    basin_of_origin: Option<String>,
    /// Whether the day lies in the season for it: `yes`, `no`, `unknown`.
    in_season: Option<String>,
}

/// Before a release: each point of the checklist as the records of the animal tell it, what is missing and
/// who must supply it; site and season, for which records have no field, as they are told with the
/// question. After it: the days on which to look for the animal, and its sightings. All points met is no
/// permission: the competent authority decides.
#[utoipa::path(tag = "welfare", security(("token" = [])),
    params(("organismID" = String, Path, description = "`partyID:number` or a UUID"), Question),
    responses((status = 200, description = "The gate, or what follows a release", body = Object), (status = 304, description = "You have it already")))]
#[get("/v1/animals/{organismID}/release-gate")]
async fn show(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    id: web::Path<String>,
    question: web::Query<Question>,
) -> Answer {
    let animal = OrganismId(id.into_inner());
    let on = day_or_today(&hub, "on", question.on.as_deref()).await?;
    let site = site(&question)?;
    let configuration = hub.store.configuration().await?;
    let as_of = AsOf { known_at: None, through: Some(on) };
    let seen = under(&hub, &caller.scope(), &Key::animal(&animal), AsOf::NOW).await?;
    if seen.is_empty() {
        return Err(Problem::new(&codes::NOT_FOUND, "no record that you may see speaks of this animal"));
    }
    let records = life(&hub, &animal, &configuration, as_of).await?;
    let held = Held::through(&records, &configuration.names, on);
    let own = own_numbers(&animal, &held);
    let name = named(&records, &own);
    let mut told = json!({ "organismID": animal, "scientificName": name, "on": on });
    match freed(&own, &records, on) {
        Ok(None) => {}
        Ok(Some(free)) => {
            told["released"] = json!(free);
            return conditional(&request, &told);
        }
        Err(refusal) => return Err(refusal.into()),
    }
    told["gate"] =
        asked_of(&hub, &animal, name.as_deref(), on, &held, &records, site, &configuration).await?;
    told["grounds"] = json!(Grounds::records(
        "fitness is the newest word on fitness to travel; disease the newest sample of each agent, seen by a veterinarian since; site and season as told with the question"
    ));
    conditional(&request, &told)
}

/// The gate of one animal, or why there is none.
#[allow(clippy::too_many_arguments, reason = "one caller, and each is one thing that was read")]
async fn asked_of(
    hub: &Hub,
    animal: &OrganismId,
    name: Option<&str>,
    on: NaiveDate,
    held: &Held,
    records: &[Arc<Effective>],
    site: Site,
    configuration: &Configuration,
) -> Result<Value, Problem> {
    let refuse = |code, why: &str, mend: &str| {
        let refusal = Refusal::new(code, format!("release of {animal}"), why, mend);
        Ok(answer_or_refusal::<Value>(Err(refusal)))
    };
    let (Some(name), Some(place)) = (name, last_place(animal, records)) else {
        return refuse(
            "before-first-record",
            "no record tells by that day of what it is and where",
            "ask for a later day",
        );
    };
    let Some(profile) = configuration.names.profile(name) else {
        return refuse(
            "no-profile",
            "no profile is known for its name",
            "determine the species, or state its profile in the region file",
        );
    };
    let Some(world) = configuration.world(on) else {
        return refuse("no-region", "no region file is loaded", "load one with `haulout region load FILE`");
    };
    let permits = permits(hub, &place, on).await?;
    let wanted = candidates(&Candidate {
        animal,
        place: &place,
        scientific_name: name,
        on,
        records,
        held,
        permits: &permits,
        site,
        world: &world,
    });
    Ok(answer_or_refusal(gate(profile, &wanted)))
}

async fn under(hub: &Hub, scope: &Scope, key: &Key, as_of: AsOf) -> Result<Vec<Arc<Effective>>, Problem> {
    let filter = EffectiveFilter { key: Some(key.as_str().to_owned()), ..EffectiveFilter::default() };
    Ok(hub.store.effective(scope, as_of, &filter).await?)
}

/// What is known of an animal, of its other numbers, of the lots that it comes from, of its cases and marks.
/// Whoever may see the animal may know which papers it has, whoever wrote them.
async fn life(
    hub: &Hub,
    animal: &OrganismId,
    configuration: &Configuration,
    as_of: AsOf,
) -> Result<Vec<Arc<Effective>>, Problem> {
    let mut keys: BTreeSet<Key> = BTreeSet::new();
    let mut wanted = BTreeSet::from([Key::animal(animal)]);
    let mut records: Vec<Arc<Effective>> = Vec::new();
    for _ in 0..ROUNDS {
        for key in &wanted {
            for one in under(hub, &Scope::Region, key, as_of).await? {
                if !records.contains(&one) {
                    records.push(one);
                }
            }
        }
        keys.append(&mut wanted);
        let through = as_of.through.unwrap_or(NaiveDate::MAX);
        let held = Held::through(&records, &configuration.names, through);
        wanted = leads_to(animal, &held).difference(&keys).cloned().collect();
        if wanted.is_empty() {
            break;
        }
    }
    // Results are filed under a subject only where they are cases of disease: the negative ones are read apart.
    records.extend(results(hub, &records, as_of).await?);
    records.sort_by(|one, other| by_order(&one.record, &other.record));
    Ok(records)
}

/// Laboratory results of the places where the animal was.
async fn results(hub: &Hub, records: &[Arc<Effective>], as_of: AsOf) -> Result<Vec<Arc<Effective>>, Problem> {
    let places: BTreeSet<String> = records
        .iter()
        .filter_map(|one| one.record.envelope.centre_id.as_ref().map(ToString::to_string))
        .collect();
    let filter = EffectiveFilter {
        places: places.into_iter().collect(),
        kinds: vec![Kind::Result],
        ..EffectiveFilter::default()
    };
    let found = hub.store.effective(&Scope::Region, as_of, &filter).await?;
    Ok(found.into_iter().filter(|one| !records.contains(one)).collect())
}

/// Permits that name the place as holder, and the releases under their numbers.
async fn permits(hub: &Hub, place: &PartyId, on: NaiveDate) -> Result<Vec<Arc<Effective>>, Problem> {
    let as_of = AsOf { known_at: None, through: Some(on) };
    let filter = EffectiveFilter { kinds: vec![Kind::Permit], ..EffectiveFilter::default() };
    let mut all = hub.store.effective(&Scope::Region, as_of, &filter).await?;
    all.retain(
        |one| matches!(&one.record.body, Some(Body::Permit(permit)) if permit.holder_ids.contains(place)),
    );
    let numbers: BTreeSet<Key> = all
        .iter()
        .filter_map(|one| match &one.record.body {
            Some(Body::Permit(permit)) => Some(Key::permit(permit.permit_number.as_str())),
            _ => None,
        })
        .collect();
    for number in &numbers {
        let used = under(hub, &Scope::Region, number, as_of).await?;
        all.extend(used.into_iter().filter(|one| matches!(one.record.body, Some(Body::Release(_)))));
    }
    Ok(all)
}

/// The last name under which the animal was told, as it is counted.
fn named(records: &[Arc<Effective>], own: &BTreeSet<OrganismId>) -> Option<String> {
    let of_it = records.iter().rev().map(|one| &one.record.envelope);
    of_it
        .filter(|frame| frame.organism_id.as_ref().is_some_and(|id| own.contains(id)))
        .find_map(|frame| frame.scientific_name.as_ref().map(ToString::to_string))
}

fn site(question: &Question) -> Result<Site, Problem> {
    let known = |text: &Option<String>, name: &'static str| match text {
        Some(text) => word::<Known>(text, name),
        None => Ok(Known::Unknown),
    };
    let (habitat, species_history, basin_of_origin) = (
        known(&question.habitat, "habitat")?,
        known(&question.species_history, "speciesHistory")?,
        known(&question.basin_of_origin, "basinOfOrigin")?,
    );
    let assessed_on = question.site_assessed.as_deref().map(|text| day("siteAssessed", text)).transpose()?;
    Ok(Site {
        seen: assessed_on.map(|assessed_on| SiteSeen {
            assessed_on,
            habitat,
            species_history,
            basin_of_origin,
        }),
        in_season: known(&question.in_season, "inSeason")?,
    })
}

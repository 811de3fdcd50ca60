//! How an animal grows, by its posted weighings and lengths.

use actix_web::{HttpRequest, get, web};
use chrono::NaiveDate;
use haulout_reckoning::{Effective, Key};
use haulout_schemas::Body;
use haulout_schemas::envelope::Length;
use haulout_schemas::text::OrganismId;
use haulout_store::{AsOf, EffectiveFilter};
use haulout_welfare::condition::slips::Slip;
use haulout_welfare::grounds::Grounds;
use haulout_welfare::growth::{Weighed, growth, unit_slips};
use haulout_welfare::refusal::Refusal;
use haulout_welfare::units::Kilograms;
use serde::Serialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;
use utoipa_actix_web::service_config::ServiceConfig;

use super::answer_or_refusal;
use crate::hub::Hub;
use crate::records::conditional;
use crate::web::caller::ReadRecords;
use crate::web::{Answer, Caller, Problem, codes};

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

/// What a record says of an animal's size.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "camelCase")]
struct Measurement {
    on: NaiveDate,
    #[serde(rename = "authorID")]
    author_id: String,
    #[serde(rename = "recordID")]
    record_id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    kilogram: Option<f64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    lengths_metre: Vec<Length>,
}

/// A mass that reads like one of another unit.
#[derive(Debug, Serialize)]
struct Slipped {
    on: NaiveDate,
    kilogram: Kilograms,
    slip: Slip,
}

/// How one animal grows by its posted measurements: its specific growth rate, the curve through all
/// weighings with its interval, and weight that was lost, flagged for the veterinarian. A mass that reads
/// like one of another unit is named and never mended: then no rate is told but one without it. In the
/// seasonal rest and after laying some loss is usual.
#[utoipa::path(tag = "welfare", security(("token" = [])),
    params(("organismID" = String, Path, description = "`partyID:number` or a UUID")),
    responses((status = 200, description = "The measurements, the growth or why there is none", body = Object), (status = 304, description = "You have it already")))]
#[get("/v1/animals/{organismID}/growth")]
async fn show(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    id: web::Path<String>,
) -> Answer {
    let id = OrganismId(id.into_inner());
    let key = Key::animal(&id).as_str().to_owned();
    let filter = EffectiveFilter { key: Some(key), ..EffectiveFilter::default() };
    let records = hub.store.effective(&caller.scope(), AsOf::NOW, &filter).await?;
    if records.is_empty() {
        return Err(Problem::new(&codes::NOT_FOUND, "no record that you may see speaks of this animal"));
    }
    let measured = measurements(&records, &id);
    let (weighings, doubts) = weighings(&measured);
    let slips: Vec<Slipped> = unit_slips(&weighings)
        .into_iter()
        .map(|(one, slip)| Slipped { on: one.on, kilogram: one.kilogram, slip })
        .collect();
    let mut told = json!({
        "organismID": id, "scientificName": named(&records), "measurements": measured,
        "growth": rate(&weighings, &slips), "slips": slips, "doubts": doubts,
        "grounds": Grounds::records(format!("{} weighings as posted", weighings.len())),
    });
    if !slips.is_empty() {
        let sound: Vec<Weighed> =
            weighings.into_iter().filter(|one| !slips.iter().any(|slip| slip.on == one.on)).collect();
        told["growthWithoutThem"] = answer_or_refusal(growth(&sound));
    }
    conditional(&request, &told)
}

/// The last name under which it was told.
fn named(records: &[Arc<Effective>]) -> Option<String> {
    records.iter().rev().find_map(|one| one.record.envelope.scientific_name.as_ref().map(ToString::to_string))
}

/// Measurements of the animal itself, oldest first.
fn measurements(records: &[Arc<Effective>], id: &OrganismId) -> Vec<Measurement> {
    let own =
        records.iter().map(|one| &one.record).filter(|one| one.envelope.organism_id.as_ref() == Some(id));
    own.filter_map(|record| {
        let (kilogram, lengths) = match record.body.as_ref()? {
            Body::Assessment(body) => (body.mass_kilogram, &body.lengths_metre),
            Body::Rescue(body) => (None, &body.lengths_metre),
            Body::Sighting(body) => (None, &body.lengths_metre),
            _ => return None,
        };
        (kilogram.is_some() || !lengths.is_empty()).then(|| Measurement {
            on: record.envelope.event_date.day(),
            author_id: record.envelope.author_id.to_string(),
            record_id: record.envelope.record_id.to_string(),
            kilogram,
            lengths_metre: lengths.clone(),
        })
    })
    .collect()
}

/// One mass for each day, the last one told, and what is doubtful about that.
fn weighings(measured: &[Measurement]) -> (Vec<Weighed>, Vec<Refusal>) {
    let mut by_day: BTreeMap<NaiveDate, Kilograms> = BTreeMap::new();
    let mut doubts = Vec::new();
    for one in measured {
        let Some(kilogram) = one.kilogram.and_then(|mass| Kilograms::new(mass).ok()) else { continue };
        if let Some(other) = by_day.insert(one.on, kilogram)
            && other != kilogram
        {
            doubts.push(Refusal::new(
                "weighed-twice",
                format!("weighing of {}", one.on),
                format!("{} kg and {} kg are told of one day", other.kg(), kilogram.kg()),
                "revise the record that is wrong; until then the later one counts",
            ));
        }
    }
    (by_day.into_iter().map(|(on, kilogram)| Weighed { on, kilogram }).collect(), doubts)
}

fn rate(weighings: &[Weighed], slips: &[Slipped]) -> Value {
    if let Some(slip) = slips.first() {
        return answer_or_refusal::<Value>(Err(Refusal::new(
            "unit-slip",
            "growth",
            format!("the mass of {} reads like one of another unit", slip.on),
            "revise the record; the rate without it stands beside this",
        )));
    }
    answer_or_refusal(growth(weighings))
}

//! Body condition against the region's pooled curve: what a network can tell and a centre cannot.
//!
//! An assessment tells no stage, so the curve is of all lengths of a species; it is never drawn out
//! beyond those measured.

use actix_web::{HttpRequest, get, web};
use haulout_reckoning::Effective;
use haulout_schemas::names::Names;
use haulout_schemas::vocabulary::{LengthMeasure, LengthMethod};
use haulout_schemas::{Body, Kind};
use haulout_store::{AsOf, EffectiveFilter, Scope};
use haulout_welfare::condition::fit::{Measured, robust};
use haulout_welfare::condition::{class, measured, relative, scaled_mass, slips};
use haulout_welfare::grounds::Grounds;
use haulout_welfare::units::LEVEL;
use serde::Deserialize;
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::{answer_or_refusal, species, word};
use crate::hub::Hub;
use crate::records::conditional;
use crate::web::caller::ReadRecords;
use crate::web::{Answer, Caller};

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// The species.
    scientific_name: String,
    /// Its mass, kilograms.
    mass_kilogram: f64,
    /// Its length, metres.
    length_metre: f64,
    /// What was measured; the measure of the species' space rule unless given.
    measure: Option<String>,
}

/// Body condition of an animal against the region's pooled records of its species: a robust
/// curve, fitted anew as records arrive, with its size and range; never drawn out beyond them. Slips of
/// unit are named, never mended. It supports the veterinarian's eye and hands and does not replace them.
#[utoipa::path(tag = "welfare", security(("token" = [])), params(Question),
    responses((status = 200, description = "The reference, and each figure or why there is none", body = Object), (status = 422, description = "Too few animals are known, or a measure of nothing")))]
#[get("/v1/welfare/condition")]
async fn show(
    hub: web::Data<Hub>,
    _caller: Caller<ReadRecords>,
    request: HttpRequest,
    question: web::Query<Question>,
) -> Answer {
    let question = question.into_inner();
    let configuration = hub.store.configuration().await?;
    let profile = species(&configuration, &question.scientific_name)?;
    let measure: LengthMeasure = match &question.measure {
        Some(text) => word(text, "measure")?,
        None => profile.space_measure.value,
    };
    let animal = measured(question.mass_kilogram, question.length_metre)?;
    let filter = EffectiveFilter { kinds: vec![Kind::Assessment], ..EffectiveFilter::default() };
    // Only the curve leaves the hub, so every centre's animals may stand in it.
    let records = hub.store.effective(&Scope::Authority, AsOf::NOW, &filter).await?;
    let pooled = Pooled::of(&records, &configuration.names, &profile.scientific_name, measure);
    let sample: Vec<Measured> = pooled.animals.into_values().collect();
    let fit = robust(&sample, LEVEL)?;
    let centres = pooled.centres.len();
    let source = format!("{} animals of {centres} centres, the newest measurement of each", sample.len());
    conditional(
        &request,
        &json!({
            "reference": {
                "scientificName": profile.scientific_name, "measure": measure,
                "fit": fit, "grounds": Grounds::records(source),
            },
            "expectedKilogram": answer_or_refusal(fit.expected(animal.length)),
            "relative": answer_or_refusal(relative(&fit, animal)),
            "scaledMassKilogram": answer_or_refusal(scaled_mass(&fit, animal)),
            "class": answer_or_refusal(class(&fit, &sample, animal)),
            "slips": slips::slips(&fit, question.mass_kilogram, question.length_metre),
        }),
    )
}

/// The newest measurement of every animal of a species, by tape or calliper.
struct Pooled {
    animals: BTreeMap<String, Measured>,
    centres: BTreeSet<String>,
}

impl Pooled {
    fn of(records: &[Arc<Effective>], names: &Names, scientific_name: &str, measure: LengthMeasure) -> Self {
        let mut pooled = Self { animals: BTreeMap::new(), centres: BTreeSet::new() };
        // Records come oldest event first, so that a later one takes an earlier one's place.
        for record in records {
            let frame = &record.record.envelope;
            let (Some(animal), Some(name), Some(Body::Assessment(body))) =
                (&frame.organism_id, &frame.scientific_name, &record.record.body)
            else {
                continue;
            };
            if names.commodity(name.as_str()) != scientific_name {
                continue;
            }
            let length = body
                .lengths_metre
                .iter()
                .find(|length| length.measure == measure && length.method == LengthMethod::Taped);
            if let (Some(length), Some(mass)) = (length, body.mass_kilogram)
                && let Ok(measured) = measured(mass, length.value)
            {
                pooled.animals.insert(animal.to_string(), measured);
                pooled.centres.extend(frame.centre_id.as_ref().map(ToString::to_string));
            }
        }
        pooled
    }
}

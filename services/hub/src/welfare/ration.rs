//! A day's food, beside the rule of thumb, with the reason why the two differ.

use actix_web::{HttpResponse, post, web};
use haulout_schemas::vocabulary::LifeStage;
use haulout_welfare::energy::{Eater, ration};
use haulout_welfare::units::{Celsius, Kilograms, KilojoulesPerGram};
use schemars::{JsonSchema, SchemaGenerator};
use serde::Deserialize;
use serde_json::json;
use utoipa_actix_web::service_config::ServiceConfig;

use super::species;
use crate::hub::Hub;
use crate::web::Answer;
use crate::web::body::Json;

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(tell);
}

pub(super) fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Fed>();
}

/// An animal that is to be fed.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Fed {
    /// The species.
    scientific_name: String,
    /// Its mass, kilograms.
    mass_kilogram: f64,
    /// Its stage; without one no kilograms are told.
    #[serde(default)]
    life_stage: Option<LifeStage>,
    /// Temperature of its body, or of the water or air it has stood in for hours, degrees Celsius.
    celsius: f64,
    /// Whether it is dehydrated.
    #[serde(default)]
    dehydrated: bool,
    /// Whether it is in its seasonal rest.
    #[serde(default)]
    resting: bool,
    /// Whether it is to travel within days.
    #[serde(default)]
    travelling: bool,
    /// Energy of the food as it is fed, kilojoules a gram, where it is known.
    #[serde(default)]
    food_kilojoule_per_gram: Option<f64>,
}

/// A day's food by energy, beside the 10 to 15 % of common practice, which names neither period nor
/// diet. Refused for the cold, the dehydrated, the resting and the about-to-travel: a figure would harm.
#[utoipa::path(tag = "welfare", request_body(content((ref("#/components/schemas/Fed") = "application/json"))),
    responses((status = 200, description = "Both figures, what they rest on, and why they differ", body = Object), (status = 422, description = "No figure, and why")))]
#[post("/v1/welfare/ration")]
async fn tell(hub: web::Data<Hub>, body: Json<Fed>) -> Answer {
    let fed = body.0;
    let configuration = hub.store.configuration().await?;
    let profile = species(&configuration, &fed.scientific_name)?;
    let eater = Eater {
        mass: Kilograms::new(fed.mass_kilogram)?,
        stage: fed.life_stage,
        diet: profile.diet.value,
        temperature: Celsius::new(fed.celsius)?,
        least: Celsius::new(profile.keeping_temperature.value.low_c)?,
        dehydrated: fed.dehydrated,
        resting: fed.resting,
        travelling: fed.travelling,
    };
    let food = fed.food_kilojoule_per_gram.map(KilojoulesPerGram::new).transpose()?;
    let ration = ration(&eater, food)?;
    Ok(HttpResponse::Ok().json(json!({
        "scientificName": profile.scientific_name, "diet": profile.diet.value, "lifeStage": fed.life_stage,
        "period": "day", "ration": ration,
    })))
}

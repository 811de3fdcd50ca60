//! The handling card: one page for the crew that catches and carries, before it goes out.

use actix_web::{HttpRequest, get, web};
use haulout_schemas::envelope::Length;
use haulout_schemas::vocabulary::{LengthMeasure, LengthMethod};
use haulout_welfare::handling::{Card, Handled, Subject, card};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::{page, species, word};
use crate::hub::Hub;
use crate::records::conditional;
use crate::web::etag::{self, Keep};
use crate::web::negotiation::{self, Format};
use crate::web::{Answer, Problem, codes};

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// The species; an everyday name will do where it means only one.
    scientific_name: Option<String>,
    /// Its keeping group, where the species is not known: `crocodilian`, `softshell`, `riverTurtle`, …
    group: Option<String>,
    /// Its length in metres, as far as known.
    length: Option<f64>,
    /// What was measured: `totalLength` unless given.
    measure: Option<String>,
    /// Injuries as seen, separated by semicolons.
    injuries: Option<String>,
    /// Fewest people by local code; raises the number, never lowers it.
    least_people: Option<u8>,
    /// `true` while people are in danger from the animal.
    #[serde(default)]
    danger: bool,
    /// `json`, `html` or `text`.
    format: Option<String>,
}

/// How such an animal is caught, held, restrained and covered, and what is never done; cautions first.
/// It reminds trained people and trains nobody: local code and licensed practice stand above it.
#[utoipa::path(tag = "welfare", params(Question),
    responses((status = 200, description = "The card: JSON, a page that prints on A4, or plain text", body = Object), (status = 422, description = "No such species, or a length that is none")))]
#[get("/v1/welfare/handling-card")]
async fn show(hub: web::Data<Hub>, request: HttpRequest, question: web::Query<Question>) -> Answer {
    let question = question.into_inner();
    let possible = [Format::Json, Format::Html, Format::Text];
    let format = negotiation::choose(&request, question.format.as_deref(), &possible)?;
    let configuration = hub.store.configuration().await?;
    let handled = Handled {
        length_metre: length(&question)?,
        injuries: split(question.injuries.as_deref()),
        local_least_people: question.least_people,
        people_in_danger: question.danger,
    };
    let subject = match (&question.scientific_name, &question.group) {
        (Some(name), _) => Subject::Species(species(&configuration, name)?),
        (None, Some(group)) => Subject::Group(word(group, "group")?, &configuration.profiles),
        (None, None) => {
            return Err(Problem::new(&codes::BAD_QUERY, "name the species, or at least its keeping group")
                .at("scientificName", "neither species nor group"));
        }
    };
    let card: Card = card(subject, &handled)?;
    Ok(match format {
        Format::Html => etag::answer(
            &request,
            format.media_type(),
            Keep::Minutes,
            page::handling(&card).into_string().into_bytes(),
        ),
        Format::Text => {
            etag::answer(&request, format.media_type(), Keep::Minutes, card.to_string().into_bytes())
        }
        _ => return conditional(&request, &card),
    })
}

fn length(question: &Question) -> Result<Option<Length>, Problem> {
    let Some(value) = question.length else { return Ok(None) };
    let measure: LengthMeasure = word(question.measure.as_deref().unwrap_or("totalLength"), "measure")?;
    Ok(Some(Length { value, low: None, high: None, measure, method: LengthMethod::ByEye }))
}

fn split(injuries: Option<&str>) -> Vec<String> {
    let words = injuries.unwrap_or_default().split(';').map(str::trim);
    words.filter(|word| !word.is_empty()).take(20).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use haulout_schemas::profile::Group;

    #[test]
    fn groups_are_the_words_of_the_profiles() {
        assert_eq!(word::<Group>("crocodilian", "group").ok(), Some(Group::Crocodilian));
        assert!(word::<Group>("dragon", "group").is_err());
    }
}

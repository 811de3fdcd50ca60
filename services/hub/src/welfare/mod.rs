//! The trade's computations over HTTP: each takes what is known, and answers with figures, what they
//! rest on, and what could not be computed. The page of an answer never says "safe".

mod handling;
mod marks;
mod page;
mod ration;

use haulout_schemas::names::Resolution;
use haulout_schemas::profile::Profile;
use haulout_store::Configuration;
use haulout_welfare::refusal::Refusal;
use schemars::SchemaGenerator;
use serde_json::json;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::web::{Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    handling::routes(config);
    ration::routes(config);
    marks::routes(config);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    ration::schemas(generator);
}

/// What could not be computed is an answer: its own key, what, why and how to mend it.
impl From<Refusal> for Problem {
    fn from(refusal: Refusal) -> Self {
        Self::new(&codes::NOT_COMPUTED, refusal.to_string()).with("refusal", json!(refusal))
    }
}

/// The profile of one species.
///
/// # Errors
/// A problem that says what the name might have meant.
fn species<'a>(configuration: &'a Configuration, name: &str) -> Result<&'a Profile, Problem> {
    let resolved = configuration.names.resolve(name);
    let accepted = match &resolved {
        // An everyday name that means one species will do.
        Resolution::Common { accepted } => accepted,
        _ => name,
    };
    if let Some(profile) = configuration.names.profile(accepted) {
        return Ok(profile);
    }
    let detail = match resolved {
        Resolution::AmbiguousCommon { candidates } | Resolution::Higher { members: candidates, .. } => {
            format!("`{name}` may be any of {}; name one", candidates.join(", "))
        }
        Resolution::Unknown { suggestions } if !suggestions.is_empty() => {
            format!("no species is called `{name}`; did you mean {}?", suggestions.join(" or "))
        }
        _ => format!("no profile is known for `{name}`; the region file may add one"),
    };
    Err(Problem::new(&codes::BAD_VALUE, detail).at("scientificName", "no species with a profile"))
}

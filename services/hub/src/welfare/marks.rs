//! What a mark reads, who carries it, and what it may have been misread for.

use actix_web::{HttpRequest, get, web};
use haulout_schemas::records::keeping::MarkType;
use haulout_schemas::{Body, Kind};
use haulout_store::{AsOf, EffectiveFilter};
use haulout_welfare::marks::layout::Identification;
use haulout_welfare::marks::likeness::{NearMiss, near_misses};
use haulout_welfare::marks::read_transponder;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::word;
use crate::hub::Hub;
use crate::records::conditional;
use crate::web::caller::ReadRecords;
use crate::web::{Answer, Caller, Problem, codes};

/// Most characters of a mark that was read.
const LONGEST: usize = 64;

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(show);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// The mark as it was read.
    mark_number: String,
    /// `transponder` unless given; the words of the `marking` record.
    mark_type: Option<String>,
}

/// What is known of a mark.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Told {
    mark_number: String,
    /// The number's parts, where it is one of a transponder.
    #[serde(skip_serializing_if = "Option::is_none")]
    transponder: Option<Value>,
    /// Animals that carry it, by the records that the caller may see.
    #[serde(rename = "organismIDs")]
    organism_ids: BTreeSet<String>,
    /// Known marks that it may have been misread for, with their bearers.
    near_misses: Vec<Near>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Near {
    #[serde(flatten)]
    miss: NearMiss,
    #[serde(rename = "organismIDs")]
    organism_ids: BTreeSet<String>,
}

/// Reads a mark: a transponder's parts, the animals that carry it, and known marks that differ by one
/// character, a swap or look-alikes. A misreading is told and never put right silently.
#[utoipa::path(tag = "welfare", security(("token" = [])), params(Question),
    responses((status = 200, description = "What is known of the mark", body = Object), (status = 422, description = "No transponder reads so")))]
#[get("/v1/welfare/marks")]
async fn show(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    question: web::Query<Question>,
) -> Answer {
    let question = question.into_inner();
    let mark_type: MarkType = match &question.mark_type {
        None => MarkType::Transponder,
        Some(text) => word(text, "markType")?,
    };
    let read = question.mark_number.trim();
    if read.is_empty() || read.chars().count() > LONGEST {
        return Err(Problem::new(&codes::BAD_QUERY, format!("a mark has 1 to {LONGEST} characters"))
            .at("markNumber", "empty or too long"));
    }
    let (digits, transponder) = match mark_type {
        MarkType::Transponder => {
            let reading = read_transponder(read)?;
            let parts = reading.transponder.map(|number| {
                json!({
                    "code": number.code(), "national": number.national(),
                    "word": format!("{:016x}", Identification::of(number).word()),
                    "remark": reading.remark, "grounds": reading.remark.grounds(),
                })
            });
            let older = || json!({ "remark": reading.remark, "grounds": reading.remark.grounds() });
            (reading.digits.clone(), Some(parts.unwrap_or_else(older)))
        }
        _ => (read.to_owned(), None),
    };
    let filter = EffectiveFilter { kinds: vec![Kind::Marking], ..EffectiveFilter::default() };
    let markings = hub.store.effective(&caller.scope(), AsOf::NOW, &filter).await?;
    let mut bearers: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for marking in &markings {
        let Some(Body::Marking(body)) = &marking.record.body else { continue };
        if body.mark_type == mark_type
            && let (Some(number), Some(animal)) = (&body.mark_number, &marking.record.envelope.organism_id)
        {
            bearers.entry(number.as_str()).or_default().insert(animal.to_string());
        }
    }
    let near = near_misses(&digits, bearers.keys().copied()).into_iter();
    let near_misses = near
        .map(|miss| {
            let organism_ids = bearers.get(miss.known.as_str()).cloned().unwrap_or_default();
            Near { miss, organism_ids }
        })
        .collect();
    let organism_ids = bearers.get(digits.as_str()).cloned().unwrap_or_default();
    conditional(&request, &Told { mark_number: digits, transponder, organism_ids, near_misses })
}

//! One animal's life history.

use actix_web::{HttpRequest, get, web};
use haulout_schemas::text::OrganismId;
use schemars::{JsonSchema, SchemaGenerator};
use serde::Serialize;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::records::{RecordView, conditional};
use crate::web::caller::ReadRecords;
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(animal);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Life>();
}

/// What counts of one animal's life.
#[derive(Debug, Serialize, JsonSchema)]
struct Life {
    /// The animal.
    #[serde(rename = "organismID")]
    organism_id: String,
    /// Its records, oldest event first.
    records: Vec<RecordView>,
}

/// One animal's life history, oldest event first, as far as the caller may see it.
#[utoipa::path(tag = "records", security(("token" = [])),
    params(("organismID" = String, Path, description = "`partyID:number` or a UUID")),
    responses((status = 200, description = "The history", body = ref("#/components/schemas/Life")), (status = 304, description = "You have it already")))]
#[get("/v1/animals/{organismID}")]
async fn animal(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    id: web::Path<String>,
) -> Answer {
    let id = id.into_inner();
    let records = hub.store.animal(&caller.scope(), &OrganismId(id.clone())).await?;
    if records.is_empty() {
        return Err(Problem::new(&codes::NOT_FOUND, "no record that you may see speaks of this animal"));
    }
    conditional(&request, &Life { organism_id: id, records: RecordView::all(records)? })
}

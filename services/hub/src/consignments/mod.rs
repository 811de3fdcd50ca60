//! Journeys: animals travelling together, from the promise to the empty crates.

mod brief;
mod carrying;
mod crates;
mod marks;
mod page;
mod told;

use actix_web::{HttpRequest, get, web};
use haulout_reckoning::Finding;
use haulout_reckoning::findings::Parameter;
use haulout_schemas::text::ConsignmentId;
use haulout_schemas::{Body, Kind};
use haulout_store::{FindingFilter, JourneyNow, Standing};
use schemars::{JsonSchema, SchemaGenerator};
use serde::Serialize;
use serde_json::Value;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::records::{RecordView, conditional};
use crate::reservations::alarms::Alarm;
use crate::reservations::{ReservationShown, shown};
use crate::web::caller::ReadRecords;
use crate::web::etag::{self, Keep};
use crate::web::negotiation::{self, Format};
use crate::web::{Answer, Caller, Problem};
use crates::CrateOnItsWay;
use told::Told;

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(brief_of).service(consignment);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Consignment>();
    generator.subschema_for::<brief::Brief>();
}

/// Where a journey stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum Stage {
    /// Places are promised; nobody has set out.
    Promised,
    /// On the road.
    UnderWay,
    /// Received, or the place is taken, and the ledger has nothing left on the road.
    Arrived,
    /// Received, and the ledger still has something on the road: the two ends counted differently.
    Unsettled,
    /// It left the region, or went back to its owner.
    Left,
    /// Every place was refused or given up, and nothing ever left.
    Closed,
}

/// What the ledger still has on the road.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct OnTheRoad {
    /// Accepted name.
    pub scientific_name: String,
    /// `animals` or `eggs`.
    pub commodity: &'static str,
    /// How many; below zero where more arrived under this name than set out.
    pub count: i64,
}

/// One journey as it stands.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
struct Consignment {
    /// The consignment.
    #[serde(rename = "consignmentID")]
    consignment_id: String,
    /// Where it stands.
    stage: Stage,
    /// The places kept for it, oldest first.
    reservations: Vec<ReservationShown>,
    /// What the sender wrote: animals, eggs, or empty crates leave.
    dispatches: Vec<RecordView>,
    /// What the receiver wrote, and the sender of what was turned back.
    receipts: Vec<RecordView>,
    /// What both ends agreed became of the rest.
    settlements: Vec<RecordView>,
    /// What else names the journey: a death, a loss, a determination, eggs laid, a binding on the way.
    others: Vec<RecordView>,
    /// The crates, out and back.
    crates: Vec<CrateOnItsWay>,
    /// What the ledger still has on the road; empty once both ends agree.
    in_transit: Vec<OnTheRoad>,
    /// What does not add up about it.
    #[schemars(with = "Vec<Value>")]
    findings: Vec<Finding>,
    /// What somebody has to see to about it.
    alarms: Vec<Alarm>,
}

/// One journey: the places kept for it, what both ends wrote, the crates out and back, what the
/// ledger still has on the road, and what does not add up. Its two ends see all of it.
#[utoipa::path(tag = "consignments", security(("token" = [])),
    params(("consignmentID" = String, Path, description = "As promised, or `authorID:number`")),
    responses((status = 200, description = "The journey", body = ref("#/components/schemas/Consignment")), (status = 304, description = "You have it already")))]
#[get("/v1/consignments/{consignmentID}")]
async fn consignment(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    id: web::Path<String>,
) -> Answer {
    let id = ConsignmentId(id.into_inner());
    let journey = hub.store.journey(&caller.scope(), &id).await?;
    let told = Told::read(&journey)?;
    let found = hub.store.findings(&caller.scope(), &FindingFilter::default()).await?.findings;
    let crates = crates::of(&hub, &told).await?;
    let stage = stage(&journey, &told);
    let in_transit = on_the_road(&journey);
    let reservations = shown(&hub, journey.reservations).await?;
    let alarms = reservations.iter().flat_map(|one| one.alarms.iter().cloned()).collect();
    let findings = found.into_iter().filter(|finding| told.concerns(finding, &id)).collect();
    let (mut dispatches, mut receipts, mut settlements, mut others) = (vec![], vec![], vec![], vec![]);
    for record in journey.records {
        let group = match record.kind {
            Kind::Dispatch => &mut dispatches,
            Kind::Receipt => &mut receipts,
            Kind::Settlement => &mut settlements,
            _ => &mut others,
        };
        group.push(RecordView::of(record)?);
    }
    conditional(
        &request,
        &Consignment {
            consignment_id: id.0,
            stage,
            reservations,
            dispatches,
            receipts,
            settlements,
            others,
            crates,
            in_transit,
            findings,
            alarms,
        },
    )
}

/// The driver's page of a journey: hazards and what is done before anybody touches them first, then
/// where from and where to, the hours of departure by the forecast given (or what is missing), what
/// travels in which crate and which crate it needs, drugs and bindings with their times, stops, what to
/// carry, papers, who said what by telephone, cautions. As JSON, or as one A4 page that needs no script.
#[utoipa::path(tag = "consignments", security(("token" = [])),
    params(brief::Asked, ("consignmentID" = String, Path, description = "As promised, or `authorID:number`")),
    responses((status = 200, description = "The page", content((ref("#/components/schemas/Brief") = "application/json"), (String = "text/html"))), (status = 304, description = "You have it already")))]
#[get("/v1/consignments/{consignmentID}/brief")]
async fn brief_of(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    id: web::Path<String>,
    asked: web::Query<brief::Asked>,
) -> Answer {
    let format = negotiation::choose(&request, asked.format.as_deref(), &[Format::Json, Format::Html])?;
    let id = ConsignmentId(id.into_inner());
    let journey = hub.store.journey(&caller.scope(), &id).await?;
    let brief = brief::make(&hub, journey, &asked).await?;
    match format {
        Format::Html => Ok(etag::answer(
            &request,
            Format::Html.media_type(),
            Keep::Private,
            page::page(&brief).into_string().into_bytes(),
        )),
        _ => conditional(&request, &brief),
    }
}

fn on_the_road(journey: &JourneyNow) -> Vec<OnTheRoad> {
    journey
        .on_the_road
        .iter()
        .map(|one| OnTheRoad {
            scientific_name: one.scientific_name.clone(),
            commodity: if one.eggs { "eggs" } else { "animals" },
            count: one.count,
        })
        .collect()
}

fn stage(journey: &JourneyNow, told: &Told) -> Stage {
    let standing = |wanted: Standing| journey.reservations.iter().any(|one| one.standing == wanted);
    let received = told.records().any(|(_, body)| matches!(body, Body::Receipt(_)));
    let dispatched: Vec<_> = told.dispatches().collect();
    let away = !dispatched.is_empty()
        && dispatched.iter().all(|(_, dispatch)| {
            dispatch.destination != haulout_schemas::records::transfer::Destination::Region
        });
    match (received, journey.on_the_road.is_empty()) {
        (true, true) => Stage::Arrived,
        (true, false) => Stage::Unsettled,
        _ if away => Stage::Left,
        _ if !dispatched.is_empty() || standing(Standing::UnderWay) => Stage::UnderWay,
        _ if standing(Standing::Promised) => Stage::Promised,
        _ if standing(Standing::Taken) => Stage::Arrived,
        _ => Stage::Closed,
    }
}

impl Told {
    /// Whether a finding is about the journey: it names it, or rests on one of its records.
    fn concerns(&self, finding: &Finding, id: &ConsignmentId) -> bool {
        let named = finding.parameters.get("consignmentID");
        match named {
            Some(Parameter::Text(named)) => named == id.as_str(),
            _ => finding.records.iter().any(|record| {
                self.records().any(|(frame, body)| {
                    matches!(body, Body::Dispatch(_) | Body::Receipt(_) | Body::Settlement(_))
                        && frame.author_id == record.author_id
                        && frame.record_id == record.record_id
                })
            }),
        }
    }
}

/// A record of the journal that does not read is the hub's own fault.
fn unread(error: impl std::fmt::Display) -> Problem {
    Problem::new(&crate::web::codes::INTERNAL, "a record could not be read").because(error)
}

//! Plans: the best places for many animals at once, made in a process of their own and, where asked,
//! kept whole.

pub mod solver;
pub mod table;

use actix_web::{HttpResponse, post, web};
use chrono::{DateTime, FixedOffset};
use haulout_placement::plan::Plan;
use haulout_placement::request::{Bound, Costs, Evacuation};
use haulout_placement::{RegionView, Request, RequestFile};
use haulout_store::RoomState;
use schemars::{JsonSchema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::options::{instant, room, with_custody};
use crate::reservations::{Keep, ReservationShown, kept};
use crate::web::body::Json;
use crate::web::caller::Place;
use crate::web::{Answer, Caller, Problem, codes, limits};
use solver::{MOST_SECONDS, NoPlan, TIME_LIMIT_SECONDS, Task};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(for_many);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Asked>();
    generator.subschema_for::<Planned>();
}

/// What a plan is asked for.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
#[schemars(rename = "PlanAsked")]
struct Asked {
    /// One for each batch: one species, one arrival event.
    #[serde(default)]
    requests: Vec<Request>,
    /// What the plan weighs.
    #[serde(default)]
    costs: Costs,
    /// Where a request must go.
    #[serde(default)]
    pins: Vec<Bound>,
    /// Where a request may not go.
    #[serde(default)]
    forbids: Vec<Bound>,
    /// Centres to be emptied.
    #[serde(default)]
    evacuate: Vec<Evacuation>,
    /// Seconds that the solver may take, 1 to 600; 20 unless given.
    #[serde(default)]
    #[schemars(range(min = 1, max = 600))]
    time_limit_seconds: Option<u32>,
}

/// A plan, what it was made from, and the places kept for it.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
struct Planned {
    /// Names the plan when its places are kept.
    #[serde(rename = "planID")]
    plan_id: String,
    /// The instant it holds for.
    at: DateTime<FixedOffset>,
    /// The plan.
    plan: Plan,
    /// The document that `changes` lead into, and that `haulout plan` takes.
    request_file: RequestFile,
    /// Places kept for it, where that was asked.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    reservations: Vec<ReservationShown>,
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct How {
    /// `true`: keep every place of the plan, or none.
    keep: Option<bool>,
}

/// The best places for many animals at once, proven as far as the time allows. With `keep=true` its
/// places are kept, all or none.
///
/// Unplaced animals come first, red before yellow before green; then minutes on the road; then the
/// highest load. A plan says that no reason was found against it; local codes and the licensed people
/// on the spot decide.
#[utoipa::path(tag = "placements", security(("token" = [])), params(How),
    request_body(content((ref("#/components/schemas/PlanAsked") = "application/json"))),
    responses((status = 200, description = "The plan", body = ref("#/components/schemas/Planned")),
        (status = 201, description = "The plan, and its places kept until the centres answer", body = ref("#/components/schemas/Planned")),
        (status = 409, description = "A place went while the plan was made"),
        (status = 422, description = "What was asked cannot be planned with; `errors` says where and why")))]
#[post("/v1/placements/plans")]
async fn for_many(
    hub: web::Data<Hub>,
    caller: Caller<Place>,
    how: web::Query<How>,
    body: Json<Asked>,
) -> Answer {
    let seconds = body.0.time_limit_seconds.unwrap_or(TIME_LIMIT_SECONDS);
    if !(1..=MOST_SECONDS).contains(&seconds) {
        return Err(Problem::new(&codes::BAD_VALUE, format!("a plan takes 1 to {MOST_SECONDS} seconds"))
            .at("#/timeLimitSeconds", "out of bounds"));
    }
    let state = room(&hub).await?;
    let task = Task {
        file: request_file(&hub, &state, body.0),
        region: state.configuration.region.as_deref().cloned(),
        at: instant(&state)?,
        time_limit_seconds: seconds,
    };
    let turn = tokio::time::timeout(limits::PLAN_PATIENCE, hub.plans.acquire()).await;
    let _turn = turn
        .map_err(|_| Problem::new(&codes::BUSY, "another plan is being made"))?
        .map_err(|error| Problem::new(&codes::BUSY, "the hub stops").because(error))?;
    let (task, plan) = web::block(move || {
        let plan = solver::solve(&task);
        (task, plan)
    })
    .await
    .map_err(|error| Problem::new(&codes::INTERNAL, "the plan broke down").because(error))?;
    let plan = plan.map_err(told)?;
    let mut planned = Planned {
        plan_id: name_of(&plan)?,
        at: task.at,
        plan,
        request_file: task.file,
        reservations: Vec::new(),
    };
    if !how.keep.unwrap_or_default() || planned.plan.assignments.is_empty() {
        return Ok(HttpResponse::Ok().json(planned));
    }
    let requests = planned.request_file.with_evacuees();
    let keep = Keep::of_plan(&planned.plan_id, &requests, &planned.plan);
    (planned.reservations, _) = kept(&hub, caller.who.by(), keep).await?;
    Ok(HttpResponse::Created().json(planned))
}

fn request_file(hub: &Hub, state: &RoomState, asked: Asked) -> RequestFile {
    RequestFile {
        view: RegionView::clone(&hub.views.of(state)),
        requests: asked.requests.into_iter().map(|request| with_custody(state, request)).collect(),
        costs: asked.costs,
        pins: asked.pins,
        forbids: asked.forbids,
        evacuate: asked.evacuate,
    }
}

/// A plan is named after its content, the instant among it.
fn name_of(plan: &Plan) -> Result<String, Problem> {
    let text = serde_json_canonicalizer::to_vec(plan)
        .map_err(|error| Problem::new(&codes::INTERNAL, "the plan could not be written").because(error))?;
    Ok(format!("plan-{}", hex::encode(&Sha256::digest(&text)[..8])))
}

/// Why there is no plan, in the words of an answer.
fn told(no_plan: NoPlan) -> Problem {
    match no_plan {
        NoPlan::Faulty(faults) => faults.into_iter().fold(
            Problem::new(&codes::BAD_VALUE, "what was asked cannot be planned with"),
            |problem, fault| {
                problem.at(format!("#{}", fault.pointer), format!("{}; {}", fault.why, fault.mend))
            },
        ),
        NoPlan::Failed { outer, inner } => Problem::new(&codes::SOLVER_STOPPED, outer).because(inner),
    }
}

//! Posting records: one body in, one outcome for each line out.

mod answer;
mod background;
mod chunks;
mod intake;
mod kept;
mod measure;
mod outcome;
pub mod permission;
mod prefer;
pub mod refusals;

use actix_web::http::header::RETRY_AFTER;
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use haulout_checking::Limits;
use haulout_schemas::text::PartyId;
use schemars::SchemaGenerator;
use serde::Deserialize;
use std::sync::Arc;
use std::time::Duration;
use tokio::task::JoinHandle;
use tokio::time::Instant;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use self::answer::Lines;
use self::chunks::Work;
use self::intake::Intake;
use self::kept::Keeper;
use crate::checks;
use crate::hub::Hub;
use crate::web::caller::PostRecords;
use crate::web::{Answer, Caller, Problem, codes, limits, paging};

/// How long a claim or a taken submission stays ours without a word. A process that died is
/// followed by another after it.
const LEASE: Duration = Duration::from_secs(20);

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(submit).service(show);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<outcome::Submission>();
}

/// Posts records. Every line is answered, in order; what was accepted or known is in the journal
/// when the answer comes, and the receipt says where the chain stands.
#[utoipa::path(tag = "submissions", security(("token" = [])),
    params(
        ("Idempotency-Key" = Option<String>, Header, description = "A quoted text that names this body; the same key with the same body gives the same answer for 7 days"),
        ("Prefer" = Option<String>, Header, description = "`handling=strict` (all or nothing, 10,000 lines at most), `respond-async`, `return=minimal`")),
    request_body(content((ref("#/components/schemas/Record") = "application/x-ndjson"), (ref("#/components/schemas/Records") = "application/json")),
        description = "Records: one a line, or a JSON array; Content-Encoding gzip or zstd"),
    responses(
        (status = 200, description = "All accepted or known", body = ref("#/components/schemas/Submission")),
        (status = 202, description = "Taken in; worked on in the background", body = ref("#/components/schemas/Submission")),
        (status = 207, description = "Some accepted or known, some rejected", body = ref("#/components/schemas/Submission")),
        (status = 409, description = "The same key is being worked on"),
        (status = 422, description = "None accepted; the problem carries the members of a submission")))]
#[post("/v1/submissions")]
async fn submit(
    hub: web::Data<Hub>,
    caller: Caller<PostRecords>,
    request: HttpRequest,
    payload: web::Payload,
) -> Answer {
    let intake = Intake::read(caller, &request, payload).await?;
    if let Some(id) = intake.claim(&hub).await? {
        return kept::again(&hub.store, &intake.who.scope(), &id, intake.preferences).await;
    }
    let claim = intake.key.clone().map(|key| (intake.who.id.clone(), key));
    let done = if intake.goes_to_background() {
        background::take_in(&hub, intake).await
    } else {
        work_now(&hub, intake).await
    };
    if let (Err(_), Some((caller, key))) = (&done, &claim) {
        // Nothing is remembered of a failure: the same key may do the work again.
        hub.store.give_up_claim(caller, key).await?;
    }
    done
}

/// Works through a submission while the caller waits.
async fn work_now(hub: &web::Data<Hub>, intake: Intake) -> Answer {
    let turn =
        tokio::time::timeout(limits::SUBMISSION_PATIENCE, Arc::clone(&hub.submissions).acquire_owned()).await;
    let _turn = turn
        .map_err(|_| Problem::new(&codes::BUSY, "too many submissions are being worked on"))?
        .map_err(|error| Problem::new(&codes::BUSY, "the hub stops").because(error))?;
    let submission = hub.store.name_submission(&intake.new_submission()).await?;
    let work = work_of(hub, intake.writer.clone(), intake.preferences.strict).await?;
    let options = checks::options(
        intake.layout,
        Limits { total_bytes: Some(limits::RECORDS_DECOMPRESSED), ..Limits::default() },
    );
    let mut keeper = Keeper {
        store: hub.store.clone(),
        submission,
        begun: false,
        claim: intake.key.map(|key| (intake.who.id, key)),
        lines: Some(Lines::new(intake.preferences.minimal)),
        ordinal: 0,
        to_keep: Vec::new(),
        leased: false,
        stopping: Arc::clone(&hub.stopping),
        renewed: Instant::now(),
    };
    let hub = hub.clone();
    // A task of its own: when the caller hangs up, what was begun is finished all the same.
    let done = hub.handle.clone().spawn(async move {
        let mut summary = match work.run(intake.spool, options, 0, &mut keeper).await {
            Ok(summary) => summary,
            Err(problem) => {
                keeper.fail(&problem).await?;
                return Err(problem);
            }
        };
        count(&hub, &summary);
        complete_receipt(&hub, &work, &mut summary).await?;
        keeper.finish(&summary).await?;
        Ok::<_, Problem>((summary, keeper))
    });
    let (summary, keeper) = done.await.map_err(broke_down)??;
    let lines = keeper.lines.unwrap_or_else(|| Lines::new(false));
    answer::whole(&keeper.submission.submission_id, &summary, lines, intake.preferences)
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Page {
    /// The cursor of the page before.
    after: Option<String>,
    /// Outcomes of a page, 1 to 1000; 1000 unless given.
    limit: Option<u32>,
}

/// A submission and its outcomes, page by page. While `state` is `waiting` or `running`, ask again
/// as `Retry-After` says.
#[utoipa::path(tag = "submissions", security(("token" = [])), params(Page, ("submissionID" = String, Path, description = "As its answer gave it")),
    responses((status = 200, description = "How far it is", body = ref("#/components/schemas/Submission"))))]
#[get("/v1/submissions/{submissionID}")]
async fn show(
    hub: web::Data<Hub>,
    caller: Caller<PostRecords>,
    request: HttpRequest,
    id: web::Path<String>,
    page: web::Query<Page>,
) -> Answer {
    let scope = caller.scope();
    let limit = paging::limit(Some(page.limit.unwrap_or(paging::MOST)))?;
    let after = paging::number("outcomes", page.after.as_deref())?;
    let submission = hub.store.submission(&scope, &id).await?;
    let lines = hub.store.submission_lines(&scope, &id, after, u64::from(limit) + 1).await?;
    let more = lines.len() > limit as usize;
    let lines = &lines[..lines.len().min(limit as usize)];
    let next = match lines.last() {
        Some(last) if more => {
            Some(paging::next(&request, &paging::cursor("outcomes", &last.ordinal.to_string())))
        }
        _ => None,
    };
    let mut answer = HttpResponse::Ok();
    if let Some(link) = next.as_deref().and_then(paging::link) {
        answer.insert_header(link);
    }
    let summary = kept::summary_of(&submission)?;
    if summary.is_none() {
        answer.insert_header((RETRY_AFTER, "2"));
    }
    Ok(answer.json(outcome::Submission {
        submission_id: submission.submission_id,
        state: submission.state.as_str().to_owned(),
        summary: summary.unwrap_or_default(),
        lines: lines.iter().map(kept::read).collect::<Result<_, _>>()?,
        next,
    }))
}

/// What a submission of a party is worked through with now.
async fn work_of(hub: &Hub, writer: PartyId, strict: bool) -> Result<Work, Problem> {
    let configuration = hub.store.configuration().await?;
    Ok(Work {
        store: hub.store.clone(),
        checker: hub.checker.with_settings(hub.settings().await?),
        writer,
        region: configuration.region.clone(),
        strict,
    })
}

/// Where nothing new was sealed the receipt still says where the writer's chain stands.
async fn complete_receipt(hub: &Hub, work: &Work, summary: &mut outcome::Summary) -> Result<(), Problem> {
    if summary.receipt.chains.is_empty()
        && let Some((sequence, link)) = hub.store.chain_heads(None).await?.remove(work.writer.as_str())
    {
        let head = outcome::ChainHead { sequence, link: hex::encode(link) };
        summary.receipt.chains.insert(work.writer.to_string(), head);
    }
    Ok(())
}

fn count(hub: &Hub, summary: &outcome::Summary) {
    hub.metrics.records("accepted", summary.counts.accepted);
    hub.metrics.records("known", summary.counts.known);
    hub.metrics.records("rejected", summary.counts.rejected);
}

async fn blocking<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
    tokio::task::spawn_blocking(work).await.map_err(broke_down)
}

fn broke_down(error: tokio::task::JoinError) -> Problem {
    Problem::new(&codes::INTERNAL, "the submission broke down").because(error)
}

/// Starts to work on submissions that wait.
pub fn work_in_background(hub: &web::Data<Hub>) -> JoinHandle<()> {
    tokio::spawn(background::work(hub.clone()))
}

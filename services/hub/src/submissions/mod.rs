//! Posting records: one body in, one outcome for each line out.

mod answer;
mod chunks;
mod measure;
mod outcome;
pub mod permission;
mod prefer;
pub mod refusals;

use actix_web::{HttpRequest, post, web};
use haulout_checking::Limits;
use schemars::SchemaGenerator;
use utoipa_actix_web::service_config::ServiceConfig;

use self::answer::Lines;
use self::chunks::Work;
use self::prefer::Preferences;
use crate::checks;
use crate::hub::Hub;
use crate::web::caller::PostRecords;
use crate::web::{Answer, Caller, Problem, body, codes, limits, request_id};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(submit);
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
async fn submit(hub: web::Data<Hub>, caller: Caller<PostRecords>, request: HttpRequest, payload: web::Payload) -> Answer {
    let layout = body::layout(&request)?;
    let preferences = Preferences::of(&request);
    let writer = caller.who.party()?.clone();
    let body::Received { mut spool, bytes } = body::spool(&request, payload, limits::RECORDS_BODY).await?;
    let (measured, spool) = blocking(move || measure::measure(&mut spool, bytes, |_| Ok(())).map(|measured| (measured, spool))).await??;
    tracing::debug!(bytes = measured.bytes, "measured");
    let configuration = hub.store.configuration().await?;
    let work = Work {
        store: hub.store.clone(),
        checker: hub.checker.with_settings(hub.settings().await?),
        writer,
        region: configuration.region.clone(),
        strict: preferences.strict,
    };
    let options = checks::options(layout, Limits { total_bytes: Some(limits::RECORDS_DECOMPRESSED), ..Limits::default() });
    // A task of its own: when the caller hangs up, what was begun is finished all the same.
    let done = tokio::spawn(async move {
        let mut lines = Lines::new(preferences.minimal);
        let summary = work
            .run(spool, options, |outcomes| {
                let added = outcomes.iter().try_for_each(|outcome| lines.add(outcome)).map_err(body::storage);
                std::future::ready(added)
            })
            .await?;
        Ok::<_, Problem>((summary, lines))
    });
    let (summary, lines) = done.await.map_err(broke_down)??;
    count(&hub, &summary);
    answer::whole(&request_id::fresh(), &summary, lines, preferences)
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
pub fn work_in_background(_hub: &web::Data<Hub>) -> tokio::task::JoinHandle<()> {
    tokio::spawn(std::future::pending())
}

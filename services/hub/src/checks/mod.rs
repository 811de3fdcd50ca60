//! Checking without storing: no account, its own small share of the machine.

mod pool;

pub use pool::CheckPool;

use actix_web::{HttpRequest, HttpResponse, post, web};
use chrono::NaiveDate;
use haulout_checking::{
    Checker, Format as ReportFormat, Limits, Report, Settings, Shape, StreamError, StreamOptions,
};
use serde::Deserialize;
use std::fs::File;
use std::io::{Seek, SeekFrom};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::hub::Hub;
use crate::web::body::{self, Layout, Spool};
use crate::web::negotiation::{self, Format};
use crate::web::{Answer, Problem, codes, limits};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(check);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Question {
    /// The day on which the check is made; dates after it are remarked on. The hub's own day unless given.
    today: Option<String>,
    /// `json`, `text` or `html`.
    format: Option<String>,
}

/// Checks records without storing anything. The verdict is the one that a submission gets, apart
/// from what only the hub knows: whose the records are and what it already holds.
#[utoipa::path(tag = "check", params(Question),
    request_body(content((ref("#/components/schemas/Record") = "application/x-ndjson"), (ref("#/components/schemas/Records") = "application/json")),
        description = "Records: one a line, or a JSON array; gzip and zstd are undone"),
    responses((status = 200, description = "What was found, however bad the records are", body = ref("#/components/schemas/CheckReport"))))]
#[post("/v1/checks")]
async fn check(
    hub: web::Data<Hub>,
    request: HttpRequest,
    question: web::Query<Question>,
    payload: web::Payload,
) -> Answer {
    let layout = body::layout(&request)?;
    let format = negotiation::choose(
        &request,
        question.format.as_deref(),
        &[Format::Json, Format::Text, Format::Html],
    )?;
    let today = match &question.today {
        Some(text) => day(text)?,
        None => hub.today().await?,
    };
    let place = hub.checks.place()?;
    let spool = body::spool(&request, payload, limits::CHECK_BODY).await?.spool;
    let checker = hub.checker.with_settings(Settings { today: Some(today), ..hub.settings().await? });
    let report = place.run(move || report(&checker, spool, layout, format)).await??;
    Ok(HttpResponse::Ok().content_type(format.media_type()).streaming(body::stream(report)))
}

fn day(text: &str) -> Result<NaiveDate, Problem> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| {
        Problem::new(&codes::BAD_QUERY, "`today` is not a date; write 2026-07-02").at("today", "not a date")
    })
}

/// How a posted body is read.
pub fn options(layout: Layout, limits: Limits) -> StreamOptions {
    let shape = match layout {
        Layout::Lines => Shape::Lines,
        Layout::Array => Shape::Detect,
    };
    StreamOptions { file: None, shape, limits, ..StreamOptions::default() }
}

/// Checks the body and writes the report into a temporary file, whose length nobody knows before.
fn report(checker: &Checker, spool: Spool, layout: Layout, format: Format) -> Result<File, Problem> {
    let limits = Limits { total_bytes: Some(limits::CHECK_DECOMPRESSED), ..Limits::default() };
    let format = match format {
        Format::Text => ReportFormat::Text,
        Format::Html => ReportFormat::Html,
        _ => ReportFormat::Json,
    };
    let mut report = Report::new(format, tempfile::tempfile().map_err(body::storage)?);
    report.check(checker, spool, &options(layout, limits)).map_err(|error| match error {
        StreamError::Read(error) | StreamError::Sink(error) => body::storage(error),
    })?;
    let mut out = tempfile::tempfile().map_err(body::storage)?;
    report.finish(&mut out).map_err(body::storage)?;
    out.seek(SeekFrom::Start(0)).map_err(body::storage)?;
    Ok(out)
}

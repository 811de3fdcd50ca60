//! Reading the journal: records, one record and its history, what is new.

mod view;

use actix_web::{HttpRequest, HttpResponse, get, web};
use chrono::NaiveDate;
use haulout_schemas::Kind;
use haulout_store::{AsOf, RecordFilter};
use schemars::{JsonSchema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

pub use view::RecordView;

use crate::hub::Hub;
use crate::web::caller::ReadRecords;
use crate::web::etag::{self, Keep};
use crate::web::paging::{self, Page};
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    config.service(list).service(one).service(revisions).service(changes);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Page<RecordView>>();
    generator.subschema_for::<Revisions>();
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// Written by this party.
    #[serde(rename = "authorID")]
    #[param(rename = "authorID")]
    author_id: Option<String>,
    /// At this centre or point.
    #[serde(rename = "placeID")]
    #[param(rename = "placeID")]
    place_id: Option<String>,
    /// Of this kind, such as `rescue`.
    kind: Option<String>,
    /// Not before this day.
    from: Option<String>,
    /// Not after this day.
    through: Option<String>,
    /// `true`: only revisions that count now.
    counting: Option<bool>,
    /// `true`: newest arrival first.
    newest_first: Option<bool>,
    /// The cursor of the page before.
    after: Option<String>,
    /// Entries of a page, 1 to 1000; 100 unless given.
    limit: Option<u32>,
}

/// Lists records that the caller may see, in the order of their arrival.
#[utoipa::path(tag = "records", security(("token" = [])), params(Question),
    responses((status = 200, description = "A page", body = ref("#/components/schemas/StoredRecordPage"))))]
#[get("/v1/records")]
async fn list(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    question: web::Query<Question>,
) -> Answer {
    let question = question.into_inner();
    let limit = paging::limit(question.limit)?;
    let after = match &question.after {
        Some(cursor) => Some(paging::number("records", Some(cursor))?),
        None => None,
    };
    let filter = RecordFilter {
        author: question.author_id,
        place: question.place_id,
        kind: question.kind.as_deref().map(kind).transpose()?,
        from: question.from.as_deref().map(|text| day("from", text)).transpose()?,
        through: question.through.as_deref().map(|text| day("through", text)).transpose()?,
        key: None,
        counting: question.counting.unwrap_or_default().then_some(AsOf::NOW),
        newest_first: question.newest_first.unwrap_or_default(),
    };
    let page = hub.store.records(&caller.scope(), &filter, after, u64::from(limit)).await?;
    let next = page.next.map(|feed| paging::next(&request, &paging::cursor("records", &feed.to_string())));
    paged(RecordView::all(page.items)?, next)
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Since {
    /// The cursor of the answer before; left out, from the beginning.
    after: Option<String>,
    /// Entries of a page, 1 to 1000; 100 unless given.
    limit: Option<u32>,
}

/// What is new since a cursor: records in the order in which the hub came to know them, revisions
/// and withdrawals among them. Keep the last `next` and ask again later; nothing is skipped.
#[utoipa::path(tag = "records", security(("token" = [])), params(Since),
    responses((status = 200, description = "A page; `next` is always given, also when nothing is new", body = ref("#/components/schemas/StoredRecordPage"))))]
#[get("/v1/changes")]
async fn changes(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    since: web::Query<Since>,
) -> Answer {
    let limit = paging::limit(since.limit)?;
    let after = paging::number("changes", since.after.as_deref())?;
    let page = hub.store.changes(&caller.scope(), after, u64::from(limit)).await?;
    let last = page.items.last().map_or(after, |item| item.feed);
    let next = paging::next(&request, &paging::cursor("changes", &last.to_string()));
    paged(RecordView::all(page.items)?, Some(next))
}

/// A page with its `Link`.
fn paged<T: Serialize>(items: Vec<T>, next: Option<String>) -> Answer {
    let mut answer = HttpResponse::Ok();
    if let Some(link) = next.as_deref().and_then(paging::link) {
        answer.insert_header(link);
    }
    Ok(answer.json(Page { items, next }))
}

/// The revision of a record that counts.
#[utoipa::path(tag = "records", security(("token" = [])),
    params(("authorID" = String, Path, description = "Its author"), ("recordID" = String, Path, description = "The author's identifier")),
    responses((status = 200, description = "The record", body = ref("#/components/schemas/StoredRecord")), (status = 304, description = "You have it already")))]
#[get("/v1/records/{authorID}/{recordID}")]
async fn one(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    path: web::Path<(String, String)>,
) -> Answer {
    let (author, record) = path.into_inner();
    let found = hub.store.record(&caller.scope(), &author, &record).await?;
    conditional(&request, &RecordView::of(found)?)
}

/// Every revision of a record, lowest first.
#[derive(Debug, Serialize, JsonSchema)]
struct Revisions {
    /// The revisions.
    revisions: Vec<RecordView>,
}

/// A record's history: every revision that arrived, lowest first.
#[utoipa::path(tag = "records", security(("token" = [])),
    params(("authorID" = String, Path, description = "Its author"), ("recordID" = String, Path, description = "The author's identifier")),
    responses((status = 200, description = "The revisions", body = ref("#/components/schemas/Revisions")), (status = 304, description = "You have them already")))]
#[get("/v1/records/{authorID}/{recordID}/revisions")]
async fn revisions(
    hub: web::Data<Hub>,
    caller: Caller<ReadRecords>,
    request: HttpRequest,
    path: web::Path<(String, String)>,
) -> Answer {
    let (author, record) = path.into_inner();
    let found = hub.store.revisions(&caller.scope(), &author, &record).await?;
    conditional(&request, &Revisions { revisions: RecordView::all(found)? })
}

/// One thing as JSON, or 304.
///
/// # Errors
/// A problem where it cannot be written.
pub fn conditional<T: Serialize>(request: &HttpRequest, view: &T) -> Answer {
    let bytes = serde_json::to_vec(view)
        .map_err(|error| Problem::new(&codes::INTERNAL, "the answer could not be written").because(error))?;
    Ok(etag::answer(request, "application/json", Keep::Private, bytes))
}

fn kind(text: &str) -> Result<Kind, Problem> {
    text.parse().map_err(|()| {
        let all: Vec<&str> = Kind::ALL.iter().map(|kind| kind.as_str()).collect();
        Problem::new(&codes::BAD_QUERY, format!("there is no such kind; the kinds are {}", all.join(", ")))
            .at("kind", "no such kind")
    })
}

/// A day of a query parameter.
///
/// # Errors
/// A problem where the text is none.
pub fn day(name: &str, text: &str) -> Result<NaiveDate, Problem> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d").map_err(|_| {
        Problem::new(&codes::BAD_QUERY, format!("`{name}` is not a date; write 2026-07-02"))
            .at(name, "not a date")
    })
}

/// The day of a query parameter; the hub's today where none is given.
///
/// # Errors
/// A problem where the text is no day, or the hub's clock cannot be read.
pub async fn day_or_today(hub: &Hub, name: &str, text: Option<&str>) -> Result<NaiveDate, Problem> {
    match text {
        Some(text) => day(name, text),
        None => hub.today().await,
    }
}

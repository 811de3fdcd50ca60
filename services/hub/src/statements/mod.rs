//! The account of a period, as known at an instant.

mod counted;
mod differences;
pub mod make;
pub mod word;

use actix_web::http::header::{CONTENT_DISPOSITION, HeaderName, HeaderValue, LINK};
use actix_web::{HttpRequest, get, web};
use haulout_documents::csvw::{address, csvw};
use haulout_documents::{Document, html, pdf, xlsx};
use haulout_reckoning::region::Role as PartyRole;
use haulout_reckoning::statement::{csv, text};
use haulout_reckoning::{Period, statement::Statement};
use haulout_store::Scope;
use schemars::SchemaGenerator;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use self::make::{Asked, NoStatement};
use crate::hub::Hub;
use crate::records::conditional;
use crate::web::caller::ReadStatements;
use crate::web::etag::{self, Keep};
use crate::web::negotiation::{self, Format};
use crate::web::{Answer, Caller, Problem, codes};

/// Routes of this subject.
pub fn routes(config: &mut ServiceConfig) {
    word::routes(config);
    config.service(differences_between).service(show);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Statement>();
    generator.subschema_for::<differences::Differences>();
    word::schemas(generator);
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Question {
    /// As known at: RFC 3339, or a date, which means its last microsecond in the region's time zone. The newest entry unless given.
    as_known_at: Option<String>,
    /// Only this centre or point. A centre always sees its own.
    #[serde(rename = "centreID")]
    #[param(rename = "centreID")]
    centre_id: Option<String>,
    /// Only this species.
    scientific_name: Option<String>,
    /// `json`, `csv`, `csvw` (what the CSV's columns mean), `text`, `html` or `xlsx`.
    format: Option<String>,
}

/// The account of a period, what does not add up, who posted which night, and on what it all rests.
/// The same question with the same `asKnownAt` gives the same bytes for ever.
#[utoipa::path(tag = "statements", security(("token" = [])), params(Question, ("period" = String, Path, description = "2026, 2026-Q3, 2026-07 or 2026-07-01..2026-09-30")),
    responses((status = 200, description = "The statement", body = ref("#/components/schemas/Statement")), (status = 304, description = "You have it already"), (status = 422, description = "The period or the instant makes no sense")))]
#[get("/v1/statements/{period}")]
async fn show(
    hub: web::Data<Hub>,
    caller: Caller<ReadStatements>,
    request: HttpRequest,
    period: web::Path<String>,
    question: web::Query<Question>,
) -> Answer {
    let question = question.into_inner();
    let format = negotiation::choose(
        &request,
        question.format.as_deref(),
        &[Format::Json, Format::Csv, Format::Text, Format::Html, Format::Xlsx, Format::Pdf, Format::Csvw],
    )?;
    let asked = Asked {
        period: self::period(&period)?,
        as_known_at: question.as_known_at,
        centre_id: own_or(&hub, &caller.scope(), question.centre_id).await?,
        scientific_name: question.scientific_name,
    };
    let statement = make::make(&hub.store, &caller.scope(), &asked).await?;
    let beside = beside(&statement, format);
    // Typesetting takes long enough to keep others waiting.
    let written = web::block(move || in_format(&statement, format)).await.map_err(|error| {
        Problem::new(&codes::BUSY, "the hub has too much to do at the moment").because(error)
    })?;
    let mut answer = etag::answer(&request, format.media_type(), Keep::Private, written?);
    if let Some((name, value)) = beside {
        answer.headers_mut().insert(name, value);
    }
    Ok(answer)
}

/// What goes with a format: a file has its name, a CSV the address of its description.
fn beside(statement: &Statement, format: Format) -> Option<(HeaderName, HeaderValue)> {
    let (name, value) = match format {
        Format::Xlsx | Format::Pdf => {
            let file = Document::of(statement).ok()?.file_name();
            let ending = format.as_str();
            // A reader opens in the page, a workbook does not.
            let shown = if format == Format::Pdf { "inline" } else { "attachment" };
            (CONTENT_DISPOSITION, format!("{shown}; filename=\"{file}.{ending}\""))
        }
        Format::Csv => {
            let described = address(statement, "csvw");
            let kind = Format::Csvw.media_type();
            (LINK, format!("<{described}>; rel=\"describedby\"; type=\"{kind}\""))
        }
        _ => return None,
    };
    Some((name, HeaderValue::from_str(&value).ok()?))
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields, rename_all = "camelCase")]
#[into_params(parameter_in = Query, rename_all = "camelCase")]
struct Between {
    /// The earlier instant: RFC 3339, or a date.
    from: String,
    /// The later instant; the newest entry unless given.
    to: Option<String>,
    /// Only this centre or point. A centre always sees its own.
    #[serde(rename = "centreID")]
    #[param(rename = "centreID")]
    centre_id: Option<String>,
    /// Only this species.
    scientific_name: Option<String>,
}

/// What the account of a period says differently as known at two instants, and the records that
/// became known in between.
#[utoipa::path(tag = "statements", security(("token" = [])), params(Between, ("period" = String, Path, description = "2026, 2026-Q3, 2026-07 or 2026-07-01..2026-09-30")),
    responses((status = 200, description = "The differences", body = ref("#/components/schemas/Differences")), (status = 304, description = "You have them already"), (status = 422, description = "The period or an instant makes no sense")))]
#[get("/v1/statements/{period}/differences")]
async fn differences_between(
    hub: web::Data<Hub>,
    caller: Caller<ReadStatements>,
    request: HttpRequest,
    period: web::Path<String>,
    between: web::Query<Between>,
) -> Answer {
    let between = between.into_inner();
    let scope = caller.scope();
    let centre_id = own_or(&hub, &scope, between.centre_id).await?;
    let asked = |as_known_at| -> Result<Asked, Problem> {
        Ok(Asked {
            period: self::period(&period)?,
            as_known_at,
            centre_id: centre_id.clone(),
            scientific_name: between.scientific_name.clone(),
        })
    };
    let (earlier, later) = (asked(Some(between.from))?, asked(between.to)?);
    let from = make::make(&hub.store, &scope, &earlier).await?;
    let to = make::make(&hub.store, &scope, &later).await?;
    if from.basis.as_known_at > to.basis.as_known_at {
        return Err(Problem::new(&codes::BAD_VALUE, "`from` lies after `to`; put the earlier instant first")
            .at("from", "after `to`"));
    }
    conditional(&request, &differences::between(&hub.store, &scope, &later, &from, &to).await?)
}

/// A statement in a format.
///
/// # Errors
/// [`NoStatement::Json`], [`NoStatement::Layout`], [`NoStatement::Workbook`], [`NoStatement::Pages`].
pub fn in_format(statement: &Statement, format: Format) -> Result<Vec<u8>, NoStatement> {
    match format {
        Format::Csv => Ok(csv(statement).into_bytes()),
        Format::Text => Ok(text(statement).into_bytes()),
        Format::Html => Ok(html(&Document::of(statement)?).into_bytes()),
        Format::Xlsx => Ok(xlsx(&Document::of(statement)?)?),
        Format::Pdf => Ok(pdf(&Document::of(statement)?)?),
        Format::Csvw => Ok(csvw(statement, &address(statement, "csv"))?),
        _ => make::bytes(statement),
    }
}

/// Reads a period.
///
/// # Errors
/// A problem that says how to write one.
pub fn period(text: &str) -> Result<Period, Problem> {
    Period::parse(text).map_err(|error| Problem::new(&codes::BAD_PERIOD, error.to_string()))
}

/// A centre asks about itself, so that its figures carry the same digest as the authority's for it.
/// Whoever keeps a point may ask about that.
///
/// # Errors
/// A problem where another party's place is asked about.
pub async fn own_or(hub: &Hub, scope: &Scope, asked: Option<String>) -> Result<Option<String>, Problem> {
    let Scope::Party(party) = scope else { return Ok(asked) };
    let configuration = hub.store.configuration().await?;
    match asked {
        Some(place) if place == party.as_str() || configuration.points_kept_by(party).contains(&place) => {
            Ok(Some(place))
        }
        Some(_) => {
            Err(Problem::new(&codes::NOT_YOURS, format!("`{party}` sees the figures of its own places only"))
                .at("centreID", "another party's place"))
        }
        None => {
            let is_centre = configuration
                .region
                .as_ref()
                .is_some_and(|region| region.role(party) == Some(PartyRole::Centre));
            Ok(is_centre.then(|| party.to_string()))
        }
    }
}

impl From<NoStatement> for Problem {
    fn from(error: NoStatement) -> Self {
        match error {
            NoStatement::Store(error) => error.into(),
            NoStatement::NoInstant(_) => {
                Self::new(&codes::BAD_VALUE, error.to_string()).at("asKnownAt", "no instant")
            }
            NoStatement::NoPlace(_) => {
                Self::new(&codes::BAD_VALUE, error.to_string()).at("centreID", "nobody knows it")
            }
            NoStatement::NotYetKnown { .. } => {
                Self::new(&codes::NOT_YET_KNOWN, error.to_string()).at("asKnownAt", "in the future")
            }
            NoStatement::Json(_)
            | NoStatement::Layout(_)
            | NoStatement::Workbook(_)
            | NoStatement::Pages(_) => {
                Self::new(&codes::INTERNAL, "the statement could not be written").because(error)
            }
        }
    }
}

//! The account of a period, as known at an instant.

mod counted;
mod differences;
pub mod make;

use actix_web::http::header::{CONTENT_DISPOSITION, HeaderValue, LINK};
use actix_web::{HttpRequest, get, web};
use haulout_documents::{Document, csvw, html, xlsx};
use haulout_reckoning::region::Role as PartyRole;
use haulout_reckoning::statement::{csv, text};
use haulout_reckoning::{Period, statement::Statement};
use haulout_store::Scope;
use schemars::SchemaGenerator;
use serde::Deserialize;
use serde_json::{Value, json};
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
    config.service(differences_between).service(show);
}

/// Types of this subject.
pub fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<differences::Differences>();
}

/// A statement as it is shown; the crate that reckons it writes it, and holds no schema types.
pub fn schema() -> Value {
    let object = json!({ "type": "object" });
    let list = json!({ "type": "array", "items": { "type": "object" } });
    let digest = json!({ "type": "string", "pattern": "^[0-9a-f]{64}$" });
    json!({
        "type": "object",
        "required": ["question", "account", "evaluatedThrough", "findings", "relocations", "nests", "completeness", "basis", "accountDigest", "findingsDigest"],
        "properties": {
            "question": object, "account": object, "evaluatedThrough": { "type": "string" }, "findings": list, "relocations": list,
            "nests": list, "completeness": object, "basis": object, "accountDigest": digest, "findingsDigest": digest,
        },
    })
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
    /// `json`, `csv`, `text`, `html`, `xlsx`, or `csvw`: what the columns of the CSV mean.
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
        &[Format::Json, Format::Csv, Format::Text, Format::Html, Format::Xlsx, Format::Csvw],
    )?;
    let asked = Asked {
        period: self::period(&period)?,
        as_known_at: question.as_known_at,
        centre_id: own_or(&hub, &caller.scope(), question.centre_id).await?,
        scientific_name: question.scientific_name,
    };
    let statement = make::make(&hub.store, &caller.scope(), &asked).await?;
    let bytes = in_format(&statement, format)?;
    let mut answer = etag::answer(&request, format.media_type(), Keep::Private, bytes);
    let header = match format {
        // The period is one of four plain forms, so its text is a file name.
        Format::Xlsx => Some((
            CONTENT_DISPOSITION,
            format!("attachment; filename=\"statement-{}.xlsx\"", statement.question.period),
        )),
        Format::Csv => Some((
            LINK,
            format!(
                "<{}>; rel=\"describedby\"; type=\"{}\"",
                csvw::address(&statement, "csvw"),
                csvw::MEDIA_TYPE
            ),
        )),
        _ => None,
    };
    if let Some((name, value)) = header
        && let Ok(value) = HeaderValue::from_str(&value)
    {
        answer.headers_mut().insert(name, value);
    }
    Ok(answer)
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
/// [`NoStatement::Json`], [`NoStatement::Document`].
pub fn in_format(statement: &Statement, format: Format) -> Result<Vec<u8>, NoStatement> {
    let document = || Document::of(statement).map_err(|error| NoStatement::Document(error.to_string()));
    match format {
        Format::Html => Ok(html(&document()?).into_bytes()),
        Format::Xlsx => xlsx(&document()?).map_err(|error| NoStatement::Document(error.to_string())),
        Format::Csvw => Ok(csvw::csvw(statement, &csvw::address(statement, "csv"))?),
        Format::Csv => Ok(csv(statement).into_bytes()),
        Format::Text => Ok(text(statement).into_bytes()),
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
            NoStatement::Document(inner) => {
                Self::new(&codes::INTERNAL, "the statement could not be written").because(inner)
            }
            NoStatement::Json(inner) => {
                Self::new(&codes::INTERNAL, "the statement could not be written").because(inner)
            }
        }
    }
}

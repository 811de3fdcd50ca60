//! What the offices say of a statement: its sign-offs. They are acts of the region's chain, so that
//! nobody can unsay them.

use actix_web::{HttpRequest, HttpResponse, get, post, web};
use haulout_reckoning::Micros;
use haulout_reckoning::findings::RecordName;
use haulout_reckoning::statement::{Acceptance, Office, Question, SignOff};
use haulout_schemas::text::PartyId;
use haulout_store::acts::{SignedOff, StoredAct};
use haulout_store::clock::instant_text;
use haulout_store::{Act, By, Store, StoreError};
use schemars::{JsonSchema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::make::{Asked, make};
use super::{own_or, period};
use crate::hub::Hub;
use crate::records::conditional;
use crate::web::body::Json;
use crate::web::caller::{ReadStatements, SignOffStatements};
use crate::web::{Answer, Caller, Problem, codes};

/// Acts that are read in one query.
const PAGE: u64 = 1_000;

pub(super) fn routes(config: &mut ServiceConfig) {
    config.service(sign_off_period).service(sign_offs_of);
}

pub(super) fn schemas(generator: &mut SchemaGenerator) {
    generator.subschema_for::<Signature>();
    generator.subschema_for::<Signatures>();
}

/// A statement that is signed off: which figures and findings, as they were read.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
struct Signature {
    /// `basis.asKnownAt` of the statement.
    as_known_at: String,
    /// Its `accountDigest`.
    account_digest: String,
    /// Its `findingsDigest`.
    findings_digest: String,
    /// Its `question.centreID`, where it is of one place.
    #[serde(rename = "centreID", default)]
    centre_id: Option<String>,
    /// Remark, up to 2,000 characters.
    #[serde(default)]
    #[schemars(length(min = 1, max = 2000))]
    note: Option<String>,
}

/// The sign-offs of a period, oldest first.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
struct Signatures {
    /// The sign-offs; `sameFigures` and `sameFindings` compare with the statement as known now.
    sign_offs: Vec<SignOff>,
}

/// Signs a statement off: the digests that were read must be those that the hub arrives at again, so
/// that nobody signs another account than the one in hand. A centre signs its own part.
#[utoipa::path(tag = "statements", security(("token" = [])), params(("period" = String, Path, description = "2026, 2026-Q3, 2026-07 or 2026-07-01..2026-09-30")),
    request_body(content((ref("#/components/schemas/Signature") = "application/json"))),
    responses((status = 201, description = "Signed off", body = ref("#/components/schemas/Signatures")), (status = 409, description = "The figures or findings in hand are not those of the journal")))]
#[post("/v1/statements/{period}/sign-offs")]
async fn sign_off_period(
    hub: web::Data<Hub>,
    caller: Caller<SignOffStatements>,
    period: web::Path<String>,
    body: Json<Signature>,
) -> Answer {
    let signature = body.0;
    if let Some(note) = &signature.note {
        within("#/note", note)?;
    }
    let asked = Asked {
        period: self::period(&period)?,
        as_known_at: Some(signature.as_known_at),
        centre_id: own_or(&hub, &caller.scope(), signature.centre_id).await?,
        scientific_name: None,
    };
    let statement = make(&hub.store, &caller.scope(), &asked).await?;
    for (pointer, in_hand, arrived_at) in [
        ("#/accountDigest", &signature.account_digest, &statement.account_digest),
        ("#/findingsDigest", &signature.findings_digest, &statement.findings_digest),
    ] {
        if in_hand != arrived_at {
            return Err(Problem::new(
                &codes::STATE_CONFLICT,
                format!(
                    "the statement of {} as known at {} has another digest, {arrived_at}; fetch it again, read it, and sign that",
                    asked.period, statement.basis.as_known_at
                ),
            )
            .at(pointer, "not what the journal arrives at"));
        }
    }
    let act = SignedOff {
        by: caller.who.by(),
        period: asked.period.to_string(),
        as_known_at: statement.basis.as_known_at.clone(),
        account_digest: statement.account_digest.clone(),
        findings_digest: statement.findings_digest.clone(),
        centre_id: asked.centre_id.as_deref().map(PartyId::from),
        note: signature.note,
    };
    let sealed = hub.store.append(Act::from(act)).await?;
    let sign_offs = sign_off(&sealed).into_iter().map(|signed| compared(signed, &statement)).collect();
    Ok(HttpResponse::Created().json(Signatures { sign_offs }))
}

#[derive(Debug, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Whose {
    /// Only this centre's or point's part. A centre always sees its own.
    #[serde(rename = "centreID")]
    #[param(rename = "centreID")]
    centre_id: Option<String>,
}

/// Every sign-off of a period, also those that came after an instant of knowledge, each with whether
/// the account as known now is still what was signed.
#[utoipa::path(tag = "statements", security(("token" = [])), params(Whose, ("period" = String, Path, description = "2026, 2026-Q3, 2026-07 or 2026-07-01..2026-09-30")),
    responses((status = 200, description = "The sign-offs", body = ref("#/components/schemas/Signatures")), (status = 304, description = "You have them already")))]
#[get("/v1/statements/{period}/sign-offs")]
async fn sign_offs_of(
    hub: web::Data<Hub>,
    caller: Caller<ReadStatements>,
    request: HttpRequest,
    period: web::Path<String>,
    whose: web::Query<Whose>,
) -> Answer {
    let asked = Asked {
        period: self::period(&period)?,
        as_known_at: None,
        centre_id: own_or(&hub, &caller.scope(), whose.into_inner().centre_id).await?,
        scientific_name: None,
    };
    let statement = make(&hub.store, &caller.scope(), &asked).await?;
    let words = Words::known_at(&hub.store, None).await?;
    let sign_offs =
        words.signed(&statement.question).into_iter().map(|signed| compared(signed, &statement)).collect();
    conditional(&request, &Signatures { sign_offs })
}

/// What an office writes: something, and no more than 2,000 characters.
///
/// # Errors
/// A problem at the pointer.
pub fn within(pointer: &str, text: &str) -> Result<(), Problem> {
    if (1..=2_000).contains(&text.trim().chars().count()) {
        return Ok(());
    }
    Err(Problem::new(&codes::BAD_VALUE, "write 1 to 2,000 characters").at(pointer, "too short or too long"))
}

fn compared(mut signed: SignOff, statement: &haulout_reckoning::statement::Statement) -> SignOff {
    signed.same_figures = signed.account_digest == statement.account_digest;
    signed.same_findings = signed.findings_digest == statement.findings_digest;
    signed
}

/// What the offices have said, oldest first.
pub struct Words {
    acts: Vec<StoredAct>,
}

impl Words {
    /// What was said by an instant, or to this day.
    ///
    /// # Errors
    /// When the store fails.
    pub async fn known_at(store: &Store, instant: Option<Micros>) -> Result<Self, StoreError> {
        let mut acts: Vec<StoredAct> = Vec::new();
        loop {
            let after = acts.last().map_or(0, |act| act.sequence);
            let page = store.acts(&["signedOff", "findingAccepted"], after, PAGE).await?;
            let whole = page.len() as u64 == PAGE;
            acts.extend(page);
            if !whole {
                break;
            }
        }
        acts.retain(|act| instant.is_none_or(|instant| act.known_from <= instant));
        Ok(Self { acts })
    }

    /// The sign-offs of a question. A statement of one species is not signed off.
    pub fn signed(&self, question: &Question) -> Vec<SignOff> {
        let about = |act: &&StoredAct| match &act.act {
            Act::SignedOff(signed) => {
                question.scientific_name.is_none()
                    && signed.period == question.period
                    && signed.centre_id.as_ref().map(PartyId::as_str) == question.centre_id.as_deref()
            }
            _ => false,
        };
        self.acts.iter().filter(about).filter_map(sign_off).collect()
    }

    /// The findings that the authority accepted.
    pub fn accepted(&self) -> Vec<Acceptance> {
        self.acts.iter().filter_map(acceptance).collect()
    }
}

fn office(by: &By) -> Office {
    Office { role: by.role.as_str().to_owned(), party_id: by.party_id.as_ref().map(PartyId::to_string) }
}

fn sign_off(act: &StoredAct) -> Option<SignOff> {
    let Act::SignedOff(signed) = &act.act else { return None };
    Some(SignOff {
        by: office(&signed.by),
        signed_at: instant_text(act.known_from),
        as_known_at: signed.as_known_at.clone(),
        account_digest: signed.account_digest.clone(),
        findings_digest: signed.findings_digest.clone(),
        same_figures: false,
        same_findings: false,
        note: signed.note.clone(),
    })
}

/// An acceptance, as the act tells it.
pub fn acceptance(act: &StoredAct) -> Option<Acceptance> {
    let Act::FindingAccepted(accepted) = &act.act else { return None };
    Some(Acceptance {
        code: accepted.code.clone(),
        records: accepted
            .records
            .iter()
            .map(|name| RecordName { author_id: name.author_id.clone(), record_id: name.record_id.clone() })
            .collect(),
        by: office(&accepted.by),
        accepted_at: instant_text(act.known_from),
        reason: accepted.reason.clone(),
    })
}

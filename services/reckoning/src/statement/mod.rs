//! The account of a period, as known at an instant.
//!
//! One model; JSON, CSV and text are made from it and hold the same figures. `account` and
//! `findings` hold integers, strings and codes only: they stand under digests that every hub with
//! the same records arrives at. What depends on arrival stands in `completeness` and `basis`.

mod completeness;
mod csv;
mod digest;
mod in_hand;
mod in_unit;
mod lent;
mod mortality;
mod necropsies;
mod papers;
mod reading;
mod remark;
mod routine;
mod rows;
mod text;
mod title;
mod totals;
mod word;

pub use completeness::{Completeness, NIGHT_LATE, Night, Notice, PartyNights, completeness, stamp};
pub use csv::csv;
pub use digest::digest;
pub use in_hand::InHand;
pub use mortality::{Mortality, Proportion, exact_interval};
pub use necropsies::{Necropsies, Reason, necropsies};
pub use papers::{LicenceScope, PermitLine, SpeciesLine};
pub use remark::Remark;
pub use routine::{Routine, RoutineLine};
pub use rows::{AccountRow, CensusCell, CensusTaken, Deaths, Sum, TransitRow};
pub use text::text;
pub use title::TitleLine;
pub use totals::{Total, TrialBalance};
pub use word::{Acceptance, Office, SignOff, acceptance_of};

use crate::effective::Effective;
use crate::findings::World;
use crate::period::Period;
use crate::region::Region;
use chrono::{Days, NaiveDate};
use haulout_schemas::names::Names;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What was asked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Question {
    /// The period as asked.
    pub period: String,
    /// Only this centre or point.
    #[serde(rename = "centreID", skip_serializing_if = "Option::is_none")]
    pub centre_id: Option<String>,
    /// Only this accepted name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scientific_name: Option<String>,
}

/// The account: places first, journeys apart.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Account {
    /// One row for each place and commodity.
    pub rows: Vec<AccountRow>,
    /// One row for each journey and commodity that was under way in the period.
    pub transit: Vec<TransitRow>,
    /// Deaths of animals in the period: four figures that are never mixed, and those by order.
    pub deaths: Deaths,
}

/// A number of one species at one party, counted on a line of its own.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct ApartLine {
    /// The party whose crew it was.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Accepted name.
    pub scientific_name: String,
    /// Records.
    pub records: u64,
    /// Individuals, as far as counted.
    pub individual_count: u64,
}

/// On what the statement rests.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Basis {
    /// The instant of knowledge, inclusive, RFC 3339 in UTC with microseconds.
    pub as_known_at: String,
    /// Head of each party's chain at that instant.
    pub chain_heads: BTreeMap<String, ChainHead>,
    /// Version of the posting rules.
    pub posting_rules: String,
    /// Digest of the finding rules with local code applied.
    pub rule_set: String,
    /// Version of this software.
    pub release: String,
    /// True in a database whose calendar is set by hand.
    pub demonstration: bool,
}

/// The newest link of a chain.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ChainHead {
    /// How many records the chain holds.
    pub sequence: i64,
    /// SHA-256 of the newest link.
    pub link: String,
}

/// The statement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Statement {
    /// What was asked.
    pub question: Question,
    /// The figures.
    pub account: Account,
    /// The day through which deadlines are judged and records considered for findings.
    pub evaluated_through: String,
    /// What to know before any figure; empty where nothing stands in the way.
    pub remarks: Vec<Remark>,
    /// What does not add up, is missing or overdue.
    #[schemars(with = "Vec<crate::findings::Finding>")]
    pub findings: Vec<Value>,
    /// Caught and freed the same day; no centre ever held them.
    pub relocations: Vec<ApartLine>,
    /// Nests left in place.
    pub nests: Vec<ApartLine>,
    /// Totals of the account over all places.
    pub totals: Vec<Total>,
    /// The proof of the ledger; only where the whole region is asked about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trial_balance: Option<TrialBalance>,
    /// How many of those in care died.
    pub mortality: Mortality,
    /// How many of the dead were looked into; not told of a single species, since one record may tell
    /// of several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub necropsies: Option<Necropsies>,
    /// How the routine was kept in each centre; not told of a single species, since a unit may hold
    /// several, nor without a region file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub routine: Option<Vec<RoutineLine>>,
    /// Whose the animals of each row are, and what is lent; as `routine`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<Vec<TitleLine>>,
    /// Permits, and what is left of them.
    pub permits: Vec<PermitLine>,
    /// The law's word on each centre and species.
    pub species: Vec<SpeciesLine>,
    /// Who posted which night.
    pub completeness: Completeness,
    /// Who had signed off the same question by then, oldest first.
    pub sign_offs: Vec<SignOff>,
    /// Which of the findings the authority had accepted by then, and why.
    pub acceptances: Vec<Acceptance>,
    /// On what it rests.
    pub basis: Basis,
    /// SHA-256 of JCS {question, account}.
    pub account_digest: String,
    /// SHA-256 of JCS {evaluatedThrough, findings, ruleSet}.
    pub findings_digest: String,
}

/// What a statement is made from.
pub struct Parts {
    /// What was asked.
    pub question: Question,
    /// Sums of the ledger.
    pub sums: Vec<Sum>,
    /// The last count of each place in the period.
    pub censuses: Vec<CensusTaken>,
    /// Through which day findings were judged.
    pub evaluated_through: NaiveDate,
    /// The findings, sorted.
    pub findings: Vec<Value>,
    /// Relocations in the period.
    pub relocations: Vec<ApartLine>,
    /// Nests in the period.
    pub nests: Vec<ApartLine>,
    /// What is told beside the account.
    pub beside: Beside,
    /// Who posted which night.
    pub completeness: Completeness,
    /// On what it rests.
    pub basis: Basis,
}

/// What the figures beside the account are made from. They stand outside the digests.
pub struct Beside {
    /// The period.
    pub period: Period,
    /// The authority's permits and licences and all releases, dated through the end of the period.
    pub papers: Vec<Arc<Effective>>,
    /// Records that tell of deaths, necropsies and links, from the beginning of the period through its
    /// end; none where a single species is asked about.
    pub deaths: Option<Vec<Arc<Effective>>>,
    /// What the routine and the title are reckoned from; none where a single species is asked about.
    pub in_hand: Option<InHand>,
    /// The sum over all accounts by name and commodity, where the whole region is asked about.
    pub trial: Option<Vec<(String, bool, i64)>>,
    /// Who is who; without a region file nobody is the authority.
    pub region: Option<Arc<Region>>,
    /// The name list.
    pub names: Arc<Names>,
    /// Who signed off the same question by the instant of knowledge; `same_figures` and
    /// `same_findings` are worked out here.
    pub sign_offs: Vec<SignOff>,
    /// What the authority had accepted by then.
    pub acceptances: Vec<Acceptance>,
}

/// The centre or holding point of a row.
fn place(row: &AccountRow) -> &str {
    row.centre_id.as_deref().or(row.point_id.as_deref()).unwrap_or_default()
}

/// Deadline rules are judged at the earlier of the period's last day and the day before the instant
/// of knowledge, both in the region's zone.
pub fn evaluated_through(period: &Period, day_of_knowledge: NaiveDate) -> NaiveDate {
    period.last.min(day_of_knowledge.checked_sub_days(Days::new(1)).unwrap_or(day_of_knowledge))
}

/// Makes the statement.
///
/// # Errors
/// A `serde_json` error where a part cannot be written as canonical JSON.
pub fn statement(parts: Parts) -> Result<Statement, serde_json::Error> {
    let account = rows::account(&parts.sums, &parts.censuses);
    let evaluated_through = parts.evaluated_through.to_string();
    let account_digest = digest(&serde_json::json!({ "question": parts.question, "account": account }))?;
    let findings_digest = digest(&serde_json::json!({
        "evaluatedThrough": evaluated_through,
        "findings": parts.findings,
        "ruleSet": parts.basis.rule_set,
    }))?;
    let Beside { period, papers, deaths, in_hand, trial, region, names, sign_offs, acceptances } =
        parts.beside;
    let remarks = remark::remarks(&period, parts.evaluated_through, &parts.basis);
    let sign_offs = sign_offs.into_iter().map(|mut signed| {
        signed.same_figures = signed.account_digest == account_digest;
        signed.same_findings = signed.findings_digest == findings_digest;
        signed
    });
    let question = &parts.question;
    let (permits, species) = match &region {
        Some(region) => (
            papers::permits(&papers, region, &names, &period, question),
            papers::species(&account, &papers, region, &names, period.last),
        ),
        None => (Vec::new(), Vec::new()),
    };
    let in_care = region.as_deref().zip(in_hand.as_ref()).map(|(region, in_hand)| {
        let world = World {
            evaluated_through: parts.evaluated_through,
            settings: &in_hand.settings,
            names: &names,
            profiles: &in_hand.profiles,
            region,
        };
        (in_hand, world)
    });
    let acceptances = word::told(&acceptances, &parts.findings);
    Ok(Statement {
        totals: totals::totals(&account.rows, &account.transit),
        trial_balance: trial.as_deref().map(TrialBalance::of),
        mortality: mortality::mortality(&account, question.centre_id.is_some()),
        necropsies: deaths.as_deref().map(|records| necropsies(records, &period)),
        routine: in_care.as_ref().map(|(in_hand, world)| routine::routine(in_hand, &period, world)),
        title: in_care
            .as_ref()
            .map(|(in_hand, world)| title::title(in_hand, &account.rows, world, period.last)),
        permits,
        species,
        question: parts.question,
        account,
        evaluated_through,
        remarks,
        findings: parts.findings,
        relocations: parts.relocations,
        nests: parts.nests,
        completeness: parts.completeness,
        sign_offs: sign_offs.collect(),
        acceptances,
        basis: parts.basis,
        account_digest,
        findings_digest,
    })
}

/// The statement's own schema, JSON Schema 2020-12. It is open: later releases may tell more beside.
pub fn schema() -> Value {
    schemars::schema_for!(Statement).to_value()
}

#[cfg(test)]
mod tests;

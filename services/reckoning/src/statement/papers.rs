//! What the law's papers say beside the figures: permits and what is left of them, the treaty's
//! listing of each species and whether the centre's licence covers it.

use super::reading::{self, Word};
use super::{Account, Question};
use crate::effective::Effective;
use crate::findings::by_order;
use crate::findings::coverage::Coverage;
use crate::period::Period;
use crate::region::{Region, Role};
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::profile::Appendix;
use haulout_schemas::records::authority::{Licence, LicenceStatus, Permit};
use haulout_schemas::{Body, Record};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// One permit that was valid in the period, or was used in it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct PermitLine {
    /// The permit.
    pub permit_number: String,
    /// What it allows.
    #[serde(deserialize_with = "reading::permit_type")]
    pub permit_type: Word,
    /// Species, genus, family or order, as the permit names them.
    pub species: Vec<String>,
    /// Who may use it.
    #[serde(rename = "holderIDs")]
    pub holder_ids: Vec<String>,
    /// Last day on which it is valid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub valid_through: Option<String>,
    /// How many in all.
    pub quantity: i64,
    /// Used before the records of this hub begin.
    pub used_before: i64,
    /// Used in the period.
    pub used: i64,
    /// Used by the end of the period, all told.
    pub used_in_all: i64,
    /// Left at the end of the period; below zero where more was used than there was.
    pub left: i64,
}

/// What the law says of a species at a place, beside its row of the account.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct SpeciesLine {
    /// The centre; a holding point needs no licence.
    #[serde(rename = "centreID")]
    pub centre_id: String,
    /// Accepted name.
    pub scientific_name: String,
    /// Appendix of the treaty on trade in endangered species (CITES).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub treaty_appendix: Option<Appendix>,
    /// The day of the treaty's lists that the profile was taken from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub treaty_as_of: Option<String>,
    /// Whether a licence in force on the last day of the period covers it.
    pub licence: LicenceScope,
    /// The licences that do.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub licence_numbers: Vec<String>,
    /// Most heads that they allow, added up; none given where one has no limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heads_limit: Option<i64>,
}

/// Whether a licence covers a species.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub enum LicenceScope {
    /// One in force does.
    Within,
    /// The centre has a licence in force, and it does not name the species.
    Outside,
    /// No licence in force is known.
    NoneKnown,
}

/// The authority's own records of a kind, each number's versions in the contract's order.
fn by_number<'r, T>(
    records: &'r [Arc<Effective>],
    region: &Region,
    pick: impl Fn(&'r Body) -> Option<(&'r str, &'r T)>,
) -> BTreeMap<&'r str, Vec<(&'r Record, &'r T)>> {
    let mut numbers: BTreeMap<&str, Vec<(&Record, &T)>> = BTreeMap::new();
    for one in records {
        let record = &one.record;
        if region.role(&record.envelope.author_id) != Some(Role::Authority) {
            continue;
        }
        if let Some((number, body)) = record.body.as_ref().and_then(&pick) {
            numbers.entry(number).or_default().push((record, body));
        }
    }
    for versions in numbers.values_mut() {
        versions.sort_by(|(one, _), (other, _)| by_order(one, other));
    }
    numbers
}

/// Permits of the period, from records dated through its end; those that the asked centre may use and
/// that cover the asked species.
pub(super) fn permits(
    records: &[Arc<Effective>],
    region: &Region,
    names: &Names,
    period: &Period,
    question: &Question,
) -> Vec<PermitLine> {
    let mut coverage = Coverage::new(names);
    let mut is_asked = |permit: &Permit| {
        let held = |centre: &String| permit.holder_ids.iter().any(|id| id.as_str() == centre);
        let mut covered =
            |name: &String| permit.species.iter().any(|species| coverage.covers(species.as_str(), name));
        question.centre_id.as_ref().is_none_or(held)
            && question.scientific_name.as_ref().is_none_or(&mut covered)
    };
    let permits = by_number(records, region, |body| match body {
        Body::Permit(permit) => Some((permit.permit_number.as_str(), permit)),
        _ => None,
    });
    let mut used: BTreeMap<&str, (i64, i64)> = BTreeMap::new();
    for one in records {
        if let Some(Body::Release(release)) = &one.record.body
            && let Some(number) = &release.permit_number
        {
            let day = one.record.envelope.event_date.day();
            let count = i64::from(release.individual_count);
            let (within, in_all) = used.entry(number.as_str()).or_default();
            *in_all += if day <= period.last { count } else { 0 };
            *within += if period.contains(day) { count } else { 0 };
        }
    }
    permits
        .into_iter()
        .filter_map(|(number, versions)| {
            let (given, permit) = versions.last()?;
            let (within, in_all) = used.get(number).copied().unwrap_or_default();
            let from = permit.valid_from.map_or(given.envelope.event_date.day(), |day| day.0);
            let valid = from <= period.last && permit.valid_through.is_none_or(|last| last.0 >= period.first);
            ((valid || within != 0) && is_asked(permit)).then(|| line(number, permit, within, in_all))
        })
        .collect()
}

fn line(number: &str, permit: &Permit, used: i64, in_all: i64) -> PermitLine {
    let used_before = i64::from(permit.used_before.unwrap_or_default());
    PermitLine {
        permit_number: number.to_owned(),
        permit_type: permit.permit_type.as_str(),
        species: permit.species.iter().map(ToString::to_string).collect(),
        holder_ids: permit.holder_ids.iter().map(ToString::to_string).collect(),
        valid_through: permit.valid_through.map(|day| day.0.to_string()),
        quantity: i64::from(permit.quantity),
        used_before,
        used,
        used_in_all: used_before + in_all,
        left: i64::from(permit.quantity) - used_before - in_all,
    }
}

/// The law's word on each centre and species of the account, from records dated through its end.
pub(super) fn species(
    account: &Account,
    records: &[Arc<Effective>],
    region: &Region,
    names: &Names,
    last: NaiveDate,
) -> Vec<SpeciesLine> {
    let licences = by_number(records, region, |body| match body {
        Body::Licence(licence) => Some((licence.licence_number.as_str(), licence)),
        _ => None,
    });
    let in_force: Vec<(&str, &Licence)> = licences
        .into_iter()
        .filter_map(|(number, versions)| {
            let begun = |(record, licence): &&(&Record, &Licence)| {
                licence.valid_from.map_or(record.envelope.event_date.day(), |day| day.0) <= last
            };
            let (_, licence) = versions.iter().rev().find(begun)?;
            in_force(licence, last).then_some((number, *licence))
        })
        .collect();
    let mut coverage = Coverage::new(names);
    let kept: BTreeSet<(&str, &str)> = account
        .rows
        .iter()
        .filter_map(|row| Some((row.centre_id.as_deref()?, row.scientific_name.as_str())))
        .collect();
    kept.into_iter().map(|(centre, name)| word(centre, name, &in_force, names, &mut coverage)).collect()
}

/// A licence under renewal continues by law beyond its last day.
fn in_force(licence: &Licence, day: NaiveDate) -> bool {
    match licence.status {
        LicenceStatus::InForce => licence.valid_through.is_none_or(|last| last.0 >= day),
        LicenceStatus::UnderRenewal => true,
        _ => false,
    }
}

fn word(
    centre: &str,
    name: &str,
    in_force: &[(&str, &Licence)],
    names: &Names,
    coverage: &mut Coverage<'_>,
) -> SpeciesLine {
    let of_centre: Vec<_> =
        in_force.iter().filter(|(_, licence)| licence.holder_id.as_str() == centre).collect();
    let mut numbers = BTreeSet::new();
    let mut limit = Some(0_i64);
    for (number, licence) in &of_centre {
        for line in licence.lines.iter().filter(|line| coverage.covers(line.scientific_name.as_str(), name)) {
            numbers.insert((*number).to_owned());
            limit = limit.zip(line.heads_limit).map(|(sum, heads)| sum + i64::from(heads));
        }
    }
    let treaty = names.profile(name).map(|profile| &profile.treaty.value);
    SpeciesLine {
        centre_id: centre.to_owned(),
        scientific_name: name.to_owned(),
        treaty_appendix: treaty.map(|treaty| treaty.appendix),
        treaty_as_of: treaty.map(|treaty| treaty.as_of.clone()),
        licence: match (of_centre.is_empty(), numbers.is_empty()) {
            (true, _) => LicenceScope::NoneKnown,
            (false, true) => LicenceScope::Outside,
            (false, false) => LicenceScope::Within,
        },
        heads_limit: limit.filter(|_| !numbers.is_empty()),
        licence_numbers: numbers.into_iter().collect(),
    }
}

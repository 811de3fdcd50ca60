//! Permits: releases that name one which does not cover them, and more releases than it allows.

use super::coverage::Coverage;
use super::judging::{Judging, parameters};
use crate::keys::place_of;
use crate::subject::Subject;
use haulout_schemas::records::authority::{Permit, PermitType};
use haulout_schemas::records::freeing::Release;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::{Body, Record};

/// Freed without leave. Parameters: `reason` (`notNamed`, `notFound`, `type`, `species`, `holder`,
/// `dates`), `organismID` or `lotID`, and `permitNumber` where one is named.
pub(super) static WITHOUT_PERMIT: Rule = Rule {
    code: "release-without-permit",
    layer: Layer::Finding,
    severity: Severity::Critical,
    title: "Release without permit",
    meaning: "A release names no permit, or one that the authority has not written or that does not cover it: another type, species, holder, or another day.",
    why: "Animals are released only with the competent authority's permission.",
    mend: "Revise the release with the right number; if the permit exists on paper only, the authority posts it. Ask before the next release.",
    source: "common practice",
    thresholds: &[],
};

/// More freed than permitted. Parameters: `permitNumber`, `quantity`, `usedBefore`, `used` (in all).
pub(super) static OVERDRAWN: Rule = Rule {
    code: "permit-overdrawn",
    layer: Layer::Finding,
    severity: Severity::Critical,
    title: "Permit overdrawn",
    meaning: "The releases that name a permit, with what was used before the records of this hub begin, exceed its quantity. Recaptures give nothing back, relocations use nothing.",
    why: "What is beyond the permit was released without one.",
    mend: "Ask the authority; where a release names the wrong permit, revise it.",
    source: "the authority's permit",
    thresholds: &[],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let number = judging.key.id();
    let mut permits: Vec<(&Record, &Permit)> = Vec::new();
    let mut releases: Vec<(&Record, &Release)> = Vec::new();
    for one in &own {
        match &one.record.body {
            Some(Body::Permit(permit)) if judging.by_authority(&one.record) => {
                permits.push((&one.record, permit))
            }
            Some(Body::Release(release)) => releases.push((&one.record, release)),
            _ => {}
        }
    }
    permits.sort_by(|(one, _), (other, _)| super::by_order(one, other));
    let mut coverage = Coverage::new(judging.world.names);
    for (record, _) in &releases {
        // Several permits of one number: any that covers it will do, else the latest says why not.
        let reasons: Vec<_> =
            permits.iter().map(|permit| reason(judging, *permit, record, &mut coverage)).collect();
        let reason = if reasons.contains(&None) {
            None
        } else {
            reasons.last().copied().flatten().or(Some("notFound"))
        };
        if let Some(reason) = reason {
            let mut told = parameters([("reason", reason.into()), ("permitNumber", number.into())]);
            if let Some(subject) = Subject::of_frame(&record.envelope) {
                told.insert(subject.member().to_owned(), subject.id().into());
            }
            judging.find(&WITHOUT_PERMIT, [*record], None, told);
        }
    }
    let Some((record, permit)) = permits.last() else { return };
    let before = i64::from(permit.used_before.unwrap_or_default());
    let released: i64 = releases.iter().map(|(_, release)| i64::from(release.individual_count)).sum();
    if before + released > i64::from(permit.quantity) && released > 0 {
        let told = parameters([
            ("permitNumber", number.into()),
            ("quantity", permit.quantity.into()),
            ("usedBefore", before.into()),
            ("used", (before + released).into()),
        ]);
        judging.find(&OVERDRAWN, releases.iter().map(|(record, _)| *record).chain([*record]), None, told);
    }
}

/// Why a permit does not cover a release; `None` where it does.
fn reason(
    judging: &Judging<'_>,
    (given, permit): (&Record, &Permit),
    release: &Record,
    coverage: &mut Coverage<'_>,
) -> Option<&'static str> {
    let frame = &release.envelope;
    let name = frame.scientific_name.as_ref().map(|name| name.as_str()).unwrap_or_default();
    let place = place_of(frame);
    let keeper = place.and_then(|place| judging.world.region.keeper(place));
    let holders = [Some(&frame.author_id), place, keeper];
    let day = frame.event_date.day();
    let from = permit.valid_from.map_or(given.envelope.event_date.start().day, |day| day.0);
    if permit.permit_type != PermitType::Release {
        Some("type")
    } else if !permit.species.iter().any(|species| coverage.covers(species.as_str(), name)) {
        Some("species")
    } else if !holders.into_iter().flatten().any(|party| permit.holder_ids.contains(party)) {
        Some("holder")
    } else if day < from || permit.valid_through.is_some_and(|last| last.0 < day) {
        Some("dates")
    } else {
        None
    }
}

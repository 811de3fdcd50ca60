//! Releases without permit, certificate or mark: what one release lacks, seen from its animal or lot.

use super::descent::{ancestors, same_animal};
use super::judging::{Judging, parameters};
use super::permits::WITHOUT_PERMIT;
use super::sequence::surely_before;
use crate::subject::Subject;
use haulout_schemas::records::breeding::ClutchEvent;
use haulout_schemas::records::freeing::Release;
use haulout_schemas::records::health::AssessmentEvent;
use haulout_schemas::records::keeping::MarkingEvent;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::vocabulary::LifeStage;
use haulout_schemas::{Body, Record};
use std::collections::BTreeSet;

/// Freed without a veterinarian's certificate. Parameters: `reason` (`notNamed`, `notFound`,
/// `notByVeterinarian`, `expired`, `later`), `organismID` or `lotID`.
pub(super) static WITHOUT_CERTIFICATE: Rule = Rule {
    code: "release-without-certificate",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Release without health certificate",
    meaning: "A release names no health certificate, or one that is not effective, not a veterinarian's, not about this animal or lot (or the lot that it comes from), or not valid on the day.",
    why: "Disease set free with an animal cannot be called back.",
    mend: "The `assessment`, event `certificate`, by a veterinarian, dated before the release and named in it; where it exists on paper, post it now.",
    source: "common practice",
    thresholds: &[],
};

/// Freed unmarked. Parameters: `reason` (`notNamed`, `notFound`), `organismID` or `lotID`.
pub(super) static WITHOUT_MARK: Rule = Rule {
    code: "release-without-mark",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Release without mark",
    meaning: "A release names no mark, or one that no `marking` put on or read from this animal or lot before. Hatchlings are exempt.",
    why: "Without a mark nobody knows it again, and a readmission is counted as a new rescue.",
    mend: "The `marking`, and a revision of the release that names the number.",
    source: "common practice",
    thresholds: &[],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let Some(subject) = Subject::of_key(judging.key) else { return };
    let own = judging.own();
    let mut about: Option<Vec<std::sync::Arc<crate::Effective>>> = None;
    for one in &own {
        let Some(Body::Release(release)) = &one.record.body else { continue };
        if Subject::of_frame(&one.record.envelope).as_ref() != Some(&subject) {
            continue;
        }
        let about = about.get_or_insert_with(|| {
            subjects(judging, &subject).iter().flat_map(|one| judging.records.of(&one.key())).collect()
        });
        let about: Vec<&Record> = about.iter().map(|one| &one.record).collect();
        let mut report = |rule: &'static Rule, reason: &str| {
            let told = parameters([("reason", reason.into()), (subject.member(), subject.id().into())]);
            judging.find(rule, [&one.record], None, told);
        };
        if release.permit_number.is_none() {
            report(&WITHOUT_PERMIT, "notNamed");
        }
        if let Some(reason) = certificate(&one.record, release, &about) {
            report(&WITHOUT_CERTIFICATE, reason);
        }
        if let Some(reason) = mark(&one.record, release, &about) {
            report(&WITHOUT_MARK, reason);
        }
    }
}

/// The subject, its other numbers, and the lots that it comes from.
pub(super) fn subjects(judging: &Judging<'_>, subject: &Subject) -> BTreeSet<Subject> {
    let mut all = ancestors(subject, judging.records);
    if let Subject::Animal(animal) = subject {
        all.extend(same_animal(animal, judging.records).into_iter().map(Subject::Animal));
    }
    all
}

/// What is wrong with the certificate that a release names; `about` are the records about its subject.
fn certificate(record: &Record, release: &Release, about: &[&Record]) -> Option<&'static str> {
    let Some(named) = &release.certificate else { return Some("notNamed") };
    let found = about.iter().find_map(|other| match &other.body {
        Some(Body::Assessment(assessment)) if assessment.event == AssessmentEvent::Certificate => {
            let it =
                other.envelope.author_id == named.author_id && other.envelope.record_id == named.record_id;
            it.then_some((*other, assessment))
        }
        _ => None,
    });
    let Some((certificate, assessment)) = found else { return Some("notFound") };
    if assessment.by_veterinarian != Some(true) {
        Some("notByVeterinarian")
    } else if surely_before(&record.envelope.event_date, &certificate.envelope.event_date) {
        Some("later")
    } else if assessment.valid_through.is_some_and(|last| last.0 < record.envelope.event_date.day()) {
        Some("expired")
    } else {
        None
    }
}

/// What is wrong with the mark that a release names.
fn mark(record: &Record, release: &Release, about: &[&Record]) -> Option<&'static str> {
    if release.life_stage == Some(LifeStage::Hatchling)
        || (release.life_stage.is_none() && are_hatchlings(record, about))
    {
        return None;
    }
    let Some(number) = &release.mark_number else { return Some("notNamed") };
    let known = about.iter().any(|other| match &other.body {
        Some(Body::Marking(marking)) => {
            let put_on = !matches!(marking.event, MarkingEvent::NoneFound | MarkingEvent::Failed);
            put_on
                && marking.mark_number.as_ref() == Some(number)
                && !surely_before(&record.envelope.event_date, &other.envelope.event_date)
        }
        _ => false,
    });
    (!known).then_some("notFound")
}

/// Whether the last that was told of the age class before the release is hatchling.
fn are_hatchlings(record: &Record, about: &[&Record]) -> bool {
    let subject = Subject::of_frame(&record.envelope);
    let mut told: Vec<(&Record, LifeStage)> = about
        .iter()
        .filter(|other| !surely_before(&record.envelope.event_date, &other.envelope.event_date))
        .filter_map(|other| Some((*other, stage(other, subject.as_ref()?)?)))
        .collect();
    told.sort_by(|(one, _), (other, _)| super::by_order(one, other));
    told.last().is_some_and(|(_, stage)| *stage == LifeStage::Hatchling)
}

/// The age class that a record tells of a subject.
fn stage(record: &Record, subject: &Subject) -> Option<LifeStage> {
    let own = Subject::of_frame(&record.envelope).as_ref() == Some(subject);
    match record.body.as_ref()? {
        Body::Rescue(rescue) if own => rescue.life_stage,
        Body::Determination(determination) if own => determination.life_stage,
        Body::Clutch(clutch) if matches!(clutch.event, ClutchEvent::Hatched | ClutchEvent::FoundHatched) => {
            let young = clutch
                .hatchlings_lot_id
                .clone()
                .map(Subject::Lot)
                .or_else(|| Subject::of_frame(&record.envelope));
            (young.as_ref() == Some(subject)).then_some(LifeStage::Hatchling)
        }
        Body::Tally(tally) => {
            let line = tally
                .lines
                .iter()
                .find(|line| line.lot_id.clone().map(Subject::Lot).as_ref() == Some(subject));
            line.and_then(|line| line.life_stage)
        }
        Body::Dispatch(dispatch) => dispatch
            .lines
            .iter()
            .find(|line| Subject::travelling(line).as_ref() == Some(subject))
            .and_then(|line| line.life_stage),
        Body::Receipt(receipt) => receipt
            .lines
            .iter()
            .find(|line| Subject::received(line).as_ref() == Some(subject))
            .and_then(|line| line.life_stage),
        Body::Regrouping(regrouping) => regrouping
            .to
            .iter()
            .find(|line| Subject::of_line(line).as_ref() == Some(subject))
            .and_then(|line| line.life_stage),
        _ => None,
    }
}

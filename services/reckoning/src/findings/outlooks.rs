//! What was decided of an animal or lot, and what became of the decision: freed although never to be
//! freed, not looked at again, not back from a loan.

use super::judging::{Judging, days_after, parameters};
use super::releases::subjects;
use super::sequence::surely_before;
use super::stays::leaves;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::records::keeping::{Outlook, OutlookDecision};
use haulout_schemas::records::transfer::Destination;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::{Body, EventDate, Record};

/// Freed although it must not be. Parameters: `reason` (`outlook`, `species`), `organismID` or `lotID`.
pub(super) static NEVER_RELEASE: Rule = Rule {
    code: "never-release-released",
    layer: Layer::Finding,
    severity: Severity::Critical,
    title: "Released although never to be released",
    meaning: "A release frees an animal or lot whose last outlook before it, or that of the lot it comes from, says `neverRelease`, or a species whose profile says so whatever the permit says. Outlooks of the same day that say different things decide nothing.",
    why: "What carries a disease, a strange origin or no fear of people harms those in the river, and cannot be called back.",
    mend: "Tell the authority and look for the animal. If it was decided anew before the release, post that `outlook`.",
    source: "common practice",
    thresholds: &[],
};

/// Nobody looked again. Parameters: `review`, `decision`, `organismID` or `lotID`.
pub(super) static REVIEW: Rule = Rule {
    code: "outlook-review-overdue",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Outlook not looked at again",
    meaning: "An outlook named the day on which to look again, and by the deadline there is no further one. Exempt is what died, went free, was lost or handed on beyond the region, a lot that became others, and a loan, which has a rule of its own.",
    why: "An animal that is forgotten stays where it is, often for life.",
    mend: "Look again and write the `outlook`, with the next `review` if it is still open.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 7, unit: "day", source: "common practice" }],
};

/// Not back. Parameters: `review` (the day named), `organismID` or `lotID`.
pub(crate) static LOAN: Rule = Rule {
    code: "loan-overdue",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Loan overdue",
    meaning: "An animal or lot was handed into a placement, its last outlook is a loan with a day on which to look again, and by the deadline it is neither back nor decided anew. A loan without such a day is not judged, nor an animal that died.",
    why: "What stands with somebody else and is asked for by nobody is soon nobody's.",
    mend: "Ask the keeper; then the `receipt` from the placement, or an `outlook` with the new day.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 7, unit: "day", source: "common practice" }],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let Some(subject) = Subject::of_key(judging.key) else { return };
    let own = judging.own();
    let records: Vec<&Record> = own.iter().map(|one| &one.record).collect();
    let outlooks: Vec<(&Record, &Outlook)> =
        records.iter().filter_map(|record| outlook(record, &subject)).collect();
    for record in &records {
        let own = Subject::of_frame(&record.envelope).as_ref() == Some(&subject);
        if own && matches!(record.body, Some(Body::Release(_))) {
            released(judging, &subject, record);
        }
    }
    for (record, outlook) in &outlooks {
        let date = &record.envelope.event_date;
        let superseded = outlooks.iter().any(|(other, _)| {
            !std::ptr::eq(*other, *record) && !surely_before(&other.envelope.event_date, date)
        });
        let Some(review) = outlook.review.map(|day| day.0).filter(|_| !superseded) else { continue };
        if outlook.decision == OutlookDecision::Loan {
            loan(judging, &subject, record, review, &records);
        } else if !records.iter().any(|other| after(other, date) && leaves(other, &subject)) {
            let due = days_after(review, judging.threshold(&REVIEW, "days"));
            if judging.passed(due) {
                let told = parameters([
                    ("decision", outlook.decision.as_str().into()),
                    ("review", review.into()),
                    (subject.member(), subject.id().into()),
                ]);
                judging.find(&REVIEW, [*record], Some(due), told);
            }
        }
    }
}

fn outlook<'r>(record: &'r Record, subject: &Subject) -> Option<(&'r Record, &'r Outlook)> {
    match &record.body {
        Some(Body::Outlook(outlook)) if Subject::of_frame(&record.envelope).as_ref() == Some(subject) => {
            Some((record, outlook))
        }
        _ => None,
    }
}

fn after(record: &Record, date: &EventDate) -> bool {
    !surely_before(&record.envelope.event_date, date)
}

fn released(judging: &mut Judging<'_>, subject: &Subject, release: &Record) {
    let date = &release.envelope.event_date;
    let told =
        |reason: &str| parameters([("reason", reason.into()), (subject.member(), subject.id().into())]);
    if let Some(name) = &release.envelope.scientific_name {
        let accepted = judging.world.names.commodity(name.as_str());
        if judging.world.profiles.get(&accepted).is_some_and(|profile| profile.never_release.value) {
            judging.find(&NEVER_RELEASE, [release], None, told("species"));
        }
    }
    let about: Vec<_> =
        subjects(judging, subject).iter().flat_map(|one| judging.records.of(&one.key())).collect();
    let decided: Vec<(&Record, &Outlook)> = about
        .iter()
        .filter_map(|one| match &one.record.body {
            Some(Body::Outlook(outlook)) => Some((&one.record, outlook)),
            _ => None,
        })
        .filter(|(record, _)| !surely_before(date, &record.envelope.event_date))
        .collect();
    let forbids = |outlook: &Outlook| outlook.decision == OutlookDecision::NeverRelease;
    let last_word = decided.iter().find(|(record, outlook)| {
        let forbidden = &record.envelope.event_date;
        forbids(outlook)
            && surely_before(forbidden, date)
            && !decided.iter().any(|(other, later)| !forbids(later) && after(other, forbidden))
    });
    if let Some((outlook, _)) = last_word {
        judging.find(&NEVER_RELEASE, [*outlook, release], None, told("outlook"));
    }
}

fn loan(
    judging: &mut Judging<'_>,
    subject: &Subject,
    outlook: &Record,
    review: NaiveDate,
    records: &[&Record],
) {
    let sent = records.iter().filter(|record| match &record.body {
        Some(Body::Dispatch(dispatch)) => {
            dispatch.destination == Destination::Placement
                && dispatch.lines.iter().any(|line| Subject::travelling(line).as_ref() == Some(subject))
        }
        _ => false,
    });
    let back = |since: &EventDate| {
        records.iter().any(|record| {
            let received = match &record.body {
                Some(Body::Receipt(receipt)) => {
                    receipt.lines.iter().any(|line| Subject::received(line).as_ref() == Some(subject))
                }
                _ => false,
            };
            let died = matches!(subject, Subject::Animal(animal) if super::deaths::dies(record, animal));
            (received || died) && after(record, since)
        })
    };
    let out: Vec<&Record> = sent.copied().filter(|sent| !back(&sent.envelope.event_date)).collect();
    let due = days_after(review, judging.threshold(&LOAN, "days"));
    if !out.is_empty() && judging.passed(due) {
        let told = parameters([("review", review.into()), (subject.member(), subject.id().into())]);
        judging.find(&LOAN, out.into_iter().chain([outlook]), Some(due), told);
    }
}

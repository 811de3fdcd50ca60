//! Sent although unfit to travel.

use super::judging::{Judging, parameters};
use super::sequence::surely_before;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::text::OrganismId;
use haulout_schemas::vocabulary::Known;
use haulout_schemas::{Body, Record};

/// Sent unfit. Parameters: `organismID`, `fitToTravel` (`no` or `unknown`).
pub(super) static SENT_UNFIT: Rule = Rule {
    code: "sent-unfit",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Sent although unfit to travel",
    meaning: "An animal left on a journey, and the last word on its fitness before it says no, or that nobody knows. A word of the same day that says yes may be the later one and exempts; so does an animal of which nothing was said. Lots are not judged: what is said of a lot need not hold for each of it.",
    why: "A journey kills the weak one that would have lived where it was.",
    mend: "Have the animal looked at where it is now. If a veterinarian called it fit before it left, post that `assessment`.",
    source: "common practice",
    thresholds: &[],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let animal = OrganismId::from(judging.key.id());
    let words: Vec<(&Record, Known)> = own.iter().filter_map(|one| word(&one.record, &animal)).collect();
    for record in own.iter().map(|one| &one.record) {
        let Some(Body::Dispatch(dispatch)) = &record.body else { continue };
        if !dispatch.lines.iter().any(|line| line.organism_id.as_ref() == Some(&animal)) {
            continue;
        }
        let left = &record.envelope.event_date;
        let before = |word: &Record| surely_before(&word.envelope.event_date, left);
        let answered = |unfit: &Record| {
            words.iter().any(|(other, fit)| {
                *fit == Known::Yes
                    && !surely_before(left, &other.envelope.event_date)
                    && !surely_before(&other.envelope.event_date, &unfit.envelope.event_date)
            })
        };
        let mut unfit: Vec<&(&Record, Known)> = words
            .iter()
            .filter(|(word, fit)| *fit != Known::Yes && before(word) && !answered(word))
            .collect();
        unfit.sort_by(|(one, _), (other, _)| super::by_order(one, other));
        if let Some((word, fit)) = unfit.last() {
            let told =
                parameters([("organismID", animal.as_str().into()), ("fitToTravel", fit.as_str().into())]);
            judging.find(&SENT_UNFIT, [*word, record], None, told);
        }
    }
}

/// What a record says of the animal's fitness to travel.
fn word<'r>(record: &'r Record, animal: &OrganismId) -> Option<(&'r Record, Known)> {
    match &record.body {
        Some(Body::Assessment(assessment)) if record.envelope.organism_id.as_ref() == Some(animal) => {
            Some((record, assessment.fit_to_travel?))
        }
        _ => None,
    }
}

//! Animals that are shorter than they were: one of two measurements is wrong, or two animals have one
//! number.

use super::judging::{Judging, parameters};
use super::sequence::{by_order, surely_before};
use crate::subject::Subject;
use haulout_schemas::envelope::Length;
use haulout_schemas::records::health::TreatmentEvent;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::vocabulary::LengthMethod;
use haulout_schemas::{Body, Record};

/// Shorter than before. Parameters: `organismID`, `measure`, `earlierMillimetre`, `laterMillimetre`.
pub(super) static SHRINKING: Rule = Rule {
    code: "shrinking-length",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Shorter than it was",
    meaning: "A taped length of an animal is less than the last taped one of the same measure before it by more than the measuring error; of a length with bounds, the upper one now and the lower one then count. Exempt are other measures, lengths by eye or derived, and animals of which an injury or a procedure was told since: a bitten tail or a broken shell is shorter.",
    why: "Bones and shells do not shrink: a figure is wrong on which space, crate and dose rest, or two animals carry one number.",
    mend: "Measure again and read the mark. Revise the record with the wrong figure; if they are two animals, revise the record of the wrong one; if tail or shell is damaged, tell the injury in an `assessment`.",
    source: "common practice",
    thresholds: &[Threshold {
        name: "percent",
        value: 5,
        unit: "percent of the earlier length",
        source: "from memory: two people with tape or callipers",
    }],
};

/// Tenths of a millimetre, the least that a length is told in; at most 9 metres by the schema.
#[allow(clippy::cast_possible_truncation, reason = "a length of some metres is far below 2^53")]
fn tenths(metre: f64) -> i64 {
    (metre * 10_000.0).round() as i64
}

/// Taped lengths of a record; only arrivals and assessments tell any.
fn taped(record: &Record) -> impl Iterator<Item = &Length> {
    let lengths = match &record.body {
        Some(Body::Assessment(assessment)) => assessment.lengths_metre.as_slice(),
        Some(Body::Rescue(rescue)) => rescue.lengths_metre.as_slice(),
        _ => &[],
    };
    lengths.iter().filter(|length| length.method == LengthMethod::Taped)
}

/// Whether a record tells of something that may make an animal shorter.
fn harms(record: &Record) -> bool {
    match &record.body {
        Some(Body::Assessment(assessment)) => !assessment.injuries.is_empty(),
        Some(Body::Rescue(rescue)) => !rescue.injuries.is_empty(),
        Some(Body::Treatment(treatment)) => treatment.event == TreatmentEvent::Procedure,
        _ => false,
    }
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let Some(animal) = Subject::of_key(judging.key) else { return };
    let own = judging.own();
    let records: Vec<&Record> = own
        .iter()
        .map(|one| &one.record)
        .filter(|record| Subject::of_frame(&record.envelope).as_ref() == Some(&animal))
        .collect();
    let percent = judging.threshold(&SHRINKING, "percent");
    for later in &records {
        for now in taped(later) {
            let before = |record: &&&Record| {
                surely_before(&record.envelope.event_date, &later.envelope.event_date)
                    && taped(record).any(|then| then.measure == now.measure)
            };
            let Some(earlier) = records.iter().filter(before).max_by(|one, other| by_order(one, other))
            else {
                continue;
            };
            let Some(then) = taped(earlier).find(|then| then.measure == now.measure) else { continue };
            let (most, least) =
                (tenths(now.high.unwrap_or(now.value)), tenths(then.low.unwrap_or(then.value)));
            let harmed = records.iter().any(|record| {
                harms(record)
                    && surely_before(&earlier.envelope.event_date, &record.envelope.event_date)
                    && !surely_before(&later.envelope.event_date, &record.envelope.event_date)
            });
            if most * 100 < least * (100 - percent) && !harmed {
                let told = parameters([
                    (animal.member(), animal.id().into()),
                    ("measure", now.measure.as_str().into()),
                    ("earlierMillimetre", (tenths(then.value) / 10).into()),
                    ("laterMillimetre", (tenths(now.value) / 10).into()),
                ]);
                judging.find(&SHRINKING, [*earlier, *later], None, told);
            }
        }
    }
}

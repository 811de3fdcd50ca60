//! Case property: moved, released, handed over or destroyed without leave.

use super::descent::{ancestors, descendants, descendants_since};
use super::judging::{Judging, parameters};
use super::orders::{in_force, numbered, order};
use super::sequence::surely_before;
use super::{Records, World};
use crate::effective::Effective;
use crate::keys::{Key, place_of};
use crate::subject::Subject;
use haulout_schemas::records::authority::{Order, OrderType};
use haulout_schemas::records::ending::{DeathEnd, MortalityEvent};
use haulout_schemas::records::keeping::{Custody, CustodyEvent, Forbidden};
use haulout_schemas::records::transfer::Destination;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::{Body, Record};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Case property was touched. Parameters: `caseNumber`, `forbidden` (what needed leave), `day`.
pub(super) static BREACHED: Rule = Rule {
    code: "custody-breached",
    layer: Layer::Finding,
    severity: Severity::Critical,
    title: "Case property moved without leave",
    meaning: "An animal or lot bound as case property, or one that descends from it, was moved, released, handed over or destroyed while no leave of the authority was in force.",
    why: "Animals are evidence; without leave the case may fail, and whoever moved them answers for it.",
    mend: "If leave was given, the authority writes the `order` (type `leave`) that names case, lot or animal; else report it to the authority.",
    source: "confiscated live animals: no transfer while held as evidence without the authority's leave (from memory)",
    thresholds: &[],
};

/// A record of custody and everything that it speaks of.
struct Step<'r> {
    record: &'r Record,
    custody: &'r Custody,
    reaches: BTreeSet<Subject>,
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let case = judging.key.id();
    let steps: Vec<Step<'_>> = own.iter().filter_map(|one| step(judging, &one.record)).collect();
    let bindings = steps.iter().filter(|step| step.custody.event == CustodyEvent::Bound);
    let line: BTreeSet<Subject> = bindings.flat_map(|step| step.reaches.iter().cloned()).collect();
    for subject in &line {
        let of_subject: Vec<&Step<'_>> = steps.iter().filter(|step| step.reaches.contains(subject)).collect();
        for one in &judging.records.of(&subject.key()) {
            let touched = touches(&one.record, subject);
            let binding =
                touched.iter().find_map(|what| Some((*what, binding(&of_subject, &one.record, *what)?)));
            let Some((what, binding)) = binding else { continue };
            if !has_leave(judging, &own, &line, subject, &one.record, what) {
                let told = parameters([
                    ("caseNumber", case.into()),
                    ("day", one.record.envelope.event_date.day().into()),
                    ("forbidden", what.as_str().into()),
                ]);
                let place = place_of(&one.record.envelope).cloned();
                judging.find_at(&BREACHED, place, [binding, &one.record], None, told);
            }
        }
    }
}

/// The cases that surely forbid on the day of a record what it would do to its subject, without the
/// authority's leave. The record need not be among those held: it may be one that is only planned.
pub(crate) fn forbidding_cases(
    planned: &Record,
    what: Forbidden,
    records: &dyn Records,
    world: &World<'_>,
) -> BTreeSet<String> {
    let Some(subject) = Subject::of_frame(&planned.envelope) else { return BTreeSet::new() };
    let above = ancestors(&subject, records);
    let filed: Vec<Arc<Effective>> = above.iter().flat_map(|step| records.of(&step.key())).collect();
    let numbers = filed.iter().filter_map(|one| match &one.record.body {
        Some(Body::Custody(custody)) => Some(custody.case_number.to_string()),
        _ => None,
    });
    let forbids = |number: &String| {
        let key = Key::case(number);
        let judging = Judging::new(&key, records, world);
        let own = judging.own();
        let steps: Vec<Step<'_>> = own.iter().filter_map(|one| step(&judging, &one.record)).collect();
        let bindings = steps.iter().filter(|step| step.custody.event == CustodyEvent::Bound);
        let line: BTreeSet<Subject> = bindings.flat_map(|step| step.reaches.iter().cloned()).collect();
        let of_subject: Vec<&Step<'_>> =
            steps.iter().filter(|step| step.reaches.contains(&subject)).collect();
        binding(&of_subject, planned, what).is_some()
            && !has_leave(&judging, &own, &line, &subject, planned, what)
    };
    numbers.collect::<BTreeSet<String>>().into_iter().filter(forbids).collect()
}

/// What is bound is the subject and what descends from it from then on. What is varied or lifted is
/// so for all that ever descended from it, though the case be named by the lot it began with.
fn step<'r>(judging: &Judging<'_>, record: &'r Record) -> Option<Step<'r>> {
    let Some(Body::Custody(custody)) = &record.body else { return None };
    let subject = Subject::of_frame(&record.envelope)?;
    let reaches = match custody.event {
        CustodyEvent::Bound => descendants_since(&subject, judging.records, &record.envelope.event_date),
        CustodyEvent::Varied | CustodyEvent::Lifted => descendants(&subject, judging.records),
    };
    Some(Step { record, custody, reaches })
}

/// What a record does to a subject that case property may not undergo without leave.
fn touches(record: &Record, subject: &Subject) -> Vec<Forbidden> {
    let own = || Subject::of_frame(&record.envelope).as_ref() == Some(subject);
    match &record.body {
        Some(Body::Dispatch(dispatch)) => {
            let travels = dispatch.lines.iter().any(|line| {
                Subject::taken(line).as_ref() == Some(subject)
                    || Subject::travelling(line).as_ref() == Some(subject)
            });
            match (travels, dispatch.destination) {
                (false, _) => vec![],
                (true, Destination::Region) => vec![Forbidden::Movement],
                (true, _) => vec![Forbidden::HandingOver, Forbidden::Movement],
            }
        }
        Some(Body::Release(_)) if own() => vec![Forbidden::Release, Forbidden::Movement],
        Some(Body::Mortality(mortality)) if own() => {
            let destroyed =
                mortality.event == MortalityEvent::Death && mortality.end == Some(DeathEnd::DestroyedByOrder);
            if destroyed || mortality.event == MortalityEvent::Disposal {
                vec![Forbidden::Destruction]
            } else {
                vec![]
            }
        }
        _ => vec![],
    }
}

/// The step of custody that surely bound the subject against `what` when the record's event happened.
fn binding<'r>(steps: &[&Step<'r>], record: &Record, what: Forbidden) -> Option<&'r Record> {
    let date = &record.envelope.event_date;
    let mut before: Vec<&&Step<'r>> =
        steps.iter().filter(|step| !surely_before(date, &step.record.envelope.event_date)).collect();
    before.sort_by(|one, other| super::by_order(one.record, other.record));
    let last = before.last()?;
    // The last step in force decides; one that is in no order with the event decides nothing.
    let certain = surely_before(&last.record.envelope.event_date, date);
    let bound = before.iter().any(|step| step.custody.event == CustodyEvent::Bound);
    let forbidden = last.custody.event != CustodyEvent::Lifted && last.custody.forbids.contains(&what);
    (certain && bound && forbidden).then_some(last.record)
}

fn has_leave(
    judging: &Judging<'_>,
    case: &[Arc<Effective>],
    line: &BTreeSet<Subject>,
    subject: &Subject,
    record: &Record,
    what: Forbidden,
) -> bool {
    let number = match &record.body {
        Some(Body::Dispatch(dispatch)) => dispatch.order_number.as_ref(),
        Some(Body::Mortality(mortality)) => mortality.order_number.as_ref(),
        _ => None,
    };
    let named = number.map(|number| numbered(judging, number.as_str())).unwrap_or_default();
    // From the subject up to what was bound: a leave for any of them is a leave for the subject.
    let above: BTreeSet<Subject> = ancestors(subject, judging.records);
    let between = above.intersection(line).flat_map(|step| judging.records.of(&step.key()));
    let leaves = case.iter().cloned().chain(named).chain(between);
    leaves
        .into_iter()
        .any(|one| order(judging, &one.record).is_some_and(|order| allows(&one.record, order, record, what)))
}

fn allows(leave: &Record, order: &Order, record: &Record, what: Forbidden) -> bool {
    let kind = match what {
        Forbidden::Destruction => matches!(order.order_type, OrderType::Leave | OrderType::Destruction),
        _ => order.order_type == OrderType::Leave,
    };
    let covers = match order.order_type {
        OrderType::Destruction => true,
        _ if order.allows.is_empty() => what == Forbidden::Movement,
        _ => order.allows.contains(&what),
    };
    let destination = match &record.body {
        Some(Body::Dispatch(dispatch)) => dispatch.destination_id.as_ref(),
        _ => None,
    };
    let frame = &record.envelope;
    let concerned = [Some(&frame.author_id), place_of(frame), destination];
    let parties = order.party_ids.is_empty()
        || concerned.into_iter().flatten().any(|party| order.party_ids.contains(party));
    kind && covers && parties && in_force(leave, order, frame.event_date.day())
}

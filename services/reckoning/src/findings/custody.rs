//! Case property: moved, released, handed over or destroyed without leave.

use super::descent::{ancestors, descendants_since};
use super::judging::{Judging, parameters};
use super::orders::{in_force, numbered, order};
use super::sequence::surely_before;
use crate::effective::Effective;
use crate::keys::place_of;
use crate::subject::Subject;
use haulout_schemas::records::authority::{Order, OrderType};
use haulout_schemas::records::ending::{DeathEnd, MortalityEvent};
use haulout_schemas::records::keeping::{Custody, CustodyEvent, Forbidden};
use haulout_schemas::records::transfer::Destination;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet};
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

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let case = judging.key.id();
    let mut bound: BTreeMap<Subject, Vec<(&Record, &Custody)>> = BTreeMap::new();
    for one in &own {
        if let (Some(Body::Custody(custody)), Some(subject)) =
            (&one.record.body, Subject::of_frame(&one.record.envelope))
        {
            bound.entry(subject).or_default().push((&one.record, custody));
        }
    }
    for (subject, steps) in &bound {
        let Some(since) =
            steps.iter().map(|(step, _)| &step.envelope.event_date).min_by_key(|date| date.day())
        else {
            continue;
        };
        let line = descendants_since(subject, judging.records, since);
        for below in &line {
            let records = judging.records.of(&below.key());
            for one in &records {
                let touched = touches(&one.record, below);
                let binding =
                    touched.iter().find_map(|what| Some((*what, binding(steps, &one.record, *what)?)));
                let Some((what, binding)) = binding else { continue };
                if !has_leave(judging, &own, &line, below, &one.record, what) {
                    let told = parameters([
                        ("caseNumber", case.into()),
                        ("day", one.record.envelope.event_date.day().into()),
                        ("forbidden", what.as_str().into()),
                    ]);
                    judging.find_at(
                        &BREACHED,
                        place_of(&one.record.envelope).cloned(),
                        [binding, &one.record],
                        None,
                        told,
                    );
                }
            }
        }
    }
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
fn binding<'r>(steps: &[(&'r Record, &Custody)], record: &Record, what: Forbidden) -> Option<&'r Record> {
    let date = &record.envelope.event_date;
    let mut before: Vec<_> =
        steps.iter().filter(|(step, _)| !surely_before(date, &step.envelope.event_date)).collect();
    before.sort_by(|(one, _), (other, _)| super::by_order(one, other));
    let (step, custody) = before.last()?;
    // The last step in force decides; one that is in no order with the event decides nothing.
    let certain = surely_before(&step.envelope.event_date, date);
    (certain && custody.event != CustodyEvent::Lifted && custody.forbids.contains(&what)).then_some(*step)
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

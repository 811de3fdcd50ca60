//! What became of a lot or an animal: lots counted out, split, merged, hatched, animals named out of
//! them, and numbers that are one animal.

use super::Records;
use super::sequence::surely_before;
use crate::keys::meanwhile_ids;
use crate::subject::Subject;
use haulout_schemas::records::identity::LinkEvent;
use haulout_schemas::text::OrganismId;
use haulout_schemas::{Body, EventDate, Record};
use std::collections::BTreeSet;

/// The subject and all that ever descended from it.
pub(super) fn descendants(subject: &Subject, records: &dyn Records) -> BTreeSet<Subject> {
    reached(subject, records, |_| true, |edge, at| (edge.0 == *at).then_some(&edge.1))
}

/// The subject and all that descends from it by what did not surely happen before `since`: a part
/// that was split off earlier is another lot's story.
pub(crate) fn descendants_since(
    subject: &Subject,
    records: &dyn Records,
    since: &EventDate,
) -> BTreeSet<Subject> {
    let later = |record: &Record| !surely_before(&record.envelope.event_date, since);
    reached(subject, records, later, |edge, at| (edge.0 == *at).then_some(&edge.1))
}

/// The subject and all that it descends from.
pub(crate) fn ancestors(subject: &Subject, records: &dyn Records) -> BTreeSet<Subject> {
    reached(subject, records, |_| true, |edge, at| (edge.1 == *at).then_some(&edge.0))
}

/// The animal's number and every other number that is the same animal: by a link, or because a
/// readmission found out its old identity.
pub(crate) fn same_animal(animal: &OrganismId, records: &dyn Records) -> BTreeSet<OrganismId> {
    let mut known = BTreeSet::from([animal.clone()]);
    let mut open = vec![animal.clone()];
    while let Some(at) = open.pop() {
        for one in records.of(&crate::keys::Key::animal(&at)) {
            open.extend(aliases(&one.record, &at).into_iter().filter(|other| known.insert(other.clone())));
        }
    }
    known
}

pub(crate) type Edge = (Subject, Subject);

fn reached<F>(
    subject: &Subject,
    records: &dyn Records,
    counts: impl Fn(&Record) -> bool,
    next: F,
) -> BTreeSet<Subject>
where
    F: for<'e> Fn(&'e Edge, &Subject) -> Option<&'e Subject>,
{
    let mut known = BTreeSet::from([subject.clone()]);
    let mut open = vec![subject.clone()];
    while let Some(at) = open.pop() {
        for one in records.of(&at.key()) {
            let edges = if counts(&one.record) { edges(&one.record) } else { Vec::new() };
            let lines = edges.iter().filter_map(|edge| next(edge, &at)).cloned();
            let others = match &at {
                Subject::Animal(id) => aliases(&one.record, id),
                Subject::Lot(_) => Vec::new(),
            };
            let found: Vec<Subject> = lines.chain(others.into_iter().map(Subject::Animal)).collect();
            open.extend(found.into_iter().filter(|other| known.insert(other.clone())));
        }
    }
    known
}

/// From what to what a record tells of descent.
pub(crate) fn edges(record: &Record) -> Vec<Edge> {
    let own = || Subject::of_frame(&record.envelope);
    let lot = |id: &haulout_schemas::text::LotId| Subject::Lot(id.clone());
    let mut edges: Vec<Edge> = match &record.body {
        Some(Body::Tally(tally)) => {
            let children = tally.lines.iter().filter_map(|line| line.lot_id.as_ref()).map(lot);
            children.filter_map(|child| Some((own()?, child))).collect()
        }
        Some(Body::Dispatch(dispatch)) => {
            let parts = dispatch
                .lines
                .iter()
                .filter_map(|line| Some((line.from_lot.as_ref().map(lot)?, Subject::travelling(line)?)));
            parts.collect()
        }
        Some(Body::Regrouping(regrouping)) => {
            let to: Vec<Subject> = regrouping.to.iter().filter_map(Subject::of_line).collect();
            let from = regrouping.from.iter().filter_map(Subject::of_line);
            from.flat_map(|from| to.iter().map(move |to| (from.clone(), to.clone()))).collect()
        }
        Some(Body::Determination(determination)) => {
            let part = determination.to_lot_id.as_ref().map(lot);
            part.and_then(|part| Some((own()?, part))).into_iter().collect()
        }
        Some(Body::Clutch(clutch)) => {
            let young = clutch.hatchlings_lot_id.as_ref().map(lot);
            young.and_then(|young| Some((own()?, young))).into_iter().collect()
        }
        _ => Vec::new(),
    };
    edges.retain(|(from, to)| from != to);
    edges
}

/// The other numbers that a record gives to an animal.
fn aliases(record: &Record, animal: &OrganismId) -> Vec<OrganismId> {
    let all: Vec<OrganismId> = match &record.body {
        Some(Body::Link(link)) if link.event == LinkEvent::Same => link.organism_ids.clone(),
        Some(Body::Rescue(rescue)) => {
            let meanwhile = meanwhile_ids(&record.envelope, rescue.source, rescue.local_id.as_ref());
            if meanwhile.is_empty() {
                meanwhile
            } else {
                meanwhile.into_iter().chain(record.envelope.organism_id.clone()).collect()
            }
        }
        _ => Vec::new(),
    };
    if all.contains(animal) { all.into_iter().filter(|other| other != animal).collect() } else { Vec::new() }
}

//! One incident told twice by two agencies.

use super::coverage::Coverage;
use super::judging::{Judging, parameters};
use super::not_counted::not_counted;
use crate::keys::Key;
use haulout_schemas::records::arrival::Rescue;
use haulout_schemas::records::identity::{Link, LinkEvent};
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::{Body, Record, RecordRef};

/// Two agencies report one incident. Parameters: `incidentReference`.
pub(super) static TWICE: Rule = Rule {
    code: "reported-twice",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "One incident reported twice",
    meaning: "Rescues of two authors carry the same incident reference and names that may be the same animals, and no link says whether they are.",
    why: "The same animals are counted twice until somebody says so.",
    mend: "The coordination asks both and writes a `link`: `same` with the one that is not counted, or `notSame`.",
    source: "common practice",
    thresholds: &[],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let reference = judging.key.id();
    let mut rescues: Vec<(&Record, &Rescue)> = own
        .iter()
        .filter_map(|one| match &one.record.body {
            Some(Body::Rescue(rescue)) => Some((&one.record, rescue)),
            _ => None,
        })
        .filter(|(record, _)| !not_counted(judging, record))
        .collect();
    rescues.sort_by(|(one, _), (other, _)| super::by_order(one, other));
    let mut coverage = Coverage::new(judging.world.names);
    for (at, (one, first)) in rescues.iter().enumerate() {
        for (other, second) in &rescues[at + 1..] {
            let name = |record: &Record| {
                record.envelope.scientific_name.as_ref().map(ToString::to_string).unwrap_or_default()
            };
            let may_be_same = one.envelope.author_id != other.envelope.author_id
                && shared(first, second).as_deref() == Some(reference)
                && coverage.compatible(&name(one), &name(other));
            if may_be_same && !parted(judging, one, other) {
                judging.find(
                    &TWICE,
                    [*one, *other],
                    None,
                    parameters([("incidentReference", reference.into())]),
                );
            }
        }
    }
}

/// The first reference that both carry: under it the pair is told, once.
pub(super) fn shared(one: &Rescue, other: &Rescue) -> Option<String> {
    let common =
        one.incident_references.iter().filter(|reference| other.incident_references.contains(reference));
    common.min().map(ToString::to_string)
}

/// Whether a link says something about the two records, or about their animals.
pub(super) fn parted(judging: &Judging<'_>, one: &Record, other: &Record) -> bool {
    let (first, second) = (&one.envelope, &other.envelope);
    let mut links = judging.records.of(&Key::record(&first.author_id, first.record_id.as_str()));
    links.extend(first.organism_id.iter().flat_map(|animal| judging.records.of(&Key::animal(animal))));
    links.iter().any(|filed| match &filed.record.body {
        Some(Body::Link(link)) => {
            let animals = [&first.organism_id, &second.organism_id];
            let by_animal = animals
                .iter()
                .all(|animal| animal.as_ref().is_some_and(|animal| link.organism_ids.contains(animal)));
            (names(link, one) && names(link, other))
                || (by_animal && matches!(link.event, LinkEvent::Same | LinkEvent::NotSame))
        }
        _ => false,
    })
}

fn names(link: &Link, record: &Record) -> bool {
    let frame = &record.envelope;
    let counted = link.counted.as_ref();
    let not_counted = link
        .not_counted
        .as_ref()
        .map(|other| RecordRef { author_id: other.author_id.clone(), record_id: other.record_id.clone() });
    [counted, not_counted.as_ref()]
        .into_iter()
        .flatten()
        .any(|named| named.author_id == frame.author_id && named.record_id == frame.record_id)
}

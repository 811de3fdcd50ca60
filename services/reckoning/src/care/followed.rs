//! Released animals, each followed from its release to its known death or to the last day on which it was
//! known alive.

use super::freed::freed;
use crate::effective::Effective;
use crate::findings::descent::same_animal;
use crate::findings::{Held, Records, by_order};
use crate::keys::Key;
use chrono::NaiveDate;
use haulout_schemas::Body;
use haulout_schemas::names::Names;
use haulout_schemas::text::OrganismId;
use haulout_schemas::vocabulary::Vitality;
use haulout_welfare::release::survival::Followed;
use haulout_welfare::units::Days;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Released animals of one species.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Released {
    /// How long each was followed, by its last release.
    pub followed: Vec<Followed>,
    /// Of these, those that were seen or found again, or came back.
    pub found_again: usize,
    /// Animals released in lots without numbers of their own: nobody can follow them.
    pub without_number: u64,
}

/// The released animals of a species, by records dated through a day: releases, sightings, deaths,
/// readmissions, marks and links. An animal that came back alive is followed to that day.
pub fn released(
    records: &[Arc<Effective>],
    scientific_name: &str,
    names: &Names,
    through: NaiveDate,
) -> Released {
    let held = Held::through(records, names, through);
    let mut told = Released::default();
    let mut known: BTreeSet<OrganismId> = BTreeSet::new();
    for one in records.iter().filter(|one| one.record.envelope.event_date.day() <= through) {
        let frame = &one.record.envelope;
        let (Some(Body::Release(release)), Some(name)) = (&one.record.body, &frame.scientific_name) else {
            continue;
        };
        if names.commodity(name.as_str()) != scientific_name {
            continue;
        }
        let Some(animal) = &frame.organism_id else {
            told.without_number += u64::from(release.individual_count);
            continue;
        };
        if !known.contains(animal)
            && let Some((followed, again)) = follow(animal, &held, through, &mut known)
        {
            told.followed.push(followed);
            told.found_again += usize::from(again);
        }
    }
    told
}

/// From its last release on, with whether anything was heard of it since.
fn follow(
    animal: &OrganismId,
    held: &Held,
    through: NaiveDate,
    known: &mut BTreeSet<OrganismId>,
) -> Option<(Followed, bool)> {
    let own = same_animal(animal, held);
    known.extend(own.iter().cloned());
    let mut about: Vec<Arc<Effective>> = own.iter().flat_map(|id| held.of(&Key::animal(id))).collect();
    let marks: BTreeSet<Key> = about
        .iter()
        .filter_map(|one| match &one.record.body {
            Some(Body::Marking(marking)) => marking.mark_number.as_ref(),
            Some(Body::Release(release)) => release.mark_number.as_ref(),
            _ => None,
        })
        .map(|number| Key::mark(number.as_str()))
        .collect();
    about.extend(marks.iter().flat_map(|mark| held.of(mark)));
    about.sort_by(|one, other| by_order(&one.record, &other.record));
    about.dedup();
    let release = about.iter().rposition(|one| matches!(one.record.body, Some(Body::Release(_))))?;
    let came_back = |one: &Arc<Effective>| {
        let named = one.record.envelope.organism_id.as_ref().is_some_and(|id| own.contains(id));
        named && matches!(one.record.body, Some(Body::Rescue(_)))
    };
    let back = about.iter().skip(release).position(came_back).map(|at| release + at);
    let until = about.get(..back.unwrap_or(about.len())).unwrap_or_default();
    let back = back.and_then(|at| about.get(at)).map(|one| one.record.envelope.event_date.day());
    let free = freed(&own, until, through).ok().flatten()?;
    let seen = free.sightings.iter().filter(|one| one.vitality == Vitality::Alive).map(|one| one.on);
    let last_alive = seen.chain(back).max();
    let died = free.died_on.filter(|_| back.is_none());
    let last = died.or(last_alive).unwrap_or(free.released_on);
    let days = (last - free.released_on).num_days().max(0) as f64;
    Some((
        Followed { days: Days::new(days).ok()?, died: died.is_some() },
        died.is_some() || last_alive.is_some(),
    ))
}

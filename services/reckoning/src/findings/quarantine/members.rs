//! Who belongs to a batch: those that entered it and what became of them, until they enter another.

use super::{Batch, Judging};
use crate::effective::Effective;
use crate::findings::descent::descendants_since;
use crate::findings::sequence::surely_before;
use crate::keys::place_of;
use crate::subject::Subject;
use haulout_schemas::records::health::QuarantineEvent;
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, EventDate, Record};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// The members of a batch, each with the days on which it entered another batch of the same place.
pub(super) struct Members {
    by_subject: BTreeMap<Subject, Vec<EventDate>>,
}

impl Members {
    /// `batch_id` is the batch's own number.
    pub(super) fn of(judging: &Judging<'_>, batch: &Batch<'_>, batch_id: &str) -> Self {
        let mut by_subject: BTreeMap<Subject, Vec<EventDate>> = BTreeMap::new();
        for (entry, member) in &batch.entered {
            let entered = &entry.envelope.event_date;
            for subject in descendants_since(member, judging.records, entered) {
                let elsewhere = judging.records.of(&subject.key());
                let others =
                    elsewhere.iter().filter_map(|one| other_entry(&one.record, &batch.place, batch_id));
                let own = subject == *member;
                let later = others.filter(|date| {
                    if own { surely_before(entered, date) } else { !surely_before(date, entered) }
                });
                let later: Vec<EventDate> = later.cloned().collect();
                by_subject.entry(subject).or_default().extend(later);
            }
        }
        let members: BTreeSet<&Subject> = batch.entered.iter().map(|(_, member)| member).collect();
        let gone = by_subject.iter().flat_map(|(subject, others)| {
            let first = others.iter().min_by_key(|date| date.day());
            first
                .into_iter()
                .flat_map(|date| descendants_since(subject, judging.records, date))
                .filter(move |below| below != subject)
        });
        let gone: BTreeSet<Subject> = gone.filter(|below| !members.contains(below)).collect();
        by_subject.retain(|subject, _| !gone.contains(subject));
        Self { by_subject }
    }

    /// Whether a subject ever belonged to the batch.
    pub(super) fn holds(&self, subject: &Subject) -> bool {
        self.by_subject.contains_key(subject)
    }

    /// Whether a subject surely belonged to the batch, and to no other since, on a date.
    pub(super) fn holds_on(&self, subject: &Subject, date: &EventDate) -> bool {
        self.by_subject
            .get(subject)
            .is_some_and(|others| others.iter().all(|other| surely_before(date, other)))
    }

    /// Everyone that ever belonged to it.
    pub(super) fn subjects(&self) -> impl Iterator<Item = &Subject> {
        self.by_subject.keys()
    }

    /// Those that entered no other batch.
    pub(super) fn remaining(&self) -> impl Iterator<Item = &Subject> {
        self.by_subject.iter().filter(|(_, others)| others.is_empty()).map(|(subject, _)| subject)
    }

    /// All records about them, each once.
    pub(super) fn filed(&self, judging: &Judging<'_>) -> Vec<Arc<Effective>> {
        let mut by_name: BTreeMap<(String, String), Arc<Effective>> = BTreeMap::new();
        for one in self.subjects().flat_map(|subject| judging.records.of(&subject.key())) {
            let frame = &one.record.envelope;
            by_name.insert((frame.author_id.to_string(), frame.record_id.to_string()), one);
        }
        by_name.into_values().collect()
    }
}

/// The date on which a record's subject entered another batch of the place.
fn other_entry<'r>(record: &'r Record, place: &PartyId, batch_id: &str) -> Option<&'r EventDate> {
    match &record.body {
        Some(Body::Quarantine(quarantine)) => {
            let other = quarantine.event == QuarantineEvent::Entered
                && quarantine.batch_id.as_str() != batch_id
                && place_of(&record.envelope) == Some(place);
            other.then_some(&record.envelope.event_date)
        }
        _ => None,
    }
}

//! Whether two centres had their animals in hand at once: one body is in one place.

use super::judging::Judging;
use super::whereabouts::steps_of;
use crate::keys::{Key, place_of};
use chrono::NaiveDate;
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::records::health::QuarantineEvent;
use haulout_schemas::records::keeping::HousingEvent;
use haulout_schemas::{Body, Record};

/// Whether the animals of two arrivals were both in the hands of those who wrote them at the close of
/// some day. An arrival alone says little: it may be written by what was told on the telephone. Who
/// housed, quarantined, opened or buried an animal had it.
pub(super) fn at_once(judging: &Judging<'_>, one: &Record, other: &Record) -> bool {
    let both = days(judging, one).zip(days(judging, other));
    // Whoever left on a day may have come in elsewhere on it.
    both.is_some_and(|((from, until), (other_from, other_until))| {
        let last = from.max(other_from);
        [until, other_until].into_iter().flatten().all(|left| last < left)
    })
}

/// The first day in hand at the place of an arrival, and the day on which it first left again. The dead
/// do not leave: the carcass is where it was.
fn days(judging: &Judging<'_>, arrival: &Record) -> Option<(NaiveDate, Option<NaiveDate>)> {
    let animal = arrival.envelope.organism_id.as_ref()?;
    let place = place_of(&arrival.envelope)?;
    let filed = judging.records.of(&Key::animal(animal));
    let here = || filed.iter().map(|one| &one.record).filter(|one| place_of(&one.envelope) == Some(place));
    // Of an interval, the day by which it is certain, and the first on which it may be over.
    let own = |record: &&Record| record.envelope.organism_id.as_ref() == Some(animal);
    let from = here().filter(own).filter(|record| handles(record)).map(last_day).min()?;
    let leaves = |record: &&Record| {
        !matches!(record.body, Some(Body::Mortality(_)))
            && steps_of(record, animal).iter().any(|(account, arrives)| {
                !arrives && account.place().is_some_and(|left| left == place.as_str())
            })
    };
    let left = here().filter(leaves).map(first_day).filter(|day| *day >= from).min();
    Some((from, left))
}

fn handles(record: &Record) -> bool {
    match &record.body {
        Some(Body::Housing(housing)) => housing.event == HousingEvent::Housed,
        Some(Body::Quarantine(quarantine)) => quarantine.event == QuarantineEvent::Entered,
        Some(Body::Mortality(mortality)) => match mortality.event {
            MortalityEvent::Necropsy => mortality.necropsy_done == Some(true),
            MortalityEvent::Disposal => true,
            MortalityEvent::Death => false,
        },
        _ => false,
    }
}

fn first_day(record: &Record) -> NaiveDate {
    let date = &record.envelope.event_date;
    date.start().day.min(date.end().day)
}

fn last_day(record: &Record) -> NaiveDate {
    let date = &record.envelope.event_date;
    date.start().day.max(date.end().day)
}

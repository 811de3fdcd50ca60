//! One animal after its release: when it is looked for, and when it was seen.

use crate::effective::Effective;
use chrono::NaiveDate;
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::records::keeping::{MarkType, MarkingEvent};
use haulout_schemas::text::OrganismId;
use haulout_schemas::vocabulary::Vitality;
use haulout_schemas::{Body, Record};
use haulout_welfare::grounds::Grounds;
use haulout_welfare::refusal::Refusal;
use haulout_welfare::release::monitoring::schedule;
use serde::Serialize;
use std::collections::BTreeSet;
use std::sync::Arc;

/// An animal that went free and did not come back.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Freed {
    /// The day of its release.
    pub released_on: NaiveDate,
    /// The permit that the release names.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub permit_number: Option<String>,
    /// Whether it carries a transmitter, by its marks.
    pub transmitter: bool,
    /// The day of its known death.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub died_on: Option<NaiveDate>,
    /// When to look, and what came of it.
    pub looks: Vec<Look>,
    /// Sightings since the release, oldest first; where is not told here.
    pub sightings: Vec<Seen>,
    /// What the days rest on.
    pub grounds: Grounds,
    /// What they cannot say.
    pub caution: &'static str,
}

/// One look.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Look {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub through: NaiveDate,
    /// What for.
    pub what: &'static str,
    /// How it stands.
    pub stands: LookStands,
}

/// How a look stands on the day asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum LookStands {
    /// A sighting falls into it.
    Seen,
    /// Its days are now.
    Now,
    /// Its days are over, and no sighting of them is known; not seen is not dead.
    NotSeen,
    /// Still to come.
    ToCome,
}

/// One sighting.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Seen {
    /// The day.
    pub on: NaiveDate,
    /// Alive or dead.
    pub vitality: Vitality,
    /// The mark that was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark_number: Option<String>,
    /// Who wrote it.
    #[serde(rename = "authorID")]
    pub author_id: String,
    /// Its number there.
    #[serde(rename = "recordID")]
    pub record_id: String,
}

/// How it stands with an animal on a day; `None` where it was never released, or came back since.
/// `own` are all its numbers, `records` what is known of it and of its marks, in the order of their days.
///
/// # Errors
/// A release at the end of the calendar.
pub fn freed(
    own: &BTreeSet<OrganismId>,
    records: &[Arc<Effective>],
    at: NaiveDate,
) -> Result<Option<Freed>, Refusal> {
    let is_own = |record: &Record| record.envelope.organism_id.as_ref().is_some_and(|id| own.contains(id));
    let past: Vec<&Record> =
        records.iter().map(|one| &one.record).filter(|one| one.envelope.event_date.day() <= at).collect();
    let last = |picks: fn(&Body) -> bool| {
        past.iter().rposition(|record| is_own(record) && record.body.as_ref().is_some_and(picks))
    };
    let Some(release) = last(|body| matches!(body, Body::Release(_))) else { return Ok(None) };
    if last(|body| matches!(body, Body::Rescue(_))) > Some(release) {
        return Ok(None);
    }
    let Some((record, Some(Body::Release(body)))) = past.get(release).map(|one| (one, &one.body)) else {
        return Ok(None);
    };
    let released_on = record.envelope.event_date.day();
    let since = past.get(release..).unwrap_or_default();
    let numbers: BTreeSet<&str> = marks(&past, &is_own);
    let named = |number: Option<&str>| number.is_some_and(|number| numbers.contains(number));
    let sightings: Vec<Seen> = since
        .iter()
        .filter_map(|one| match &one.body {
            // One that names another animal is not this one, whatever mark was read.
            Some(Body::Sighting(seen))
                if is_own(one)
                    || (one.envelope.organism_id.is_none()
                        && named(seen.mark_number.as_ref().map(|number| number.as_str()))) =>
            {
                Some(Seen {
                    on: one.envelope.event_date.day(),
                    vitality: seen.vitality,
                    mark_number: seen.mark_number.as_ref().map(ToString::to_string),
                    author_id: one.envelope.author_id.to_string(),
                    record_id: one.envelope.record_id.to_string(),
                })
            }
            _ => None,
        })
        .collect();
    let transmitter = transmits(&past, &is_own);
    let schedule = schedule(released_on, transmitter)?;
    let looks = schedule.looks.into_iter().map(|look| {
        let seen = sightings.iter().any(|one| (look.from..=look.through).contains(&one.on));
        let stands = match (seen, at < look.from, at > look.through) {
            (true, ..) => LookStands::Seen,
            (_, true, _) => LookStands::ToCome,
            (_, _, true) => LookStands::NotSeen,
            _ => LookStands::Now,
        };
        Look { from: look.from, through: look.through, what: look.what, stands }
    });
    let death = since.iter().find(|one| is_own(one) && dies(one)).map(|one| one.envelope.event_date.day());
    let found_dead = sightings.iter().find(|one| one.vitality == Vitality::Dead).map(|one| one.on);
    Ok(Some(Freed {
        released_on,
        permit_number: body.permit_number.as_ref().map(ToString::to_string),
        transmitter,
        died_on: death.into_iter().chain(found_dead).min(),
        looks: looks.collect(),
        sightings,
        grounds: schedule.grounds,
        caution: schedule.caution,
    }))
}

fn dies(record: &Record) -> bool {
    matches!(&record.body, Some(Body::Mortality(mortality)) if mortality.event == MortalityEvent::Death)
}

/// What it was told to carry, marks and the mark that the release names.
fn marks<'r>(past: &[&'r Record], is_own: &impl Fn(&Record) -> bool) -> BTreeSet<&'r str> {
    let own = past.iter().filter(|record| is_own(record));
    own.filter_map(|record| match &record.body {
        Some(Body::Marking(marking)) if marking.event != MarkingEvent::NoneFound => {
            marking.mark_number.as_ref()
        }
        Some(Body::Release(release)) => release.mark_number.as_ref(),
        _ => None,
    })
    .map(|number| number.as_str())
    .collect()
}

fn transmits(past: &[&Record], is_own: &impl Fn(&Record) -> bool) -> bool {
    let steps = past.iter().rev().filter(|record| is_own(record)).filter_map(|record| match &record.body {
        Some(Body::Marking(marking)) if marking.mark_type == MarkType::Transmitter => Some(marking.event),
        _ => None,
    });
    let mut steps = steps;
    steps.next().is_some_and(|event| !matches!(event, MarkingEvent::Failed | MarkingEvent::NoneFound))
}

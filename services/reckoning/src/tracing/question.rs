//! From whom to trace, and what is taken as the first day of a sign.

use super::carrier::Carrier;
use super::days::Days;
use super::lookup::Lookup;
use super::now::Now;
use crate::findings::RecordName;
use crate::keys::{Key, place_of};
use crate::subject::Subject;
use chrono::{Days as Count, NaiveDate};
use haulout_schemas::records::ending::{CauseOfDeath, Mortality, MortalityEvent};
use haulout_schemas::records::health::{LaboratoryResult, ResultOutcome};
use haulout_schemas::text::{LotId, OrganismId, PartyId};
use haulout_schemas::{Body, Record};
use serde::Serialize;
use std::collections::BTreeMap;

/// Days before the first sign from which an animal is taken to have carried, unless asked otherwise:
/// the least quarantine, the time within which a disease is expected to show (AZA quarantine
/// guidelines: 30 days). Common practice, not a property of any agent: the vet in charge decides.
pub const WINDOW_DAYS: u32 = 30;

/// Removes that are followed unless asked otherwise; common practice.
pub const DEPTH: u32 = 3;

/// From whom to trace.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase", rename_all_fields = "camelCase")]
pub enum Start {
    /// One animal.
    Animal(OrganismId),
    /// One lot.
    Lot(LotId),
    /// All that stood in one unit on the day of the sign.
    Unit {
        /// The centre.
        #[serde(rename = "placeID")]
        place_id: PartyId,
        /// The unit.
        #[serde(rename = "unitID")]
        unit_id: String,
    },
    /// All that stood in a centre or point on the day of the sign.
    Centre(PartyId),
    /// Every confirmed case of an agent: necropsies and positive results that name it, letters' case apart.
    Disease(String),
}

/// What is asked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Question {
    /// From whom.
    pub start: Start,
    /// The day of the first sign; by default that of the first confirmed or infectious case among the
    /// start's records, else `through`. Of a disease each case has its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sign_day: Option<NaiveDate>,
    /// Days before the sign from which the start may have carried.
    pub window_days: u32,
    /// Removes to follow, 0 to 10.
    pub depth: u32,
    /// The last day considered.
    pub through: NaiveDate,
}

impl Question {
    /// A question with the usual window and depth.
    pub fn from(start: Start, through: NaiveDate) -> Self {
        Self { start, sign_day: None, window_days: WINDOW_DAYS, depth: DEPTH, through }
    }
}

/// The first day of the window before a sign.
pub(super) fn since(sign: NaiveDate, window_days: u32) -> NaiveDate {
    sign.checked_sub_days(Count::new(u64::from(window_days))).unwrap_or(NaiveDate::MIN)
}

/// One from whom contacts are traced.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Source {
    /// Who.
    pub who: Carrier,
    /// The day of the first sign.
    pub sign_day: NaiveDate,
    /// From when it may have carried.
    pub since: NaiveDate,
    /// The records on which the sign stands; none where the question gave the day.
    pub records: Vec<RecordName>,
    /// Where it is.
    pub now: Vec<Now>,
}

/// The confirmed case that a record tells of: its agent and the day of its sign.
pub(crate) fn confirmed(record: &Record) -> Option<(&str, NaiveDate)> {
    let day = record.envelope.event_date.day();
    match &record.body {
        Some(Body::Mortality(Mortality { event: MortalityEvent::Necropsy, agent: Some(agent), .. })) => {
            Some((agent, day))
        }
        Some(Body::Result(LaboratoryResult {
            outcome: ResultOutcome::Positive,
            agent: Some(agent),
            collected,
            ..
        })) => Some((agent, collected.as_ref().map_or(day, |date| date.day()))),
        _ => None,
    }
}

/// The sources of a question, by carrier; of several signs of one carrier the first counts.
pub(super) fn sources(lookup: &mut Lookup<'_>, question: &Question) -> Vec<Source> {
    let mut found: BTreeMap<Carrier, Source> = BTreeMap::new();
    let mut add = |who: Carrier, sign_day: NaiveDate, records: Vec<RecordName>| {
        let source = Source {
            who: who.clone(),
            sign_day,
            since: since(sign_day, question.window_days),
            records,
            now: Vec::new(),
        };
        let known = found.entry(who).or_insert_with(|| source.clone());
        if (source.sign_day, &source.records) < (known.sign_day, &known.records) {
            *known = source;
        }
    };
    let one = |lookup: &mut Lookup<'_>, subject: Subject| {
        let who = lookup.canonical(&subject.into());
        let (day, records) = match question.sign_day {
            Some(day) => (day, Vec::new()),
            None => first_sign(lookup, &who).unwrap_or((question.through, Vec::new())),
        };
        (who, day, records)
    };
    match &question.start {
        Start::Animal(id) => {
            let (who, day, records) = one(lookup, Subject::Animal(id.clone()));
            add(who, day, records);
        }
        Start::Lot(id) => {
            let (who, day, records) = one(lookup, Subject::Lot(id.clone()));
            add(who, day, records);
        }
        Start::Unit { place_id, unit_id } => {
            let day = question.sign_day.unwrap_or(question.through);
            for who in standing(lookup, place_id, |unit| unit == Some(unit_id.as_str()), day) {
                add(who, day, Vec::new());
            }
        }
        Start::Centre(place) => {
            let day = question.sign_day.unwrap_or(question.through);
            for who in standing(lookup, place, |_| true, day) {
                add(who, day, Vec::new());
            }
        }
        Start::Disease(agent) => {
            for case in lookup.of(&Key::disease()) {
                let Some((named, day)) = confirmed(&case.record) else { continue };
                if named.trim().to_lowercase() != agent.trim().to_lowercase() {
                    continue;
                }
                for (who, sign, records) in of_case(lookup, &case.record, day) {
                    add(who, sign, records);
                }
            }
        }
    }
    found.into_values().collect()
}

/// Who is the case that a record confirms, each with the day of its sign: of a necropsy the death, of
/// a sample the day on which it was taken.
pub(super) fn of_case(
    lookup: &mut Lookup<'_>,
    record: &Record,
    day: NaiveDate,
) -> Vec<(Carrier, NaiveDate, Vec<RecordName>)> {
    let frame = &record.envelope;
    let mut records = vec![RecordName::from(record)];
    if let Some(subject) = Subject::of_frame(frame) {
        let mut sign = day;
        if let Some(Body::Mortality(Mortality { death_of: Some(death), .. })) = &record.body {
            let named = lookup.of(&Key::referred(death));
            let died = named.iter().map(|one| &one.record).find(|one| {
                one.envelope.author_id == death.author_id && one.envelope.record_id == death.record_id
            });
            if let Some(died) = died {
                sign = died.envelope.event_date.day().min(day);
                records.push(RecordName::from(died));
                records.sort();
            }
        }
        return vec![(lookup.canonical(&subject.into()), sign, records)];
    }
    let (Some(place), Some(Body::Result(result))) = (place_of(frame), &record.body) else {
        return Vec::new();
    };
    let house = lookup.house(place);
    let sampled: Vec<Carrier> = house
        .stays
        .iter()
        .filter(|stay| stay.days.holds(day))
        .filter(|stay| {
            let Some(unit) = stay.unit.as_deref() else { return false };
            result.unit_id.as_ref().is_some_and(|sampled| sampled.as_str() == unit)
                || result
                    .water_circuit
                    .as_ref()
                    .is_some_and(|water| house.circuit_on(unit, day) == Some(water.as_str()))
        })
        .map(|stay| stay.who.clone())
        .collect();
    sampled.into_iter().map(|who| (lookup.canonical(&who), day, records.clone())).collect()
}

/// Who stood in the units asked for on a day.
fn standing(
    lookup: &mut Lookup<'_>,
    place: &PartyId,
    asked: impl Fn(Option<&str>) -> bool,
    day: NaiveDate,
) -> Vec<Carrier> {
    let on_the_day = Days::one(day);
    let stays = lookup.house(place).stays.iter();
    let found: Vec<Carrier> = stays
        .filter(|stay| asked(stay.unit.as_deref()) && stay.days.meet(on_the_day).is_some())
        .map(|stay| stay.who.clone())
        .collect();
    found.iter().map(|who| lookup.canonical(who)).collect()
}

/// The first sign of disease among the records about a carrier: a confirmed case, or a death that the
/// necropsy puts down to an infection.
fn first_sign(lookup: &mut Lookup<'_>, who: &Carrier) -> Option<(NaiveDate, Vec<RecordName>)> {
    let signs = lookup.filed(who).into_iter().filter_map(|one| {
        let infected = matches!(
            &one.record.body,
            Some(Body::Mortality(Mortality {
                event: MortalityEvent::Necropsy,
                cause_of_death: Some(CauseOfDeath::Infection),
                ..
            }))
        );
        let day = one.record.envelope.event_date.day();
        let confirmed = confirmed(&one.record).map(|(_, day)| day).or(infected.then_some(day))?;
        Some((one, confirmed))
    });
    let signs: Vec<_> = signs.collect();
    let dated = signs.iter().flat_map(|(one, day)| of_case(lookup, &one.record, *day));
    dated.map(|(_, day, records)| (day, records)).min()
}

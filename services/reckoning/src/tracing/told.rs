//! The answer to a question of tracing.

use super::CAUTION;
use super::carrier::Carrier;
use super::contact::Contact;
use super::days::Days;
use super::lookup::Lookup;
use super::now::{Now, State, now};
use super::question::{Question, Source, confirmed, of_case, since, sources};
use super::walk::{Reached, walk};
use crate::findings::Records;
use chrono::NaiveDate;
use haulout_schemas::Record;
use haulout_schemas::names::Names;
use haulout_schemas::text::{ConsignmentId, PartyId};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Who may have been exposed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Exposed {
    /// Who.
    pub who: Carrier,
    /// Accepted name, where a place knows it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scientific_name: Option<String>,
    /// The fewest removes from a source; 1 shared something with a source itself.
    pub remove: u32,
    /// The first day on which it may have been exposed.
    pub first_day: NaiveDate,
    /// The chain that leads to that day, from a source on.
    pub chain: Vec<Contact>,
    /// Where it is.
    pub now: Vec<Now>,
}

/// A crate that carried someone who may carry, and that nobody says was disinfected since.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct DirtyCrate {
    /// The crate.
    pub who: Carrier,
    /// Since when.
    pub first_day: NaiveDate,
    /// Where it was last sent or received.
    #[serde(rename = "placeID", skip_serializing_if = "Option::is_none")]
    pub place_id: Option<PartyId>,
    /// Its journeys since, in the order of time.
    #[serde(rename = "consignmentIDs")]
    pub consignment_ids: Vec<ConsignmentId>,
}

/// A unit to close until the vet in charge says otherwise: a proposal, never a standstill by itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Closing {
    /// The centre or point.
    #[serde(rename = "placeID")]
    pub place_id: PartyId,
    /// The unit; none for those that stand in no unit.
    #[serde(rename = "unitID", skip_serializing_if = "Option::is_none")]
    pub unit_id: Option<String>,
    /// Its water, which closes with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_circuit: Option<String>,
    /// The fewest removes of those who stand in it; 0 holds a source.
    pub remove: u32,
    /// Who of them stands in it.
    pub holds: Vec<Carrier>,
}

/// One unit or one journey, with those who may have carried in it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Lane {
    /// The centre or point; of a journey where it went.
    #[serde(rename = "placeID", skip_serializing_if = "Option::is_none")]
    pub place_id: Option<PartyId>,
    /// The unit.
    #[serde(rename = "unitID", skip_serializing_if = "Option::is_none")]
    pub unit_id: Option<String>,
    /// The journey.
    #[serde(rename = "consignmentID", skip_serializing_if = "Option::is_none")]
    pub consignment_id: Option<ConsignmentId>,
    /// In the order of time.
    pub bars: Vec<Bar>,
}

/// One carrier in a lane.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Bar {
    /// From this day.
    pub from: NaiveDate,
    /// Through this day; none while it still is there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub through: Option<NaiveDate>,
    /// Who.
    pub who: Carrier,
    /// The fewest removes from a source; 0 is a source.
    pub remove: u32,
}

/// Everything that a question found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Traced {
    /// What was asked.
    pub question: Question,
    /// From whom.
    pub sources: Vec<Source>,
    /// Who may have been exposed, by remove, day and number.
    pub exposed: Vec<Exposed>,
    /// Crates.
    pub crates: Vec<DirtyCrate>,
    /// Units to close, by place and unit.
    pub closings: Vec<Closing>,
    /// Units and journeys in the order of time, from the day on which each may have carried.
    pub lanes: Vec<Lane>,
    /// What stands beside every answer.
    pub caution: &'static str,
}

/// Answers a question from records that [`crate::findings::counts_through`] its last day.
pub fn trace(records: &dyn Records, names: &Names, question: &Question) -> Traced {
    let mut lookup = Lookup::new(records, names);
    let mut sources = sources(&mut lookup, question);
    let since: BTreeMap<Carrier, NaiveDate> =
        sources.iter().map(|source| (source.who.clone(), source.since)).collect();
    let reached = walk(&mut lookup, &since, question.depth);
    let mut exposed: Vec<Exposed> = Vec::new();
    let mut crates: Vec<DirtyCrate> = Vec::new();
    for (who, how) in &reached {
        if let Carrier::Crate { crate_id, .. } = who {
            crates.push(dirty(&mut lookup, who, crate_id.as_str(), how));
        } else if how.remove > 0 {
            exposed.push(Exposed {
                who: who.clone(),
                scientific_name: species(&mut lookup, who),
                remove: how.remove,
                first_day: how.day,
                chain: how.chain(),
                now: now(&mut lookup, who),
            });
        }
    }
    exposed.sort_by(|one, other| {
        (one.remove, one.first_day, &one.who).cmp(&(other.remove, other.first_day, &other.who))
    });
    for source in &mut sources {
        source.now = now(&mut lookup, &source.who);
    }
    let closings = closings(&mut lookup, &sources, &exposed, question.through);
    let lanes = lanes(&mut lookup, &reached);
    Traced { question: question.clone(), sources, exposed, crates, closings, lanes, caution: CAUTION }
}

/// Those that shared something with a case itself, each with the case's source. Nothing is said of where
/// they are now.
pub(crate) fn direct(
    records: &dyn Records,
    names: &Names,
    case: &Record,
    window_days: u32,
) -> Vec<(Source, Exposed)> {
    let mut lookup = Lookup::new(records, names);
    let Some((_, day)) = confirmed(case) else { return Vec::new() };
    let mut found = Vec::new();
    for (who, sign_day, records) in of_case(&mut lookup, case, day) {
        let since = since(sign_day, window_days);
        let source = Source { who: who.clone(), sign_day, since, records, now: Vec::new() };
        let reached = walk(&mut lookup, &BTreeMap::from([(who, since)]), 1);
        let exposed = reached.into_iter().filter(|(who, how)| how.remove == 1 && !who.is_crate());
        found.extend(exposed.map(|(who, how)| {
            let (chain, now) = (how.chain(), Vec::new());
            let told = Exposed { who, scientific_name: None, remove: 1, first_day: how.day, chain, now };
            (source.clone(), told)
        }));
    }
    found
}

fn species(lookup: &mut Lookup<'_>, who: &Carrier) -> Option<String> {
    let numbers = lookup.numbers(who);
    for place in lookup.places(who) {
        let house = lookup.house(&place);
        if let Some(name) = numbers.iter().find_map(|number| house.species.get(number)) {
            return Some(name.clone());
        }
    }
    let journeys = lookup.journeys_of(who);
    let travelled = journeys.iter().flat_map(|journey| {
        numbers.iter().filter_map(|number| journey.travellers.get(number).map(|one| one.name.clone()))
    });
    travelled.max()
}

fn dirty(lookup: &mut Lookup<'_>, who: &Carrier, number: &str, how: &Reached) -> DirtyCrate {
    let life = lookup.lives(number).iter().find(|life| life.carrier == *who).cloned();
    let (at, uses) = life.map(|life| (life.at, life.uses)).unwrap_or_default();
    DirtyCrate { who: who.clone(), first_day: how.day, place_id: at, consignment_ids: uses }
}

fn closings(
    lookup: &mut Lookup<'_>,
    sources: &[Source],
    exposed: &[Exposed],
    through: NaiveDate,
) -> Vec<Closing> {
    let mut rooms: BTreeMap<(PartyId, Option<String>), (u32, BTreeSet<Carrier>)> = BTreeMap::new();
    let all = sources
        .iter()
        .map(|source| (&source.who, 0, &source.now))
        .chain(exposed.iter().map(|one| (&one.who, one.remove, &one.now)));
    for (who, remove, now) in all {
        for there in now.iter().filter(|now| matches!(now.state, State::Housed | State::NoUnit)) {
            let Some(place) = &there.place_id else { continue };
            let room = rooms
                .entry((place.clone(), there.unit_id.clone()))
                .or_insert_with(|| (remove, BTreeSet::new()));
            room.0 = room.0.min(remove);
            room.1.insert(who.clone());
        }
    }
    let closings = rooms.into_iter().map(|((place_id, unit_id), (remove, holds))| {
        let house = lookup.house(&place_id);
        let water = unit_id.as_ref().and_then(|unit| house.circuit_on(unit, through));
        Closing {
            water_circuit: water.map(str::to_owned),
            holds: holds.into_iter().collect(),
            place_id,
            unit_id,
            remove,
        }
    });
    closings.collect()
}

type LaneKey = (Option<ConsignmentId>, Option<PartyId>, Option<String>);

fn lanes(lookup: &mut Lookup<'_>, reached: &BTreeMap<Carrier, Reached>) -> Vec<Lane> {
    let mut lanes: BTreeMap<LaneKey, BTreeSet<Bar>> = BTreeMap::new();
    for (who, how) in reached.iter().filter(|(who, _)| !who.is_crate()) {
        let mut bar = |key: LaneKey, days: Days| {
            if let Some(days) = days.since(how.day) {
                let bar = Bar { from: days.from, through: days.to, who: who.clone(), remove: how.remove };
                lanes.entry(key).or_default().insert(bar);
            }
        };
        for (place, stay) in lookup.stays(who) {
            bar((None, Some(place), stay.unit), stay.days);
        }
        for journey in lookup.journeys_of(who) {
            bar((Some(journey.id), journey.to, None), journey.days);
        }
    }
    let mut told: Vec<Lane> = lanes
        .into_iter()
        .map(|((consignment_id, place_id, unit_id), bars)| Lane {
            place_id,
            unit_id,
            consignment_id,
            bars: bars.into_iter().collect(),
        })
        .collect();
    told.sort_by(|one, other| {
        let key = |lane: &Lane| {
            let first = lane.bars.first().map(|bar| bar.from);
            (first, lane.consignment_id.clone(), lane.place_id.clone(), lane.unit_id.clone())
        };
        key(one).cmp(&key(other))
    });
    told
}

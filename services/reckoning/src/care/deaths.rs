//! Deaths in one centre's care: of how many, too many at once, and what the necropsies found.

use crate::effective::Effective;
use crate::findings::deaths::deaths as told_dead;
use crate::occupancy::{Floor, Who, in_order};
use crate::period::Period;
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::records::ending::{CauseOfDeath, DeathEnd, MortalityEvent};
use haulout_schemas::records::standing::Capacity;
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
use haulout_welfare::mortality::cluster::{Cluster, Death, Held, clusters};
use haulout_welfare::mortality::{Exposure, Proportion, Watched, exposures, proportion};
use haulout_welfare::refusal::Refusal;
use haulout_welfare::units::{LEVEL, Share};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Where those are that no record has put into a unit.
const NO_UNIT: &str = "no unit";

/// Deaths of a centre over a period.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Deaths {
    /// Animals there at the close of the day before.
    pub at_start: u64,
    /// Animals that came alive in the period, recounts and redeterminations included with their sign.
    pub arrived: i64,
    /// Those that died in care, of all in care, with the exact interval.
    pub rate: Proportion,
    /// Animals at the close of each day and the dead of the day, added up.
    pub animal_days: u64,
    /// Windows with more deaths than the centre's own rate explains, the least likely first.
    pub clusters: Vec<Clustered>,
    /// Windows that were looked at, over all ways of looking.
    pub looks: u64,
    /// Necropsies of these deaths.
    pub necropsies: Opened,
    /// What could not be computed.
    pub unknown: Vec<Refusal>,
}

/// A cluster with what its necropsies found.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Clustered {
    /// The window.
    #[serde(flatten)]
    pub cluster: Cluster,
    /// What the place is: `unit` or `waterCircuit`.
    pub by: &'static str,
    /// The records of the deaths in it.
    pub records: Vec<String>,
    /// Carcasses of it that were opened.
    pub opened: u64,
    /// Agents that the necropsies confirmed, with the number of carcasses.
    pub agents: BTreeMap<String, u64>,
}

/// What was found in the dead.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Opened {
    /// Carcasses that were opened.
    pub opened: u64,
    /// Carcasses of which nothing was posted, or that could not be opened.
    pub not_opened: u64,
    /// Causes, by the necropsy where there is one, else by the death.
    pub causes: BTreeMap<String, u64>,
    /// Agents that were confirmed.
    pub agents: BTreeMap<String, u64>,
    /// For each agent and each unit and circuit: found among the dead of it and among the others.
    pub exposures: BTreeMap<String, Vec<Exposure>>,
}

/// One record of a death, with where its animals stood.
struct Dead {
    name: String,
    day: NaiveDate,
    places: BTreeMap<String, u64>,
    cause: Option<CauseOfDeath>,
}

/// Deaths of a centre. `records` are all that tell who is where in it, its capacities and necropsies,
/// dated through the period's end; `days` is the length of a window, `most` the chance at or below which
/// one counts, after correction.
///
/// # Errors
/// Nobody in care, more deaths than animals, or a window that does not fit the period.
pub fn deaths(
    centre: &PartyId,
    records: &[Arc<Effective>],
    names: &Names,
    period: &Period,
    days: u16,
    most: Share,
) -> Result<Deaths, Refusal> {
    let watched = Watch::over(centre, records, names, period);
    let dead: u64 = watched.dead.iter().map(Dead::count).sum();
    let in_care = i64::try_from(watched.at_start).unwrap_or(i64::MAX).saturating_add(watched.arrived);
    let rate = proportion(dead, u64::try_from(in_care).unwrap_or_default(), LEVEL)?;
    let opened = necropsies(records);
    let circuits = circuits(records);
    let ways: Vec<(&'static str, BTreeMap<&str, &str>)> = {
        let shared: BTreeSet<&str> = circuits.values().copied().collect();
        let by_unit = ("unit", BTreeMap::new());
        // A circuit of one unit is that unit over again.
        if shared.len() < circuits.len() {
            vec![by_unit, ("waterCircuit", circuits.clone())]
        } else {
            vec![by_unit]
        }
    };
    let (mut found, mut looks) = (Vec::new(), 0);
    let each = Share::new(most.share() / ways.len() as f64)?;
    for (by, led) in &ways {
        let place =
            |unit: &str| led.get(unit).map_or_else(|| unit.to_owned(), |circuit| (*circuit).to_owned());
        let told: Vec<Death> = watched.dead.iter().flat_map(|dead| dead.each(&place)).collect();
        let mut days_of: BTreeMap<String, u64> = BTreeMap::new();
        for (unit, count) in &watched.animal_days {
            *days_of.entry(place(unit)).or_default() += count;
        }
        let held: Vec<Held> =
            days_of.into_iter().map(|(place, animal_days)| Held { place, animal_days }).collect();
        looks += windows(period, days) * held.len() as u64;
        let all = clusters(&told, &held, (period.first, period.last), days, each)?;
        found.extend(
            apart(all).into_iter().map(|cluster| clustered(cluster, by, &watched.dead, &place, &opened)),
        );
    }
    found.sort_by(|one, other| one.cluster.chance.share().total_cmp(&other.cluster.chance.share()));
    let mut unknown = Vec::new();
    let necropsies = joined(&watched.dead, &opened, &circuits, &mut unknown);
    Ok(Deaths {
        at_start: watched.at_start,
        arrived: watched.arrived,
        rate,
        animal_days: watched.animal_days.values().sum(),
        clusters: found,
        looks,
        necropsies,
        unknown,
    })
}

fn windows(period: &Period, days: u16) -> u64 {
    u64::try_from((period.last - period.first).num_days() + 2 - i64::from(days)).unwrap_or_default()
}

/// Of windows of one place that share days only the least likely, for they tell of the same deaths.
fn apart(all: Vec<Cluster>) -> Vec<Cluster> {
    let mut kept: Vec<Cluster> = Vec::new();
    for one in all {
        let overlaps = |other: &Cluster| {
            other.place == one.place && (other.from - one.from).num_days().abs() < i64::from(one.days)
        };
        if !kept.iter().any(overlaps) {
            kept.push(one);
        }
    }
    kept
}

impl Dead {
    fn count(&self) -> u64 {
        self.places.values().sum()
    }

    /// One death for each carcass, where `place` says.
    fn each<'d>(&'d self, place: &'d impl Fn(&str) -> String) -> impl Iterator<Item = Death> + 'd {
        self.places.iter().flat_map(move |(unit, count)| {
            (0..*count).map(move |_| Death { day: self.day, place: place(unit) })
        })
    }
}

/// What a walk through the period's records saw.
#[derive(Default)]
struct Watch {
    at_start: u64,
    arrived: i64,
    dead: Vec<Dead>,
    animal_days: BTreeMap<String, u64>,
}

impl Watch {
    fn over(centre: &PartyId, records: &[Arc<Effective>], names: &Names, period: &Period) -> Self {
        let mut watch = Self::default();
        let mut floor = Floor::new(centre, names, records);
        let sorted = in_order(records);
        let mut left = sorted.iter().peekable();
        while let Some(one) = left.next_if(|one| one.record.envelope.event_date.day() < period.first) {
            floor.apply(&one.record);
        }
        watch.at_start = u64::try_from(stock(&floor)).unwrap_or_default();
        for day in period.first.iter_days().take_while(|day| *day <= period.last) {
            while let Some(one) = left.next_if(|one| one.record.envelope.event_date.day() <= day) {
                watch.step(&mut floor, &one.record, day);
            }
            for (unit, count) in heads(&floor) {
                *watch.animal_days.entry(unit).or_default() += count;
            }
        }
        watch
    }

    /// One record of the period.
    fn step(&mut self, floor: &mut Floor<'_>, record: &Record, day: NaiveDate) {
        let Some(body) = &record.body else { return };
        let counts = matches!(
            body,
            Body::Rescue(_)
                | Body::Receipt(_)
                | Body::Clutch(_)
                | Body::Census(_)
                | Body::Loss(_)
                | Body::Tally(_)
                | Body::Determination(_)
                | Body::Regrouping(_)
                | Body::Adjustment(_)
                | Body::Mortality(_)
        );
        if !counts {
            floor.apply(record);
            return;
        }
        let (before, stock_before) = (heads(floor), stock(floor));
        floor.apply(record);
        // The books say who came: a unit may be told of before its animals are counted.
        let change = stock(floor) - stock_before;
        match body {
            Body::Mortality(mortality) => {
                if mortality.event != MortalityEvent::Death
                    || mortality.end == Some(DeathEnd::DestroyedByOrder)
                    || told_dead(record) == 0
                {
                    return;
                }
                let after = heads(floor);
                let mut left = u64::try_from(-change).unwrap_or_default();
                let mut places = BTreeMap::new();
                for (unit, count) in &before {
                    let fewer = count.saturating_sub(after.get(unit).copied().unwrap_or_default()).min(left);
                    left -= fewer;
                    places.insert(unit.clone(), fewer);
                }
                *places.entry(NO_UNIT.to_owned()).or_default() += left;
                places.retain(|_, count| *count > 0);
                for (unit, count) in &places {
                    *self.animal_days.entry(unit.clone()).or_default() += count;
                }
                let name = format!("{}/{}", record.envelope.author_id, record.envelope.record_id);
                self.dead.push(Dead { name, day, places, cause: mortality.cause_of_death });
            }
            // Who was lost is no arrival of fewer.
            Body::Loss(_) => self.arrived += change.max(0),
            _ => self.arrived += change,
        }
    }
}

/// Animals in the books, never clamped: a figure below zero is a finding elsewhere.
fn stock(floor: &Floor<'_>) -> i64 {
    floor.standings().values().map(|standing| standing.animals).sum()
}

/// Living animals by unit; those in none under [`NO_UNIT`].
fn heads(floor: &Floor<'_>) -> BTreeMap<String, u64> {
    let mut heads: BTreeMap<String, u64> = BTreeMap::new();
    let count = |number: i64| u64::try_from(number).unwrap_or_default();
    let mut unnamed_beyond = 0;
    for (who, standing) in floor.standings() {
        if standing.eggs > 0 && standing.animals <= 0 {
            continue;
        }
        for (unit, housed) in &standing.units {
            *heads.entry(unit.clone()).or_default() += count(housed.count);
        }
        let rest = standing.animals - standing.housed();
        match who {
            Who::Named(_) | Who::Unnamed(_) if rest > 0 => {
                *heads.entry(NO_UNIT.to_owned()).or_default() += count(rest)
            }
            _ => unnamed_beyond += count(-rest),
        }
    }
    // Animals housed under a number that never entered the stock came in under none: counted once.
    if let Some(rest) = heads.get_mut(NO_UNIT) {
        *rest = rest.saturating_sub(unnamed_beyond);
    }
    heads.retain(|_, count| *count > 0);
    heads
}

/// The water circuit of each unit by its last capacity record.
fn circuits(records: &[Arc<Effective>]) -> BTreeMap<&str, &str> {
    let mut led: BTreeMap<&str, &str> = BTreeMap::new();
    for one in in_order(records) {
        if let Some(Body::Capacity(Capacity { unit_id, water_circuit, .. })) = &one.record.body {
            match water_circuit {
                Some(circuit) => drop(led.insert(unit_id.as_str(), circuit.as_str())),
                None => drop(led.remove(unit_id.as_str())),
            }
        }
    }
    led
}

/// One necropsy.
struct Necropsy<'r> {
    count: u64,
    agent: Option<&'r str>,
    cause: Option<CauseOfDeath>,
}

/// Necropsies that were made, by the record of the death.
fn necropsies(records: &[Arc<Effective>]) -> BTreeMap<String, Vec<Necropsy<'_>>> {
    let mut by_death: BTreeMap<String, Vec<Necropsy<'_>>> = BTreeMap::new();
    for one in records {
        if let Some(Body::Mortality(mortality)) = &one.record.body
            && mortality.event == MortalityEvent::Necropsy
            && mortality.necropsy_done == Some(true)
            && let Some(of) = &mortality.death_of
        {
            by_death.entry(format!("{}/{}", of.author_id, of.record_id)).or_default().push(Necropsy {
                count: u64::from(mortality.individual_count),
                agent: mortality.agent.as_deref(),
                cause: mortality.cause_of_death,
            });
        }
    }
    by_death
}

type ByDeath<'r> = BTreeMap<String, Vec<Necropsy<'r>>>;

fn clustered(
    cluster: Cluster,
    by: &'static str,
    dead: &[Dead],
    place: &impl Fn(&str) -> String,
    opened: &ByDeath<'_>,
) -> Clustered {
    let within = |day: NaiveDate| (0..i64::from(cluster.days)).contains(&(day - cluster.from).num_days());
    let of_it = dead
        .iter()
        .filter(|one| within(one.day) && one.places.keys().any(|unit| place(unit) == cluster.place));
    let mut told =
        Clustered { by, records: Vec::new(), opened: 0, agents: BTreeMap::new(), cluster: cluster.clone() };
    for one in of_it {
        told.records.push(one.name.clone());
        for necropsy in opened.get(&one.name).into_iter().flatten() {
            told.opened += necropsy.count;
            if let Some(agent) = necropsy.agent {
                *told.agents.entry(agent.to_owned()).or_default() += necropsy.count;
            }
        }
    }
    told
}

/// Necropsies joined to the deaths and to where they happened.
fn joined(
    dead: &[Dead],
    opened: &ByDeath<'_>,
    circuits: &BTreeMap<&str, &str>,
    unknown: &mut Vec<Refusal>,
) -> Opened {
    let mut told = Opened::default();
    let mut carcasses: Vec<(Vec<String>, Option<Option<&str>>)> = Vec::new();
    for one in dead {
        let mut exposed: Vec<String> = one.places.keys().map(|unit| format!("unit {unit}")).collect();
        exposed.extend(
            one.places
                .keys()
                .filter_map(|unit| circuits.get(unit.as_str()))
                .map(|id| format!("water circuit {id}")),
        );
        exposed.sort_unstable();
        exposed.dedup();
        let mut left = one.count();
        for necropsy in opened.get(&one.name).into_iter().flatten() {
            let count = necropsy.count.min(left);
            left -= count;
            told.opened += count;
            carcasses.extend((0..count).map(|_| (exposed.clone(), Some(necropsy.agent))));
            if let Some(agent) = necropsy.agent {
                *told.agents.entry(agent.to_owned()).or_default() += count;
            }
            cause(&mut told.causes, necropsy.cause.or(one.cause), count);
        }
        carcasses.extend((0..left).map(|_| (exposed.clone(), None)));
        told.not_opened += left;
        cause(&mut told.causes, one.cause, left);
    }
    for agent in told.agents.keys() {
        let watched: Vec<Watched> = carcasses
            .iter()
            .map(|(exposures, found)| Watched {
                exposures: exposures.clone(),
                finding: found.map(|of| of == Some(agent.as_str())),
            })
            .collect();
        match exposures(&watched, LEVEL) {
            Ok((found, _)) => drop(told.exposures.insert(agent.clone(), found)),
            Err(refusal) => unknown.push(refusal),
        }
    }
    told
}

fn cause(causes: &mut BTreeMap<String, u64>, cause: Option<CauseOfDeath>, count: u64) {
    if count > 0 {
        *causes.entry(cause.map_or("notTold", CauseOfDeath::as_str).to_owned()).or_default() += count;
    }
}

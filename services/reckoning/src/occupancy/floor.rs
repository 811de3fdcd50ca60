//! The floor of one place, record by record.

mod step;

use crate::effective::Effective;
use crate::findings::{RecordName, by_order};
use crate::keys::place_of;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::records::ending::LossEvent;
use haulout_schemas::records::health::QuarantineEvent;
use haulout_schemas::records::identity::LinkEvent;
use haulout_schemas::records::transfer::Arrived;
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::{LifeStage, Stay, Vitality};
use haulout_schemas::{Body, Record};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::sync::Arc;
use step::Step;

/// Whose stock it is: a subject, or what was counted of a name without a number of its own.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub(crate) enum Who {
    /// An animal or a lot.
    Named(Subject),
    /// A number of a species.
    Unnamed(String),
}

/// How one subject stands.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Standing {
    pub(crate) name: String,
    pub(crate) stage: Option<LifeStage>,
    /// In the stock, never clamped: a figure below zero is a finding elsewhere.
    pub(crate) animals: i64,
    pub(crate) eggs: i64,
    pub(crate) since: NaiveDate,
    pub(crate) units: BTreeMap<String, Housed>,
    /// The day of the last word on its units.
    pub(crate) placed: Option<NaiveDate>,
    pub(crate) stay: Option<Stay>,
    pub(crate) order: Option<String>,
    pub(crate) batch: Option<String>,
}

/// A number in one unit.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Housed {
    pub(crate) count: i64,
    pub(crate) since: NaiveDate,
    /// The record that says so.
    pub(crate) by: RecordName,
}

impl Standing {
    pub(crate) fn housed(&self) -> i64 {
        self.units.values().map(|housed| housed.count).sum()
    }

    /// The only unit in which the subject stands.
    fn only_unit(&self) -> Option<String> {
        let mut units = self.units.keys();
        units.next().filter(|_| units.next().is_none()).cloned()
    }
}

/// The records of a list in the order in which they are applied.
pub(crate) fn in_order(records: &[Arc<Effective>]) -> Vec<&Arc<Effective>> {
    let mut sorted: Vec<&Arc<Effective>> = records.iter().collect();
    sorted.sort_by(|one, other| by_order(&one.record, &other.record));
    sorted
}

/// Who is where while records are applied.
pub(crate) struct Floor<'a> {
    place: &'a PartyId,
    names: &'a Names,
    /// Records that a link takes back.
    not_counted: HashSet<(&'a str, &'a str)>,
    standings: BTreeMap<Who, Standing>,
    /// Who stands in which unit.
    by_unit: BTreeMap<String, BTreeSet<Who>>,
    touched: BTreeSet<String>,
}

impl<'a> Floor<'a> {
    /// An empty floor. `records` are all that will be applied: links among them hold from the beginning.
    pub(crate) fn new(place: &'a PartyId, names: &'a Names, records: &'a [Arc<Effective>]) -> Self {
        let taken_back = |one: &'a Arc<Effective>| match &one.record.body {
            Some(Body::Link(link)) if link.event == LinkEvent::Same => {
                link.not_counted.as_ref().map(|other| (other.author_id.as_str(), other.record_id.as_str()))
            }
            _ => None,
        };
        Self {
            place,
            names,
            not_counted: records.iter().filter_map(taken_back).collect(),
            standings: BTreeMap::new(),
            by_unit: BTreeMap::new(),
            touched: BTreeSet::new(),
        }
    }

    /// A floor on which subjects stand as they stood before: what is applied from here on goes on from it.
    pub(crate) fn resume(mut self, standings: Vec<(Who, Standing)>) -> Self {
        for (who, standing) in &standings {
            for unit in standing.units.keys() {
                self.by_unit.entry(unit.clone()).or_default().insert(who.clone());
            }
        }
        self.standings = standings.into_iter().collect();
        self
    }

    /// Who a line or frame without further word stands for.
    pub(crate) fn who(&self, subject: Option<Subject>, name: &str) -> Who {
        subject.map_or_else(|| Who::Unnamed(self.names.commodity(name).into_owned()), Who::Named)
    }

    pub(crate) fn standings(&self) -> &BTreeMap<Who, Standing> {
        &self.standings
    }

    /// Every subject with a number of its own, and how it stands.
    pub(crate) fn named(&self) -> impl Iterator<Item = (&Subject, &Standing)> {
        self.standings.iter().filter_map(|(who, standing)| match who {
            Who::Named(subject) => Some((subject, standing)),
            Who::Unnamed(_) => None,
        })
    }

    /// Who stands in a unit, with how it is housed there.
    pub(crate) fn in_unit<'s>(&'s self, unit: &'s str) -> impl Iterator<Item = (&'s Standing, &'s Housed)> {
        let whose = self.by_unit.get(unit).into_iter().flatten();
        whose.filter_map(move |who| {
            let standing = self.standings.get(who)?;
            Some((standing, standing.units.get(unit)?))
        })
    }

    /// How many living animals of a subject are in the stock.
    pub(crate) fn animals_of(&self, subject: &Subject) -> i64 {
        let standing = self.standings.get(&Who::Named(subject.clone()));
        standing.map_or(0, |standing| standing.animals.max(0))
    }

    /// The units in which someone stands under an order.
    pub(crate) fn under_orders(&self) -> BTreeSet<String> {
        let ordered = self.standings.values().filter(|standing| standing.order.is_some());
        ordered.flat_map(|standing| standing.units.keys().cloned()).collect()
    }

    /// The units changed since this was last asked.
    pub(crate) fn take_touched(&mut self) -> BTreeSet<String> {
        std::mem::take(&mut self.touched)
    }

    /// Applies one record.
    pub(crate) fn apply(&mut self, record: &Record) {
        let frame = &record.envelope;
        if place_of(frame) != Some(self.place)
            || self.not_counted.contains(&(frame.author_id.as_str(), frame.record_id.as_str()))
        {
            return;
        }
        let Some(body) = &record.body else { return };
        let mut step = Step { day: frame.event_date.day(), record, floor: self };
        match body {
            Body::Rescue(rescue) if rescue.vitality != Some(Vitality::Dead) => {
                step.own(rescue.life_stage, i64::from(rescue.individual_count));
            }
            Body::Receipt(receipt) => {
                for line in &receipt.lines {
                    if matches!(line.arrived, Arrived::Alive | Arrived::Extra | Arrived::TurnedBack) {
                        let who = step.who(Subject::received(line), line.scientific_name.as_str());
                        step.change(
                            &who,
                            line.scientific_name.as_str(),
                            line.life_stage,
                            i64::from(line.individual_count),
                        );
                    }
                }
            }
            Body::Dispatch(dispatch) => {
                for line in &dispatch.lines {
                    let who = step.who(Subject::taken(line), line.scientific_name.as_str());
                    step.change(
                        &who,
                        line.scientific_name.as_str(),
                        line.life_stage,
                        -i64::from(line.individual_count),
                    );
                }
            }
            Body::Census(census) if census.opening == Some(true) => {
                // Housing of the same day is the later word on where a subject is; the count stands beside it.
                let standings = step.floor.standings.iter();
                let housed: BTreeSet<Who> = standings
                    .filter(|(_, standing)| !standing.units.is_empty())
                    .map(|(who, _)| who.clone())
                    .collect();
                for line in census.lines.iter().filter(|line| line.not_countable != Some(true)) {
                    let subject = line.organism_id.clone().map(Subject::Animal);
                    let subject = subject.or_else(|| line.lot_id.clone().map(Subject::Lot));
                    let who = step.who(subject, line.scientific_name.as_str());
                    let count = i64::from(line.individual_count);
                    step.change(&who, line.scientific_name.as_str(), line.life_stage, count);
                    if let Some(unit) = line.unit_id.as_ref().or(census.unit_id.as_ref())
                        && !housed.contains(&who)
                    {
                        step.put(&who, unit.as_str(), count);
                    }
                }
            }
            Body::Release(release) => step.own(release.life_stage, -i64::from(release.individual_count)),
            Body::Mortality(mortality) => step.mortality(mortality),
            Body::Loss(loss) if loss.consignment_id.is_none() => {
                let sign = if loss.event == LossEvent::Found { 1 } else { -1 };
                step.own(loss.life_stage, sign * i64::from(loss.individual_count));
            }
            Body::Adjustment(adjustment) => {
                step.own(adjustment.life_stage, i64::from(adjustment.individual_count))
            }
            Body::Tally(tally) => step.tally(tally),
            Body::Clutch(clutch) if clutch.consignment_id.is_none() => step.clutch(clutch),
            Body::Determination(determination) if determination.consignment_id.is_none() => {
                step.determination(determination);
            }
            Body::Regrouping(regrouping) => step.regrouping(regrouping),
            Body::Housing(housing) => step.housing(housing),
            Body::Quarantine(quarantine) => {
                let batch =
                    (quarantine.event != QuarantineEvent::Ended).then(|| quarantine.batch_id.to_string());
                step.with_own(|standing| standing.batch = batch);
            }
            _ => {}
        }
    }
}

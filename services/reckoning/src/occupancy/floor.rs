//! The floor of one place, record by record.

use crate::effective::Effective;
use crate::findings::by_order;
use crate::keys::place_of;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::names::Names;
use haulout_schemas::records::arrival::Tally;
use haulout_schemas::records::breeding::{Clutch, ClutchEvent};
use haulout_schemas::records::ending::{LossEvent, Mortality, MortalityEvent, TakenFrom};
use haulout_schemas::records::health::QuarantineEvent;
use haulout_schemas::records::identity::{Determination, DeterminationEvent, LinkEvent, Regrouping};
use haulout_schemas::records::keeping::{Housing, HousingEvent};
use haulout_schemas::records::transfer::Arrived;
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::{LifeStage, Stay, Vitality};
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::sync::Arc;

/// Whose stock it is: a subject, or what was counted of a name without a number of its own.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Who {
    /// An animal or a lot.
    Named(Subject),
    /// A number of a species.
    Unnamed(String),
}

/// How one subject stands.
#[derive(Clone, Debug)]
pub(crate) struct Standing {
    pub(crate) name: String,
    pub(crate) stage: Option<LifeStage>,
    /// In the stock, never clamped: a figure below zero is a finding elsewhere.
    pub(crate) animals: i64,
    pub(crate) eggs: i64,
    pub(crate) since: NaiveDate,
    pub(crate) units: BTreeMap<String, Housed>,
    pub(crate) stay: Option<Stay>,
    pub(crate) order: Option<String>,
    pub(crate) batch: Option<String>,
}

/// A number in one unit.
#[derive(Clone, Debug)]
pub(crate) struct Housed {
    pub(crate) count: i64,
    pub(crate) since: NaiveDate,
    /// The record that says so, by its place in the list of records.
    pub(crate) by: usize,
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

/// The records of a list in the order in which they are applied, each with its place in the list.
pub(crate) fn in_order(records: &[Arc<Effective>]) -> Vec<(usize, &Arc<Effective>)> {
    let mut sorted: Vec<(usize, &Arc<Effective>)> = records.iter().enumerate().collect();
    sorted.sort_by(|(_, one), (_, other)| by_order(&one.record, &other.record));
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

    pub(crate) fn standings(&self) -> &BTreeMap<Who, Standing> {
        &self.standings
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

    /// Applies one record; `at` is its place in the list of records.
    pub(crate) fn apply(&mut self, at: usize, record: &Record) {
        let frame = &record.envelope;
        if place_of(frame) != Some(self.place)
            || self.not_counted.contains(&(frame.author_id.as_str(), frame.record_id.as_str()))
        {
            return;
        }
        let Some(body) = &record.body else { return };
        let mut step = Step { at, day: frame.event_date.day(), record, floor: self };
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
                for line in census.lines.iter().filter(|line| line.not_countable != Some(true)) {
                    let subject = line.organism_id.clone().map(Subject::Animal);
                    let subject = subject.or_else(|| line.lot_id.clone().map(Subject::Lot));
                    let who = step.who(subject, line.scientific_name.as_str());
                    let count = i64::from(line.individual_count);
                    step.change(&who, line.scientific_name.as_str(), line.life_stage, count);
                    if let Some(unit) = line.unit_id.as_ref().or(census.unit_id.as_ref()) {
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

/// One record being applied.
struct Step<'f, 'a> {
    at: usize,
    day: NaiveDate,
    record: &'f Record,
    floor: &'f mut Floor<'a>,
}

impl Step<'_, '_> {
    fn who(&self, subject: Option<Subject>, name: &str) -> Who {
        subject.map_or_else(|| Who::Unnamed(self.floor.names.commodity(name).into_owned()), Who::Named)
    }

    fn own_name(&self) -> &str {
        self.record.envelope.scientific_name.as_ref().map(|name| name.as_str()).unwrap_or_default()
    }

    fn own_who(&self) -> Who {
        self.who(Subject::of_frame(&self.record.envelope), self.own_name())
    }

    fn standing(&mut self, who: &Who, name: &str) -> &mut Standing {
        let accepted = self.floor.names.commodity(name);
        self.floor.standings.entry(who.clone()).or_insert_with(|| Standing {
            name: accepted.into_owned(),
            stage: None,
            animals: 0,
            eggs: 0,
            since: self.day,
            units: BTreeMap::new(),
            stay: None,
            order: None,
            batch: None,
        })
    }

    fn with_own(&mut self, change: impl FnOnce(&mut Standing)) {
        let (who, name) = (self.own_who(), self.own_name().to_owned());
        change(self.standing(&who, &name));
    }

    fn own(&mut self, stage: Option<LifeStage>, count: i64) {
        let (who, name) = (self.own_who(), self.own_name().to_owned());
        self.change(&who, &name, stage, count);
    }

    /// More or fewer in the stock; those who leave also leave their units.
    fn change(&mut self, who: &Who, name: &str, stage: Option<LifeStage>, count: i64) {
        let (day, accepted) = (self.day, self.floor.names.commodity(name).into_owned());
        let standing = self.standing(who, name);
        if standing.animals + standing.eggs <= 0 && count > 0 {
            standing.since = day;
            standing.name = accepted;
        }
        if stage == Some(LifeStage::Egg) {
            standing.eggs += count;
        } else {
            standing.animals += count;
            standing.stage = stage.or(standing.stage);
        }
        if count < 0 {
            self.take_out(who, -count);
        }
    }

    /// Takes so many out of the units. Which unit they were in is not told: the fullest loses first.
    fn take_out(&mut self, who: &Who, mut count: i64) {
        let Some(standing) = self.floor.standings.get_mut(who) else { return };
        while count > 0 {
            let fullest = standing.units.iter().rev().max_by_key(|(_, housed)| housed.count);
            let Some(unit) = fullest.map(|(unit, _)| unit.clone()) else { break };
            if let Some(housed) = standing.units.get_mut(&unit) {
                let taken = count.min(housed.count);
                housed.count -= taken;
                count -= taken;
                if housed.count <= 0 {
                    standing.units.remove(&unit);
                    self.floor.by_unit.entry(unit.clone()).or_default().remove(who);
                }
            }
            self.floor.touched.insert(unit);
        }
        if standing.units.is_empty() && standing.animals + standing.eggs <= 0 {
            (standing.stay, standing.order) = (None, None);
        }
    }

    fn put(&mut self, who: &Who, unit: &str, count: i64) {
        let (day, at) = (self.day, self.at);
        if let Some(standing) = self.floor.standings.get_mut(who)
            && count > 0
        {
            let housed =
                standing.units.entry(unit.to_owned()).or_insert(Housed { count: 0, since: day, by: at });
            housed.count += count;
            self.floor.by_unit.entry(unit.to_owned()).or_default().insert(who.clone());
            self.floor.touched.insert(unit.to_owned());
        }
    }

    fn only_unit(&self, who: &Who) -> Option<String> {
        self.floor.standings.get(who).and_then(Standing::only_unit)
    }

    /// Those who were `from` are now `to`; they stay where they were, if that is known.
    fn become_other(
        &mut self,
        unit: Option<&str>,
        from: &Who,
        to: &Who,
        name: &str,
        stage: Option<LifeStage>,
        count: i64,
    ) {
        let inherited = self.floor.standings.get(from).map(|s| (s.stay, s.order.clone(), s.batch.clone()));
        self.change(to, name, stage, count);
        if let Some((stay, order, batch)) = inherited {
            let standing = self.standing(to, name);
            standing.stay = standing.stay.or(stay);
            standing.order = standing.order.take().or(order);
            standing.batch = standing.batch.take().or(batch);
        }
        let stands = self.floor.standings.get(to).is_some_and(|standing| standing.housed() > 0 && from != to);
        if let Some(unit) = unit
            && !stands
        {
            self.put(to, unit, count);
        }
    }

    fn mortality(&mut self, mortality: &Mortality) {
        let in_stock = match mortality.taken_from {
            Some(TakenFrom::Stock) => true,
            Some(TakenFrom::Released | TakenFrom::Transit) => false,
            None => mortality.consignment_id.is_none(),
        };
        if mortality.event == MortalityEvent::Death && in_stock {
            self.own(mortality.life_stage, -i64::from(mortality.individual_count));
        }
    }

    fn tally(&mut self, tally: &Tally) {
        let lot = self.own_who();
        let unit = self.only_unit(&lot);
        self.own(tally.life_stage, -i64::from(tally.lot_count));
        for line in tally.lines.iter().filter(|line| line.alive > 0) {
            let counted = line.lot_id.clone().map_or_else(|| lot.clone(), |id| Who::Named(Subject::Lot(id)));
            self.become_other(
                unit.as_deref(),
                &lot,
                &counted,
                line.scientific_name.as_str(),
                line.life_stage,
                i64::from(line.alive),
            );
        }
    }

    fn clutch(&mut self, clutch: &Clutch) {
        let Some(count) = clutch.individual_count.map(i64::from) else { return };
        let (lot, name) = (self.own_who(), self.own_name().to_owned());
        let unit = clutch.unit_id.as_ref().map(ToString::to_string);
        match clutch.event {
            ClutchEvent::Collected | ClutchEvent::Laid => {
                self.change(&lot, &name, Some(LifeStage::Egg), count);
                if let Some(unit) = &unit {
                    self.put(&lot, unit, count);
                }
            }
            ClutchEvent::Candled => {}
            ClutchEvent::Failed => self.change(&lot, &name, Some(LifeStage::Egg), -count),
            ClutchEvent::Hatched | ClutchEvent::FoundHatched => {
                let unit = unit.or_else(|| self.only_unit(&lot));
                if clutch.event == ClutchEvent::Hatched {
                    self.change(&lot, &name, Some(LifeStage::Egg), -count);
                }
                let young = clutch
                    .hatchlings_lot_id
                    .clone()
                    .map_or_else(|| lot.clone(), |id| Who::Named(Subject::Lot(id)));
                self.become_other(unit.as_deref(), &lot, &young, &name, Some(LifeStage::Hatchling), count);
            }
        }
    }

    fn determination(&mut self, determination: &Determination) {
        let (who, name) = (self.own_who(), self.own_name().to_owned());
        match (determination.event, &determination.to_scientific_name) {
            (DeterminationEvent::Species, Some(new)) => match &determination.to_lot_id {
                Some(part) => {
                    let old = determination
                        .from_scientific_name
                        .as_ref()
                        .map_or(name.as_str(), |old| old.as_str())
                        .to_owned();
                    let (unit, count) = (self.only_unit(&who), i64::from(determination.individual_count));
                    self.change(&who, &old, determination.life_stage, -count);
                    let part = Who::Named(Subject::Lot(part.clone()));
                    self.become_other(
                        unit.as_deref(),
                        &who,
                        &part,
                        new.as_str(),
                        determination.life_stage,
                        count,
                    );
                }
                None => {
                    let accepted = self.floor.names.commodity(new.as_str()).into_owned();
                    self.standing(&who, new.as_str()).name = accepted;
                }
            },
            (DeterminationEvent::LifeStage, _) => {
                let stage = determination.life_stage;
                self.with_own(|standing| standing.stage = stage.or(standing.stage));
            }
            _ => {}
        }
    }

    fn regrouping(&mut self, regrouping: &Regrouping) {
        let from: Vec<Who> = regrouping
            .from
            .iter()
            .map(|line| self.who(Subject::of_line(line), line.scientific_name.as_str()))
            .collect();
        let units: Option<BTreeSet<String>> = from.iter().map(|who| self.only_unit(who)).collect();
        let unit = units.and_then(|units| if units.len() == 1 { units.into_iter().next() } else { None });
        for (line, who) in regrouping.from.iter().zip(&from) {
            self.change(
                who,
                line.scientific_name.as_str(),
                line.life_stage,
                -i64::from(line.individual_count),
            );
        }
        for line in &regrouping.to {
            let who = self.who(Subject::of_line(line), line.scientific_name.as_str());
            let source = from.first().unwrap_or(&who).clone();
            self.become_other(
                unit.as_deref(),
                &source,
                &who,
                line.scientific_name.as_str(),
                line.life_stage,
                i64::from(line.individual_count),
            );
        }
    }

    fn housing(&mut self, housing: &Housing) {
        let (who, day, at) = (self.own_who(), self.day, self.at);
        let (stay, order) = (housing.stay, housing.order_number.as_ref().map(ToString::to_string));
        let mut before = BTreeMap::new();
        self.with_own(|standing| {
            before = std::mem::take(&mut standing.units);
            (standing.stay, standing.order) = (stay, order);
        });
        for unit in before.keys() {
            self.floor.by_unit.entry(unit.clone()).or_default().remove(&who);
            self.floor.touched.insert(unit.clone());
        }
        if housing.event == HousingEvent::TakenOut {
            return;
        }
        for housed in &housing.units {
            let unit = housed.unit_id.as_str();
            self.put(&who, unit, i64::from(housed.individual_count));
            if let Some(entry) =
                self.floor.standings.get_mut(&who).and_then(|standing| standing.units.get_mut(unit))
            {
                entry.since = before.get(unit).map_or(day, |earlier: &Housed| earlier.since);
                entry.by = at;
            }
        }
    }
}

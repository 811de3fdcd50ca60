//! One record applied to the floor of a place.

use super::{Floor, Housed, Standing, Who};
use crate::findings::RecordName;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::Record;
use haulout_schemas::records::arrival::Tally;
use haulout_schemas::records::breeding::{Clutch, ClutchEvent};
use haulout_schemas::records::ending::{Mortality, MortalityEvent, TakenFrom};
use haulout_schemas::records::identity::{Determination, DeterminationEvent, Regrouping};
use haulout_schemas::records::keeping::{Housing, HousingEvent};
use haulout_schemas::vocabulary::LifeStage;
use std::collections::{BTreeMap, BTreeSet};

/// One record being applied.
pub(super) struct Step<'f, 'a> {
    pub(super) day: NaiveDate,
    pub(super) record: &'f Record,
    pub(super) floor: &'f mut Floor<'a>,
}

impl Step<'_, '_> {
    pub(super) fn who(&self, subject: Option<Subject>, name: &str) -> Who {
        self.floor.who(subject, name)
    }

    fn name(&self) -> RecordName {
        self.record.into()
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
            placed: None,
            stay: None,
            order: None,
            batch: None,
        })
    }

    pub(super) fn with_own(&mut self, change: impl FnOnce(&mut Standing)) {
        let (who, name) = (self.own_who(), self.own_name().to_owned());
        change(self.standing(&who, &name));
    }

    pub(super) fn own(&mut self, stage: Option<LifeStage>, count: i64) {
        let (who, name) = (self.own_who(), self.own_name().to_owned());
        self.change(&who, &name, stage, count);
    }

    /// More or fewer in the stock; those who leave also leave their units.
    pub(super) fn change(&mut self, who: &Who, name: &str, stage: Option<LifeStage>, count: i64) {
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
            // Housing of the same day already tells where the others are.
            let beside = standing.animals + standing.eggs - count - standing.housed();
            let left_before = if standing.placed == Some(day) { beside.max(0) } else { 0 };
            self.take_out(who, -count - left_before);
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

    pub(super) fn put(&mut self, who: &Who, unit: &str, count: i64) {
        let (day, by) = (self.day, self.name());
        if let Some(standing) = self.floor.standings.get_mut(who)
            && count > 0
        {
            let housed = standing.units.entry(unit.to_owned()).or_insert(Housed { count: 0, since: day, by });
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

    pub(super) fn mortality(&mut self, mortality: &Mortality) {
        let in_stock = match mortality.taken_from {
            Some(TakenFrom::Stock) => true,
            Some(TakenFrom::Released | TakenFrom::Transit) => false,
            None => mortality.consignment_id.is_none(),
        };
        if mortality.event == MortalityEvent::Death && in_stock {
            self.own(mortality.life_stage, -i64::from(mortality.individual_count));
        }
    }

    pub(super) fn tally(&mut self, tally: &Tally) {
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

    pub(super) fn clutch(&mut self, clutch: &Clutch) {
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

    pub(super) fn determination(&mut self, determination: &Determination) {
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

    pub(super) fn regrouping(&mut self, regrouping: &Regrouping) {
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

    pub(super) fn housing(&mut self, housing: &Housing) {
        let (who, day) = (self.own_who(), self.day);
        let (stay, order) = (housing.stay, housing.order_number.as_ref().map(ToString::to_string));
        let mut before = BTreeMap::new();
        self.with_own(|standing| {
            before = std::mem::take(&mut standing.units);
            standing.placed = Some(day);
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
                entry.by = self.record.into();
            }
        }
    }
}

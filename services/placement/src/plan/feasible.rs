//! Whether a plan is sound, worked out from the file and the rules alone.
//!
//! Nothing of the model is used here: each place of the plan is put to the rules as one request, with
//! all the others of the plan standing where it puts them. What the rules do not know of (crews and
//! vehicles of the night, shared water among newcomers, stated figures, pins and forbids) is counted, here
//! and in [`super::counted`].

use std::collections::{BTreeSet, HashMap};

use chrono::{DateTime, FixedOffset, NaiveDate};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::admit::SPACE;
use super::answer::{Assignment, WaivedRule};
use super::evacuation;
use super::excerpt::at_one_centre;
use super::units::Laid;
use crate::case::{Asked, AtCentre, InUnit};
use crate::journey::{Journey, Window};
use crate::request::{Request, RequestFile};
use crate::rules::RULES;
use crate::species::Species;
use crate::view::{Occupant, RegionView, Roads, Unit};

/// What a plan breaks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Breach {
    /// Code of the rule, or of what is counted beside the rules.
    pub code: String,
    /// The request.
    #[serde(rename = "requestID")]
    pub request_id: String,
    /// The same in one sentence.
    pub sentence: String,
}

/// Everything that a plan breaks; empty, it is sound.
#[must_use]
pub fn feasible(
    file: &RequestFile,
    assignments: &[Assignment],
    profiles: &Profiles,
    names: &Names,
    at: DateTime<FixedOffset>,
) -> Vec<Breach> {
    let requests = evacuation::requests(file);
    let checker = Checker::new(file, &requests, Species { profiles, names }, at);
    let mut breaches = Vec::new();
    let mut laid = Vec::new();
    for one in assignments {
        match checker.found(one) {
            Ok(place) => laid.push(place),
            Err(breach) => breaches.push(breach),
        }
    }
    breaches.extend(checker.breaches(&laid));
    breaches
}

/// What the rules say of a place that is taken.
#[derive(Debug, Clone, Default)]
pub(crate) struct Judgement {
    pub waived: Vec<WaivedRule>,
    pub notes: Vec<String>,
}

/// The file, ready to judge plans.
pub(crate) struct Checker<'a> {
    pub file: &'a RequestFile,
    pub requests: &'a [Request],
    pub species: Species<'a>,
    pub at: DateTime<FixedOffset>,
    units_of: HashMap<&'a str, Vec<usize>>,
}

impl<'a> Checker<'a> {
    pub fn new(
        file: &'a RequestFile,
        requests: &'a [Request],
        species: Species<'a>,
        at: DateTime<FixedOffset>,
    ) -> Self {
        let mut units_of: HashMap<&str, Vec<usize>> = HashMap::new();
        for (unit_at, unit) in file.view.units.iter().enumerate() {
            units_of.entry(unit.centre_id.as_str()).or_default().push(unit_at);
        }
        Self { file, requests, species, at, units_of }
    }

    /// A place by its positions in the file.
    fn found(&self, one: &Assignment) -> Result<Laid, Breach> {
        let unknown = |what: String| Breach {
            code: "unknown".to_owned(),
            request_id: one.request_id.clone(),
            sentence: what,
        };
        let mut requests = self.requests.iter();
        let request = requests
            .position(|request| request.request_id == one.request_id)
            .ok_or_else(|| unknown(format!("{} is no request", one.request_id)))?;
        let mut centres = self.file.view.centres.iter();
        let centre = centres
            .position(|centre| centre.centre_id == one.centre_id)
            .ok_or_else(|| unknown(format!("{} is no centre", one.centre_id)))?;
        let mut units = self.file.view.units.iter();
        let unit_at = units
            .position(|unit| unit.centre_id == one.centre_id && unit.unit_id == one.unit_id)
            .ok_or_else(|| unknown(format!("{} has no unit {}", one.centre_id, one.unit_id)))?;
        let numbers = one.unit_numbers.clone();
        Ok(Laid { request, centre, unit_at, count: one.individual_count, units: one.units, numbers })
    }

    /// Everything that a plan breaks.
    pub fn breaches(&self, laid: &[Laid]) -> Vec<Breach> {
        let mut breaches = self.of_requests(laid);
        let centres: BTreeSet<usize> = laid.iter().map(|one| one.centre).collect();
        for centre in centres {
            breaches.extend(self.centre(centre, laid).0);
        }
        breaches
    }

    pub fn breach(&self, code: &str, request: usize, sentence: String) -> Breach {
        let request_id = self.requests[request].request_id.clone();
        Breach { code: code.to_owned(), sentence: format!("{request_id}: {sentence}"), request_id }
    }

    /// Counts, pins, forbids, what may not be divided, centres that are emptied.
    fn of_requests(&self, laid: &[Laid]) -> Vec<Breach> {
        let mut breaches = Vec::new();
        for (at, request) in self.requests.iter().enumerate() {
            let own: Vec<&Laid> = laid.iter().filter(|one| one.request == at).collect();
            let placed: u64 = own.iter().map(|one| u64::from(one.count)).sum();
            let count = u64::from(request.individual_count);
            if placed > count {
                breaches.push(self.breach("count", at, format!("{placed} placed of {count}")));
            }
            if request.indivisible && !own.is_empty() && (own.len() > 1 || placed != count) {
                breaches.push(self.breach("indivisible", at, "it is divided".to_owned()));
            }
            for one in own {
                breaches.extend(self.bounds(at, one));
            }
        }
        breaches
    }

    fn bounds(&self, at: usize, one: &Laid) -> Vec<Breach> {
        let mut breaches = Vec::new();
        let request = &self.requests[at];
        let unit = &self.file.view.units[one.unit_at];
        if one.count == 0 || one.units == 0 || one.units > one.count {
            let counts = format!("{} animals in {} units", one.count, one.units);
            breaches.push(self.breach("count", at, counts));
        }
        if self.file.evacuate.iter().any(|emptied| emptied.centre_id == unit.centre_id) {
            breaches.push(self.breach("evacuated", at, format!("{} is emptied", unit.centre_id)));
        }
        let here = |bound: &crate::request::Bound| {
            bound.centre_id == unit.centre_id
                && (bound.unit_id.is_none() || bound.unit_id.as_ref() == Some(&unit.unit_id))
        };
        let own = |bound: &&crate::request::Bound| bound.request_id == request.request_id;
        let pins: Vec<_> = self.file.pins.iter().filter(own).collect();
        if !pins.is_empty() && !pins.iter().any(|pin| here(pin)) {
            breaches.push(self.breach("pinned", at, format!("{} is not where it is pinned", unit.unit_id)));
        }
        if self.file.forbids.iter().filter(own).any(here) {
            breaches.push(self.breach("forbidden", at, format!("{} is forbidden", unit.unit_id)));
        }
        breaches
    }

    /// Everything that the plan breaks at one centre, and what the rules say of each of its places, in
    /// their sequence.
    pub fn centre(&self, centre: usize, laid: &[Laid]) -> (Vec<Breach>, Vec<Judgement>) {
        let own: Vec<&Laid> = laid.iter().filter(|one| one.centre == centre).collect();
        self.examined(centre, &own, |_| true)
    }

    /// What one request's place there breaks, for itself and in what is counted; the others are not put
    /// to the rules again.
    pub fn newcomer(&self, centre: usize, laid: &[Laid], (request, unit_at): (usize, usize)) -> Vec<Breach> {
        let own: Vec<&Laid> = laid.iter().filter(|one| one.centre == centre).collect();
        self.examined(centre, &own, |one| one.request == request && one.unit_at == unit_at).0
    }

    fn examined(
        &self,
        centre: usize,
        own: &[&Laid],
        put: impl Fn(&Laid) -> bool,
    ) -> (Vec<Breach>, Vec<Judgement>) {
        let mut breaches = self.rows(own);
        if !breaches.is_empty() {
            return (breaches, Vec::new());
        }
        let days: Vec<NaiveDate> = own.iter().map(|one| self.arrival(one, centre).date_naive()).collect();
        let mut judgements = Vec::new();
        for at in (0..own.len()).filter(|at| put(own[*at])) {
            let same_day = own.iter().zip(&days).enumerate();
            let others = same_day.filter(|(other, (_, day))| *other != at && **day == days[at]);
            let due: u32 = others.map(|(_, (other, _))| other.count).sum();
            let (found, judgement) = self.judged(centre, own, at, due);
            breaches.extend(found);
            judgements.push(judgement);
        }
        breaches.extend(self.figures(own));
        breaches.extend(self.water(own));
        breaches.extend(self.night(centre, own));
        (breaches, judgements)
    }

    fn arrival(&self, one: &Laid, centre: usize) -> DateTime<FixedOffset> {
        self.way(one, centre).1.arrival
    }

    /// The journey to a centre, where there is one, and when it begins and ends.
    pub fn way(&self, one: &Laid, centre: usize) -> (Option<Journey>, Window) {
        let view = &self.file.view;
        let asked = Asked::new(view, &self.requests[one.request], self.species, self.at);
        let journey = Journey::of(&asked, &view.centres[centre]).ok();
        let window = Window::of(&asked, journey.as_ref());
        (journey, window)
    }

    /// Positions of a centre's units.
    pub fn units_of(&self, centre: usize) -> Vec<usize> {
        let id = self.file.view.centres[centre].centre_id.as_str();
        self.units_of.get(id).cloned().unwrap_or_default()
    }

    /// The centre, first of its region, as it stands with everyone of the plan but one; the place of
    /// departure, where that is a centre, comes second.
    fn ground(
        &self,
        centre: usize,
        own: &[&Laid],
        at: usize,
        due: u32,
        standing: impl Fn(&Laid) -> Occupant,
    ) -> RegionView {
        let view = &self.file.view;
        let one = own[at];
        let mut stands = view.centres[centre].clone();
        stands.due_today = stands.due_today.saturating_add(due);
        let id = &view.centres[centre].centre_id;
        let of_centre = self.units_of.get(id.as_str());
        let from = self.requests[one.request].from.place_id.as_ref().filter(|from| *from != id);
        let origin = view.centres.iter().find(|other| Some(&other.centre_id) == from);
        let travel = view.roads.travel.iter().filter(|line| line.from == *id || line.to == *id);
        let mut ground = RegionView {
            centres: std::iter::once(stands).chain(origin.cloned()).collect(),
            units: of_centre.into_iter().flatten().map(|unit_at| view.units[*unit_at].clone()).collect(),
            points: view.points.clone(),
            roads: Roads { travel: travel.cloned().collect(), ..view.roads.clone() },
            standstills: view.standstills.clone(),
            settings: view.settings.clone(),
        };
        let position = |unit_at: usize| {
            let mut units = of_centre.into_iter().flatten();
            units.position(|other| *other == unit_at).unwrap_or(0)
        };
        let row = |unit: &Unit| unit.units > 1 && unit.standing_empty() > 0;
        let mut beside = Vec::new();
        for (other_at, other) in own.iter().enumerate().filter(|(other_at, _)| *other_at != at) {
            let stands = standing(other);
            let shares = other.unit_at == one.unit_at
                && other.numbers.iter().any(|number| one.numbers.contains(number));
            if shares {
                beside.push((other_at, stands));
                continue;
            }
            let unit = &mut ground.units[position(other.unit_at)];
            if row(&view.units[other.unit_at]) {
                let free = unit.free_units.unwrap_or_else(|| view.units[other.unit_at].standing_empty());
                unit.free_units = Some(free.saturating_sub(other.units));
            }
            unit.reserved.push(stands);
        }
        let unit = &mut ground.units[position(one.unit_at)];
        if row(&view.units[one.unit_at]) {
            if beside.is_empty() {
                // Its own units of the row, and no more.
                unit.free_units = Some(one.units);
            } else {
                let everyone = unit.everyone().cloned().collect::<Vec<_>>();
                unit.units = 1;
                unit.free_units = None;
                unit.quarantine = None;
                unit.occupants.clear();
                unit.expected.clear();
                unit.reserved = beside.into_iter().map(|(_, stands)| stands).collect();
                // The row's other units hold them; they count for the centre.
                ground.centres[0].unhoused.extend(everyone);
            }
        }
        ground
    }

    fn standing(&self, one: &Laid) -> Occupant {
        let request = &self.requests[one.request];
        Occupant {
            organism_id: request.organism_id.clone(),
            lot_id: request.lot_id.clone(),
            reservation_id: None,
            scientific_name: request.scientific_name.clone(),
            individual_count: one.count,
            length: request.length.clone(),
            sex: request.sex,
            life_stage: request.life_stage,
            batch_id: request.batch_id.clone(),
        }
    }

    /// Someone who shares a unit, as the rules of space see it for another: where the file states how many
    /// of its animals a unit holds, no space is measured for them, and they are counted as the other's own.
    fn measured(&self, one: &Laid, for_whom: &Laid) -> Occupant {
        let stands = self.standing(one);
        if self.cap(one).is_none() {
            return stands;
        }
        let request = &self.requests[for_whom.request];
        Occupant {
            scientific_name: request.scientific_name.clone(),
            length: request.length.clone(),
            ..stands
        }
    }

    /// One place put to all rules.
    fn judged(&self, centre: usize, own: &[&Laid], at: usize, due: u32) -> (Vec<Breach>, Judgement) {
        let one = own[at];
        let ground = self.ground(centre, own, at, due, |other| self.standing(other));
        let space = |code: &str| SPACE.contains(&code);
        let stated = self.file.view.units[one.unit_at].free_size.is_some() || self.cap(one).is_some();
        let beside = own.iter().any(|other| other.unit_at == one.unit_at && self.cap(other).is_some());
        let mut found = (Vec::new(), Judgement::default());
        self.put(&ground, one, |code| !space(code) || !(stated || beside), &mut found);
        if beside && !stated {
            let measured = self.ground(centre, own, at, due, |other| self.measured(other, one));
            self.put(&measured, one, space, &mut found);
        }
        found
    }

    /// One place put to the rules that are asked.
    fn put(
        &self,
        ground: &RegionView,
        one: &Laid,
        asked_for: impl Fn(&str) -> bool,
        (breaches, judgement): &mut (Vec<Breach>, Judgement),
    ) {
        let unit_id = &self.file.view.units[one.unit_at].unit_id;
        let mut request = at_one_centre(&self.requests[one.request], &ground.centres[0].centre_id);
        request.individual_count = one.count;
        let asked = Asked::new(ground, &request, self.species, self.at);
        let here = AtCentre::new(&asked, 0, &ground.centres[0]);
        let Some((unit_at, unit)) = here.units.iter().find(|(_, unit)| unit.unit_id == *unit_id) else {
            breaches.push(self.breach("unknown", one.request, format!("there is no {unit_id}")));
            return;
        };
        let case = InUnit::new(&here, *unit_at, unit);
        for rule in RULES.iter().filter(|rule| asked_for(rule.rule.code)) {
            let Some(check) = rule.check(&here, Some(&case)) else { continue };
            judgement.notes.extend(check.note.clone());
            if check.verdict != crate::answer::Verdict::Pass && !rule.stands_against(&check) {
                judgement.notes.push(check.sentence.clone());
            }
            if !rule.stands_against(&check) {
                continue;
            }
            match &check.waived_by {
                Some(order) => judgement.waived.push(WaivedRule {
                    rule: check.code.clone(),
                    order_number: order.order_number.clone(),
                    end_date: order.end_date,
                }),
                None => breaches.push(self.breach(&check.code, one.request, check.sentence.clone())),
            }
        }
    }
}

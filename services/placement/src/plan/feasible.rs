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
use haulout_schemas::records::standing::Arrangement;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::admit::SPACE;
use super::answer::{Assignment, WaivedRule};
use super::evacuation;
use super::excerpt::at_one_centre;
use super::units::Laid;
use crate::answer::{Check, Verdict};
use crate::case::{Asked, AtCentre, InUnit};
use crate::journey::{Journey, Window};
use crate::request::{Request, RequestFile};
use crate::rules::{PlacementRule, RULES};
use crate::species::Species;
use crate::view::RegionView;

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
            let several = |one: &&Laid| one.units > 1 && self.shares(one.unit_at);
            let divided = own.len() > 1 || placed != count || own.iter().any(several);
            if request.indivisible && !own.is_empty() && divided {
                breaches.push(self.breach("indivisible", at, "it is divided".to_owned()));
            }
            for one in own {
                breaches.extend(self.bounds(at, one));
            }
        }
        breaches
    }

    /// True where requests share units: each of a row is a place of its own then.
    fn shares(&self, unit_at: usize) -> bool {
        self.file.view.units[unit_at].arrangement != Arrangement::Isolating
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

    /// What is said of one request's place there, with all the others where the plan puts them; `None`
    /// where it has none.
    pub fn put<T>(
        &self,
        centre: usize,
        laid: &[Laid],
        (request, unit_at): (usize, usize),
        say: impl FnOnce(&InUnit<'_>) -> T,
    ) -> Option<T> {
        let own: Vec<&Laid> = laid.iter().filter(|one| one.centre == centre).collect();
        let at = own.iter().position(|one| one.request == request && one.unit_at == unit_at)?;
        let due = due(&own, &self.days(centre, &own), at);
        self.on(&self.ground(centre, &own, at, due, |other| self.standing(other)), own[at], say)
    }

    /// What is said of a place on a ground; `None` where that lacks its unit.
    fn on<T>(&self, ground: &RegionView, one: &Laid, say: impl FnOnce(&InUnit<'_>) -> T) -> Option<T> {
        let mut request = at_one_centre(&self.requests[one.request], &ground.centres[0].centre_id);
        request.individual_count = one.count;
        let asked = Asked::new(ground, &request, self.species, self.at);
        let here = AtCentre::new(&asked, 0, &ground.centres[0]);
        let unit_id = &self.file.view.units[one.unit_at].unit_id;
        let (unit_at, unit) = here.units.iter().find(|(_, unit)| unit.unit_id == *unit_id)?;
        Some(say(&InUnit::new(&here, *unit_at, unit)))
    }

    /// The days on which they arrive.
    fn days(&self, centre: usize, own: &[&Laid]) -> Vec<NaiveDate> {
        own.iter().map(|one| self.arrival(one, centre).date_naive()).collect()
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
        let days = self.days(centre, own);
        let mut judgements = Vec::new();
        for at in (0..own.len()).filter(|at| put(own[*at])) {
            let (found, judgement) = self.judged(centre, own, at, due(own, &days, at));
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

    /// One place put to all rules.
    fn judged(&self, centre: usize, own: &[&Laid], at: usize, due: u32) -> (Vec<Breach>, Judgement) {
        let one = own[at];
        let ground = self.ground(centre, own, at, due, |other| self.standing(other));
        let space = |code: &str| SPACE.contains(&code);
        let stated = self.file.view.units[one.unit_at].free_size.is_some() || self.cap(one).is_some();
        let beside = own.iter().any(|other| other.unit_at == one.unit_at && self.cap(other).is_some());
        let mut found = (Vec::new(), Judgement::default());
        self.judge(&ground, one, |code| !space(code) || !(stated || beside), &mut found);
        if beside && !stated {
            let measured = self.ground(centre, own, at, due, |other| self.measured(other, one));
            self.judge(&measured, one, space, &mut found);
        }
        found
    }

    /// One place put to the rules that are asked for.
    fn judge(
        &self,
        ground: &RegionView,
        one: &Laid,
        asked_for: impl Fn(&str) -> bool,
        found: &mut (Vec<Breach>, Judgement),
    ) {
        let judged = self.on(ground, one, |case| {
            for rule in RULES.iter().filter(|rule| asked_for(rule.rule.code)) {
                if let Some(check) = rule.check(case.here, Some(case)) {
                    self.noted(rule, &check, one, found);
                }
            }
        });
        if judged.is_none() {
            let unit_id = &self.file.view.units[one.unit_at].unit_id;
            found.0.push(self.breach("unknown", one.request, format!("there is no {unit_id}")));
        }
    }

    /// What a rule said of a place.
    fn noted(
        &self,
        rule: &PlacementRule,
        check: &Check,
        one: &Laid,
        (breaches, judgement): &mut (Vec<Breach>, Judgement),
    ) {
        judgement.notes.extend(check.note.clone());
        if !rule.stands_against(check) {
            if check.verdict != Verdict::Pass {
                judgement.notes.push(check.sentence.clone());
            }
            return;
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

/// Animals that arrive on the same day as one of them.
fn due(own: &[&Laid], days: &[NaiveDate], at: usize) -> u32 {
    let others =
        own.iter().zip(days).enumerate().filter(|(other, (_, day))| *other != at && **day == days[at]);
    others.map(|(_, (other, _))| other.count).sum()
}

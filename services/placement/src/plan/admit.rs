//! Which request may go to which unit by the rules of placement, and how many of it.
//!
//! The rules that depend on who else comes (room, heads, licence numbers, arrivals) are no reason here:
//! they become rows of the model. The others are asked one by one, and the first that stands against a
//! pair without an order ends the asking.

use std::collections::{HashMap, HashSet};
use std::rc::Rc;

use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};

use super::slots::{Ground, Kind, Slot, grounds};
use crate::answer::{Check, JourneyBasis};
use crate::case::{Asked, AtCentre, InUnit};
use crate::request::{Bound, Request, RequestFile};
use crate::room;
use crate::rules::{PlacementRule, RULES};
use crate::species::Species;
use crate::view::{Occupant, Unit};

/// Rules that the model itself holds, for all requests together.
pub(crate) const MODELLED: [&str; 4] = ["arrivals", "licence-heads", "room", "unit-heads"];

/// Rules of space: what the file states of a unit and a request stands instead of them.
pub(crate) const SPACE: [&str; 3] = ["room", "room-least", "unit-heads"];

/// Rules by which one request minds another in the same unit.
pub(crate) const COMPANY: [&str; 2] = ["quarantine-batch", "living-together"];

/// A request in a slot.
#[derive(Debug, Clone)]
pub(crate) struct Arc {
    pub request: usize,
    pub slot: usize,
    /// Most animals: of one unit in rows, of what is left in a shared unit.
    pub cap: u32,
    /// What one animal takes up, where the slot is measured by size.
    pub size: u32,
}

/// A request at a centre that may take it.
#[derive(Debug, Clone)]
pub(crate) struct Pair {
    pub minutes: u32,
    pub kilometres: Option<f64>,
    pub basis: JourneyBasis,
    /// Minutes a vehicle of the centre is away for it.
    pub trip: u32,
    /// The night in which it arrives, from noon to noon.
    pub night: NaiveDate,
}

/// What there is to plan.
pub(crate) struct Admitted {
    pub slots: Vec<Slot>,
    pub arcs: Vec<Arc>,
    /// By request and centre.
    pub pairs: HashMap<(usize, usize), Pair>,
    /// By shared slot: who may not share it with whom.
    pub apart: HashMap<usize, Rc<Apart>>,
}

/// Requests that may not share a unit.
#[derive(Debug, Default)]
pub(crate) struct Apart {
    /// Those who may share it with nobody.
    pub alone: HashSet<usize>,
    /// Pairs of the others, the smaller position first.
    pub pairs: FxHashSet<(usize, usize)>,
}

impl Apart {
    fn of(requests: &[usize], apart: FxHashSet<(usize, usize)>) -> Self {
        let mut minds: FxHashMap<usize, usize> = FxHashMap::default();
        for (one, other) in &apart {
            *minds.entry(*one).or_default() += 1;
            *minds.entry(*other).or_default() += 1;
        }
        let others = requests.len() - 1;
        let alone: HashSet<usize> =
            requests.iter().copied().filter(|one| minds.get(one) == Some(&others)).collect();
        let pairs = apart.into_iter().filter(|(one, other)| !alone.contains(one) && !alone.contains(other));
        Self { pairs: pairs.collect(), alone }
    }
}

/// The file read for planning.
pub(crate) struct Task<'a> {
    pub file: &'a RequestFile,
    pub requests: &'a [Request],
    pub species: Species<'a>,
    pub at: DateTime<FixedOffset>,
}

impl Task<'_> {
    pub fn asked(&self) -> Vec<Asked<'_>> {
        let view = &self.file.view;
        self.requests.iter().map(|request| Asked::new(view, request, self.species, self.at)).collect()
    }

    /// True when pins or forbids keep the request from the unit.
    pub fn bound_elsewhere(&self, request: &Request, unit: &Unit) -> bool {
        let meant = |bound: &Bound| bound.request_id == request.request_id;
        let holds = |bound: &Bound| {
            bound.centre_id == unit.centre_id && bound.unit_id.as_ref().is_none_or(|id| *id == unit.unit_id)
        };
        let mut pins = self.file.pins.iter().filter(|pin| meant(pin)).peekable();
        (pins.peek().is_some() && !pins.any(holds))
            || self.file.forbids.iter().any(|forbid| meant(forbid) && holds(forbid))
    }
}

/// Explicit cap of a request in a unit.
pub(crate) fn stated_cap(request: &Request, unit: &Unit) -> Option<u32> {
    let mut caps = request.caps.iter();
    caps.find(|cap| cap.centre_id == unit.centre_id && cap.unit_id == unit.unit_id).map(|cap| cap.cap)
}

/// Explicit size of a request's animals in a unit.
pub(crate) fn stated_size(request: &Request, unit: &Unit) -> Option<u32> {
    let mut sizes = request.sizes.iter();
    sizes.find(|size| size.centre_id == unit.centre_id && size.unit_id == unit.unit_id).map(|size| size.size)
}

/// True when a check is passed, or an order sets it aside.
pub(crate) fn admits(rule: &PlacementRule, check: &Check) -> bool {
    !rule.stands_against(check) || check.waived_by.is_some()
}

/// Asks the rules for every request and unit.
pub(crate) fn admitted(task: &Task<'_>, asked: &[Asked<'_>]) -> Admitted {
    let view = &task.file.view;
    let centres: HashMap<&str, usize> =
        view.centres.iter().enumerate().map(|(at, centre)| (centre.centre_id.as_str(), at)).collect();
    let grounds = grounds(task.file, &centres);
    // Requests are judged on all cores and told in their order.
    let judged: Vec<Found> = asked
        .par_iter()
        .enumerate()
        .map(|(request, asked)| {
            let mut found = Found::default();
            for (centre_at, centre) in view.centres.iter().enumerate() {
                if task.file.evacuate.iter().any(|emptied| emptied.centre_id == centre.centre_id) {
                    continue;
                }
                let here = AtCentre::new(asked, centre_at, centre);
                if let Some(pair) = pair(&here) {
                    found.at_centre(task, &here, request, pair, &grounds);
                }
            }
            found
        })
        .collect();
    let mut found = Found::default();
    for of_request in judged {
        found.pairs.extend(of_request.pairs);
        found.arcs.extend(of_request.arcs);
    }
    finished(task, asked, &grounds, found)
}

#[derive(Default)]
struct Found {
    pairs: HashMap<(usize, usize), Pair>,
    /// As [`Arc`], with the position of the ground for the slot.
    arcs: Vec<Arc>,
}

impl Found {
    fn at_centre(
        &mut self,
        task: &Task<'_>,
        here: &AtCentre<'_>,
        request: usize,
        pair: Pair,
        grounds: &[Ground],
    ) {
        let before = self.arcs.len();
        let of_centre = grounds.iter().enumerate().filter(|(_, ground)| ground.centre == here.centre_at);
        for (ground_at, ground) in of_centre {
            let unit = &task.file.view.units[ground.unit_at];
            if task.bound_elsewhere(here.asked.request, unit) {
                continue;
            }
            let case = InUnit::new(here, ground.unit_at, unit);
            if let Some((cap, size)) = in_unit(&case, ground.empty) {
                self.arcs.push(Arc { request, slot: ground_at, cap, size });
            }
        }
        if self.arcs.len() > before {
            self.pairs.insert((request, here.centre_at), pair);
        }
    }
}

/// The rules of the centre, those of the model apart.
fn pair(here: &AtCentre<'_>) -> Option<Pair> {
    let mut rules = RULES.iter().filter(|rule| !MODELLED.contains(&rule.rule.code));
    if !rules.all(|rule| rule.check(here, None).is_none_or(|check| admits(rule, &check))) {
        return None;
    }
    let journey = here.journey.as_ref().ok()?;
    let trip = here.asked.request.trip_minutes.get(&here.centre.centre_id).copied();
    Some(Pair {
        minutes: journey.minutes,
        kilometres: journey.kilometres,
        basis: journey.basis,
        trip: trip.unwrap_or_else(|| journey.minutes.saturating_mul(2)),
        night: night(here),
    })
}

/// The night of arrival, by the day on whose noon it begins.
pub(crate) fn night(here: &AtCentre<'_>) -> NaiveDate {
    let arrival = here.window.arrival;
    arrival.checked_sub_signed(TimeDelta::hours(12)).unwrap_or(arrival).date_naive()
}

/// The rules of the unit, those of the model apart: cap and size.
fn in_unit(case: &InUnit<'_>, empty: u32) -> Option<(u32, u32)> {
    let request = case.asked().request;
    let stated = case.unit.free_size.is_some() || stated_cap(request, case.unit).is_some();
    let mut rules = RULES.iter().filter(|rule| {
        let code = rule.rule.code;
        let left_out = MODELLED.contains(&code) || (stated && SPACE.contains(&code));
        rule.is_of_units() && !left_out
    });
    if !rules.all(|rule| rule.check(case.here, Some(case)).is_none_or(|check| admits(rule, &check))) {
        return None;
    }
    let (cap, size) = if let Some(free) = case.unit.free_size {
        let size = stated_size(request, case.unit)?;
        // Animals that take up nothing are limited by their number alone.
        (free.checked_div(size).unwrap_or(request.individual_count), size)
    } else if let Some(cap) = stated_cap(request, case.unit) {
        (cap.saturating_sub(case.present()), 0)
    } else {
        (room::left(case).heads / empty.max(1), 0)
    };
    (cap > 0).then_some((cap, size))
}

/// Tells grounds that are shared from those that are not, and who may not share.
fn finished(task: &Task<'_>, asked: &[Asked<'_>], grounds: &[Ground], found: Found) -> Admitted {
    let Found { pairs, arcs } = found;
    let mut by_ground: Vec<Vec<Arc>> = vec![Vec::new(); grounds.len()];
    for arc in arcs {
        by_ground[arc.slot].push(arc);
    }
    let mut admitted = Admitted { slots: Vec::new(), arcs: Vec::new(), pairs, apart: HashMap::new() };
    let mut company = Company::of(task, asked, &admitted.pairs);
    // An indivisible request must not straddle two rows that the file tells apart.
    let together = !task.requests.iter().any(|one| one.indivisible && one.individual_count > 1);
    let mut alike: HashMap<Likeness, usize> = HashMap::new();
    for (ground, arcs) in grounds.iter().zip(by_ground) {
        if arcs.is_empty() {
            continue;
        }
        let mut apart = FxHashSet::default();
        if ground.shared {
            for (at, one) in arcs.iter().enumerate() {
                for other in &arcs[at + 1..] {
                    if company.objects(one.request, other.request, ground) {
                        apart.insert((one.request.min(other.request), one.request.max(other.request)));
                    }
                }
            }
        }
        let free = ground.empty.max(1);
        // Where nobody may share with anybody, each unit is for one request.
        if !ground.shared || apart.len() * 2 == arcs.len() * (arcs.len() - 1) {
            let holds = arcs.iter().map(|arc| (arc.request, arc.cap)).collect();
            let next = admitted.slots.len();
            let key = (ground.centre, ground.circuit, holds);
            let at = if together { *alike.entry(key).or_insert(next) } else { next };
            match admitted.slots.get_mut(at) {
                Some(slot) => slot.join(ground, free),
                None => {
                    admitted.slots.push(Slot::of(ground, Kind::Rows { free }));
                    admitted.arcs.extend(arcs.into_iter().map(|arc| Arc { slot: at, ..arc }));
                }
            }
            continue;
        }
        let requests: Vec<usize> = arcs.iter().map(|arc| arc.request).collect();
        let apart = Rc::new(Apart::of(&requests, apart));
        // No more of a row's units are needed than there are animals.
        let most: u64 = arcs.iter().map(|arc| u64::from(task.requests[arc.request].individual_count)).sum();
        for number in 1..=u32::try_from(most).unwrap_or(u32::MAX).min(free) {
            let at = admitted.slots.len();
            admitted.slots.push(Slot::of(ground, Kind::Shared { number }));
            admitted.arcs.extend(arcs.iter().map(|arc| Arc { slot: at, ..arc.clone() }));
            admitted.apart.insert(at, Rc::clone(&apart));
        }
    }
    admitted
}

/// Centre, water, and who may come in what numbers: slots that have this in common are one.
type Likeness = (usize, Option<usize>, Vec<(usize, u32)>);

/// Who may not share a unit with whom, asked once for each two requests and arrangement.
struct Company<'a> {
    task: &'a Task<'a>,
    here: Vec<Option<AtCentre<'a>>>,
    known: FxHashMap<(usize, usize, bool, usize), bool>,
}

impl<'a> Company<'a> {
    fn of(task: &'a Task<'a>, asked: &'a [Asked<'a>], pairs: &HashMap<(usize, usize), Pair>) -> Self {
        let mut first: Vec<Option<usize>> = vec![None; asked.len()];
        for (request, centre) in pairs.keys() {
            let one = first[*request].get_or_insert(*centre);
            *one = (*one).min(*centre);
        }
        let at = |(asked, centre): (&'a Asked<'a>, Option<usize>)| {
            centre.map(|centre| AtCentre::new(asked, centre, &task.file.view.centres[centre]))
        };
        Self { task, here: asked.iter().zip(first).map(at).collect(), known: FxHashMap::default() }
    }

    fn objects(&mut self, one: usize, other: usize, ground: &Ground) -> bool {
        self.minds(one, other, ground) || self.minds(other, one, ground)
    }

    /// True when `one` may not come into a unit in which `other` is.
    fn minds(&mut self, one: usize, other: usize, ground: &Ground) -> bool {
        let request = &self.task.requests[one];
        // An order may name centres: then the answer is the centre's own.
        let ordered = request.waivers.iter().any(|waiver| COMPANY.contains(&waiver.rule.as_str()));
        let unit = &self.task.file.view.units[ground.unit_at];
        let isolating = unit.arrangement == haulout_schemas::records::standing::Arrangement::Isolating;
        let centre = if ordered { ground.centre } else { usize::MAX };
        if let Some(known) = self.known.get(&(one, other, isolating, centre)) {
            return *known;
        }
        let Some(here) = &self.here[one] else { return true };
        let moved;
        let here = if ordered {
            moved = AtCentre::new(here.asked, ground.centre, &self.task.file.view.centres[ground.centre]);
            &moved
        } else {
            here
        };
        let minds = minds(here, unit, &self.task.requests[other]);
        self.known.insert((one, other, isolating, centre), minds);
        minds
    }
}

/// True when a rule of company stands against the request in a unit like `unit` that holds `other`.
fn minds(here: &AtCentre<'_>, unit: &Unit, other: &Request) -> bool {
    let mut unit = unit.clone();
    unit.units = 1;
    unit.free_units = None;
    unit.quarantine = None;
    unit.occupants.clear();
    unit.expected.clear();
    unit.reserved = vec![standing(other, other.individual_count)];
    let case = InUnit::new(here, usize::MAX, &unit);
    COMPANY
        .into_iter()
        .filter_map(PlacementRule::of)
        .any(|rule| rule.check(here, Some(&case)).is_some_and(|check| !admits(rule, &check)))
}

/// A request as one that a place is kept for.
pub(crate) fn standing(request: &Request, count: u32) -> Occupant {
    Occupant {
        organism_id: request.organism_id.clone(),
        lot_id: request.lot_id.clone(),
        reservation_id: Some(request.request_id.clone()),
        scientific_name: request.scientific_name.clone(),
        individual_count: count,
        length: request.length.clone(),
        sex: request.sex,
        life_stage: request.life_stage,
        batch_id: request.batch_id.clone(),
    }
}

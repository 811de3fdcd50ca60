//! Why animals stay: every centre once, with the rules that fail or with what the plan uses up.

use std::collections::{BTreeMap, BTreeSet};

use super::answer::{Reason, Unplaced};
use super::draft::Draft;
use super::excerpt::at_one_centre;
use super::feasible::{Breach, Checker};
use super::smallest;
use super::units::Laid;
use crate::case::{Asked, AtCentre};
use crate::options::judge;
use crate::request::Request;

/// Everyone who stays, in the sequence of the requests.
pub(crate) fn unplaced(checker: &Checker<'_>, draft: &Draft) -> Vec<Unplaced> {
    let mut unplaced = Vec::new();
    for (at, request) in checker.requests.iter().enumerate() {
        let left = request.individual_count - draft.placed(at);
        if left == 0 {
            continue;
        }
        let asking = Asking { checker, draft, at, left, open: open_units(draft, at) };
        let views = asking.every_centre();
        let smallest = smallest::changes(&asking, &views);
        let no_changes_because = smallest.is_none().then(|| smallest::why_none(&asking, &views));
        let (changes, changes_place) =
            smallest.map_or((Vec::new(), None), |(changes, place)| (changes, Some(place)));
        unplaced.push(Unplaced {
            request_id: request.request_id.clone(),
            individual_count: left,
            scientific_name: request.scientific_name.clone(),
            triage: request.triage,
            reasons: views.into_iter().map(|view| view.reason).collect(),
            changes,
            changes_place,
            no_changes_because,
        });
    }
    unplaced
}

/// Units that the rules leave open to a request, by centre.
fn open_units(draft: &Draft, request: usize) -> BTreeMap<usize, BTreeSet<usize>> {
    let mut open: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for arc in draft.admitted.arcs.iter().filter(|arc| arc.request == request) {
        let slot = &draft.admitted.slots[arc.slot];
        open.entry(slot.centre).or_default().extend(slot.entries.iter().map(|(unit_at, _)| *unit_at));
    }
    open
}

/// A request of which some stay.
pub(crate) struct Asking<'a> {
    pub checker: &'a Checker<'a>,
    pub draft: &'a Draft,
    /// Its position.
    pub at: usize,
    /// How many of it stay.
    pub left: u32,
    open: BTreeMap<usize, BTreeSet<usize>>,
}

/// What stands against it at a centre.
pub(crate) struct AtOne {
    pub centre: usize,
    pub reason: Reason,
    /// The unit where it would go if the plan did not need the place.
    pub taken: Option<usize>,
}

impl Asking<'_> {
    pub fn request(&self) -> &Request {
        &self.checker.requests[self.at]
    }

    /// The least that can be asked for: one animal, or all of what may not be divided.
    pub fn least(&self) -> u32 {
        if self.request().indivisible { self.left } else { 1 }
    }

    fn every_centre(&self) -> Vec<AtOne> {
        (0..self.checker.file.view.centres.len()).map(|centre| self.at_centre(centre)).collect()
    }

    fn at_centre(&self, centre: usize) -> AtOne {
        let view = &self.checker.file.view;
        let called = view.centres[centre].called().to_owned();
        let id = view.centres[centre].centre_id.clone();
        let reason = |codes: Vec<String>, taken: bool, sentence: String| Reason {
            centre_id: id.clone(),
            codes,
            taken_by_plan: taken,
            sentence,
        };
        if let Some((code, sentence)) = self.bound(centre) {
            return AtOne { centre, reason: reason(vec![code.to_owned()], false, sentence), taken: None };
        }
        let Some(units) = self.open.get(&centre) else {
            let (codes, sentence) = self.closed(centre);
            return AtOne { centre, reason: reason(codes, false, sentence), taken: None };
        };
        let (unit_at, breaches) = self.best_unit(centre, units);
        let mut codes: Vec<String> = breaches.iter().map(|breach| breach.code.clone()).collect();
        codes.sort_unstable();
        codes.dedup();
        let sentence = match breaches.first() {
            Some(breach) => format!(
                "{called} would do, but the plan uses it up: {}",
                breach.sentence.split_once(": ").map_or(breach.sentence.as_str(), |(_, words)| words)
            ),
            None => format!("{called} would do: the solver stopped before it used it"),
        };
        if codes.is_empty() {
            codes.push("time-limit".to_owned());
        }
        AtOne { centre, reason: reason(codes, true, sentence), taken: Some(unit_at) }
    }

    /// What the rules have against every unit of the centre.
    fn closed(&self, centre: usize) -> (Vec<String>, String) {
        let view = &self.checker.file.view;
        let id = &view.centres[centre].centre_id;
        let mut request = at_one_centre(self.request(), id);
        request.individual_count = self.least();
        let asked = Asked::new(view, &request, self.checker.species, self.checker.at);
        let here = AtCentre::new(&asked, centre, &view.centres[centre]);
        let judged = judge(&here);
        let failed: Vec<_> = judged.against().filter(|(_, check)| check.waived_by.is_none()).collect();
        let mut codes: Vec<String> = failed.iter().map(|(_, check)| check.code.clone()).collect();
        let sentence = failed.first().map(|(_, check)| check.sentence.clone());
        if codes.is_empty() {
            codes.push("room".to_owned());
        }
        let called = view.centres[centre].called();
        (codes, sentence.unwrap_or_else(|| format!("{called} has no unit that may be used")))
    }

    fn bound(&self, centre: usize) -> Option<(&'static str, String)> {
        let file = self.checker.file;
        let id = &file.view.centres[centre].centre_id;
        let called = file.view.centres[centre].called();
        if file.evacuate.iter().any(|emptied| emptied.centre_id == *id) {
            return Some(("evacuated", format!("{called} is being emptied")));
        }
        let own = |bound: &&crate::request::Bound| bound.request_id == self.request().request_id;
        let mut pins = file.pins.iter().filter(own).peekable();
        if pins.peek().is_some() && !pins.any(|pin| pin.centre_id == *id) {
            return Some(("pinned", "it is pinned to another centre".to_owned()));
        }
        let mut forbids = file.forbids.iter().filter(own);
        forbids
            .any(|forbid| forbid.centre_id == *id && forbid.unit_id.is_none())
            .then(|| ("forbidden", format!("{called} is forbidden for it")))
    }

    /// The unit of the centre in which the least breaks when some more come on top of the plan.
    fn best_unit(&self, centre: usize, units: &BTreeSet<usize>) -> (usize, Vec<Breach>) {
        let there: Vec<Laid> = self.draft.laid.iter().filter(|one| one.centre == centre).cloned().collect();
        let tried = units.iter().take(MOST_UNITS).map(|unit_at| {
            let laid = with_more(self.checker, &there, (self.at, centre, *unit_at), self.least());
            let breaches = match laid {
                Some(laid) => self.checker.newcomer(centre, &laid, (self.at, *unit_at)),
                None => vec![self.full(*unit_at)],
            };
            (*unit_at, breaches)
        });
        // A unit that has room and lacks something else says more than one that is full.
        tried
            .min_by_key(|(_, breaches)| (breaches.iter().any(|breach| breach.code == "room"), breaches.len()))
            .unwrap_or((0, Vec::new()))
    }

    fn full(&self, unit_at: usize) -> Breach {
        let unit = &self.checker.file.view.units[unit_at];
        Breach {
            code: "room".to_owned(),
            request_id: self.request().request_id.clone(),
            sentence: format!("{}: every unit of {} is taken", self.request().request_id, unit.unit_id),
        }
    }
}

/// Units of a centre that are looked at when a reason is sought: the first will mostly do.
const MOST_UNITS: usize = 6;

/// The plan with so many more of a request in a unit: in its own unit, or a further one of a row, or
/// beside those who are there. None where a row has no empty unit left.
pub(crate) fn with_more(
    checker: &Checker<'_>,
    laid: &[Laid],
    (request, centre, unit_at): (usize, usize, usize),
    more: u32,
) -> Option<Vec<Laid>> {
    let unit = &checker.file.view.units[unit_at];
    let empty = unit.standing_empty();
    let row = unit.units > 1 && empty > 0;
    let mut laid = laid.to_vec();
    if let Some(own) = laid.iter_mut().find(|one| one.request == request && one.unit_at == unit_at) {
        let roomier = own.count.div_ceil(own.units) * own.units >= own.count + more;
        own.count += more;
        if row && !roomier {
            // A further unit, if there is one; else they are squeezed in, and the rules will say.
            let next = next_number(&laid, unit_at, empty);
            if let Some(next) = next
                && let Some(own) =
                    laid.iter_mut().find(|one| one.request == request && one.unit_at == unit_at)
            {
                own.numbers.push(next);
                own.units += 1;
            }
        }
        return Some(laid);
    }
    let numbers = if row { vec![next_number(&laid, unit_at, empty)?] } else { Vec::new() };
    laid.push(Laid { request, centre, unit_at, count: more, units: 1, numbers });
    Some(laid)
}

fn next_number(laid: &[Laid], unit_at: usize, empty: u32) -> Option<u32> {
    let of_row = laid.iter().filter(|one| one.unit_at == unit_at);
    let taken: Vec<u32> = of_row.flat_map(|one| one.numbers.iter().copied()).collect();
    (1..=empty).find(|number| !taken.contains(number))
}

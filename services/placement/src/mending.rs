//! What would have to change for an excluded centre to become an option.
//!
//! The rules propose; this module tries. Proposals are applied to the request
//! file one after another until the centre is no longer excluded, then each is
//! left out on trial, the dearest first, and dropped where it was not needed. So
//! the answer is true by construction: all of them are enough, and none can be
//! missed.

use serde_json::Value;

use crate::answer::Change;
use crate::case::{Asked, AtCentre, InUnit};
use crate::options::{Judged, Outcome, checks, judge};
use crate::request::RequestFile;
use crate::rules::RULES;
use crate::view::{RegionView, Roads};

/// Rounds of proposals before giving up: each rule may have to be mended more than once, because
/// mending one can wake another.
const ROUNDS: usize = 4 * RULES.len();

/// Operations on the request file that make the centre an option, none of which can be left out.
/// Empty where none were found.
pub(crate) fn changes(here: &AtCentre<'_>, judged: &Judged<'_>) -> Vec<Change> {
    let excerpt = Excerpt::of(here);
    let target = judged.unit.map(|(unit_at, _)| {
        let mut places = excerpt.units.iter();
        places.position(|place| *place == unit_at).unwrap_or(0)
    });
    let Some(proposed) = excerpt.propose(target.unwrap_or(0)) else {
        return Vec::new();
    };
    let needed = excerpt.thin_out(proposed);
    needed.into_iter().map(|change| excerpt.in_whole_file(change)).collect()
}

/// The part of the request file that decides about one centre: the smaller, the sooner tried.
struct Excerpt<'a> {
    asked: &'a Asked<'a>,
    file: Value,
    centre: usize,
    /// Positions of the excerpt's units in the whole file.
    units: Vec<usize>,
}

impl<'a> Excerpt<'a> {
    fn of(here: &AtCentre<'a>) -> Self {
        let asked = here.asked;
        let view = asked.view;
        let centre = &here.centre.centre_id;
        // The centre comes first; where the animal stands at another one, that one's position counts.
        let mut centres = vec![here.centre.clone()];
        let origin = view.centres.iter().find(|other| {
            other.centre_id != *centre && Some(&other.centre_id) == asked.request.from.place_id.as_ref()
        });
        centres.extend(origin.cloned());
        let travel = view.roads.travel.iter();
        let file = RequestFile {
            view: RegionView {
                centres,
                units: here.units.iter().map(|(_, unit)| (*unit).clone()).collect(),
                points: view.points.clone(),
                roads: Roads {
                    travel: travel
                        .filter(|line| line.from == *centre || line.to == *centre)
                        .cloned()
                        .collect(),
                    ..view.roads.clone()
                },
                standstills: view.standstills.clone(),
                settings: view.settings.clone(),
            },
            requests: vec![asked.request.clone()],
            ..RequestFile::default()
        };
        Self {
            asked,
            file: serde_json::to_value(file).unwrap_or_default(),
            centre: here.centre_at,
            units: here.units.iter().map(|(at, _)| *at).collect(),
        }
    }

    /// Applies what the rules propose for one unit, first reason first, until the centre is open.
    fn propose(&self, target: usize) -> Option<Vec<Change>> {
        let mut proposed = Vec::new();
        for _ in 0..ROUNDS {
            let file = self.with(&proposed)?;
            let request = file.requests.first()?;
            let asked = Asked::new(&file.view, request, self.asked.species, self.asked.at);
            let here = AtCentre::new(&asked, 0, file.view.centres.first()?);
            if judge(&here).outcome() < Outcome::Closed(0) {
                return Some(proposed);
            }
            let unit = here.units.get(target).map(|(unit_at, unit)| InUnit::new(&here, *unit_at, unit));
            let reasons = checks(&here, unit.as_ref());
            let (rule, _) = reasons
                .iter()
                .find(|(rule, check)| rule.stands_against(check) && check.waived_by.is_none())?;
            let more = rule.mend(&here, unit.as_ref());
            if more.is_empty() {
                return None;
            }
            proposed.extend(more);
        }
        None
    }

    /// Leaves out, one by one, what was not needed after all, until nothing can be left out.
    fn thin_out(&self, mut needed: Vec<Change>) -> Vec<Change> {
        while let Some(spare) = self.spare(&needed) {
            needed.remove(spare);
        }
        needed
    }

    /// The dearest change without which the centre is open all the same.
    fn spare(&self, needed: &[Change]) -> Option<usize> {
        let mut order: Vec<usize> = (0..needed.len()).collect();
        order.sort_by_key(|at| (cost(&needed[*at]), *at));
        order.into_iter().find(|left_out| {
            let mut rest = needed.to_vec();
            rest.remove(*left_out);
            self.opens(&rest)
        })
    }

    fn opens(&self, changes: &[Change]) -> bool {
        let opens = |file: RequestFile| {
            let asked = Asked::new(&file.view, file.requests.first()?, self.asked.species, self.asked.at);
            let here = AtCentre::new(&asked, 0, file.view.centres.first()?);
            Some(judge(&here).outcome() < Outcome::Closed(0))
        };
        self.with(changes).and_then(opens).unwrap_or(false)
    }

    fn with(&self, changes: &[Change]) -> Option<RequestFile> {
        let changed = applied(&self.file, changes)?;
        serde_json::from_value(changed).ok()
    }

    /// The same operation with its pointer into the whole file.
    fn in_whole_file(&self, change: Change) -> Change {
        let whole = |path: String| {
            if let Some(rest) = path.strip_prefix("/centres/0/") {
                return format!("/centres/{}/{rest}", self.centre);
            }
            let Some((at, rest)) = path.strip_prefix("/units/").and_then(|rest| rest.split_once('/')) else {
                return path;
            };
            let Ok(at) = at.parse::<usize>() else {
                return path;
            };
            // A unit that a change adds comes after all others.
            let whole = self
                .units
                .get(at)
                .copied()
                .unwrap_or_else(|| self.asked.view.units.len() + at - self.units.len());
            format!("/units/{whole}/{rest}")
        };
        match change {
            Change::Add { path, value } => Change::Add { path: whole(path), value },
            Change::Remove { path } => Change::Remove { path: whole(path) },
        }
    }
}

/// The document with the operations applied in their order; `None` where one does not apply.
fn applied(document: &Value, changes: &[Change]) -> Option<Value> {
    let patch: json_patch::Patch = serde_json::from_value(serde_json::to_value(changes).ok()?).ok()?;
    let mut changed = document.clone();
    json_patch::patch(&mut changed, &patch).ok()?;
    Some(changed)
}

/// What is tried without first: building before licences, crews and roads, these before moving an
/// animal, and that before knowing more about the one asked for.
fn cost(change: &Change) -> u8 {
    match change {
        Change::Add { path, .. } if path.starts_with("/units/") => 0,
        Change::Add { path, .. } if path.starts_with("/centres/") => 1,
        Change::Remove { path } if path.starts_with("/units/") => 3,
        Change::Remove { .. } => 2,
        Change::Add { .. } => 4,
    }
}

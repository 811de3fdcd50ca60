//! What would have to change for an excluded centre to become an option.
//!
//! The rules propose; this module tries. Proposals are applied to the request
//! file one after another until the centre is no longer excluded, then each is
//! left out on trial, the dearest first, and dropped where it was not needed. So
//! the answer is true by construction: all of them are enough, and none can be
//! missed.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::answer::Change;
use crate::case::{Asked, AtCentre, InUnit};
use crate::judging::{is_option, rules_against};
use crate::options::Judged;
use crate::request::RequestFile;
use crate::rules::{PlacementRule, RULES};
use crate::view::{RegionView, Roads};

/// Rounds of proposals before giving up: each rule may have to be mended more than once, because
/// mending one can wake another.
const ROUNDS: usize = 4 * RULES.len();

/// Operations on the request file that make the centre an option, none of which can be left out.
/// Empty where none were found. The unit it was judged by is mended first.
pub(crate) fn changes(here: &AtCentre<'_>, judged: &Judged<'_>) -> Vec<Change> {
    let excerpt = Excerpt::of(here);
    let target =
        judged.unit.and_then(|(unit_at, _)| excerpt.units.iter().position(|place| *place == unit_at));
    let Some(proposed) = excerpt.propose(target.unwrap_or(0)) else {
        return Vec::new();
    };
    let needed = excerpt.thin_out(proposed);
    needed.into_iter().map(|change| excerpt.in_whole_file(change)).collect()
}

/// The part of the request file that decides about one centre: the smaller, the sooner tried.
struct Excerpt<'a> {
    asked: &'a Asked<'a>,
    file: RequestFile,
    centre: usize,
    /// Positions of the excerpt's units in the whole file.
    units: Vec<usize>,
}

impl<'a> Excerpt<'a> {
    fn of(here: &AtCentre<'a>) -> Self {
        let asked = here.asked;
        let view = asked.view;
        let centre = &here.centre.centre_id;
        let from = asked.request.from.place_id.as_ref();
        let base = asked.request.team.as_ref().and_then(|team| team.place_id.as_ref());
        // The centre comes first; where the animal or its team stands at another one, that one's
        // position counts.
        let mut centres = vec![here.centre.clone()];
        let others = view.centres.iter().filter(|other| {
            let id = Some(&other.centre_id);
            other.centre_id != *centre && (id == from || id == base)
        });
        centres.extend(others.cloned());
        let travel = view.roads.travel.iter();
        let concerned = |place: &String| place == centre || Some(place) == base;
        let roads = Roads {
            // What is looked up beforehand need not be copied.
            travel: travel
                .filter(|line| asked.index().is_none() && (concerned(&line.from) || concerned(&line.to)))
                .cloned()
                .collect(),
            road_factor: view.roads.road_factor,
            speed_kmh: view.roads.speed_kmh,
            closures: view.roads.closures.clone(),
            night_bans: view.roads.night_bans.clone(),
            ferries: view.roads.ferries.clone(),
        };
        let file = RequestFile {
            view: RegionView {
                centres,
                units: here.units.iter().map(|(_, unit)| (*unit).clone()).collect(),
                points: view.points.iter().filter(|point| Some(&point.point_id) == from).cloned().collect(),
                roads,
                standstills: view.standstills.clone(),
                settings: view.settings.clone(),
            },
            requests: vec![asked.request.clone()],
            ..RequestFile::default()
        };
        Self { asked, file, centre: here.centre_at, units: here.units.iter().map(|(at, _)| *at).collect() }
    }

    /// Applies what the rules propose for one unit, first reason first, until the centre is open.
    fn propose(&self, target: usize) -> Option<Vec<Change>> {
        let mut proposed = Vec::new();
        let mut file = self.file.clone();
        for _ in 0..ROUNDS {
            let more = {
                let asked = self.asked_of(&file)?;
                let here = AtCentre::new(&asked, 0, file.view.centres.first()?).quietly();
                if is_option(&here) {
                    return Some(proposed);
                }
                let unit = here.units.get(target).map(|(unit_at, unit)| InUnit::new(&here, *unit_at, unit));
                let unwaived = |rule: &&PlacementRule| {
                    rule.check(&here, unit.as_ref()).is_some_and(|check| check.waived_by.is_none())
                };
                let rule = rules_against(&here, unit.as_ref()).find(unwaived)?;
                rule.mend(&here, unit.as_ref())
            };
            if more.is_empty() {
                return None;
            }
            for change in more {
                apply(&mut file, &change)?;
                proposed.push(change);
            }
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
        order.sort_by_key(|at| needed.get(*at).map(|change| (cost(change), *at)));
        order.into_iter().find(|left_out| {
            let rest = needed.iter().enumerate().filter(|(at, _)| at != left_out);
            self.opens(rest.map(|(_, change)| change)).unwrap_or(false)
        })
    }

    /// Whether the changes open the centre; `None` where one does not apply.
    fn opens<'b>(&self, changes: impl Iterator<Item = &'b Change>) -> Option<bool> {
        let mut file = self.file.clone();
        for change in changes {
            apply(&mut file, change)?;
        }
        let asked = self.asked_of(&file)?;
        let here = AtCentre::new(&asked, 0, file.view.centres.first()?).quietly();
        Some(is_option(&here))
    }

    fn asked_of<'b>(&'b self, file: &'b RequestFile) -> Option<Asked<'b>> {
        let request = file.requests.first()?;
        Some(Asked::indexed(&file.view, request, self.asked.species, self.asked.at, self.asked.index()))
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

/// Applies one operation; `None` where it does not apply.
fn apply(file: &mut RequestFile, change: &Change) -> Option<()> {
    let mut steps = change.path().splitn(4, '/').skip(1);
    let (list, at) = (steps.next()?, steps.next());
    let rest = steps.next();
    let place = at.and_then(|at| at.parse::<usize>().ok());
    match (list, place, rest) {
        ("units", None, None) if at == Some("-") => {
            let Change::Add { value, .. } = change else { return None };
            file.view.units.push(serde_json::from_value(value.clone()).ok()?);
            Some(())
        }
        ("units", Some(at), Some(rest)) => apply_to(file.view.units.get_mut(at)?, rest, change),
        ("centres", Some(at), Some(rest)) => apply_to(file.view.centres.get_mut(at)?, rest, change),
        ("requests", Some(at), Some(rest)) => apply_to(file.requests.get_mut(at)?, rest, change),
        ("roads", None, _) => {
            let rest = change.path().strip_prefix("/roads/")?.to_owned();
            apply_to(&mut file.view.roads, &rest, change)
        }
        ("standstills", Some(_), None) => {
            let rest = change.path().strip_prefix("/standstills/")?.to_owned();
            apply_to(&mut file.view.standstills, &rest, change)
        }
        _ => None,
    }
}

/// Applies one operation to the part of the file that it concerns.
fn apply_to<T: Serialize + DeserializeOwned>(part: &mut T, rest: &str, change: &Change) -> Option<()> {
    let path = format!("/{rest}");
    let inner = match change {
        Change::Add { value, .. } => Change::Add { path, value: value.clone() },
        Change::Remove { .. } => Change::Remove { path },
    };
    let mut document: Value = serde_json::to_value(&*part).ok()?;
    let patch: json_patch::Patch = serde_json::from_value(serde_json::to_value([inner]).ok()?).ok()?;
    json_patch::patch(&mut document, &patch).ok()?;
    *part = serde_json::from_value(document).ok()?;
    Some(())
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

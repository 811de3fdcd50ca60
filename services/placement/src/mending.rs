//! What would have to change for an excluded centre to become an option.
//!
//! The rules propose; this module tries. Proposals are applied to the request
//! file one after another until the centre is no longer excluded, then each is
//! left out on trial, the dearest first, and dropped where it was not needed. So
//! the answer is true by construction: all of them are enough, and none can be
//! missed.

use crate::answer::Change;
use crate::case::{AtCentre, InUnit};
use crate::judging::{first_unwaived, is_option};
use crate::options::Judged;
use crate::parts::{Part, Parts};
use crate::rules::RULES;

/// Rounds of proposals before giving up: each rule may have to be mended more than once, because
/// mending one can wake another.
const ROUNDS: usize = 4 * RULES.len();

/// Operations on the request file that make the centre an option, none of which can be left out.
/// Empty where none were found. The unit it was judged by is mended first.
pub(crate) fn changes(here: &AtCentre<'_>, judged: &Judged<'_>) -> Vec<Change> {
    let here = here.quietly();
    let of_unit = judged.unit.and_then(|(at, _)| here.units.iter().position(|(unit_at, _)| *unit_at == at));
    let parts = Parts::of(&here);
    let Some(proposed) = propose(&here, &parts, of_unit.unwrap_or(0)) else {
        return Vec::new();
    };
    thin_out(&here, &parts, proposed)
}

/// What was proposed, and how many of it before the last rule spoke.
struct Proposed {
    changes: Vec<Change>,
    not_enough: usize,
}

/// What the rules propose for one unit, first reason first, until the centre is open.
fn propose(here: &AtCentre<'_>, parts: &Parts<'_>, target: usize) -> Option<Proposed> {
    let mut proposed = Proposed { changes: Vec::new(), not_enough: 0 };
    for _ in 0..ROUNDS {
        let changed: Vec<Part> = parts.changed(&proposed.changes)?;
        let more = here.with_parts(changed.iter(), |here| {
            if is_option(here) {
                return None;
            }
            let unit = here.units.get(target).map(|(unit_at, unit)| InUnit::new(here, *unit_at, unit));
            let mended = first_unwaived(here, unit.as_ref()).map(|rule| rule.mend(here, unit.as_ref()));
            Some(mended.unwrap_or_default())
        });
        let Some(more) = more else {
            return Some(proposed);
        };
        if more.is_empty() {
            return None;
        }
        proposed.not_enough = proposed.changes.len();
        proposed.changes.extend(more);
    }
    None
}

/// Leaves out, one by one, what was not needed after all, until nothing can be left out.
fn thin_out(here: &AtCentre<'_>, parts: &Parts<'_>, proposed: Proposed) -> Vec<Change> {
    let Proposed { changes: mut needed, not_enough } = proposed;
    // All but a single last change were tried while they were proposed.
    let mut tried = (not_enough + 1 == needed.len()).then_some(not_enough);
    while let Some(spare) = spare(here, parts, &needed, tried) {
        needed.remove(spare);
        tried = None;
    }
    needed
}

/// The dearest change without which the centre is open all the same; the one known to be needed is
/// not tried again.
fn spare(
    here: &AtCentre<'_>,
    parts: &Parts<'_>,
    needed: &[Change],
    known_needed: Option<usize>,
) -> Option<usize> {
    let mut order: Vec<usize> = (0..needed.len()).filter(|at| Some(*at) != known_needed).collect();
    if order.is_empty() {
        return None;
    }
    order.sort_by_key(|at| needed.get(*at).map(|change| (cost(change), *at)));
    let changed = parts.changed(needed)?;
    order
        .into_iter()
        .find(|left_out| opens_without(here, parts, needed, &changed, *left_out).unwrap_or(false))
}

/// Whether the changes open the centre without one of them; `None` where they do not apply then. Only
/// the part that it concerns is made anew.
fn opens_without(
    here: &AtCentre<'_>,
    parts: &Parts<'_>,
    needed: &[Change],
    changed: &[Part],
    left_out: usize,
) -> Option<bool> {
    let whose = parts.whose(needed.get(left_out)?)?;
    let rest = needed.iter().enumerate().filter(|(at, _)| *at != left_out).map(|(_, change)| change);
    let mine: Vec<&Change> = rest.filter(|change| parts.whose(change) == Some(whose)).collect();
    let mut again = Vec::new();
    if !mine.is_empty() {
        again.push(parts.made(whose, &mine)?);
    }
    let others = changed.iter().filter(|part| part.whose() != whose);
    Some(here.with_parts(others.chain(&again), is_option))
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

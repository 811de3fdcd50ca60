//! The smallest changes of the file that place some of those who stay.
//!
//! What is proposed is tried: the changed file must let some more of them in beside the plan as it is,
//! by the same check that the plan itself has to pass, and must not without any one of the changes.

use super::answer::ChangesPlace;
use super::trial::Trial;
use super::unplaced::{Asking, AtOne};
use crate::answer::Change;

/// Centres whose rules are mended on trial: the nearest to being an option.
const MOST_MENDED: usize = 3;
/// Centres of which the plan uses up too much that are tried.
const MOST_TAKEN: usize = 6;
/// Centres at which a unit is built on trial where no single change was found.
const MOST_BUILT: usize = 3;

/// Changes, and where they place how many.
pub(crate) type Found = (Vec<Change>, ChangesPlace);

/// The smallest changes found. A pin or a forbid is somebody's decision: one is lifted only where
/// nothing else places them.
pub(crate) fn changes(asking: &Asking<'_>, views: &[AtOne]) -> Option<Found> {
    let mut places: Vec<&AtOne> = views.iter().filter(|view| !has(view, "evacuated")).collect();
    places.sort_by_key(|view| (view.reason.codes.len(), view.centre));
    let (bound, free): (Vec<&AtOne>, Vec<&AtOne>) =
        places.into_iter().partition(|view| has(view, "pinned") || has(view, "forbidden"));
    among(asking, &free, false).or_else(|| among(asking, &free, true)).or_else(|| among(asking, &bound, true))
}

fn has(view: &AtOne, code: &str) -> bool {
    view.reason.codes.iter().any(|one| one == code)
}

/// The smallest changes found among some centres, whether bounds may be lifted or not.
fn among(asking: &Asking<'_>, views: &[&AtOne], lifting: bool) -> Option<Found> {
    let trial = |view: &AtOne| Trial::of(asking, view.centre, lifting);
    // Place for all is as few entries as place for one, mostly.
    let mut counts = vec![asking.left, asking.least()];
    counts.dedup();
    let mut best: Option<Found> = None;
    for view in views.iter().filter(|view| view.taken.is_some()).take(MOST_TAKEN) {
        let Some(unit_at) = view.taken else { continue };
        keep_smaller(&mut best, trial(view).and_then(|trial| trial.room_made(unit_at)));
        if is_single(best.as_ref()) {
            return best;
        }
    }
    for view in views.iter().filter(|view| view.taken.is_none()).take(MOST_MENDED) {
        for more in &counts {
            keep_smaller(&mut best, trial(view).and_then(|trial| trial.mended(*more)));
        }
    }
    if is_single(best.as_ref()) {
        return best;
    }
    for view in views.iter().take(MOST_BUILT) {
        for more in &counts {
            keep_smaller(&mut best, trial(view).and_then(|trial| trial.built(*more)));
        }
        if is_single(best.as_ref()) {
            break;
        }
    }
    best
}

fn is_single(found: Option<&Found>) -> bool {
    found.is_some_and(|(changes, _)| changes.len() == 1)
}

fn keep_smaller(best: &mut Option<Found>, found: Option<Found>) {
    let Some(found) = found else { return };
    let rank = |found: &Found| (found.0.len(), std::cmp::Reverse(found.1.individual_count));
    if best.as_ref().is_none_or(|best| rank(&found) < rank(best)) {
        *best = Some(found);
    }
}

/// Why no changes are told, in one sentence.
pub(crate) fn why_none(asking: &Asking<'_>, views: &[AtOne]) -> String {
    if views.is_empty() {
        return "the file has no centre".to_owned();
    }
    if views.iter().all(|view| has(view, "evacuated")) {
        return "every centre is being emptied: no change of it makes room, another centre must be found"
            .to_owned();
    }
    // What no entry of the file can mend, every centre says of the animal.
    if let Some(view) = views.iter().find(|view| has(view, "species-known")) {
        return view.reason.sentence.clone();
    }
    if asking.at >= asking.checker.file.requests.len() {
        return "it stands at a centre that is being emptied, and what would have to change is said of the \
                animal itself: give it a request of its own"
            .to_owned();
    }
    format!("no entries were found that together place {} of them: see the reasons", asking.least())
}

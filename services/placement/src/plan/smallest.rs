//! The smallest changes of the file that place some of those who stay.
//!
//! What is proposed is tried: the changed file must let some more of them in beside the plan as it is,
//! by the same check that the plan itself has to pass, and must not without any one of the changes.

use serde_json::{Value, json};

use super::answer::ChangesPlace;
use super::feasible::{Breach, Checker};
use super::unplaced::{Asking, AtOne, with_more};
use crate::answer::Change;
use crate::case::{Asked, AtCentre};
use crate::mending;
use crate::options::judge;
use crate::request::RequestFile;

/// Centres whose rules are mended on trial: the nearest to being an option.
const MOST_MENDED: usize = 3;
/// Centres of which the plan uses up too much that are tried.
const MOST_TAKEN: usize = 6;

/// Changes, and where they place how many.
type Found = (Vec<Change>, ChangesPlace);

/// The smallest changes found.
pub(crate) fn changes(asking: &Asking<'_>, views: &[AtOne]) -> Option<Found> {
    let document = serde_json::to_value(asking.checker.file).ok()?;
    let mut taken: Vec<&AtOne> = views.iter().filter(|view| view.taken.is_some()).collect();
    taken.sort_by_key(|view| (view.reason.codes.len(), view.centre));
    let mut best: Option<Found> = None;
    for view in taken.into_iter().take(MOST_TAKEN) {
        let Some((unit_at, breaches)) = &view.taken else { continue };
        let proposed = room_made(asking, view.centre, *unit_at, breaches);
        keep_smaller(&mut best, tried(asking, &document, view.centre, *unit_at, proposed));
    }
    if best.as_ref().is_some_and(|(changes, _)| changes.len() == 1) {
        return best;
    }
    let mut closed: Vec<&AtOne> = views
        .iter()
        .filter(|view| view.taken.is_none() && !view.reason.codes.iter().any(|code| is_bound(code)))
        .collect();
    closed.sort_by_key(|view| (view.reason.codes.len(), view.centre));
    for view in closed.into_iter().take(MOST_MENDED) {
        if let Some((unit_at, proposed)) = mended(asking, view.centre) {
            keep_smaller(&mut best, tried(asking, &document, view.centre, unit_at, proposed));
        }
    }
    best
}

fn is_bound(code: &str) -> bool {
    ["pinned", "forbidden", "evacuated"].contains(&code)
}

fn keep_smaller(best: &mut Option<Found>, found: Option<Found>) {
    let Some(found) = found else { return };
    let rank = |found: &Found| (found.0.len(), std::cmp::Reverse(found.1.individual_count));
    if best.as_ref().is_none_or(|best| rank(&found) < rank(best)) {
        *best = Some(found);
    }
}

/// What the plan uses up, made larger: one proposal for each thing that is wanting.
fn room_made(asking: &Asking<'_>, centre: usize, unit_at: usize, breaches: &[Breach]) -> Vec<Change> {
    let file = asking.checker.file;
    let unit = &file.view.units[unit_at];
    let stands = &file.view.centres[centre];
    let more = asking.left;
    let add = |path: String, value: Value| Change::Add { path, value };
    let mut changes = Vec::new();
    let mut codes: Vec<&str> = breaches.iter().map(|breach| breach.code.as_str()).collect();
    codes.sort_unstable();
    codes.dedup();
    let one_more_unit = |changes: &mut Vec<Change>| {
        changes.push(add(format!("/units/{unit_at}/units"), json!(unit.units + 1)));
        // Where someone stands in the row, nobody would know that the new one is empty.
        if unit.free_units.is_some() || unit.heads() > 0 {
            let free = unit.standing_empty() + 1;
            changes.push(add(format!("/units/{unit_at}/freeUnits"), json!(free)));
        }
    };
    let mut unit_added = false;
    for code in codes {
        match code {
            "licence-heads" => {
                for (line_at, line) in stands.licences.iter().enumerate() {
                    if let Some(limit) = line.heads_limit {
                        let path = format!("/centres/{centre}/licences/{line_at}/headsLimit");
                        changes.push(add(path, json!(limit + more)));
                    }
                }
            }
            "arrivals" => {
                let limit = stands.arrivals_per_day.unwrap_or(0) + more;
                changes.push(add(format!("/centres/{centre}/arrivalsPerDay"), json!(limit)));
            }
            "crews-tonight" => {
                let crews = stands.crews_tonight.unwrap_or(0) + asking.request().crew;
                changes.push(add(format!("/centres/{centre}/crewsTonight"), json!(crews)));
            }
            "vehicle-minutes" => {
                let trip = asking.draft.admitted.pairs.get(&(asking.at, centre)).map_or(0, |pair| pair.trip);
                let minutes = stands.vehicle_minutes.unwrap_or(0) + trip;
                changes.push(add(format!("/centres/{centre}/vehicleMinutes"), json!(minutes)));
            }
            "size" => {
                let size = super::admit::stated_size(asking.request(), unit).unwrap_or(0);
                let free = unit.free_size.unwrap_or(0) + size * more;
                changes.push(add(format!("/units/{unit_at}/freeSize"), json!(free)));
            }
            "water-circuit" => {
                changes.push(Change::Remove { path: format!("/units/{unit_at}/waterCircuit") })
            }
            _ if !unit_added => {
                unit_added = true;
                one_more_unit(&mut changes);
            }
            _ => {}
        }
    }
    changes
}

/// What the rules propose at a centre that is none for the request, with the unit they speak of.
fn mended(asking: &Asking<'_>, centre: usize) -> Option<(usize, Vec<Change>)> {
    let file = asking.checker.file;
    let mut request = asking.request().clone();
    request.individual_count = asking.least();
    let asked = Asked::new(&file.view, &request, asking.checker.species, asking.checker.at);
    let here = AtCentre::new(&asked, centre, &file.view.centres[centre]);
    let judged = judge(&here);
    let (unit_at, _) = judged.unit?;
    let changes = mending::changes(&here, &judged);
    // The rules speak of the first request of the file.
    let in_file = asking.at < file.requests.len();
    let own = |path: String| match path.strip_prefix("/requests/0/") {
        Some(rest) => in_file.then(|| format!("/requests/{}/{rest}", asking.at)),
        None => Some(path),
    };
    let changes = changes.into_iter().map(|change| match change {
        Change::Add { path, value } => own(path).map(|path| Change::Add { path, value }),
        Change::Remove { path } => own(path).map(|path| Change::Remove { path }),
    });
    Some((unit_at, changes.collect::<Option<Vec<_>>>()?)).filter(|(_, changes)| !changes.is_empty())
}

/// Tries the changes, leaves out what is not needed, and says how many they place.
fn tried(
    asking: &Asking<'_>,
    document: &Value,
    centre: usize,
    unit_at: usize,
    mut changes: Vec<Change>,
) -> Option<Found> {
    if changes.is_empty() {
        return None;
    }
    let placed = |changes: &[Change]| placed(asking, document, centre, unit_at, changes);
    placed(&changes)?;
    let mut at = 0;
    while at < changes.len() && changes.len() > 1 {
        let mut rest = changes.clone();
        rest.remove(at);
        if placed(&rest).is_some() {
            changes = rest;
        } else {
            at += 1;
        }
    }
    let count = placed(&changes)?;
    let view = &asking.checker.file.view;
    Some((
        changes,
        ChangesPlace {
            centre_id: view.centres[centre].centre_id.clone(),
            unit_id: view.units.get(unit_at).map_or_else(String::new, |unit| unit.unit_id.clone()),
            individual_count: count,
        },
    ))
}

/// How many more the changed file lets into the unit beside the plan; none where not even the least.
fn placed(
    asking: &Asking<'_>,
    document: &Value,
    centre: usize,
    unit_at: usize,
    changes: &[Change],
) -> Option<u32> {
    let file: RequestFile = applied(document, changes)?;
    let requests = super::evacuation::requests(&file);
    let checker = Checker::new(&file, &requests, asking.checker.species, asking.checker.at);
    file.view.units.get(unit_at)?;
    let fits = |more: u32| {
        with_more(&checker, &asking.draft.laid, (asking.at, centre, unit_at), more)
            .is_some_and(|laid| checker.centre(centre, &laid).0.is_empty())
    };
    let least = asking.least();
    if !fits(least) {
        return None;
    }
    let (mut fitting, mut beyond) = (least, asking.left + 1);
    while beyond - fitting > 1 {
        let middle = fitting + (beyond - fitting) / 2;
        if fits(middle) {
            fitting = middle;
        } else {
            beyond = middle;
        }
    }
    Some(fitting)
}

/// The file with the operations applied; none where one does not apply.
pub(crate) fn applied(document: &Value, changes: &[Change]) -> Option<RequestFile> {
    let patch: json_patch::Patch = serde_json::from_value(serde_json::to_value(changes).ok()?).ok()?;
    let mut changed = document.clone();
    json_patch::patch(&mut changed, &patch).ok()?;
    serde_json::from_value(changed).ok()
}

//! The smallest changes of the file that place some of those who stay.
//!
//! What is proposed is tried: the changed file must let some more of them in beside the plan as it is,
//! by the same check that the plan itself has to pass, and must not without any one of the changes.

use serde_json::{Value, json};

use super::admit::{stated_cap, stated_size};
use super::answer::ChangesPlace;
use super::excerpt::Excerpt;
use super::feasible::{Breach, Checker};
use super::units::Laid;
use super::unplaced::{Asking, AtOne, with_more};
use crate::answer::Change;
use crate::case::{Asked, AtCentre};
use crate::mending;
use crate::options::judge;
use crate::request::{Request, RequestFile};
use crate::view::Unit;

/// Centres whose rules are mended on trial: the nearest to being an option.
const MOST_MENDED: usize = 3;
/// Centres of which the plan uses up too much that are tried.
const MOST_TAKEN: usize = 6;

/// Rounds of proposals for one place: mending one thing can show the next.
const ROUNDS: usize = 4;

/// Changes, and where they place how many.
type Found = (Vec<Change>, ChangesPlace);

/// The smallest changes found.
pub(crate) fn changes(asking: &Asking<'_>, views: &[AtOne]) -> Option<Found> {
    let mut taken: Vec<&AtOne> = views.iter().filter(|view| view.taken.is_some()).collect();
    taken.sort_by_key(|view| (view.reason.codes.len(), view.centre));
    let mut best: Option<Found> = None;
    for view in taken.into_iter().take(MOST_TAKEN) {
        let Some((unit_at, breaches)) = &view.taken else { continue };
        keep_smaller(
            &mut best,
            Trial::of(asking, view.centre).and_then(|trial| trial.room_made(*unit_at, breaches)),
        );
        if best.as_ref().is_some_and(|(changes, _)| changes.len() == 1) {
            break;
        }
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
        keep_smaller(&mut best, Trial::of(asking, view.centre).and_then(|trial| trial.mended()));
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

/// One centre's part of the file, changed on trial.
struct Trial<'a> {
    asking: &'a Asking<'a>,
    excerpt: Excerpt,
    document: Value,
}

impl<'a> Trial<'a> {
    fn of(asking: &'a Asking<'a>, centre: usize) -> Option<Self> {
        let excerpt = Excerpt::of(asking.checker, &asking.draft.laid, asking.at, centre);
        let document = serde_json::to_value(&excerpt.file).ok()?;
        Some(Self { asking, excerpt, document })
    }

    /// What the plan uses up, made larger until some more find room.
    fn room_made(&self, unit_at: usize, breaches: &[Breach]) -> Option<Found> {
        let (mut unit_at, mut changes) = (self.excerpt.unit(unit_at), Vec::new());
        let (mut mended, mut breaches) = (Vec::new(), breaches.to_vec());
        for _ in 0..ROUNDS {
            let mut codes: Vec<String> = breaches.into_iter().map(|breach| breach.code).collect();
            codes.sort_unstable();
            codes.dedup();
            for code in codes {
                if mended.contains(&code) {
                    return None;
                }
                match self.larger(unit_at, &code) {
                    Larger::Same(more) => changes.extend(more),
                    Larger::Other(other, change) => {
                        // Another unit is tried from the beginning.
                        unit_at = other;
                        changes = vec![change];
                        mended.clear();
                        mended.push(code);
                        break;
                    }
                }
                mended.push(code);
            }
            breaches = self.breaches(unit_at, &changes, self.asking.least())?;
            if breaches.is_empty() {
                return self.thinned(unit_at, changes);
            }
        }
        None
    }

    /// What is wanting, made larger.
    fn larger(&self, unit_at: usize, code: &str) -> Larger {
        let file = &self.excerpt.file;
        let stands = &file.view.centres[0];
        let more = self.asking.left;
        let set = |path: String, value: u32| Larger::Same(vec![Change::Add { path, value: json!(value) }]);
        match code {
            "licence-heads" => {
                let lines = stands.licences.iter().enumerate();
                Larger::Same(
                    lines
                        .filter_map(|(line_at, line)| {
                            let path = format!("/centres/0/licences/{line_at}/headsLimit");
                            Some(Change::Add { path, value: json!(line.heads_limit?.saturating_add(more)) })
                        })
                        .collect(),
                )
            }
            "arrivals" => {
                let limit = stands.arrivals_per_day.unwrap_or(0).saturating_add(more);
                set("/centres/0/arrivalsPerDay".to_owned(), limit)
            }
            "crews-tonight" => {
                let crews = stands.crews_tonight.unwrap_or(0).saturating_add(self.asking.request().crew);
                set("/centres/0/crewsTonight".to_owned(), crews)
            }
            "vehicle-minutes" => {
                let pairs = &self.asking.draft.admitted.pairs;
                let pair = pairs.get(&(self.asking.at, self.excerpt.centre));
                let minutes = stands.vehicle_minutes.unwrap_or(0);
                let minutes = minutes.saturating_add(pair.map_or(0, |pair| pair.trip));
                set("/centres/0/vehicleMinutes".to_owned(), minutes)
            }
            "size" => {
                let unit = file.view.units.get(unit_at);
                let size = unit.and_then(|unit| stated_size(self.asking.request(), unit)).unwrap_or(0);
                let free = unit.and_then(|unit| unit.free_size).unwrap_or(0);
                set(format!("/units/{unit_at}/freeSize"), free.saturating_add(size.saturating_mul(more)))
            }
            _ => match one_more(file, unit_at) {
                Some((other, change)) => Larger::Other(other, change),
                None => Larger::Same(Vec::new()),
            },
        }
    }

    /// What the rules propose at a centre that is none for the request.
    fn mended(&self) -> Option<Found> {
        let asking = self.asking;
        let view = &self.excerpt.file.view;
        let mut request = self.excerpt.file.requests.get(self.excerpt.asking)?.clone();
        request.individual_count = asking.least();
        let asked = Asked::new(view, &request, asking.checker.species, asking.checker.at);
        let here = AtCentre::new(&asked, 0, view.centres.first()?);
        let judged = judge(&here);
        // Where there is no unit, the rules propose one, after all others.
        let unit_at = judged.unit.map_or(view.units.len(), |(unit_at, _)| unit_at);
        // The rules speak of the first request of the file.
        let own = |path: String| match path.strip_prefix("/requests/0/") {
            Some(rest) => format!("/requests/{}/{rest}", self.excerpt.asking),
            None => path,
        };
        let changes = mending::changes(&here, &judged).into_iter().map(|change| match change {
            Change::Add { path, value } => Change::Add { path: own(path), value },
            Change::Remove { path } => Change::Remove { path: own(path) },
        });
        let changes: Vec<Change> = changes.collect();
        if changes.is_empty() { None } else { self.thinned(unit_at, changes) }
    }

    /// The changes without those that are not needed, and how many they place.
    fn thinned(&self, unit_at: usize, mut changes: Vec<Change>) -> Option<Found> {
        self.placed(unit_at, &changes)?;
        let mut at = 0;
        // Without any change none finds a place, so a single one is needed.
        while changes.len() > 1 && at < changes.len() {
            let mut rest = changes.clone();
            rest.remove(at);
            if self.placed(unit_at, &rest).is_some() {
                changes = rest;
            } else {
                at += 1;
            }
        }
        let individual_count = self.placed(unit_at, &changes)?;
        let file = applied(&self.document, &changes)?;
        let unit = file.view.units.get(unit_at)?;
        let (centre_id, unit_id) = (unit.centre_id.clone(), unit.unit_id.clone());
        let changes = changes.iter().map(|change| self.excerpt.in_whole_file(change));
        let changes = changes.collect::<Option<Vec<_>>>()?;
        Some((changes, ChangesPlace { centre_id, unit_id, individual_count }))
    }

    /// How many more the changed file lets into the unit beside the plan; none where not even the least.
    fn placed(&self, unit_at: usize, changes: &[Change]) -> Option<u32> {
        let file = applied(&self.document, changes)?;
        let fits =
            |more: u32| self.in_changed(&file, unit_at, more).is_some_and(|breaches| breaches.is_empty());
        let least = self.asking.least();
        if !fits(least) {
            return None;
        }
        let (mut fitting, mut beyond) = (least, self.asking.left + 1);
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

    /// What breaks at the centre of the changed file with so many more in the unit.
    fn breaches(&self, unit_at: usize, changes: &[Change], more: u32) -> Option<Vec<Breach>> {
        self.in_changed(&applied(&self.document, changes)?, unit_at, more)
    }

    fn in_changed(&self, file: &RequestFile, unit_at: usize, more: u32) -> Option<Vec<Breach>> {
        let of = self.asking.checker;
        let checker = Checker::new(file, &file.requests, of.species, of.at);
        file.view.units.get(unit_at)?;
        // A unit that has become a row: those who were in it are in its first units.
        let laid = self.excerpt.laid.iter().map(|one| {
            let unit = &file.view.units[one.unit_at];
            let row = unit.units > 1 && unit.standing_empty() > 0 && one.numbers.is_empty();
            let numbers = if row { (1..=one.units).collect() } else { one.numbers.clone() };
            Laid { numbers, ..one.clone() }
        });
        let laid: Vec<Laid> = laid.collect();
        let laid = with_more(&checker, &laid, (self.excerpt.asking, 0, unit_at), more)?;
        Some(checker.centre(0, &laid).0)
    }
}

/// What makes something larger: changes for the same unit, or another unit.
enum Larger {
    Same(Vec<Change>),
    Other(usize, Change),
}

/// One more unit like another, empty and on water of its own: its position, and the change. Where
/// requests state figures for the row by its name, the row itself grows.
pub(crate) fn one_more(file: &RequestFile, unit_at: usize) -> Option<(usize, Change)> {
    let unit = file.view.units.get(unit_at)?;
    let named =
        |request: &Request| stated_cap(request, unit).is_some() || stated_size(request, unit).is_some();
    if file.requests.iter().any(named) {
        let path = format!("/units/{unit_at}/units");
        return Some((unit_at, Change::Add { path, value: json!(unit.units + 1) }));
    }
    let taken = |name: &str| {
        let mut units = file.view.units.iter();
        units.any(|other| other.centre_id == unit.centre_id && other.unit_id == name)
    };
    let names = (1..).map(|number| format!("{} +{number}", unit.unit_id));
    let more = Unit {
        unit_id: names.into_iter().find(|name| !taken(name))?,
        units: 1,
        water_circuit: None,
        occupants: Vec::new(),
        expected: Vec::new(),
        reserved: Vec::new(),
        quarantine: None,
        free_units: None,
        ..unit.clone()
    };
    let change = Change::Add { path: "/units/-".to_owned(), value: serde_json::to_value(more).ok()? };
    Some((file.view.units.len(), change))
}

/// The file with the operations applied; none where one does not apply.
pub(crate) fn applied(document: &Value, changes: &[Change]) -> Option<RequestFile> {
    let patch: json_patch::Patch = serde_json::from_value(serde_json::to_value(changes).ok()?).ok()?;
    let mut changed = document.clone();
    json_patch::patch(&mut changed, &patch).ok()?;
    serde_json::from_value(changed).ok()
}

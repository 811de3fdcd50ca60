//! One centre's part of the file, changed on trial until some more find a place there.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::answer::ChangesPlace;
use super::excerpt::Excerpt;
use super::feasible::{Breach, Checker};
use super::larger::Larger;
use super::smallest::Found;
use super::units::Laid;
use super::unplaced::{Asking, with_more};
use crate::answer::Change;
use crate::case::{Asked, AtCentre};
use crate::mending;
use crate::options::judge;
use crate::request::{Bound, Request, RequestFile};
use crate::rules::PlacementRule;

/// Rounds of proposals for one place: mending one thing can show the next.
const ROUNDS: usize = 8;

/// One centre's part of the file.
pub(crate) struct Trial<'a> {
    pub asking: &'a Asking<'a>,
    pub excerpt: Excerpt,
    document: Value,
    /// Whether pins and forbids may be lifted.
    lifting: bool,
}

impl<'a> Trial<'a> {
    pub fn of(asking: &'a Asking<'a>, centre: usize, lifting: bool) -> Option<Self> {
        let excerpt = Excerpt::of(asking.checker, &asking.draft.laid, asking.at, centre);
        let document = serde_json::to_value(&excerpt.file).ok()?;
        Some(Self { asking, excerpt, document, lifting })
    }

    /// What the plan uses up, made larger until some more find room in a unit of the whole file.
    pub fn room_made(&self, unit_at: usize) -> Option<Found> {
        self.made(self.excerpt.unit(unit_at), Vec::new())
    }

    /// What the rules propose for so many at a centre that is none for the request, and what the plan
    /// uses up there.
    pub fn mended(&self, more: u32) -> Option<Found> {
        let view = &self.excerpt.file.view;
        let request = self.asking_for(more)?;
        let asked = Asked::new(view, &request, self.asking.checker.species, self.asking.checker.at);
        let here = AtCentre::new(&asked, 0, view.centres.first()?);
        let judged = judge(&here);
        // Where there is no unit, the rules propose one, after all others.
        let best = judged.unit.map_or(view.units.len(), |(unit_at, _)| unit_at);
        if !self.may_use(best) {
            let mut allowed = (0..view.units.len()).filter(|unit_at| self.may_use(*unit_at));
            return allowed.find_map(|unit_at| self.made(unit_at, Vec::new()));
        }
        let changes = mending::changes(&here, &judged).into_iter().map(|change| self.own(change)).collect();
        self.made(best, changes)
    }

    /// A unit built for so many, and whatever else is wanting.
    pub fn built(&self, more: u32) -> Option<Found> {
        let view = &self.excerpt.file.view;
        let request = self.asking_for(more)?;
        let asked = Asked::new(view, &request, self.asking.checker.species, self.asking.checker.at);
        let here = AtCentre::new(&asked, 0, view.centres.first()?);
        self.made(view.units.len(), PlacementRule::of("has-unit")?.mend(&here, None))
    }

    fn asking_for(&self, more: u32) -> Option<Request> {
        let request = self.excerpt.file.requests.get(self.excerpt.asking)?.clone();
        Some(Request { individual_count: more, ..request })
    }

    /// The rules speak of the first request of the file.
    pub fn own(&self, change: Change) -> Change {
        let own = |path: String| match path.strip_prefix("/requests/0/") {
            Some(rest) => format!("/requests/{}/{rest}", self.excerpt.asking),
            None => path,
        };
        match change {
            Change::Add { path, value } => Change::Add { path: own(path), value },
            Change::Remove { path } => Change::Remove { path: own(path) },
        }
    }

    /// Mends what breaks in a unit, and what that shows, until some more find room.
    fn made(&self, mut unit_at: usize, mut changes: Vec<Change>) -> Option<Found> {
        let mut mended: BTreeSet<(usize, String)> = BTreeSet::new();
        for _ in 0..ROUNDS {
            let file = applied(&self.document, &changes)?;
            let codes: BTreeSet<String> = match self.in_changed(&file, unit_at, self.asking.least()) {
                Some(breaches) => breaches.into_iter().map(|breach| breach.code).collect(),
                // Every unit of the row is taken.
                None => BTreeSet::from(["room".to_owned()]),
            };
            if codes.is_empty() {
                return self.thinned(unit_at, changes);
            }
            for code in codes {
                // What was mended and breaks again is not to be mended so.
                if !mended.insert((unit_at, code.clone())) {
                    return None;
                }
                match self.larger(&file, unit_at, &code, &changes)? {
                    Larger::Same(more) => changes.extend(more),
                    Larger::Other(other, change) => {
                        // Another unit is tried from the beginning; what the centre needed stays.
                        changes.retain(|change| !change.path().starts_with("/units/"));
                        changes.push(change);
                        if other == unit_at {
                            mended.retain(|(at, _)| *at == other);
                        }
                        unit_at = other;
                        break;
                    }
                }
            }
        }
        None
    }

    /// The changes without those that are not needed, and how many they place.
    fn thinned(&self, unit_at: usize, mut changes: Vec<Change>) -> Option<Found> {
        self.placed(unit_at, &changes)?;
        let mut at = 0;
        while at < changes.len() {
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
        let lifted = self.lifted(&centre_id, &unit_id);
        if !lifted.is_empty() && !self.lifting {
            return None;
        }
        let changes = changes.iter().map(|change| self.excerpt.in_whole_file(change));
        let mut changes = changes.collect::<Option<Vec<_>>>()?;
        changes.extend(lifted);
        (!changes.is_empty()).then_some((changes, ChangesPlace { centre_id, unit_id, individual_count }))
    }

    /// Whether the request may go to a unit of the excerpt.
    fn may_use(&self, unit_at: usize) -> bool {
        let unit = self.excerpt.file.view.units.get(unit_at);
        self.lifting || unit.is_none_or(|unit| self.lifted(&unit.centre_id, &unit.unit_id).is_empty())
    }

    /// Pins and forbids of the whole file that keep the request from a unit, lifted: one more pin beside
    /// the others, and no such forbid.
    fn lifted(&self, centre_id: &str, unit_id: &str) -> Vec<Change> {
        let file = self.asking.checker.file;
        let request_id = &self.asking.request().request_id;
        let holds = |bound: &Bound| {
            bound.centre_id == centre_id && bound.unit_id.as_deref().is_none_or(|id| id == unit_id)
        };
        let own = |bound: &&Bound| bound.request_id == *request_id;
        let mut changes = Vec::new();
        let mut pins = file.pins.iter().filter(own).peekable();
        if pins.peek().is_some() && !pins.any(holds) {
            let value = json!({ "requestID": request_id, "centreID": centre_id, "unitID": unit_id });
            changes.push(Change::Add { path: "/pins/-".to_owned(), value });
        }
        // The last first, so that no pointer moves.
        let forbids = file.forbids.iter().enumerate().rev();
        let forbids = forbids.filter(|(_, bound)| own(bound) && holds(bound));
        changes.extend(forbids.map(|(at, _)| Change::Remove { path: format!("/forbids/{at}") }));
        changes
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
    fn in_changed(&self, file: &RequestFile, unit_at: usize, more: u32) -> Option<Vec<Breach>> {
        let of = self.asking.checker;
        let checker = Checker::new(file, &file.requests, of.species, of.at);
        let laid = self.laid(file, &checker, unit_at, more)?;
        Some(checker.centre(0, &laid).0)
    }

    /// The plan's places at the centre of the changed file, with so many more in the unit.
    pub fn laid(
        &self,
        file: &RequestFile,
        checker: &Checker<'_>,
        unit_at: usize,
        more: u32,
    ) -> Option<Vec<Laid>> {
        file.view.units.get(unit_at)?;
        // A unit that has become a row: those who were in it are in its first units.
        let laid = self.excerpt.laid.iter().map(|one| {
            let unit = &file.view.units[one.unit_at];
            let row = unit.units > 1 && unit.standing_empty() > 0 && one.numbers.is_empty();
            let numbers = if row { (1..=one.units).collect() } else { one.numbers.clone() };
            Laid { numbers, ..one.clone() }
        });
        let laid: Vec<Laid> = laid.collect();
        with_more(checker, &laid, (self.excerpt.asking, 0, unit_at), more)
    }
}

/// The file with the operations applied; none where one does not apply.
pub(crate) fn applied(document: &Value, changes: &[Change]) -> Option<RequestFile> {
    let patch: json_patch::Patch = serde_json::from_value(serde_json::to_value(changes).ok()?).ok()?;
    let mut changed = document.clone();
    json_patch::patch(&mut changed, &patch).ok()?;
    serde_json::from_value(changed).ok()
}

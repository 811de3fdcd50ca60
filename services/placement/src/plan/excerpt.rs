//! The part of the file that decides about one centre, with the plan's places there: the smaller, the
//! sooner a change is tried on it.

use haulout_schemas::pointer::token;
use serde_json::Value;

use crate::answer::Change;
use crate::request::{Request, RequestFile};
use crate::view::{RegionView, Roads};

use super::feasible::Checker;
use super::units::Laid;

/// One centre, its units, who is placed there and who asks for a place.
pub(crate) struct Excerpt {
    pub file: RequestFile,
    /// The plan's places, by positions in the excerpt.
    pub laid: Vec<Laid>,
    /// Position of the one who asks among the excerpt's requests.
    pub asking: usize,
    /// Position of the centre in the whole file.
    pub centre: usize,
    units: Vec<usize>,
    requests: Vec<usize>,
    /// Units and requests of the whole file.
    whole: (usize, usize),
    /// Requests of the whole file that state minutes.
    states_minutes: Vec<usize>,
}

impl Excerpt {
    pub fn of(checker: &Checker<'_>, laid: &[Laid], request: usize, centre: usize) -> Self {
        let view = &checker.file.view;
        let id = &view.centres[centre].centre_id;
        let own: Vec<&Laid> = laid.iter().filter(|one| one.centre == centre).collect();
        let mut requests: Vec<usize> = own.iter().map(|one| one.request).chain([request]).collect();
        requests.sort_unstable();
        requests.dedup();
        let units = checker.units_of(centre);
        // The centre comes first; those that animals or their teams depart from come after it.
        let departs = |place: &str| requests.iter().any(|at| checker.requests[*at].departs_from(place));
        let origins = view.centres.iter();
        let origins = origins.filter(|other| other.centre_id != *id && departs(&other.centre_id));
        let concerned = |place: &String| place == id || departs(place);
        let travel = view.roads.travel.iter().filter(|line| concerned(&line.from) || concerned(&line.to));
        let bounds = |bounds: &[crate::request::Bound]| {
            let of_centre = bounds.iter().filter(|bound| bound.centre_id == *id);
            of_centre.cloned().collect()
        };
        let file = RequestFile {
            view: RegionView {
                centres: std::iter::once(&view.centres[centre]).chain(origins).cloned().collect(),
                units: units.iter().map(|at| view.units[*at].clone()).collect(),
                points: view.points.clone(),
                roads: Roads { travel: travel.cloned().collect(), ..view.roads.clone() },
                standstills: view.standstills.clone(),
                settings: view.settings.clone(),
            },
            requests: requests.iter().map(|at| at_one_centre(&checker.requests[*at], id)).collect(),
            costs: checker.file.costs.clone(),
            pins: bounds(&checker.file.pins),
            forbids: bounds(&checker.file.forbids),
            evacuate: Vec::new(),
        };
        let position = |list: &[usize], at: usize| list.iter().position(|one| *one == at).unwrap_or(0);
        let laid = own
            .into_iter()
            .map(|one| Laid {
                request: position(&requests, one.request),
                centre: 0,
                unit_at: position(&units, one.unit_at),
                ..one.clone()
            })
            .collect();
        let asking = position(&requests, request);
        let whole = (view.units.len(), checker.file.requests.len());
        let states = |at: &usize| !checker.requests[*at].minutes.is_empty();
        let states_minutes = requests.iter().copied().filter(states).collect();
        Self { file, laid, asking, centre, units, requests, whole, states_minutes }
    }

    /// Position of a unit of the whole file.
    pub fn unit(&self, unit_at: usize) -> usize {
        self.units.iter().position(|one| *one == unit_at).unwrap_or(0)
    }

    /// The same operation on the whole file; none where it speaks of a request that is not in it.
    pub fn in_whole_file(&self, change: &Change) -> Option<Change> {
        let path = self.whole_path(change.path())?;
        Some(match change {
            Change::Add { value, .. } => self.beside_others(path, value.clone()),
            Change::Remove { .. } => Change::Remove { path },
        })
    }

    /// What is set of a request for this centre leaves alone what is stated for others.
    fn beside_others(&self, path: String, value: Value) -> Change {
        let states_others = path.strip_prefix("/requests/").and_then(|rest| {
            let at = rest.strip_suffix("/minutes")?.parse::<usize>().ok()?;
            Some(self.states_minutes.contains(&at))
        });
        let centre_id = &self.file.view.centres[0].centre_id;
        match value.get(centre_id) {
            Some(minutes) if states_others == Some(true) => {
                let name = token(centre_id);
                Change::Add { path: format!("{path}/{name}"), value: minutes.clone() }
            }
            _ => Change::Add { path, value },
        }
    }

    fn whole_path(&self, path: &str) -> Option<String> {
        if let Some(rest) = path.strip_prefix("/centres/0/") {
            return Some(format!("/centres/{}/{rest}", self.centre));
        }
        let element = |list: &str| {
            let (at, rest) = path.strip_prefix(list)?.split_once('/')?;
            Some((at.parse::<usize>().ok()?, rest))
        };
        if let Some((at, rest)) = element("/units/") {
            // A unit that a change adds comes after all others.
            let whole = self.units.get(at).copied().unwrap_or(self.whole.0 + at - self.units.len());
            return Some(format!("/units/{whole}/{rest}"));
        }
        if let Some((at, rest)) = element("/requests/") {
            let whole = self.requests.get(at).filter(|at| **at < self.whole.1)?;
            return Some(format!("/requests/{whole}/{rest}"));
        }
        Some(path.to_owned())
    }
}

/// The request without what it says of other centres.
pub(crate) fn at_one_centre(request: &Request, centre_id: &str) -> Request {
    let mut request = request.clone();
    request.minutes.retain(|id, _| id == centre_id);
    request.trip_minutes.retain(|id, _| id == centre_id);
    request.caps.retain(|cap| cap.centre_id == centre_id);
    request.sizes.retain(|size| size.centre_id == centre_id);
    request
}

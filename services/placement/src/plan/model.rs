//! The planning model as an integer programme.
//!
//! For each request and slot a column of animals, with the units of a row beside it; for each request
//! the animals without a place; 0/1 columns only where a row needs them. An indivisible request, and one
//! of a single animal, is 0/1 by itself.

use std::collections::BTreeMap;

use haulout_schemas::vocabulary::Triage;

use super::admit::{Admitted, Task};
use super::building::Builder;
use super::program::Program;
use super::scarce::{Effort, Load, Quota};
use crate::request::Request;

/// What there is to plan, with everything that is shared out.
pub(crate) struct Whole<'a> {
    pub task: &'a Task<'a>,
    pub admitted: &'a Admitted,
    pub quotas: &'a [Quota],
    pub efforts: &'a [Effort],
    pub loads: &'a [Load],
}

/// Requests and arcs that hang together: no row binds them to any other.
#[derive(Debug, Clone, Default)]
pub(crate) struct Part {
    pub requests: Vec<usize>,
    pub arcs: Vec<usize>,
}

/// Columns of an arc.
#[derive(Debug, Clone)]
pub(crate) struct ArcColumns {
    /// Position of its request in the part.
    pub request: usize,
    pub x: usize,
    /// Animals for one of `x`.
    pub step: u32,
    /// Units of a row.
    pub units: Option<usize>,
    pub cap: u32,
    /// 0/1 columns that are one where the arc is used.
    pub ones: Vec<usize>,
    /// The column of all heads of a shared unit.
    pub heads: Option<usize>,
    /// Which of the pairs it belongs to.
    pub pair: usize,
}

/// The programme of a part, and where its columns are.
pub(crate) struct Model {
    pub program: Program,
    /// In the sequence of the part's arcs.
    pub arcs: Vec<ArcColumns>,
    /// In the sequence of the part's requests: column of the unplaced, animals for one of it.
    pub unplaced: Vec<(usize, u32)>,
    pub minutes: Vec<f64>,
    /// Requests, by their position in the part, with a centre that they have arcs to.
    pub pairs: Vec<(usize, usize)>,
    /// The load's column, and what each centre has there: heads, present, arcs of the part.
    pub load: usize,
    pub loads: Vec<(Load, Vec<usize>)>,
}

impl Model {
    /// How many arcs are open: what no better plan can use has been taken out.
    pub fn open(&self) -> usize {
        self.arcs.iter().filter(|columns| self.program.upper[columns.x] > 0.0).count()
    }

    /// What all animals of a pair are counted in: beyond the programme's columns, as it has none for it.
    pub fn heads_of_pair(&self, pair: usize) -> usize {
        self.program.upper.len() + pair
    }
}

/// Frailty weight of a request.
pub(crate) fn weight(task: &Task<'_>, request: &Request) -> u32 {
    let frailty = &task.file.costs.frailty;
    match request.triage {
        Triage::Red => frailty.red,
        Triage::Yellow => frailty.yellow,
        Triage::Green => frailty.green,
    }
}

impl Whole<'_> {
    /// Animals of a request.
    pub fn count(&self, request: usize) -> u32 {
        self.task.requests[request].individual_count
    }

    /// True where it goes to one place or none.
    pub fn undivided(&self, request: usize) -> bool {
        self.task.requests[request].indivisible || self.count(request) == 1
    }

    /// Parts that no row binds together, by requests that may meet in a centre.
    pub fn parts(&self) -> Vec<Part> {
        let requests = self.task.requests.len();
        let mut root: Vec<usize> = (0..requests + self.task.file.view.centres.len()).collect();
        for (request, centre) in self.admitted.pairs.keys() {
            let (one, other) = (find(&mut root, *request), find(&mut root, requests + centre));
            root[one.max(other)] = one.min(other);
        }
        let mut parts: BTreeMap<usize, Part> = BTreeMap::new();
        for request in 0..requests {
            parts.entry(find(&mut root, request)).or_default().requests.push(request);
        }
        for (at, arc) in self.admitted.arcs.iter().enumerate() {
            parts.entry(find(&mut root, arc.request)).or_default().arcs.push(at);
        }
        parts.into_values().collect()
    }

    /// The programme of a part.
    pub fn model(&self, part: &Part) -> Model {
        Builder::new(self, part).built()
    }
}

fn find(root: &mut [usize], mut at: usize) -> usize {
    while root[at] != at {
        root[at] = root[root[at]];
        at = root[at];
    }
    at
}

/// True where two requests may come to one shared water: one batch, or the vet's yes on both sides.
pub(crate) fn may_share_water(one: &Request, other: &Request) -> bool {
    let agrees = |one: &Request, other: &Request| {
        other.batch_id.as_ref().is_some_and(|batch| one.may_redate_batch_ids.contains(batch))
    };
    (one.batch_id.is_some() && one.batch_id == other.batch_id) || (agrees(one, other) && agrees(other, one))
}

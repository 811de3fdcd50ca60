//! A stage by patterns: the bound, then better plans by turns of two kinds, until no more is to be gained
//! or so little is open that the solver has it whole; what no better plan can use is taken out of the
//! programme.

use super::bound::grown;
use super::master::Master;
use super::recreate::recreated;
use crate::plan::answer::StageName;
use crate::plan::improve::{LEAST_SECONDS, SHARE, Search};
use crate::plan::program::Solved;
use crate::plan::solve::{Course, Deadline, proven};

/// Arcs that each request looks at in the search for better plans: those that make it least dearer than
/// at best, at the duals.
const NEAREST: usize = 60;
/// Share of the time that goes into a first search, after which it is seen how much is left open.
const FIRST_SHARE: f64 = 0.03;
/// Arcs that the solver is left with at once, and those beyond which it gets no time.
const FEW_ARCS: usize = 500;
const MANY_ARCS: usize = 20_000;
/// Share of the time left that goes into the search where the solver comes after it.
const SEARCH_SHARE: f64 = 0.7;
/// Share of the time left that a turn has, the seconds that it has at least, and the share of its first
/// half; the other is parts.
const TURN_SHARE: f64 = 0.5;
const TURN_SECONDS: f64 = 2.0;
const RECREATE_SHARE: f64 = 0.6;
/// How much dearer plans may be that are taken on the way, as a share of what a request costs on
/// average; and what becomes of that from turn to turn.
const HOT: f64 = 0.1;
const COOLER: f64 = 0.5;

/// What pricing all requests of a part once takes, about.
pub(crate) fn steps(course: &Course<'_>) -> f64 {
    let arcs = course.model.arcs.iter();
    arcs.map(|columns| {
        let count = course.whole.count(course.part.requests[columns.request]);
        course.model.program.upper[columns.x] * f64::from(count / columns.step)
    })
    .sum()
}

/// Improves the plan at hand, makes the programme smaller, and gives the bound.
///
/// # Errors
/// The solver's own words.
pub(crate) fn search(
    course: &mut Course<'_>,
    name: StageName,
    costs: &[f64],
    deadline: &Deadline,
) -> Result<u64, String> {
    let mut master = Master::of(course, costs)?;
    let objective = course.model.cost(costs, &course.values());
    let growing = Deadline::in_seconds(deadline.left() * SHARE);
    let Some(grown) = grown(&mut master, &course.model, objective, &growing)? else { return Ok(0) };
    // Of an arc's column the reduced cost is how much dearer its request is with it than at best,
    // whatever the number.
    let mut reduced = vec![0.0; course.model.program.upper.len()];
    let dearer = master.dearer(&course.model, &grown.duals);
    for (columns, dearer) in course.model.arcs.iter().zip(&dearer) {
        reduced[columns.x] = *dearer;
    }
    let near = near(course, &dearer);
    let values = Some(master.mixed(&course.model, &grown.relaxed));
    let relaxed = Solved { values, bound: grown.bound, doubtful: false, reduced };
    let mut search = Search { course, name, costs, relaxed: &relaxed, near: Some(&near) };
    let first = Deadline::in_seconds(deadline.left() * FIRST_SHARE);
    search.recreate(&master, &grown.duals, HOT, &first);
    search.take_out();
    // The solver makes little of very many arcs, and everything of few.
    let share = if search.open() > MANY_ARCS { 1.0 } else { SEARCH_SHARE };
    let searching = Deadline::in_seconds(deadline.left() * share);
    let mut heat = HOT;
    while search.open() > FEW_ARCS && !search.best() && searching.left() > LEAST_SECONDS {
        let seconds = (searching.left() * TURN_SHARE).max(TURN_SECONDS).min(searching.left());
        let turn = Deadline::in_seconds(seconds);
        search.recreate(&master, &grown.duals, heat, &Deadline::in_seconds(seconds * RECREATE_SHARE));
        search.parts(&turn)?;
        search.take_out();
        heat *= COOLER;
    }
    Ok(proven(grown.bound))
}

impl Search<'_, '_> {
    fn recreate(&mut self, master: &Master<'_>, duals: &[f64], heat: f64, deadline: &Deadline) {
        if !self.best() {
            let better = recreated(self, master, duals, heat, deadline);
            self.course.take(self.name, self.costs, &better, 0);
        }
    }
}

/// The arcs that each request looks at, the best first.
fn near(course: &Course<'_>, dearer: &[f64]) -> Vec<Vec<usize>> {
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); course.part.requests.len()];
    for (at, columns) in course.model.arcs.iter().enumerate() {
        near[columns.request].push(at);
    }
    for arcs in &mut near {
        arcs.sort_by(|one, other| dearer[*one].total_cmp(&dearer[*other]).then(one.cmp(other)));
        arcs.truncate(NEAREST);
    }
    near
}

//! Large stages before the solver has them whole: a bound from the relaxation, a better plan from parts
//! of it, and what no better plan can use taken out.

use std::collections::HashSet;

use super::answer::StageName;
use super::patterns;
use super::program::{Effort, Solved, Start, minimise};
use super::solve::{Course, Deadline, proven};
use super::start::as_figure;

/// Programmes with fewer columns are solved as they are.
const SMALL: usize = 1500;
/// With less time than this nothing is begun.
pub(crate) const LEAST_SECONDS: f64 = 0.05;
/// Steps of pricing all requests once beyond which patterns take too long: very many animals of one lot.
const MOST_STEPS: f64 = 1e9;
/// Share of the time that goes into parts.
const SHARE: f64 = 0.5;
/// Share of the time that goes into what lies near the relaxation.
const NEAR_SHARE: f64 = 0.25;
/// Seconds for one part.
const PART_SECONDS: f64 = 3.0;
/// Requests that a part leaves free.
const FREE: usize = 24;
/// Parts in a row without a gain, after which no more are tried.
const PATIENCE: usize = 12;

/// Before the solver has the stage of minutes: a bound from the relaxation, over patterns where they are
/// not too many; on the way the plan at hand is improved and the programme made smaller.
///
/// # Errors
/// The solver's own words.
pub(crate) fn before(
    course: &mut Course<'_>,
    name: StageName,
    costs: &[f64],
    deadline: &Deadline,
) -> Result<u64, String> {
    if course.model.program.upper.len() < SMALL || deadline.left() < LEAST_SECONDS {
        return Ok(0);
    }
    if patterns::steps(course) <= MOST_STEPS {
        return patterns::search(course, name, costs, deadline);
    }
    let Some(relaxed) = relaxed(course, costs, deadline)? else { return Ok(0) };
    let mut search = Search { course, name, costs, relaxed: &relaxed };
    search.near_relaxation(deadline.left() * NEAR_SHARE)?;
    search.parts(&Deadline::in_seconds(deadline.left() * SHARE))?;
    search.take_out();
    Ok(proven(relaxed.bound))
}

/// After the solver has had a stage of the unplaced and has not proven it: parts of it once more.
///
/// # Errors
/// The solver's own words.
pub(crate) fn after(
    course: &mut Course<'_>,
    name: StageName,
    costs: &[f64],
    deadline: &Deadline,
) -> Result<u64, String> {
    let Some(relaxed) = relaxed(course, costs, deadline)? else { return Ok(0) };
    let mut search = Search { course, name, costs, relaxed: &relaxed };
    search.parts(deadline)?;
    Ok(proven(relaxed.bound))
}

/// The relaxation of a programme that is worth it.
fn relaxed(course: &Course<'_>, costs: &[f64], deadline: &Deadline) -> Result<Option<Solved>, String> {
    if course.model.program.upper.len() < SMALL || deadline.left() < LEAST_SECONDS {
        return Ok(None);
    }
    let effort = Effort { seconds: deadline.left() * SHARE, whole: false, presolve: true, gap: 0.0 };
    let relaxed = minimise(&course.model.program, &course.fixed, costs, Start::default(), effort)?;
    Ok((relaxed.values.is_some() && relaxed.bound.is_finite()).then_some(relaxed))
}

/// A stage of a part, and its relaxation.
pub(crate) struct Search<'a, 'b> {
    pub course: &'a mut Course<'b>,
    pub name: StageName,
    pub costs: &'a [f64],
    pub relaxed: &'a Solved,
}

impl Search<'_, '_> {
    pub fn now(&self) -> u64 {
        self.course.model.cost(self.costs, &self.course.values())
    }

    /// True when nothing is left to gain.
    pub fn best(&self) -> bool {
        self.now() <= proven(self.relaxed.bound)
    }

    fn wanted(&self, column: usize) -> f64 {
        self.relaxed.values.as_ref().map_or(0.0, |wanted| wanted[column])
    }

    /// Solves with the columns marked as they are, and takes over what is better.
    fn solve_part(&mut self, held: &[bool], seconds: f64, gap: f64) -> Result<bool, String> {
        let values = self.course.values();
        let effort = Effort { seconds, whole: true, presolve: true, gap };
        let start = Start { values: Some(&values), held: Some(held) };
        let solved = minimise(&self.course.model.program, &self.course.fixed, self.costs, start, effort)?;
        let Some(found) = &solved.values else { return Ok(false) };
        let amounts = self.course.model.amounts(found);
        Ok(self.course.take(self.name, self.costs, &amounts, 0))
    }

    /// Columns of the requests that are not free.
    fn held(&self, free: &[bool]) -> Vec<bool> {
        let mut held = vec![false; self.course.model.program.upper.len()];
        for columns in self.course.model.arcs.iter().filter(|columns| !free[columns.request]) {
            held[columns.x] = true;
            let others = columns.units.iter().chain(&columns.ones);
            others.for_each(|column| held[*column] = true);
        }
        held
    }

    /// Solves with the columns that the relaxation uses, and those that cost it least.
    fn near_relaxation(&mut self, seconds: f64) -> Result<(), String> {
        let reduced = &self.relaxed.reduced;
        let mut cheap: Vec<f64> = reduced.iter().copied().filter(|cost| *cost > 1e-6).collect();
        cheap.sort_by(f64::total_cmp);
        let limit = cheap.get(cheap.len() / 20).copied().unwrap_or(f64::INFINITY);
        let values = self.course.values();
        // What is neither used by the relaxation, nor cheap, nor in the plan at hand, stays at nothing.
        let held: Vec<bool> = (0..values.len())
            .map(|at| values[at] == 0.0 && self.wanted(at) < 1e-6 && reduced[at] > limit)
            .collect();
        if !self.best() {
            self.solve_part(&held, seconds, 1e-3)?;
        }
        Ok(())
    }

    /// Solves again with all but some requests as they are, round after round.
    fn parts(&mut self, deadline: &Deadline) -> Result<(), String> {
        let (mut since, mut round) = (0, 0);
        while since < PATIENCE && deadline.left() > PART_SECONDS * 0.2 && !self.best() {
            let free = self.neighbourhood(round);
            round += 1;
            let held = self.held(&free);
            let better = self.solve_part(&held, deadline.left().min(PART_SECONDS), 0.0)?;
            since = if better { 0 } else { since + 1 };
        }
        Ok(())
    }

    /// Requests to leave free: one after another by what they lose against the relaxation, with those who
    /// hold the places that it has for them.
    fn neighbourhood(&self, round: usize) -> Vec<bool> {
        let model = &self.course.model;
        let values = self.course.values();
        let slot = |at: usize| self.course.whole.admitted.arcs[self.course.part.arcs[at]].slot;
        let gap = |column: usize| self.costs[column] * (values[column] - self.wanted(column));
        let mut lost: Vec<f64> = model.unplaced.iter().map(|(column, _)| gap(*column)).collect();
        for columns in &model.arcs {
            lost[columns.request] += gap(columns.x);
        }
        let mut order: Vec<usize> = (0..lost.len()).collect();
        order.sort_by(|one, other| lost[*other].total_cmp(&lost[*one]).then(one.cmp(other)));
        // Rounds begin further down each time, so that all have their turn.
        let turn = round * 5 % order.len().max(1);
        order.rotate_left(turn);
        let mut free = vec![false; lost.len()];
        let mut left = FREE;
        let mut choose = |request: usize| {
            if !free[request] && left > 0 {
                free[request] = true;
                left -= 1;
            }
            left > 0
        };
        for request in order {
            if !choose(request) {
                break;
            }
            let own = model.arcs.iter().enumerate().filter(|(_, columns)| columns.request == request);
            let wants: HashSet<usize> =
                own.filter(|(_, columns)| self.wanted(columns.x) > 1e-6).map(|(at, _)| slot(at)).collect();
            let mut holders = model.arcs.iter().enumerate();
            if holders.any(|(at, columns)| {
                values[columns.x] > 0.5 && wants.contains(&slot(at)) && !choose(columns.request)
            }) {
                break;
            }
        }
        free
    }

    /// Takes out of the programme what no plan as good as the one at hand can use: one of it costs the
    /// relaxation more than lies between. So the bound of what is left is the bound of all.
    pub fn take_out(&mut self) {
        let now = as_figure(self.now());
        let room = now - self.relaxed.bound + (now.abs() * 1e-9).max(1e-3);
        for (upper, reduced) in self.course.model.program.upper.iter_mut().zip(&self.relaxed.reduced) {
            if *reduced > room {
                *upper = 0.0;
            }
        }
    }
}

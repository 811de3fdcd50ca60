//! A stage by patterns: the bound, then plans by dives, then the best choice among the patterns known;
//! at last what no better plan can use is taken out of the programme.

use super::bound::grown;
use super::dive::{Dived, dive};
use super::master::Master;
use crate::plan::answer::StageName;
use crate::plan::improve::{LEAST_SECONDS, NEAR_SHARE, SHARE, Search};
use crate::plan::program::{Effort, Solved, Start, minimise};
use crate::plan::solve::{Course, Deadline, proven};
use crate::plan::start::as_figure;

/// Requests that a dive from nothing leaves to the solver, and one around the plan at hand.
const FEW: usize = 4;
const FEW_AROUND: usize = 6;
/// Seconds for what dives leave open.
const FINISH_SECONDS: f64 = 3.0;
const FINISH_AROUND_SECONDS: f64 = 1.0;
/// Share of the time left that goes into dives around the plan at hand, and into the choice.
const DIVES_SHARE: f64 = 0.25;
const CHOICE_SHARE: f64 = 0.25;
/// Patterns among which the solver can choose in that time.
const MOST_CHOSEN_FROM: usize = 1200;

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
    for (columns, dearer) in course.model.arcs.iter().zip(master.dearer(&course.model, &grown.duals)) {
        reduced[columns.x] = dearer;
    }
    let values = Some(master.mixed(&course.model, &grown.relaxed));
    let relaxed = Solved { values, bound: grown.bound, doubtful: false, reduced };
    let mut search = Search { course, name, costs, relaxed: &relaxed };
    let all = vec![true; search.course.part.requests.len()];
    if !search.best() {
        let diving = Deadline::in_seconds(deadline.left() * SHARE);
        let dived = dive(&mut master, search.course, &all, FEW, &diving)?;
        if !search.finish(&dived, deadline.left().min(FINISH_SECONDS))? {
            search.near_relaxation(deadline.left() * NEAR_SHARE)?;
        }
        search.dives(&mut master, &Deadline::in_seconds(deadline.left() * DIVES_SHARE))?;
        master.learn_plan(&search.course.model, &search.course.amounts)?;
        search.choose(&master, &grown.duals, deadline.left() * CHOICE_SHARE)?;
        search.parts(&Deadline::in_seconds(deadline.left() * SHARE))?;
    }
    search.take_out();
    Ok(proven(relaxed.bound))
}

impl Search<'_, '_> {
    /// Has the solver place those whom a dive left open.
    fn finish(&mut self, dived: &Dived, seconds: f64) -> Result<bool, String> {
        let values = self.course.model.values(self.course.whole, self.course.part, &dived.amounts);
        let held = self.held(&dived.open);
        self.solve_from(&values, &held, seconds, 0.0)
    }

    /// Dives for some requests with the others as they are, round after round, until every request has
    /// had its turn in vain.
    fn dives(&mut self, master: &mut Master<'_>, deadline: &Deadline) -> Result<(), String> {
        let (mut since, mut round) = (0, 0);
        while since < self.course.part.requests.len() && deadline.left() > LEAST_SECONDS && !self.best() {
            let free = self.neighbourhood(round);
            let dived = dive(master, self.course, &free, FEW_AROUND, deadline)?;
            let better = self.finish(&dived, deadline.left().min(FINISH_AROUND_SECONDS))?;
            since = if better { 0 } else { since + 1 };
            round += 1;
        }
        Ok(())
    }

    /// Has the solver choose among the patterns known, where they are few.
    fn choose(&mut self, master: &Master<'_>, duals: &[f64], seconds: f64) -> Result<(), String> {
        if self.best() || seconds < LEAST_SECONDS {
            return Ok(());
        }
        let room = as_figure(self.now()) - self.relaxed.bound + 1.0;
        let choice = master.choice(&self.course.model, duals, room);
        if choice.which.len() > MOST_CHOSEN_FROM {
            return Ok(());
        }
        let chosen = |at: &usize| {
            let pattern = &master.patterns[*at];
            let own = self.course.model.arcs.iter().zip(&self.course.amounts);
            let arcs = own.filter(|(columns, amount)| columns.request == pattern.request && **amount > 0);
            let same = pattern.places.iter().all(|(arc, amount)| self.course.amounts[*arc] == *amount);
            f64::from(u8::from(same && arcs.count() == pattern.places.len()))
        };
        let values: Vec<f64> = choice.which.iter().map(chosen).collect();
        let effort = Effort { seconds, whole: true, presolve: true, gap: 0.0 };
        let start = Start { values: Some(&values), held: None };
        let solved = minimise(&choice.program, &[], &choice.costs, start, effort)?;
        let Some(found) = &solved.values else { return Ok(()) };
        let mut amounts = vec![0; self.course.model.arcs.len()];
        for (_, at) in found.iter().zip(&choice.which).filter(|(value, _)| **value > 0.5) {
            master.patterns[*at].places.iter().for_each(|(arc, amount)| amounts[*arc] = *amount);
        }
        self.course.take(self.name, self.costs, &amounts, 0);
        Ok(())
    }
}

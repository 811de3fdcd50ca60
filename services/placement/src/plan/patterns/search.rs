//! A stage by patterns: the bound, then better plans by turns of two kinds, until no more is to be gained
//! or so little is open that the solver has it whole; what no better plan can use is taken out of the
//! programme.

use super::bound::{Grown, grown};
use super::choice::{Choice, Chosen};
use super::master::Master;
use super::recreate::recreated;
use crate::plan::answer::StageName;
use crate::plan::improve::{LEAST_SECONDS, Search};
use crate::plan::program::Solved;
use crate::plan::solve::{Course, Deadline, proven};
use crate::plan::start::as_figure;

/// Arcs that each request looks at in the search for better plans: those that make it least dearer than
/// at best, at the duals.
const NEAREST: usize = 60;
/// Share of the time that the bound has at most, before a first search and after it.
const BOUND_SHARE: f64 = 0.25;
const BOUND_AFTER_SHARE: f64 = 0.15;
/// Seconds of the first search, by arcs that are open.
const FIRST_SECONDS: f64 = 25e-6;
/// Arcs that the solver is left with at once, and those beyond which it gets no time.
const FEW_ARCS: usize = 500;
pub(crate) const MANY_ARCS: usize = 20_000;
/// Share of the time left that goes into the search where the solver comes after it.
const SEARCH_SHARE: f64 = 0.7;
/// Share of the time left that a turn has, the seconds that it has at least, and the share of its first
/// half; the other is parts.
const TURN_SHARE: f64 = 0.5;
const TURN_SECONDS: f64 = 2.0;
const RECREATE_SHARE: f64 = 0.6;
/// Share of the time left that each choice among patterns has, and the seconds at most.
const CHOICE_SHARE: f64 = 0.15;
const CHOICE_SECONDS: f64 = 5.0;
/// How much dearer than best placings are that are chosen from first, as a share of the bound, and how
/// much more it is each time.
const LEAST_DEARER: f64 = 2e-5;
const DEARER: f64 = 2.0;
/// What is open to the plan, as a share of what it was, when the bound is looked at again.
const NEARER: f64 = 0.5;
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
    let growing = Deadline::in_seconds(deadline.left() * BOUND_SHARE);
    let Some(mut best) = grown(&mut master, course, costs, &growing)? else { return Ok(0) };
    let (near, relaxed) = seen(course, &master, &best);
    let mut search = Search { course, name, costs, relaxed: &relaxed, near: Some(&near) };
    let seconds = as_figure(search.course.model.open() as u64) * FIRST_SECONDS;
    search.recreate(&master, &best.duals, HOT, &Deadline::in_seconds(seconds.min(deadline.left())));
    // A better plan says how much nearer the bound is worth coming, and a nearer bound finds better plans.
    let mut too_many = f64::INFINITY;
    let (near, relaxed) = loop {
        master.learn_plan(&course.model, &course.amounts)?;
        let growing = Deadline::in_seconds(deadline.left() * BOUND_AFTER_SHARE);
        let grown = grown(&mut master, course, costs, &growing)?;
        best = grown.filter(|grown| grown.bound > best.bound).unwrap_or(best);
        best.duals.resize(master.coupled.limits.len(), 0.0);
        let (near, relaxed) = seen(course, &master, &best);
        let mut search = Search { course, name, costs, relaxed: &relaxed, near: Some(&near) };
        match search.choose_from_every(&master, &best.duals, &mut too_many, deadline)? {
            Choosing::Proven => return Ok(search.now()),
            Choosing::Nearer => {}
            Choosing::Ended => break (near, relaxed),
        }
    };
    let mut search = Search { course, name, costs, relaxed: &relaxed, near: Some(&near) };
    search.choose_from_known(&master, &best.duals, deadline)?;
    search.take_out();
    // The solver makes little of very many arcs, and everything of few.
    let share = if search.course.model.open() > MANY_ARCS { 1.0 } else { SEARCH_SHARE };
    let searching = Deadline::in_seconds(deadline.left() * share);
    let mut heat = HOT;
    while search.course.model.open() > FEW_ARCS && !search.best() && searching.left() > LEAST_SECONDS {
        let seconds = (searching.left() * TURN_SHARE).max(TURN_SECONDS).min(searching.left());
        let turn = Deadline::in_seconds(seconds);
        search.recreate(&master, &best.duals, heat, &Deadline::in_seconds(seconds * RECREATE_SHARE));
        search.parts(&turn)?;
        search.take_out();
        let choosing = search.choose_from_every(&master, &best.duals, &mut too_many, deadline)?;
        if matches!(choosing, Choosing::Proven) {
            return Ok(search.now());
        }
        heat *= COOLER;
    }
    Ok(proven(best.bound))
}

/// What came of choosing from every placing near best.
enum Choosing {
    /// The plan is the best.
    Proven,
    /// The plan is so much better that the bound is worth coming nearer first.
    Nearer,
    /// There are too many of them, or choosing takes too long.
    Ended,
}

/// The arcs that each request looks at, and the relaxation as the search sees it.
fn seen(course: &Course<'_>, master: &Master<'_>, grown: &Grown) -> (Vec<Vec<usize>>, Solved) {
    // Of an arc's column the reduced cost is how much dearer its request is with it than at best,
    // whatever the number.
    let mut reduced = vec![0.0; course.model.program.upper.len()];
    let dearer = master.dearer(&course.model, &grown.duals);
    for (columns, dearer) in course.model.arcs.iter().zip(&dearer) {
        reduced[columns.x] = *dearer;
    }
    let values = Some(master.mixed(&course.model, &grown.relaxed));
    (near(course, &dearer), Solved { values, bound: grown.bound, doubtful: false, reduced })
}

impl Search<'_, '_> {
    /// What lies between plan and bound.
    fn open_to_plan(&self) -> f64 {
        as_figure(self.now()) - self.relaxed.bound + (self.relaxed.bound.abs() * 1e-9).max(1e-3)
    }

    fn choose_from_known(
        &mut self,
        master: &Master<'_>,
        duals: &[f64],
        deadline: &Deadline,
    ) -> Result<(), String> {
        let known = Choice::of_known(master, &self.course.model, duals, self.open_to_plan());
        let chosen = known.cheapest(&self.course.model, choice_seconds(deadline))?;
        self.take(chosen.plan.as_deref());
        Ok(())
    }

    /// Chooses from every placing that is a little dearer than best, then from those that are more, until
    /// no better plan can have any that is dearer still. `too_many` is how much dearer they were when they
    /// were too many.
    fn choose_from_every(
        &mut self,
        master: &Master<'_>,
        duals: &[f64],
        too_many: &mut f64,
        deadline: &Deadline,
    ) -> Result<Choosing, String> {
        let at_first = self.open_to_plan();
        let first = too_many.is_infinite();
        let mut dearer = if first { self.relaxed.bound.abs() * LEAST_DEARER } else { f64::INFINITY };
        loop {
            dearer = dearer.min(self.open_to_plan());
            if dearer >= *too_many {
                return Ok(Choosing::Ended);
            }
            let choice = Choice::of_every(master, &self.course.model, duals, dearer);
            let seconds = choice_seconds(deadline);
            let chosen = match &choice {
                Some(choice) if seconds > LEAST_SECONDS => choice.cheapest(&self.course.model, seconds)?,
                _ => Chosen::default(),
            };
            self.take(chosen.plan.as_deref());
            if !chosen.to_the_end {
                *too_many = dearer;
                return Ok(Choosing::Ended);
            }
            // Every plan as good as this one is made up of these.
            if dearer >= self.open_to_plan() {
                let bound = proven(chosen.bound).max(proven(self.relaxed.bound));
                if bound >= self.now() {
                    self.course.every = choice;
                    return Ok(Choosing::Proven);
                }
                *too_many = dearer;
                return Ok(Choosing::Ended);
            }
            if self.open_to_plan() < at_first * NEARER {
                return Ok(Choosing::Nearer);
            }
            dearer *= DEARER;
        }
    }

    fn take(&mut self, plan: Option<&[u32]>) {
        if let Some(plan) = plan {
            self.course.take(self.name, self.costs, plan, 0);
        }
    }

    fn recreate(&mut self, master: &Master<'_>, duals: &[f64], heat: f64, deadline: &Deadline) {
        if !self.best() {
            let better = recreated(self, master, duals, heat, deadline);
            self.take(Some(&better));
        }
    }
}

fn choice_seconds(deadline: &Deadline) -> f64 {
    (deadline.left() * CHOICE_SHARE).min(CHOICE_SECONDS)
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

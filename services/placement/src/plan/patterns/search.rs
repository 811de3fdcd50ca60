//! A stage by patterns: the bound, then better plans in turns, and a nearer bound after each, until no
//! more is to be gained; what no better plan can use is taken out of the programme.

use super::bound::{Grown, grown};
use super::choice::Choice;
use super::dive::dived;
use super::master::Master;
use super::parts::bettered;
use super::places::{self, Places};
use super::scene::Scene;
use crate::plan::answer::StageName;
use crate::plan::improve::{LEAST_SECONDS, Search};
use crate::plan::program::Solved;
use crate::plan::solve::{Course, Deadline, proven};
use crate::plan::start::as_figure;

/// Arcs that each request looks at in the search for better plans: those that make it least dearer than
/// at best, at the duals.
const NEAREST: usize = 60;
/// Share of the time that the bound has at most, at first and after each turn.
const BOUND_SHARE: f64 = 0.25;
const BOUND_AFTER_SHARE: f64 = 0.15;
/// Arcs beyond which the solver gets no time.
pub(crate) const MANY_ARCS: usize = 20_000;
/// Share of the time left that goes into the search where the solver comes after it.
const SEARCH_SHARE: f64 = 0.7;
/// Share of the time left that a turn has, and the seconds that it has at least.
const TURN_SHARE: f64 = 0.6;
const TURN_SECONDS: f64 = 2.0;
/// Requests of a part, at first: half of all, but no fewer and no more than this.
const FEWEST: usize = 3;
const FREE: usize = 30;
/// Share of the time left that each choice among patterns has, and the seconds at most.
const CHOICE_SHARE: f64 = 0.15;
const CHOICE_SECONDS: f64 = 5.0;
/// How much dearer than best placings are that are chosen from first, as a share of the bound, and how
/// much more it is each time.
const LEAST_DEARER: f64 = 2e-5;
const DEARER: f64 = 2.0;
/// The same beyond which a turn comes first, as long as there was none.
const BEFORE_A_TURN: f64 = 1e-3;
/// What is open to the plan, as a share of what it was, when the bound is looked at again.
const NEARER: f64 = 0.5;

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
    // The solver makes little of very many arcs.
    let share = if course.model.open() > MANY_ARCS { 1.0 } else { SEARCH_SHARE };
    let searching = Deadline::in_seconds(deadline.left() * share);
    let requests = course.part.requests.len();
    let mut turns = Turns { dived: false, free: (requests / 2).clamp(FEWEST, FREE) };
    // A better plan says how much nearer the bound is worth coming, and a nearer bound finds better plans.
    loop {
        let (near, relaxed) = seen(course, &master, &best);
        let mut search = Search { course, name, costs, relaxed: &relaxed };
        search.take_out();
        let before = search.now();
        let most = if turns.dived { f64::INFINITY } else { best.bound.abs() * BEFORE_A_TURN };
        if search.choose_from_every(&master, &best.duals, most, &searching)? {
            return Ok(search.now());
        }
        if search.now() == before {
            if turns.ended(&search, &searching) {
                break;
            }
            turns.turn(&mut search, &mut master, &near, &searching)?;
        }
        master.learn_plan(&course.model, &course.amounts)?;
        let growing = Deadline::in_seconds(searching.left() * BOUND_AFTER_SHARE);
        let grown = grown(&mut master, course, costs, &growing)?;
        best = grown.filter(|grown| grown.bound > best.bound).unwrap_or(best);
        best.duals.resize(master.coupled.limits.len(), 0.0);
    }
    Ok(proven(best.bound))
}

/// Turns of a search: the first dives, and each makes parts better, ever larger ones where smaller ones
/// bring nothing more.
struct Turns {
    dived: bool,
    /// Requests of a part.
    free: usize,
}

impl Turns {
    /// Nothing is left to gain, no larger part is left to try, or the time is up.
    fn ended(&self, search: &Search<'_, '_>, searching: &Deadline) -> bool {
        let all = self.free > 2 * search.course.part.requests.len();
        search.best() || self.dived && all || searching.left() < LEAST_SECONDS
    }

    fn turn(
        &mut self,
        search: &mut Search<'_, '_>,
        master: &mut Master<'_>,
        near: &[Vec<usize>],
        searching: &Deadline,
    ) -> Result<(), String> {
        let seconds = (searching.left() * TURN_SHARE).max(TURN_SECONDS).min(searching.left());
        let turn = Deadline::in_seconds(seconds);
        let course = &*search.course;
        let from = if self.dived {
            places::of_plan(&course.model, &course.amounts).into_iter().map(Some).collect()
        } else {
            dived(master, &course.model, &turn)?
        };
        let scene = Scene::of(course, master, near, &from, search.relaxed.bound);
        let better: Option<Vec<Places>> = bettered(&scene, &from, self.free, &turn)?.into_iter().collect();
        if let Some(places) = better {
            let plan = places::plan(&course.model, &places);
            search.course.take(search.name, search.costs, &plan, 0);
        }
        if self.dived && turn.left() > 0.0 {
            self.free += self.free / 2;
        }
        self.dived = true;
        Ok(())
    }
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
    (
        near(course, &dearer),
        Solved { values: None, bound: grown.bound, doubtful: false, failure: None, reduced },
    )
}

impl Search<'_, '_> {
    /// What lies between plan and bound.
    fn open_to_plan(&self) -> f64 {
        as_figure(self.now()) - self.relaxed.bound + (self.relaxed.bound.abs() * 1e-9).max(1e-3)
    }

    /// Chooses from every placing that is a little dearer than best, then from those that are more, until
    /// no better plan can have any that is dearer still, which proves the plan: true then. It ends before
    /// where they would be dearer than `most` or are too many, choosing takes too long, or the plan is so
    /// much better that the bound is worth coming nearer first.
    fn choose_from_every(
        &mut self,
        master: &Master<'_>,
        duals: &[f64],
        most: f64,
        deadline: &Deadline,
    ) -> Result<bool, String> {
        let at_first = self.open_to_plan();
        let mut dearer = self.relaxed.bound.abs() * LEAST_DEARER;
        while self.course.model.open() <= MANY_ARCS && self.open_to_plan() > at_first * NEARER {
            // One step less where the next would be the last.
            if dearer * DEARER >= self.open_to_plan() {
                dearer = self.open_to_plan();
            }
            if dearer > most {
                break;
            }
            let seconds = (deadline.left() * CHOICE_SHARE).min(CHOICE_SECONDS);
            let choice = Choice::of_every(master, &self.course.model, duals, dearer);
            let Some(choice) = choice.filter(|_| seconds > LEAST_SECONDS) else { break };
            let chosen = choice.cheapest(seconds, 0.0)?;
            if let Some(patterns) = &chosen.patterns {
                let plan = choice.plan(&self.course.model, patterns);
                self.course.take(self.name, self.costs, &plan, 0);
            }
            // Every plan as good as this one is made up of these.
            if chosen.to_the_end && dearer >= self.open_to_plan() {
                let proven = proven(chosen.bound).max(proven(self.relaxed.bound)) >= self.now();
                self.course.every = proven.then_some(choice);
                return Ok(proven);
            }
            if !chosen.to_the_end {
                break;
            }
            dearer *= DEARER;
        }
        Ok(false)
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

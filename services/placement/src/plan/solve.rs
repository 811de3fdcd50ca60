//! Stage after stage: unplaced red, yellow and green animals, minutes, the highest load. Each is fixed
//! before the next, and each carries a bound that is proven.

use std::time::{Duration, Instant};

use haulout_schemas::vocabulary::Triage;

use super::answer::{Stage, StageName};
use super::improve;
use super::model::{Model, Part, Whole};
use super::patterns;
use super::program::{Effort, Row, Start, minimise};
use super::scarce::Load;
use super::start::{Amounts, as_count, as_figure};

/// The stages in their order.
pub(crate) const STAGES: [StageName; 5] = [
    StageName::UnplacedRed,
    StageName::UnplacedYellow,
    StageName::UnplacedGreen,
    StageName::Minutes,
    StageName::LoadPerMille,
];

/// Share of the time left that a stage may take: later ones are left something to do.
const SHARE: [f64; 5] = [0.4, 0.4, 0.5, 0.9, 1.0];

/// Share of the time left of the minutes of very many arcs, which have no load stage after them.
const SHARE_OF_MANY: f64 = 0.97;

/// Share of a stage of the unplaced that the solver has by itself; what is left goes into parts of it.
const SOLVER_FIRST: f64 = 0.7;

/// A plan before it is turned into units.
#[derive(Debug, Clone)]
pub(crate) struct Solution {
    /// Animals of each arc.
    pub amounts: Vec<u32>,
    pub stages: Vec<Stage>,
    pub time_limit_reached: bool,
}

/// When to stop.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Deadline {
    end: Instant,
}

impl Deadline {
    pub fn in_seconds(seconds: f64) -> Self {
        let seconds = if seconds.is_finite() { seconds.clamp(0.0, 1e7) } else { 1e7 };
        Self { end: Instant::now() + Duration::from_secs_f64(seconds) }
    }

    pub fn left(&self) -> f64 {
        self.end.saturating_duration_since(Instant::now()).as_secs_f64()
    }
}

/// A part on its way through the stages.
pub(crate) struct Course<'a> {
    pub whole: &'a Whole<'a>,
    pub part: &'a Part,
    pub model: Model,
    /// The best plan so far.
    pub amounts: Amounts,
    /// Rows that hold what earlier stages reached.
    pub fixed: Vec<Row>,
    /// Patterns of every plan that costs no more minutes than the one at hand, where they are few.
    pub every: Option<patterns::Choice>,
}

/// What a stage of a part came to.
pub(crate) struct Reached {
    pub objective: u64,
    pub bound: u64,
}

/// Solves every stage.
///
/// # Errors
/// The solver's own words.
pub(crate) fn solved(whole: &Whole<'_>, seconds: f64, stages: usize) -> Result<Solution, String> {
    let deadline = Deadline::in_seconds(seconds);
    let parts = whole.parts();
    let mut courses: Vec<Course<'_>> = parts.iter().map(|part| Course::of(whole, part)).collect();
    // Nobody goes to a centre without arcs: its load is what it is.
    let standing = whole.loads.iter().map(|load| (load.present * 1000).div_ceil(load.heads));
    let mut highest = standing.max().unwrap_or(0);
    let mut solution = Solution { amounts: Vec::new(), stages: Vec::new(), time_limit_reached: false };
    for (at, name) in STAGES.into_iter().enumerate().take(stages) {
        let (mut objective, mut bound) = (0, 0);
        if name == StageName::LoadPerMille {
            (objective, bound) = (highest, highest);
        }
        let many = courses.iter().any(|course| course.model.open() > patterns::MANY_ARCS);
        let share = if many && name == StageName::Minutes { SHARE_OF_MANY } else { SHARE[at] };
        let stage = Deadline::in_seconds(deadline.left() * share);
        let weights: Vec<usize> = courses.iter().map(|course| course.part.arcs.len() + 1).collect();
        for (of, course) in courses.iter_mut().enumerate() {
            // Time by size, and what one does not need the next may have.
            let rest: usize = weights[of..].iter().sum();
            #[allow(clippy::cast_precision_loss)]
            let share = weights[of] as f64 / rest as f64;
            let reached = course.stage(name, stage.left() * share, highest)?;
            if name == StageName::LoadPerMille {
                objective = objective.max(reached.objective);
                bound = bound.max(reached.bound);
                highest = objective;
            } else {
                objective += reached.objective;
                bound += reached.bound;
            }
        }
        solution.time_limit_reached |= bound < objective;
        solution.stages.push(Stage { name, objective, bound, gap: gap(objective, bound) });
    }
    solution.amounts = vec![0; whole.admitted.arcs.len()];
    for course in &courses {
        for (arc, amount) in course.part.arcs.iter().zip(&course.amounts) {
            solution.amounts[*arc] = *amount;
        }
    }
    Ok(solution)
}

/// What lies between objective and bound, as a share of the objective.
fn gap(objective: u64, bound: u64) -> f64 {
    if bound >= objective { 0.0 } else { as_figure(objective - bound) / as_figure(objective) }
}

impl<'a> Course<'a> {
    pub fn of(whole: &'a Whole<'a>, part: &'a Part) -> Self {
        let model = whole.model(part);
        let first = model.first(whole, part);
        let fits = model.holds(&model.values(whole, part, &first));
        let amounts = if fits { first } else { vec![0; part.arcs.len()] };
        Self { whole, part, model, amounts, fixed: Vec::new(), every: None }
    }

    /// The plan so far as values.
    pub fn values(&self) -> Vec<f64> {
        self.model.values(self.whole, self.part, &self.amounts)
    }

    fn costs(&self, name: StageName) -> Vec<f64> {
        let colour = match name {
            StageName::Minutes => return self.model.minutes.clone(),
            StageName::LoadPerMille => {
                let mut costs = vec![0.0; self.model.program.upper.len()];
                costs[self.model.load] = 1.0;
                return costs;
            }
            StageName::UnplacedRed => Triage::Red,
            StageName::UnplacedYellow => Triage::Yellow,
            StageName::UnplacedGreen => Triage::Green,
        };
        let mut costs = vec![0.0; self.model.program.upper.len()];
        for (request, (column, step)) in self.part.requests.iter().zip(&self.model.unplaced) {
            if self.whole.task.requests[*request].triage == colour {
                costs[*column] = f64::from(*step);
            }
        }
        costs
    }

    pub fn stage(&mut self, name: StageName, seconds: f64, least: u64) -> Result<Reached, String> {
        let costs = self.costs(name);
        if name == StageName::LoadPerMille && !self.model.loads.is_empty() {
            // Centres of other parts set a level below which nothing is gained here.
            self.fixed.push(Row::at_least(as_figure(least), vec![(self.model.load, 1.0)]));
        }
        let trivial = self.trivial_bound(name, least);
        let now = self.objective(name, &costs, least);
        let reached = if now <= trivial {
            Reached { objective: now, bound: now }
        } else {
            self.solve(name, &costs, seconds, least, trivial)?
        };
        self.fix(name, &costs, reached.objective);
        Ok(reached)
    }

    fn objective(&self, name: StageName, costs: &[f64], least: u64) -> u64 {
        match name {
            StageName::LoadPerMille => self.model.highest_load(&self.amounts, least),
            _ => self.model.cost(costs, &self.values()),
        }
    }

    /// What no plan goes below, without solving.
    fn trivial_bound(&self, name: StageName, least: u64) -> u64 {
        match name {
            StageName::LoadPerMille => {
                let loads = self.model.loads.iter().map(|(load, _)| load);
                let highest = loads.clone().map(|load| (load.present * 1000).div_ceil(load.heads)).max();
                highest.unwrap_or(0).max(self.average_load(loads)).max(least)
            }
            _ => 0,
        }
    }

    /// What the centres come to on average, where every place counts: one of them is no lower.
    fn average_load<'b>(&self, loads: impl Iterator<Item = &'b Load> + Clone) -> u64 {
        let counted: usize = self.model.loads.iter().map(|(_, arcs)| arcs.len()).sum();
        let heads: u64 = loads.clone().map(|load| load.heads).sum();
        if counted < self.amounts.len() || heads == 0 {
            return 0;
        }
        // No plan that keeps what earlier stages reached places fewer.
        let placed: u64 = self.amounts.iter().map(|amount| u64::from(*amount)).sum();
        ((loads.map(|load| load.present).sum::<u64>() + placed) * 1000).div_ceil(heads)
    }

    fn solve(
        &mut self,
        name: StageName,
        costs: &[f64],
        seconds: f64,
        least: u64,
        trivial: u64,
    ) -> Result<Reached, String> {
        let whole_stage = Deadline::in_seconds(seconds);
        let unplaced = !matches!(name, StageName::Minutes | StageName::LoadPerMille);
        let deadline = if unplaced { Deadline::in_seconds(seconds * SOLVER_FIRST) } else { whole_stage };
        let mut bound = trivial;
        if name == StageName::Minutes {
            bound = bound.max(improve::before(self, name, costs, &deadline)?);
        }
        if name == StageName::LoadPerMille {
            bound = bound.max(self.lightest(costs, least, &deadline)?);
        }
        let mut objective = self.objective(name, costs, least);
        // Of very many arcs the solver makes nothing in the time that is left for the load.
        if name == StageName::LoadPerMille && self.model.open() > patterns::MANY_ARCS {
            return Ok(Reached { objective, bound: bound.min(objective) });
        }
        // Where the solver's word is doubtful it is asked again, cold; then without its simplifications.
        // The plan at hand is a solution, so there is one.
        for (started, presolve) in [(true, true), (false, true), (false, false)] {
            if bound >= objective || deadline.left() < improve::LEAST_SECONDS {
                break;
            }
            let mut values = self.values();
            if name == StageName::LoadPerMille {
                values[self.model.load] = as_figure(objective);
            }
            let effort = Effort { seconds: deadline.left(), whole: true, presolve, gap: 0.0 };
            let start = Start { values: started.then_some(values.as_slice()), held: None };
            let solved = minimise(&self.model.program, &self.fixed, costs, start, effort)?;
            if let (Some(words), false) = (solved.failure, presolve) {
                return Err(words);
            }
            if let Some(values) = &solved.values {
                self.take(name, costs, &self.model.amounts(values), least);
            }
            objective = self.objective(name, costs, least);
            if !solved.doubtful {
                bound = bound.max(proven(solved.bound));
                break;
            }
        }
        if unplaced && bound < objective {
            bound = bound.max(improve::after(self, name, costs, &whole_stage)?);
            objective = self.objective(name, costs, least);
        }
        Ok(Reached { objective, bound: bound.min(objective) })
    }

    /// The load stage over the patterns of every plan of these minutes, where they are known.
    fn lightest(&mut self, costs: &[f64], least: u64, deadline: &Deadline) -> Result<u64, String> {
        let Some(every) = &self.every else { return Ok(0) };
        let minutes = as_figure(self.model.cost(&self.model.minutes, &self.values())) + 0.4;
        let lightest = every.lightest(&self.model, minutes, least, deadline.left())?;
        if let Some(patterns) = &lightest.patterns {
            let plan = every.plan(&self.model, patterns);
            self.take(StageName::LoadPerMille, costs, &plan, least);
        }
        Ok(proven(lightest.bound))
    }

    /// Takes a plan over where it holds, keeps what earlier stages reached, and is better.
    pub fn take(&mut self, name: StageName, costs: &[f64], amounts: &[u32], least: u64) -> bool {
        let values = self.model.values(self.whole, self.part, amounts);
        let keeps = self.fixed.iter().all(|row| {
            let sum: f64 = row.terms.iter().map(|(column, factor)| factor * values[*column]).sum();
            // What is a level for the load is no matter of the plan.
            row.lower.is_finite() || sum <= row.upper + 1e-6
        });
        if !keeps || !self.model.holds(&values) {
            return false;
        }
        let before = self.objective(name, costs, least);
        let old = std::mem::replace(&mut self.amounts, amounts.to_vec());
        if self.objective(name, costs, least) < before {
            return true;
        }
        self.amounts = old;
        false
    }

    fn fix(&mut self, name: StageName, costs: &[f64], objective: u64) {
        let terms: Vec<(usize, f64)> = costs
            .iter()
            .enumerate()
            .filter(|(_, cost)| **cost != 0.0)
            .map(|(at, cost)| (at, *cost))
            .collect();
        if terms.is_empty() {
            return;
        }
        match name {
            StageName::LoadPerMille => {}
            // The objective is whole, so a little more than it is still no other plan; without the
            // little the solver may find that there is none.
            StageName::Minutes => self.fixed.push(Row::at_most(as_figure(objective) + 0.4, terms)),
            _ if objective == 0 => {
                for (column, _) in terms {
                    self.model.program.upper[column] = 0.0;
                }
            }
            _ => self.fixed.push(Row::at_most(as_figure(objective) + 0.01, terms)),
        }
    }
}

/// The solver's bound as a whole number: rounded up, as objectives are whole, with room for its own
/// rounding.
pub(crate) fn proven(bound: f64) -> u64 {
    if !bound.is_finite() {
        return 0;
    }
    let hair = (bound.abs() * 1e-9).max(1e-4);
    as_count((bound - hair).ceil().max(0.0))
}

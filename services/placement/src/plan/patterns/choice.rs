//! The best plan that patterns make up. Where every one that a better plan may have is among them, a plan
//! is proven the best so, and so is the lowest load beside its minutes.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use super::master::Master;
use super::mixture::Pattern;
use super::places;
use crate::plan::model::Model;
use crate::plan::program::{Effort, Program, Row, Start, minimise};
use crate::plan::solve::proven;
use crate::plan::start::{Amounts, as_count, as_figure};

/// Placings that are written down at most, and patterns that are chosen from where many are alike.
const MOST_PLACINGS: usize = 500_000;
const MOST_PATTERNS: usize = 20_000;

/// Of rows or centres, what a pattern takes.
type Counts = Vec<(usize, u64)>;

/// What a choice came to.
#[derive(Default)]
pub(crate) struct Chosen {
    /// Which of the patterns it is made up of.
    pub patterns: Option<Vec<usize>>,
    /// What no choice goes below.
    pub bound: f64,
    /// The plan is the best choice, or there is none.
    pub to_the_end: bool,
}

/// Patterns to choose from, one for each request.
pub(crate) struct Choice {
    requests: usize,
    pub patterns: Vec<Pattern>,
    /// Of each row that they could break: what is there.
    limits: Vec<(usize, f64)>,
}

impl Choice {
    /// Of patterns within limits.
    pub fn within(requests: usize, limits: &[f64], patterns: Vec<Pattern>) -> Self {
        let mut most: HashMap<(usize, usize), f64> = HashMap::new();
        for pattern in &patterns {
            for (row, sum) in &pattern.takes {
                let most = most.entry((*row, pattern.request)).or_default();
                *most = most.max(*sum);
            }
        }
        let mut sums = vec![0.0; limits.len()];
        most.into_iter().for_each(|((row, _), most)| sums[row] += most);
        let limits = limits.iter().copied().enumerate();
        let limits = limits.filter(|(row, limit)| sums[*row] > *limit + 1e-6).collect();
        Self { requests, patterns, limits }
    }

    /// Of every placing that makes its request no dearer than best by more than this, at the duals: what
    /// lies between plan and bound. Of those that take the same and go to the same centres one is enough.
    /// None where there are too many.
    pub fn of_every(master: &Master<'_>, model: &Model, duals: &[f64], within: f64) -> Option<Self> {
        let mut patterns = Vec::new();
        let every = master.every(model, duals, within, MOST_PLACINGS)?;
        for (request, placings) in every.into_iter().enumerate() {
            let mut alike: HashMap<(Counts, Counts), Pattern> = HashMap::new();
            for places in placings {
                let pattern = master.pattern(model, request, places);
                let takes = pattern.takes.iter().map(|(row, sum)| (*row, sum.to_bits())).collect();
                match alike.entry((takes, by_centre(model, &pattern))) {
                    Entry::Occupied(mut held) if held.get().cost > pattern.cost => {
                        held.insert(pattern);
                    }
                    Entry::Occupied(_) => {}
                    Entry::Vacant(place) => {
                        place.insert(pattern);
                    }
                }
            }
            let mut alike: Vec<Pattern> = alike.into_values().collect();
            alike.sort_by(|one, other| one.places.cmp(&other.places));
            patterns.extend(alike);
            if patterns.len() > MOST_PATTERNS {
                return None;
            }
        }
        Some(Self::within(master.placings.len(), &master.coupled.limits, patterns))
    }

    /// A column for each pattern, of which each request has one, within all rows.
    fn program(&self) -> Program {
        let mut program = Program::default();
        let mut one_of: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.requests];
        let mut takes: HashMap<usize, Vec<(usize, f64)>> = HashMap::new();
        for pattern in &self.patterns {
            let column = program.column(1.0);
            one_of[pattern.request].push((column, 1.0));
            for (row, sum) in &pattern.takes {
                takes.entry(*row).or_default().push((column, *sum));
            }
        }
        one_of.into_iter().for_each(|terms| program.row(Row::exactly(1.0, terms)));
        for (row, limit) in &self.limits {
            // A little more than there is takes nothing in that does not fit: what is taken is whole, or
            // a row that others hold up.
            program.row(Row::at_most(*limit + 1e-6, takes.remove(row).unwrap_or_default()));
        }
        program
    }

    fn costs(&self) -> Vec<f64> {
        self.patterns.iter().map(|pattern| pattern.cost).collect()
    }

    /// The plan of the lowest costs, or one that is no dearer than that by more than so much of it.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn cheapest(&self, seconds: f64, gap: f64) -> Result<Chosen, String> {
        self.chosen(&self.program(), &self.costs(), seconds, gap)
    }

    /// The plan that some of the patterns make up.
    pub fn plan(&self, model: &Model, patterns: &[usize]) -> Amounts {
        places::plan(model, patterns.iter().map(|at| &self.patterns[*at].places))
    }

    /// The plan of the lowest load of a centre among those that cost no more than this.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn lightest(&self, model: &Model, most: f64, least: u64, seconds: f64) -> Result<Chosen, String> {
        let mut program = self.program();
        let costs = self.costs().into_iter().enumerate().collect();
        program.row(Row::at_most(most, costs));
        let load = program.column(model.program.upper[model.load]);
        program.row(Row::at_least(as_figure(least), vec![(load, 1.0)]));
        let mut there: HashMap<usize, Vec<(usize, f64)>> = HashMap::new();
        for (column, pattern) in self.patterns.iter().enumerate() {
            for (centre, heads) in by_centre(model, pattern) {
                there.entry(centre).or_default().push((column, -1000.0 * as_figure(heads)));
            }
        }
        for (of, _) in &model.loads {
            let mut terms = there.remove(&of.centre).unwrap_or_default();
            terms.push((load, as_figure(of.heads)));
            program.row(Row::at_least(1000.0 * as_figure(of.present), terms));
        }
        let mut costs = vec![0.0; program.upper.len()];
        costs[load] = 1.0;
        self.chosen(&program, &costs, seconds, 0.0)
    }

    fn chosen(&self, program: &Program, costs: &[f64], seconds: f64, gap: f64) -> Result<Chosen, String> {
        let effort = Effort { seconds, whole: true, presolve: true, gap };
        let solved = minimise(program, &[], costs, Start::default(), effort)?;
        let bound = if solved.doubtful { f64::NEG_INFINITY } else { solved.bound };
        let Some(values) = &solved.values else {
            return Ok(Chosen { bound, to_the_end: solved.doubtful, ..Chosen::default() });
        };
        let cost: f64 = values.iter().zip(costs).map(|(value, cost)| value * cost).sum();
        let taken = (0..self.patterns.len()).filter(|at| values[*at] > 0.5).collect();
        let to_the_end = proven(bound) >= as_count(cost);
        Ok(Chosen { patterns: Some(taken), bound, to_the_end })
    }
}

/// How many animals of a pattern go to which centre.
fn by_centre(model: &Model, pattern: &Pattern) -> Counts {
    let mut heads = Counts::new();
    for (arc, animals) in &pattern.places {
        let (_, centre) = model.pairs[model.arcs[*arc].pair];
        match heads.iter_mut().find(|(of, _)| *of == centre) {
            Some((_, heads)) => *heads += u64::from(*animals),
            None => heads.push((centre, u64::from(*animals))),
        }
    }
    heads.sort_unstable();
    heads
}

//! The relaxation over patterns: each request has one pattern or a mixture of some, and what they share
//! out holds. It knows some patterns only; pricing finds those that it lacks.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::atomic::AtomicUsize;

use rayon::prelude::*;

use super::coupled::{Coupled, Cut, Prices, Terms, values};
use super::pools::{Pool, pools};
use super::pricing::{Places, Placings, Priced};
use super::shares::{Share, shares};
use crate::plan::growing::{Growing, Relaxed};
use crate::plan::model::{Model, Part, Whole};
use crate::plan::solve::Course;

/// What no pattern at all costs a request, above the dearest that there is: patterns that fit stand in
/// for it as soon as there are any.
const NOWHERE: f64 = 4.0;

/// A request's whole placing.
#[derive(Debug, Clone)]
pub(crate) struct Pattern {
    pub request: usize,
    /// Arcs of the part, with animals; what is not in them has no place.
    pub places: Places,
    /// What it takes of each row.
    pub takes: Vec<(usize, f64)>,
    pub cost: f64,
}

/// The relaxation, with the patterns known.
pub(crate) struct Master<'a> {
    whole: &'a Whole<'a>,
    part: &'a Part,
    pub costs: &'a [f64],
    pub coupled: Coupled,
    /// By centre.
    pub shares: BTreeMap<usize, Vec<Share>>,
    pub pools: Vec<Pool<'a>>,
    /// Of each row, which of the relaxation's it is: rows that nobody has met are left out of it.
    rows: Vec<Option<usize>>,
    pub placings: Vec<Placings>,
    /// By arc, the most that it can take.
    room: Vec<u32>,
    /// In the sequence of the relaxation's columns, after one for each request that has none.
    pub patterns: Vec<Pattern>,
    known: HashSet<(usize, Places)>,
    pub relaxation: Growing,
}

impl<'a> Master<'a> {
    /// With the patterns of the plan at hand.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn of(course: &Course<'a>, costs: &'a [f64]) -> Result<Self, String> {
        let mut coupled = Coupled::of(&course.model, &course.fixed);
        let shares = shares(course.whole, course.part, &course.model);
        coupled.within(&shares);
        let placings = Placings::of_all(course.whole, course.part, &course.model, |_| true);
        let requests = course.part.requests.len();
        let mut master = Self {
            whole: course.whole,
            part: course.part,
            costs,
            relaxation: Growing::of(requests)?,
            rows: vec![None; coupled.limits.len()],
            room: coupled.room(&course.model),
            coupled,
            shares,
            pools: pools(course.whole, course.part, &course.model),
            placings,
            patterns: Vec::new(),
            known: HashSet::new(),
        };
        for request in 0..requests {
            let nowhere = master.nowhere(&course.model, request);
            master.relaxation.add(nowhere, &[(request, 1.0)])?;
        }
        master.learn_plan(&course.model, &course.amounts)?;
        Ok(master)
    }

    /// Learns the patterns of a plan.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn learn_plan(&mut self, model: &Model, amounts: &[u32]) -> Result<(), String> {
        let mut placed: Vec<Places> = vec![Vec::new(); self.part.requests.len()];
        for (at, amount) in amounts.iter().enumerate().filter(|(_, amount)| **amount > 0) {
            placed[model.arcs[at].request].push((at, *amount));
        }
        for (request, places) in placed.into_iter().enumerate() {
            self.learn(model, request, places)?;
        }
        Ok(())
    }

    /// What it costs that a request has no pattern.
    fn nowhere(&self, model: &Model, request: usize) -> f64 {
        let own = model.arcs.iter().filter(|columns| columns.request == request);
        let dearest = own.map(|columns| self.costs[columns.x] / f64::from(columns.step)).fold(1.0, f64::max);
        let count = self.whole.count(self.part.requests[request]);
        let fixed = f64::from(self.whole.task.file.costs.fixed_minutes);
        NOWHERE * (dearest + fixed) * f64::from(count)
    }

    /// Adds a pattern; false where it is known.
    ///
    /// # Errors
    /// The solver's own words.
    fn learn(&mut self, model: &Model, request: usize, mut places: Places) -> Result<bool, String> {
        places.sort_unstable();
        let key = (request, places);
        if self.known.contains(&key) {
            return Ok(false);
        }
        let pattern = self.pattern(model, request, key.1.clone());
        self.known.insert(key);
        let mut terms = vec![(request, 1.0)];
        terms.extend(pattern.takes.iter().filter_map(|(row, sum)| Some((self.rows[*row]?, *sum))));
        self.relaxation.add(pattern.cost, &terms)?;
        self.patterns.push(pattern);
        Ok(true)
    }

    /// A placing as a pattern.
    pub fn pattern(&self, model: &Model, request: usize, places: Places) -> Pattern {
        let values = self.values(model, request, &places);
        let cost = values.iter().map(|(column, value)| self.costs[*column] * value).sum();
        Pattern { request, takes: self.coupled.all_sums(&values), places, cost }
    }

    /// Learns patterns; false where it knew all of them.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn learn_all(&mut self, model: &Model, priced: Vec<Priced>) -> Result<bool, String> {
        let mut learnt = false;
        for (request, one) in priced.into_iter().enumerate() {
            learnt |= one.price.is_finite() && self.learn(model, request, one.places)?;
        }
        Ok(learnt)
    }

    /// A relaxation as values of the programme's columns.
    pub fn mixed(&self, model: &Model, relaxed: &Relaxed) -> Vec<f64> {
        let mut mixed = vec![0.0; model.program.upper.len()];
        let weights = &relaxed.columns[self.placings.len()..];
        for (pattern, weight) in self.patterns.iter().zip(weights).filter(|(_, weight)| **weight > 0.0) {
            for (column, value) in self.values(model, pattern.request, &pattern.places) {
                mixed[column] += weight * value;
            }
        }
        mixed
    }

    /// A pattern's columns of the programme that are not zero.
    pub fn values(&self, model: &Model, request: usize, places: &[(usize, u32)]) -> Vec<(usize, f64)> {
        let count = self.whole.count(self.part.requests[request]);
        values(model, request, count, places)
    }

    /// Adds the rows that a relaxation does not keep; false where it keeps all.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn tighten(&mut self, relaxed: &Relaxed) -> Result<bool, String> {
        let requests = self.placings.len();
        let mut sums = vec![0.0; self.rows.len()];
        let weights = &relaxed.columns[requests..];
        for (pattern, weight) in self.patterns.iter().zip(weights).filter(|(_, weight)| **weight > 0.0) {
            pattern.takes.iter().for_each(|(row, sum)| sums[*row] += weight * sum);
        }
        let broken: Vec<usize> = (0..sums.len())
            .filter(|row| self.rows[*row].is_none() && sums[*row] > self.coupled.limits[*row] + 1e-6)
            .collect();
        let mut terms: HashMap<usize, Vec<(usize, f64)>> =
            broken.iter().map(|row| (*row, Vec::new())).collect();
        for (at, pattern) in self.patterns.iter().enumerate() {
            for (row, sum) in &pattern.takes {
                if let Some(terms) = terms.get_mut(row) {
                    terms.push((requests + at, *sum));
                }
            }
        }
        for row in &broken {
            self.rows[*row] = Some(self.relaxation.limit(self.coupled.limits[*row], &terms[row])?);
        }
        Ok(!broken.is_empty())
    }

    /// Patterns that a relaxation uses or that are little dearer than those, with their weight and how
    /// much dearer.
    pub fn near(&self, relaxed: &Relaxed, within: f64) -> impl Iterator<Item = (&Pattern, f64, f64)> {
        let requests = self.placings.len();
        let (weights, dearer) = (&relaxed.columns[requests..], &relaxed.reduced[requests..]);
        let patterns = self.patterns.iter().zip(weights).zip(dearer);
        let patterns = patterns.map(|((pattern, weight), dearer)| (pattern, *weight, dearer.max(0.0)));
        patterns.filter(move |(_, weight, dearer)| *weight > 1e-9 || *dearer < within)
    }

    /// Adds rows that every plan keeps.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn cut(&mut self, model: &Model, cuts: Vec<Cut>) -> Result<(), String> {
        let before = self.coupled.limits.len();
        cuts.into_iter().for_each(|cut| self.coupled.add(cut, false));
        let after = self.coupled.limits.len();
        let mut terms: Vec<Vec<(usize, f64)>> = vec![Vec::new(); after - before];
        for at in 0..self.patterns.len() {
            let Pattern { request, places, .. } = &self.patterns[at];
            let takes = self.coupled.all_sums(&self.values(model, *request, places));
            for (row, sum) in takes.iter().filter(|(row, _)| *row >= before) {
                terms[row - before].push((self.placings.len() + at, *sum));
            }
            self.patterns[at].takes = takes;
        }
        for (row, terms) in (before..after).zip(terms) {
            self.rows.push(Some(self.relaxation.limit(self.coupled.limits[row], &terms)?));
        }
        Ok(())
    }

    /// The prices of a relaxation's duals, those of the wrong sign and of rows left out taken as none.
    pub fn duals(&self, relaxed: &Relaxed) -> Vec<f64> {
        let dual = |row: &Option<usize>| row.and_then(|row| relaxed.duals.get(row)).copied().unwrap_or(0.0);
        self.rows.iter().map(|row| dual(row).min(0.0)).collect()
    }

    /// The best pattern of each request at the duals, and Lagrange's bound: what the requests cost at
    /// best when they pay for what they share out, less what all of it is worth. No plan costs less,
    /// whatever the duals are, as long as none is above zero.
    pub fn lagrange(&self, model: &Model, duals: &[f64]) -> (Vec<Priced>, f64) {
        let best = self.best(model, duals);
        let paid: f64 = self.coupled.limits.iter().zip(duals).map(|(limit, dual)| limit * dual).sum();
        let bound = best.iter().map(|one| one.price).sum::<f64>() + paid;
        (best, bound)
    }

    fn terms<'b>(&'b self, model: &'b Model, prices: &'b Prices) -> Terms<'b> {
        let (coupled, left) = (&self.coupled, self.coupled.limits.as_slice());
        Terms { model, coupled, prices, left, room: Some(&self.room), fewer: &[] }
    }

    /// The best pattern of each request at the duals, by itself within each row.
    pub fn best(&self, model: &Model, duals: &[f64]) -> Vec<Priced> {
        let prices = self.coupled.prices(self.costs, duals);
        let terms = self.terms(model, &prices);
        self.placings.par_iter().map(|one| one.best(&terms)).collect()
    }

    /// Of each request every placing that is no dearer than best by more than this, at the duals; none
    /// where there are more than `most` in all.
    pub fn every(&self, model: &Model, duals: &[f64], dearer: f64, most: usize) -> Option<Vec<Vec<Places>>> {
        let prices = self.coupled.prices(self.costs, duals);
        let terms = self.terms(model, &prices);
        let allowed = AtomicUsize::new(most);
        let placings = self.placings.par_iter();
        placings.map(|one| one.within(&terms, one.best(&terms).price + dearer, &allowed)).collect()
    }

    /// For each arc how much dearer than best its request is with it, at the duals.
    pub fn dearer(&self, model: &Model, duals: &[f64]) -> Vec<f64> {
        let prices = self.coupled.prices(self.costs, duals);
        let terms = self.terms(model, &prices);
        let placings = self.placings.par_iter();
        let found: Vec<Vec<(usize, f64)>> = placings
            .map(|one| {
                let best = one.best(&terms).price;
                one.using(&terms).into_iter().map(|(at, price)| (at, price - best)).collect()
            })
            .collect();
        let mut dearer = vec![0.0; model.arcs.len()];
        for (at, more) in found.into_iter().flatten() {
            dearer[at] = more;
        }
        dearer
    }
}

//! All requests of a stage: their mixture of patterns, what they share out, and the pricing that finds
//! patterns which the mixture lacks.

use std::collections::BTreeMap;
use std::sync::atomic::AtomicUsize;

use rayon::prelude::*;

use super::coupled::{Coupled, Cut, Prices, Terms, values};
use super::mixture::{Mixture, Pattern};
use super::places::{self, Places};
use super::pools::{Pool, pools};
use super::pricing::{Placings, Priced};
use super::shares::{Share, shares};
use crate::plan::model::{Model, Part, Whole};
use crate::plan::solve::Course;

/// What no pattern at all costs a request, above the dearest that there is: patterns that fit stand in
/// for it as soon as there are any.
const NOWHERE: f64 = 4.0;

/// The relaxation, and what patterns are priced by.
pub(crate) struct Master<'a> {
    whole: &'a Whole<'a>,
    part: &'a Part,
    pub costs: &'a [f64],
    pub coupled: Coupled,
    /// By centre.
    pub shares: BTreeMap<usize, Vec<Share>>,
    pub pools: Vec<Pool<'a>>,
    pub placings: Vec<Placings>,
    /// By request, what it costs that it has no pattern.
    pub nowhere: Vec<f64>,
    /// By arc, the most that it can take.
    room: Vec<u32>,
    pub mixture: Mixture,
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
        let nowhere = nowhere(course, costs);
        let mut master = Self {
            whole: course.whole,
            part: course.part,
            costs,
            mixture: Mixture::of(coupled.limits.clone(), nowhere.clone())?,
            room: coupled.room(&course.model),
            coupled,
            shares,
            pools: pools(course.whole, course.part, &course.model),
            placings,
            nowhere,
        };
        master.learn_plan(&course.model, &course.amounts)?;
        Ok(master)
    }

    /// Learns the patterns of a plan.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn learn_plan(&mut self, model: &Model, amounts: &[u32]) -> Result<(), String> {
        for (request, places) in places::of_plan(model, amounts).into_iter().enumerate() {
            self.learn(model, request, places)?;
        }
        Ok(())
    }

    /// Adds a pattern; false where it is known.
    ///
    /// # Errors
    /// The solver's own words.
    fn learn(&mut self, model: &Model, request: usize, mut places: Places) -> Result<bool, String> {
        places.sort_unstable();
        let count = self.whole.count(self.part.requests[request]);
        let (coupled, costs) = (&self.coupled, self.costs);
        self.mixture.learn(request, places, |places| coupled.pattern(model, costs, request, count, places))
    }

    /// A placing as a pattern.
    pub fn pattern(&self, model: &Model, request: usize, places: Places) -> Pattern {
        let count = self.whole.count(self.part.requests[request]);
        self.coupled.pattern(model, self.costs, request, count, places)
    }

    /// Learns patterns of requests; false where it knew all of them.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn learn_all(
        &mut self,
        model: &Model,
        priced: impl IntoIterator<Item = (usize, Priced)>,
    ) -> Result<bool, String> {
        let mut learnt = false;
        for (request, one) in priced {
            learnt |= one.price.is_finite() && self.learn(model, request, one.places)?;
        }
        Ok(learnt)
    }

    /// Learns the best patterns of some requests at the duals, each arc by itself within what is left;
    /// false where it knew all of them.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn learn_within(
        &mut self,
        model: &Model,
        duals: &[f64],
        requests: &[usize],
        left: &[f64],
    ) -> Result<bool, String> {
        let prices = self.coupled.prices(self.costs, duals);
        let terms = Terms { model, coupled: &self.coupled, prices: &prices, left, room: None };
        let best = requests.par_iter().map(|request| (*request, self.placings[*request].best(&terms)));
        let best: Vec<(usize, Priced)> = best.collect();
        self.learn_all(model, best)
    }

    /// A pattern's columns of the programme that are not zero.
    pub fn values(&self, model: &Model, request: usize, places: &[(usize, u32)]) -> Vec<(usize, f64)> {
        let count = self.whole.count(self.part.requests[request]);
        values(model, request, count, places)
    }

    /// Adds rows that every plan keeps.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn cut(&mut self, model: &Model, cuts: Vec<Cut>) -> Result<(), String> {
        let before = self.coupled.limits.len();
        cuts.into_iter().for_each(|cut| self.coupled.add(cut, false));
        let (coupled, whole, part) = (&self.coupled, self.whole, self.part);
        self.mixture.cut(&coupled.limits[before..], |pattern| {
            let count = whole.count(part.requests[pattern.request]);
            coupled.all_sums(&values(model, pattern.request, count, &pattern.places))
        })
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
        Terms { model, coupled, prices, left, room: Some(&self.room) }
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

/// By request, what it costs that it has no pattern.
fn nowhere(course: &Course<'_>, costs: &[f64]) -> Vec<f64> {
    let mut dearest: Vec<f64> = vec![1.0; course.part.requests.len()];
    for columns in &course.model.arcs {
        let dearest = &mut dearest[columns.request];
        *dearest = dearest.max(costs[columns.x] / f64::from(columns.step));
    }
    let fixed = f64::from(course.whole.task.file.costs.fixed_minutes);
    let requests = dearest.into_iter().zip(&course.part.requests);
    requests
        .map(|(dearest, request)| NOWHERE * (dearest + fixed) * f64::from(course.whole.count(*request)))
        .collect()
}

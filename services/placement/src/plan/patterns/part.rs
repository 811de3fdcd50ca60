//! A part: some requests are placed anew together in what all others leave, the best way that there is or
//! nearly. Their relaxation says what that may gain, and the solver chooses among the placings near it.

use std::sync::atomic::AtomicUsize;

use super::choice::Choice;
use super::coupled::{Prices, Terms};
use super::mixture::{Mixture, Pattern};
use super::places::Places;
use super::pricing::Placings;
use super::scene::Scene;
use crate::plan::growing::Relaxed;
use crate::plan::solve::Deadline;

/// Share of what a part may gain that is left open when its relaxation is near enough.
const NEAR_ENOUGH: f64 = 0.05;
/// Placings that are chosen from beside those of the relaxation, at most, each request having its share,
/// and how much nearer they are looked for where they are more, how often.
const MOST_NEAR: usize = 3000;
const NEARER: f64 = 0.3;
const TIMES: i32 = 6;
/// Share of what a part may gain that a choice may leave, and its seconds.
const GAP: f64 = 0.1;
const CHOICE_SECONDS: f64 = 1.0;

/// Requests that are placed anew in what all others leave.
pub(crate) struct Part<'a> {
    scene: &'a Scene<'a>,
    requests: &'a [usize],
    now: Vec<Option<Pattern>>,
    /// What they cost now.
    cost: f64,
    /// By row, what all others leave.
    left: Vec<f64>,
    /// By arc of theirs, how many can come.
    room: Vec<u32>,
    /// Patterns name requests by their number in the part.
    mixture: Mixture,
    columns: Vec<usize>,
    /// At the last duals.
    duals: Vec<f64>,
    prices: Prices,
    /// By request, the lowest price.
    best: Vec<f64>,
}

impl<'a> Part<'a> {
    /// With the placings of all requests.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn of(
        scene: &'a Scene<'a>,
        requests: &'a [usize],
        mut placed: Vec<Option<Pattern>>,
    ) -> Result<Self, String> {
        let Scene { model, coupled, .. } = scene;
        let now: Vec<Option<Pattern>> = requests.iter().map(|request| placed[*request].take()).collect();
        let mut left = coupled.limits.clone();
        for (row, sum) in placed.iter().flatten().flat_map(|pattern| &pattern.takes) {
            left[*row] -= sum;
        }
        let nowhere: Vec<f64> = requests.iter().map(|request| scene.nowhere[*request]).collect();
        let costs = now.iter().zip(&nowhere);
        let cost = costs.map(|(now, nowhere)| now.as_ref().map_or(*nowhere, |now| now.cost)).sum();
        let placings = requests.iter().map(|request| &scene.placings[*request]);
        let prices = Prices::none(coupled);
        let terms = Terms { model, coupled, prices: &prices, left: &left, room: None };
        let mut room = vec![0; model.arcs.len()];
        placings.clone().flat_map(Placings::arcs).for_each(|arc| room[arc] = terms.most(arc));
        let mut columns: Vec<usize> = placings.flat_map(|placings| placings.columns(model)).collect();
        columns.sort_unstable();
        columns.dedup();
        let mut part = Self {
            mixture: Mixture::of(left.clone(), nowhere)?,
            columns,
            scene,
            requests,
            now,
            cost,
            left,
            room,
            duals: Vec::new(),
            prices,
            best: vec![0.0; requests.len()],
        };
        for own in 0..requests.len() {
            if let Some(pattern) = &part.now[own] {
                part.learn(own, pattern.places.clone())?;
            }
        }
        Ok(part)
    }

    fn learn(&mut self, own: usize, mut places: Places) -> Result<bool, String> {
        places.sort_unstable();
        let (scene, request) = (self.scene, self.requests[own]);
        self.mixture.learn(own, places, |places| Pattern { request: own, ..scene.pattern(request, places) })
    }

    fn terms(&self) -> Terms<'_> {
        let Self { scene: Scene { model, coupled, .. }, prices, left, room, .. } = self;
        Terms { model, coupled, prices, left, room: Some(room) }
    }

    /// How they are placed best, or as they are where nothing better is found.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn better(mut self, deadline: &Deadline) -> Result<Vec<Option<Pattern>>, String> {
        let Some(bound) = self.grown(deadline)? else { return Ok(self.now) };
        let to_gain = self.cost - bound;
        let mut patterns = self.near(to_gain);
        let placed = patterns.len();
        for (own, _) in self.now.iter().enumerate().filter(|(_, now)| now.is_none()) {
            let cost = self.scene.nowhere[self.requests[own]];
            patterns.push(Pattern { request: own, places: Places::new(), takes: Vec::new(), cost });
        }
        let choice = Choice::within(self.requests.len(), &self.left, patterns);
        let seconds = deadline.left().min(CHOICE_SECONDS);
        let chosen = choice.cheapest(seconds, GAP * to_gain / self.cost)?;
        let Some(patterns) = chosen.patterns else { return Ok(self.now) };
        let mut better = vec![None; self.requests.len()];
        for at in patterns.into_iter().filter(|at| *at < placed) {
            let pattern = &choice.patterns[at];
            let request = self.requests[pattern.request];
            better[pattern.request] = Some(Pattern { request, ..pattern.clone() });
        }
        Ok(better)
    }

    /// Has the mixture grown and gives its bound; nothing where there is nothing to gain.
    fn grown(&mut self, deadline: &Deadline) -> Result<Option<f64>, String> {
        while let Some(relaxed) = self.mixture.solve(deadline.left())? {
            if self.mixture.tighten(&relaxed)? {
                continue;
            }
            let (bound, learnt) = self.priced(&relaxed)?;
            if bound > self.cost - 0.5 {
                break;
            }
            if !learnt || relaxed.objective - bound < (self.cost - bound) * NEAR_ENOUGH {
                return Ok(Some(bound));
            }
        }
        Ok(None)
    }

    /// Lagrange's bound at the duals of a relaxation; true where it learnt better patterns.
    fn priced(&mut self, relaxed: &Relaxed) -> Result<(f64, bool), String> {
        self.duals = self.mixture.duals(relaxed);
        let Scene { coupled, costs, nowhere, placings, .. } = self.scene;
        coupled.price_again(&mut self.prices, &self.columns, costs, &self.duals);
        let mut bound: f64 = self.left.iter().zip(&self.duals).map(|(left, dual)| left * dual).sum();
        let mut learnt = false;
        for (own, request) in self.requests.iter().enumerate() {
            let best = placings[*request].best(&self.terms());
            self.best[own] = best.price;
            bound += best.price.min(nowhere[*request]);
            if best.price < relaxed.duals[own] - 1e-6 {
                learnt |= self.learn(own, best.places)?;
            }
        }
        Ok((bound, learnt))
    }

    /// Patterns that are dearer than best by no more than this, at the last prices: all that the mixture
    /// knows, and others as far as they are not too many.
    fn near(&self, within: f64) -> Vec<Pattern> {
        let dearer = |pattern: &Pattern| {
            let paid: f64 = pattern.takes.iter().map(|(row, sum)| self.duals[*row] * sum).sum();
            pattern.cost - paid - self.best[pattern.request]
        };
        let known = self.mixture.patterns.iter().filter(|pattern| dearer(pattern) <= within);
        let mut near: Vec<Pattern> = known.cloned().collect();
        let most = MOST_NEAR / self.requests.len();
        let requests = self.requests.iter().enumerate();
        for (own, request) in requests.filter(|(own, _)| self.best[*own].is_finite()) {
            let (placings, best) = (&self.scene.placings[*request], self.best[own]);
            let mut widths = (0..TIMES).map(|times| within * NEARER.powi(times));
            let found = widths
                .find_map(|width| placings.within(&self.terms(), best + width, &AtomicUsize::new(most)));
            for mut places in found.unwrap_or_default() {
                places.sort_unstable();
                if !self.mixture.knows(own, &places) {
                    near.push(Pattern { request: own, ..self.scene.pattern(*request, places) });
                }
            }
        }
        near
    }
}

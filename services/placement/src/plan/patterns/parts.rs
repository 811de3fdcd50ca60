//! Better plans by parts over patterns: some requests that stand in each other's way are placed anew
//! together, in what all others leave, the best way that there is or nearly. The relaxation of the part
//! says what that may gain, and the solver chooses among the placings that are near it.

use std::sync::atomic::AtomicUsize;
use std::sync::{Mutex, MutexGuard, PoisonError};

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use super::choice::Choice;
use super::coupled::{Prices, Terms};
use super::mixture::{Mixture, Pattern};
use super::pricing::{Places, Placings};
use super::scene::{Partly, Plan, Scene};
use crate::plan::growing::Relaxed;
use crate::plan::solve::Deadline;

/// How often in a row all requests may have had their turn, on average, without a gain.
const PATIENCE: usize = 4;
/// How often the next one is any in the same centre instead of one in the slot: they share its licences.
const BESIDE: f64 = 0.3;
/// How often a part begins at a request without a placing, where there is any.
const NOWHERE: f64 = 0.8;
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

/// What searches share: the plan so far, and who is being placed anew.
struct Table {
    plan: Plan,
    in_hand: Vec<bool>,
    /// Requests that were placed anew since the last gain.
    since: usize,
}

/// The best plan found from one that may lack some, by parts of so many requests.
///
/// # Errors
/// The solver's own words.
pub(crate) fn bettered(
    scene: &Scene<'_>,
    from: &Partly,
    free: usize,
    deadline: &Deadline,
) -> Result<Partly, String> {
    let in_hand = vec![false; from.len()];
    let table = Mutex::new(Table { plan: scene.plan(from), in_hand, since: 0 });
    let searches = u64::try_from(rayon::current_num_threads()).unwrap_or(1);
    (0..searches).into_par_iter().try_for_each(|seed| worked(scene, &table, free, seed, deadline))?;
    Ok(table.into_inner().unwrap_or_else(PoisonError::into_inner).plan.places())
}

fn at(table: &Mutex<Table>) -> MutexGuard<'_, Table> {
    table.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Makes one part after another better.
fn worked(
    scene: &Scene<'_>,
    table: &Mutex<Table>,
    free: usize,
    seed: u64,
    deadline: &Deadline,
) -> Result<(), String> {
    let mut luck = ChaCha8Rng::seed_from_u64(seed);
    while deadline.left() > 0.0 {
        let Some((requests, placed)) = at(table).part(scene, free, &mut luck) else { break };
        let better = Part::of(scene, &requests, placed)?.better(deadline);
        at(table).put(scene, &requests, better?);
    }
    Ok(())
}

impl Table {
    /// Requests to place anew, and the placings of all; nothing where it is not worth it any more.
    fn part(
        &mut self,
        scene: &Scene<'_>,
        free: usize,
        luck: &mut ChaCha8Rng,
    ) -> Option<(Vec<usize>, Vec<Option<Pattern>>)> {
        let settled = self.since > PATIENCE * self.in_hand.len();
        if settled || self.plan.cost <= scene.bound + 0.5 {
            return None;
        }
        let requests = neighbours(scene, self, free, luck);
        if requests.is_empty() {
            return None;
        }
        requests.iter().for_each(|request| self.in_hand[*request] = true);
        Some((requests, self.plan.placed.clone()))
    }

    /// Takes a part back, as it has become where that is better beside what others have made of the rest
    /// by now.
    fn put(&mut self, scene: &Scene<'_>, requests: &[usize], better: Vec<Option<Pattern>>) {
        requests.iter().for_each(|request| self.in_hand[*request] = false);
        self.since += requests.len();
        let cost = self.plan.cost;
        let parts = requests.iter().zip(better);
        let before: Vec<Option<Pattern>> =
            parts.map(|(request, placed)| self.plan.put(scene, *request, placed)).collect();
        if self.plan.cost < cost - 0.5 && self.plan.fits() {
            self.since = 0;
            return;
        }
        for (request, placed) in requests.iter().zip(before) {
            self.plan.put(scene, *request, placed);
        }
    }
}

/// A request, and others that hold what it looks at.
fn neighbours(scene: &Scene<'_>, table: &Table, free: usize, luck: &mut ChaCha8Rng) -> Vec<usize> {
    let Table { plan, in_hand, .. } = table;
    let all: Vec<usize> = (0..in_hand.len()).filter(|request| !in_hand[*request]).collect();
    let nowhere: Vec<usize> = all.iter().copied().filter(|one| plan.placed[*one].is_none()).collect();
    let from = if nowhere.is_empty() || !luck.random_bool(NOWHERE) { all } else { nowhere };
    let mut out = Vec::new();
    if from.is_empty() {
        return out;
    }
    out.push(from[luck.random_range(0..from.len())]);
    for _ in 0..free * 10 {
        if out.len() >= free {
            break;
        }
        let of = out[luck.random_range(0..out.len())];
        for slot in &scene.slots[of] {
            // The best slots are looked at first, but not always.
            if luck.random() {
                continue;
            }
            let mut slot = *slot;
            if luck.random_bool(BESIDE) {
                let beside = &scene.beside[&scene.centre_of[slot]];
                slot = beside[luck.random_range(0..beside.len())];
            }
            let there = plan.there[slot].iter().filter(|one| !in_hand[**one] && !out.contains(one));
            let there: Vec<usize> = there.copied().collect();
            if !there.is_empty() {
                out.push(there[luck.random_range(0..there.len())]);
                break;
            }
        }
    }
    out
}

/// Requests that are placed anew in what all others leave.
struct Part<'a> {
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
    fn of(
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
    fn better(mut self, deadline: &Deadline) -> Result<Vec<Option<Pattern>>, String> {
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

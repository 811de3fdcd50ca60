//! Better plans by ruin and recreate (Schrimpf and others, J. Comput. Phys. 159, 2000): some requests that
//! stand in each other's way lose their places, and each in turn is placed at its best in what is left.
//! What is a little dearer is taken too, ever less of it (simulated annealing), so that the search leaves
//! a plan that no single exchange makes better.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use rand::{Rng, SeedableRng, seq::SliceRandom};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use super::coupled::{Coupled, Prices, Terms, values};
use super::master::Master;
use super::pricing::Placings;
use crate::plan::improve::Search;
use crate::plan::model::Model;
use crate::plan::solve::{Deadline, proven};
use crate::plan::start::{Amounts, as_count, as_figure};

/// Requests that lose their places at once.
const FEWEST: usize = 2;
const MOST: usize = 14;
/// How often it is any request in the same centre instead of one in the slot: they share its licences.
const BESIDE: f64 = 0.3;
/// Shares of the duals in what a request pays when it is placed: with none it takes the nearest place,
/// with all of them it leaves to others what they need more.
const SHARES: [f64; 3] = [0.0, 0.5, 1.0];
/// How many times a share is drawn for each row by itself.
const DRAWN: usize = 13;
/// How often an arc is passed over when a request is placed; one of these for each turn.
const PASSED: [f64; 4] = [0.0, 0.02, 0.1, 0.3];
/// What the heat goes down to.
const COLD: f64 = 0.0002;
/// How often a request is placed again within a row that its arcs break together.
const TRIES: usize = 4;

/// What all searches look at.
struct Scene<'a> {
    model: &'a Model,
    coupled: &'a Coupled,
    placings: Vec<Placings>,
    /// Animals of each request.
    counts: Vec<u32>,
    /// Slots that each request looks at, the best first.
    slots: Vec<Vec<usize>>,
    /// By arc.
    slot_of: Vec<usize>,
    /// By slot.
    centre_of: Vec<usize>,
    /// By centre, its slots.
    beside: BTreeMap<usize, Vec<usize>>,
    costs: &'a [f64],
    /// Of columns, one for each of the shares.
    prices: Vec<Prices>,
    /// The least that each request can cost.
    least: Vec<f64>,
    /// What no plan goes below.
    bound: f64,
}

/// A request's placing in a plan.
#[derive(Debug, Clone, Default)]
struct Placed {
    cost: f64,
    places: Vec<(usize, u32)>,
    takes: Vec<(usize, f64)>,
}

/// A plan on its way.
#[derive(Clone)]
struct Plan {
    cost: f64,
    placed: Vec<Placed>,
    /// What is left of each row.
    left: Vec<f64>,
    /// By slot, the requests in it.
    there: Vec<Vec<usize>>,
}

/// The best plan found from the one at hand, which it may be itself, over the arcs that are looked at and
/// those of the plan at hand. `heat` is how much dearer a plan may be that is taken on the way, at first,
/// as a share of what a request costs on average.
pub(crate) fn recreated(
    search: &Search<'_, '_>,
    master: &Master<'_>,
    duals: &[f64],
    heat: f64,
    deadline: &Deadline,
) -> Amounts {
    let scene = Scene::of(search, master, duals);
    let begin = scene.plan(&search.course.amounts);
    let searches = u64::try_from(rayon::current_num_threads()).unwrap_or(1);
    let found = (0..searches)
        .into_par_iter()
        .map(|seed| scene.searched(begin.clone(), seed, heat, deadline))
        .min_by(|one, other| one.cost.total_cmp(&other.cost));
    let mut amounts = vec![0; scene.model.arcs.len()];
    for (arc, animals) in found.unwrap_or(begin).placed.iter().flat_map(|placed| &placed.places) {
        amounts[*arc] = *animals;
    }
    amounts
}

impl<'a> Scene<'a> {
    fn of(search: &'a Search<'_, '_>, master: &'a Master<'_>, duals: &[f64]) -> Self {
        let Search { course, near, .. } = search;
        let (model, whole, part) = (&course.model, course.whole, course.part);
        let slot_of: Vec<usize> = part.arcs.iter().map(|arc| whole.admitted.arcs[*arc].slot).collect();
        let near: &[Vec<usize>] = near.unwrap_or_default();
        let mut looked_at: Vec<bool> = course.amounts.iter().map(|amount| *amount > 0).collect();
        near.iter().flatten().for_each(|at| looked_at[*at] = true);
        let mut beside: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (slot, of) in whole.admitted.slots.iter().enumerate() {
            beside.entry(of.centre).or_default().push(slot);
        }
        let (coupled, costs) = (&master.coupled, master.costs);
        let mut luck = ChaCha8Rng::seed_from_u64(0);
        let shares = SHARES.map(|share| duals.iter().map(|dual| share * dual).collect::<Vec<f64>>());
        let drawn = (0..DRAWN).map(|_| duals.iter().map(|dual| luck.random_range(0.0..2.0) * dual).collect());
        let prices = shares.into_iter().chain(drawn).map(|duals| coupled.prices(costs, &duals)).collect();
        let least = master.best(model, &vec![0.0; coupled.limits.len()]);
        Self {
            model,
            coupled,
            placings: Placings::of_all(whole, part, model, |at| looked_at[at]),
            counts: part.requests.iter().map(|request| whole.count(*request)).collect(),
            slots: near.iter().map(|arcs| arcs.iter().map(|at| slot_of[*at]).collect()).collect(),
            slot_of,
            centre_of: whole.admitted.slots.iter().map(|slot| slot.centre).collect(),
            beside,
            costs,
            prices,
            least: least.into_iter().map(|one| one.price).collect(),
            bound: as_figure(proven(search.relaxed.bound)),
        }
    }

    fn placed(&self, request: usize, places: Vec<(usize, u32)>) -> Placed {
        let values = values(self.model, request, self.counts[request], &places);
        let cost = values.iter().map(|(column, value)| self.costs[*column] * value).sum();
        Placed { cost, takes: self.coupled.sums(&values), places }
    }

    fn plan(&self, amounts: &[u32]) -> Plan {
        let mut places: Vec<Vec<(usize, u32)>> = vec![Vec::new(); self.counts.len()];
        for (at, amount) in amounts.iter().enumerate().filter(|(_, amount)| **amount > 0) {
            places[self.model.arcs[at].request].push((at, *amount));
        }
        let mut plan = Plan {
            cost: 0.0,
            placed: vec![Placed::default(); places.len()],
            left: self.coupled.limits.clone(),
            there: vec![Vec::new(); self.centre_of.len()],
        };
        for (request, places) in places.into_iter().enumerate() {
            plan.put(self, request, self.placed(request, places));
        }
        plan
    }

    /// The best plan that one search comes by.
    fn searched(&self, mut plan: Plan, seed: u64, hot: f64, deadline: &Deadline) -> Plan {
        let mut luck = ChaCha8Rng::seed_from_u64(seed);
        let mut best = plan.clone();
        let each = plan.cost / as_figure(self.counts.len() as u64);
        let all = deadline.left();
        while best.cost > self.bound + 0.5 && deadline.left() > 0.0 {
            let heat = each * hot * (COLD / hot).powf(1.0 - deadline.left() / all);
            self.turn(&mut plan, heat, &mut luck);
            if plan.cost < best.cost - 0.5 {
                best.clone_from(&plan);
            }
        }
        best
    }

    /// Takes some requests out and places them anew; the plan stays as it is where that does not work out.
    fn turn(&self, plan: &mut Plan, heat: f64, luck: &mut ChaCha8Rng) {
        let mut out = self.ruined(plan, luck);
        match luck.random_range(0..3) {
            0 => out.sort_by_key(|request| (Reverse(self.counts[*request]), *request)),
            _ => out.shuffle(luck),
        }
        let old: Vec<Placed> = out.iter().map(|request| plan.take(self, *request)).collect();
        let before: f64 = old.iter().map(|placed| placed.cost).sum();
        let most = before - heat * luck.random::<f64>().max(1e-12).ln();
        // What all of them cost at least, more and more of it known.
        let mut least: f64 = out.iter().map(|request| self.least[*request]).sum();
        let prices = &self.prices[luck.random_range(0..self.prices.len())];
        let passed = PASSED[luck.random_range(0..PASSED.len())];
        let mut done = 0;
        while least <= most && done < out.len() {
            let request = out[done];
            let mut fewer: Vec<(usize, u32)> = Vec::new();
            if passed > 0.0 {
                let arcs = self.placings[request].arcs();
                fewer.extend(arcs.filter(|_| luck.random_bool(passed)).map(|at| (at, 0)));
            }
            let Some(placed) = self.anew(plan, request, prices, fewer) else { break };
            least += placed.cost - self.least[request];
            plan.put(self, request, placed);
            done += 1;
        }
        if least > most || done < out.len() {
            for request in &out[..done] {
                plan.take(self, *request);
            }
            for (request, placed) in out.into_iter().zip(old) {
                plan.put(self, request, placed);
            }
        }
    }

    /// A request, and others that hold what it looks at.
    fn ruined(&self, plan: &Plan, luck: &mut ChaCha8Rng) -> Vec<usize> {
        let number = luck.random_range(FEWEST..=MOST).min(self.counts.len());
        let mut out = vec![luck.random_range(0..self.counts.len())];
        for _ in 0..number {
            let of = out[luck.random_range(0..out.len())];
            for slot in &self.slots[of] {
                // The best slots are looked at first, but not always.
                if luck.random() {
                    continue;
                }
                let mut slot = *slot;
                if luck.random_bool(BESIDE) {
                    let beside = &self.beside[&self.centre_of[slot]];
                    slot = beside[luck.random_range(0..beside.len())];
                }
                let there = plan.there[slot].iter().filter(|request| !out.contains(request));
                let there: Vec<usize> = there.copied().collect();
                if !there.is_empty() {
                    out.push(there[luck.random_range(0..there.len())]);
                    break;
                }
            }
        }
        out
    }

    /// A request's best placing in what is left, with fewer animals in some arcs than could come.
    fn anew(
        &self,
        plan: &Plan,
        request: usize,
        prices: &Prices,
        mut fewer: Vec<(usize, u32)>,
    ) -> Option<Placed> {
        for _ in 0..TRIES {
            let Self { model, coupled, .. } = self;
            let terms = Terms { model, coupled, prices, left: &plan.left, room: None, fewer: &fewer };
            let priced = self.placings[request].best(&terms);
            if !priced.price.is_finite() {
                return None;
            }
            let placed = self.placed(request, priced.places);
            let broken = placed.takes.iter().find(|(row, sum)| *sum > plan.left[*row] + 1e-6);
            let Some((row, sum)) = broken else { return Some(placed) };
            fewer.push(self.less(request, &placed.places, *row, sum - plan.left[*row])?);
        }
        None
    }

    /// Of arcs that together take too much of a row the one that takes most, and how many of its animals
    /// may stay.
    fn less(&self, request: usize, places: &[(usize, u32)], row: usize, over: f64) -> Option<(usize, u32)> {
        let taken = places.iter().map(|(at, animals)| {
            let alone = values(self.model, request, *animals, &[(*at, *animals)]);
            let sums = self.coupled.sums(&alone);
            (sums.iter().find(|(of, _)| *of == row).map_or(0.0, |(_, sum)| *sum), *at, *animals)
        });
        let (sum, at, animals) = taken.max_by(|one, other| one.0.total_cmp(&other.0))?;
        let share = ((sum - over) / sum).max(0.0);
        let most = as_count((f64::from(animals) * share).floor());
        Some((at, u32::try_from(most).unwrap_or(u32::MAX)))
    }
}

impl Plan {
    fn put(&mut self, scene: &Scene<'_>, request: usize, placed: Placed) {
        placed.takes.iter().for_each(|(row, sum)| self.left[*row] -= sum);
        for (at, _) in &placed.places {
            self.there[scene.slot_of[*at]].push(request);
        }
        self.cost += placed.cost;
        self.placed[request] = placed;
    }

    fn take(&mut self, scene: &Scene<'_>, request: usize) -> Placed {
        let placed = std::mem::take(&mut self.placed[request]);
        placed.takes.iter().for_each(|(row, sum)| self.left[*row] += sum);
        for (at, _) in &placed.places {
            self.there[scene.slot_of[*at]].retain(|there| *there != request);
        }
        self.cost -= placed.cost;
        placed
    }
}

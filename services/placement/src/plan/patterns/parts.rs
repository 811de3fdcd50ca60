//! Better plans by parts: requests that stand in each other's way are placed anew together, one part after
//! another, and each core has parts of its own.

use std::sync::{Mutex, MutexGuard, PoisonError};

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use super::mixture::Pattern;
use super::part::Part;
use super::places::Partly;
use super::scene::{Plan, Scene};
use crate::plan::solve::Deadline;

/// How often in a row all requests may have had their turn, on average, without a gain.
const PATIENCE: usize = 4;
/// How often the next one is any in the same centre instead of one in the slot: they share its licences.
const BESIDE: f64 = 0.3;
/// How often a part begins at a request without a placing, where there is any.
const NOWHERE: f64 = 0.8;

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

//! The best placing of one request at given prices, exactly: a dynamic programme over its animals.
//!
//! An arc costs by the animal, by the unit and once; groups of arcs (a centre, a shared water) cost once
//! where any of them is used. Groups lie within each other or apart.

use std::collections::BTreeMap;

use super::coupled::Terms;
use crate::plan::model::{Model, Part, Whole};

/// A step through a request's arcs.
#[derive(Debug)]
enum Step {
    /// A group begins: the column that is one where any arc of it is used.
    Open(usize),
    /// The next arc.
    Arc,
    /// The group that began last is used, or left out.
    Close,
}

/// An arc of a request, with 0/1 columns that no other arc has.
#[derive(Debug)]
struct Own {
    at: usize,
    ones: Vec<usize>,
}

/// All placings of a request. Animals are counted in steps of its columns.
pub(crate) struct Placings {
    /// Animals in a step.
    each: u32,
    /// Steps in all.
    count: usize,
    unplaced: usize,
    arcs: Vec<Own>,
    steps: Vec<Step>,
}

/// A placing, and what it costs at the prices.
#[derive(Debug, Clone)]
pub(crate) struct Priced {
    pub price: f64,
    /// Arcs of the part, with animals.
    pub places: Vec<(usize, u32)>,
}

/// What so many steps in an arc cost, from none to the most that may come.
type Costs = Vec<f64>;

impl Placings {
    /// Those of every request of a part, in its sequence, over the arcs that are wanted.
    pub fn of_all(
        whole: &Whole<'_>,
        part: &Part,
        model: &Model,
        wanted: impl Fn(usize) -> bool,
    ) -> Vec<Self> {
        let mut of_request: Vec<Vec<usize>> = vec![Vec::new(); part.requests.len()];
        for (at, columns) in model.arcs.iter().enumerate() {
            if model.program.upper[columns.x] > 0.0 && wanted(at) {
                of_request[columns.request].push(at);
            }
        }
        let slot = |at: usize| &whole.admitted.slots[whole.admitted.arcs[part.arcs[at]].slot];
        let requests = of_request.into_iter().zip(&model.unplaced).zip(&part.requests);
        requests
            .map(|((mut arcs, (unplaced, each)), request)| {
                arcs.sort_by_key(|at| (slot(*at).centre, slot(*at).circuit, *at));
                let count = (whole.count(*request) / each) as usize;
                let (arcs, steps) = steps(model, &arcs);
                Self { each: *each, count, unplaced: *unplaced, arcs, steps }
            })
            .collect()
    }

    /// Its arcs.
    pub fn arcs(&self) -> impl Iterator<Item = usize> {
        self.arcs.iter().map(|own| own.at)
    }

    fn costs(&self, terms: &Terms<'_>, own: &Own) -> Costs {
        let columns = &terms.model.arcs[own.at];
        let once: f64 = own.ones.iter().map(|one| terms.price(*one)).sum();
        let most = terms.most(own.at).min(u32::try_from(self.count).unwrap_or(u32::MAX));
        let mut costs = Vec::with_capacity(most as usize + 1);
        costs.push(0.0);
        let (mut units, mut of_units, mut room) = (0.0, 0.0, 0);
        for steps in 1..=most {
            if room == 0 {
                (units, room) = (units + 1.0, columns.cap);
                of_units = columns.units.map_or(0.0, |column| terms.prices.of(column, units));
            }
            room -= 1;
            costs.push(once + of_units + terms.prices.of(columns.x, f64::from(steps)));
        }
        costs
    }

    /// What is left without a place, by the steps that have one.
    fn rest(&self, terms: &Terms<'_>) -> Vec<f64> {
        let most = terms.times(self.unplaced);
        let rest = |placed: usize| {
            let left = f64::from(u32::try_from(self.count - placed).unwrap_or(u32::MAX));
            if left > most { f64::INFINITY } else { terms.prices.of(self.unplaced, left) }
        };
        (0..=self.count).map(rest).collect()
    }

    /// The placing of the lowest price, within what each arc by itself can take; its price is infinite
    /// where there is none.
    pub fn best(&self, terms: &Terms<'_>) -> Priced {
        let mut now = self.nothing();
        let (mut outside, mut used, mut joined) = (Vec::new(), Vec::new(), Vec::new());
        let mut arcs = self.arcs.iter();
        for step in &self.steps {
            match step {
                Step::Open(column) => begin(&mut now, &mut outside, terms.price(*column)),
                Step::Arc => {
                    let Some(own) = arcs.next() else { break };
                    let costs = self.costs(terms, own);
                    let before = join(&mut now, &costs);
                    joined.push((before, costs));
                }
                Step::Close => {
                    let without = outside.pop().unwrap_or_default();
                    let better = now.iter_mut().zip(without).map(|(cost, without)| {
                        let used = *cost < without;
                        *cost = cost.min(without);
                        used
                    });
                    used.push(better.collect::<Vec<bool>>());
                }
            }
        }
        let all = now.iter().zip(self.rest(terms)).map(|(cost, rest)| cost + rest);
        let best = all.enumerate().min_by(|one, other| one.1.total_cmp(&other.1));
        let (placed, price) = best.unwrap_or((0, f64::INFINITY));
        let places = if price.is_finite() { self.walk_back(placed, joined, used) } else { Vec::new() };
        Priced { price, places }
    }

    /// Before any arc: nobody is placed.
    fn nothing(&self) -> Costs {
        let mut now = vec![f64::INFINITY; self.count + 1];
        now[0] = 0.0;
        now
    }

    /// From the steps placed in all back to how many came to each arc. `joined` has what stood before
    /// each arc and what it costs, `used` which groups are.
    fn walk_back(
        &self,
        mut placed: usize,
        mut joined: Vec<(Costs, Costs)>,
        mut used: Vec<Vec<bool>>,
    ) -> Vec<(usize, u32)> {
        let mut places = Vec::new();
        // Groups within one that is left out.
        let mut left_out = 0_usize;
        let mut arcs = self.arcs.iter().rev();
        for step in self.steps.iter().rev() {
            match step {
                Step::Close => {
                    let used = used.pop().is_some_and(|used| used[placed]);
                    if left_out > 0 || !used {
                        left_out += 1;
                    }
                }
                Step::Open(_) => left_out = left_out.saturating_sub(1),
                Step::Arc => {
                    let (Some(own), Some((before, costs))) = (arcs.next(), joined.pop()) else { break };
                    if left_out > 0 {
                        continue;
                    }
                    let ways = costs.iter().take(placed + 1).enumerate();
                    let ways = ways.map(|(steps, cost)| (before[placed - steps] + cost, steps));
                    let best = ways.min_by(|one, other| one.0.total_cmp(&other.0));
                    let steps = best.map_or(0, |(_, steps)| steps);
                    if steps > 0 {
                        places.push((own.at, u32::try_from(steps).unwrap_or(u32::MAX) * self.each));
                        placed -= steps;
                    }
                }
            }
        }
        places
    }

    /// For each of its arcs the lowest price of a placing that uses it.
    pub fn using(&self, terms: &Terms<'_>) -> Vec<(usize, f64)> {
        let costs: Vec<Costs> = self.arcs.iter().map(|own| self.costs(terms, own)).collect();
        // From the front: the best so far, just before each arc, within the groups that are open there.
        let mut now = self.nothing();
        let (mut outside, mut before) = (Vec::new(), Vec::new());
        for step in &self.steps {
            match step {
                Step::Open(column) => begin(&mut now, &mut outside, terms.price(*column)),
                Step::Arc => {
                    let own = &costs[before.len()];
                    before.push(join(&mut now, own));
                }
                Step::Close => {
                    let without = outside.pop().unwrap_or_default();
                    now.iter_mut().zip(without).for_each(|(cost, without)| *cost = cost.min(without));
                }
            }
        }
        // From the back: the best that can follow.
        let mut now = self.rest(terms);
        let mut found = Vec::new();
        let mut next = self.arcs.len();
        for step in self.steps.iter().rev() {
            match step {
                Step::Close => outside.push(now.clone()),
                Step::Open(column) => {
                    let without = outside.pop().unwrap_or_default();
                    let price = terms.price(*column);
                    let with = now.iter_mut().zip(without);
                    with.for_each(|(cost, without)| *cost = (*cost + price).min(without));
                }
                Step::Arc => {
                    let Some(before) = before.pop() else { break };
                    next -= 1;
                    let costs = &costs[next];
                    let mut least = f64::INFINITY;
                    for steps in 1..costs.len() {
                        for placed in steps..=self.count {
                            least = least.min(before[placed - steps] + costs[steps] + now[placed]);
                        }
                    }
                    found.push((self.arcs[next].at, least));
                    for placed in 0..=self.count {
                        let more = costs.iter().zip(&now[placed..]).map(|(cost, after)| cost + after);
                        now[placed] = more.fold(f64::INFINITY, f64::min);
                    }
                }
            }
        }
        found
    }
}

/// Begins a group at its price; what stood before it is what stands if it is left out.
fn begin(now: &mut [f64], outside: &mut Vec<Vec<f64>>, price: f64) {
    outside.push(now.to_vec());
    now.iter_mut().for_each(|cost| *cost += price);
}

/// Lets an arc join, and gives what stood before.
fn join(now: &mut [f64], costs: &[f64]) -> Costs {
    let before = now.to_vec();
    for (steps, cost) in costs.iter().enumerate().skip(1) {
        // No branch and no index in here: it is what takes the time.
        for (now, before) in now[steps..].iter_mut().zip(&before) {
            let with = before + cost;
            *now = if with < *now { with } else { *now };
        }
    }
    before
}

/// The arcs, sorted by centre and water, with what groups them.
fn steps(model: &Model, arcs: &[usize]) -> (Vec<Own>, Vec<Step>) {
    let mut spans: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (position, at) in arcs.iter().enumerate() {
        for one in &model.arcs[*at].ones {
            spans.entry(*one).or_default().push(position);
        }
    }
    // Column of a group, first arc, the one after its last; the wider first.
    let mut groups: Vec<(usize, usize, usize)> = Vec::new();
    let mut own: Vec<Own> = arcs.iter().map(|at| Own { at: *at, ones: Vec::new() }).collect();
    for (column, positions) in spans {
        match (positions.first(), positions.last()) {
            (Some(first), Some(last)) if first < last => groups.push((*first, last + 1, column)),
            (Some(only), _) => own[*only].ones.push(column),
            _ => {}
        }
    }
    groups.sort_by_key(|(first, end, column)| (*first, std::cmp::Reverse(*end), *column));
    let mut steps = Vec::new();
    let mut opening = groups.iter().peekable();
    for position in 0..arcs.len() {
        while let Some((_, _, column)) = opening.next_if(|(first, ..)| *first == position) {
            steps.push(Step::Open(*column));
        }
        steps.push(Step::Arc);
        steps.extend(groups.iter().filter(|(_, end, _)| *end == position + 1).map(|_| Step::Close));
    }
    (own, steps)
}

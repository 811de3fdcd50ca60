//! The best placing of one request at given prices, exactly: a dynamic programme over its animals.
//!
//! An arc costs by the animal, by the unit and once; what arcs have in common (a centre, a shared water)
//! costs once, and by all animals that come to it. Groups lie within each other or apart, so each is
//! reckoned by itself: what so many animals in it cost.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::iter::Peekable;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering::Relaxed;

use super::coupled::Terms;
use super::places::Places;
use crate::plan::model::{Model, Part, Whole};
use crate::plan::start::{as_count, as_figure};

/// An arc, or arcs that have something in common.
#[derive(Debug)]
struct Node {
    /// 0/1 columns that are one where it is used.
    ones: Vec<usize>,
    /// What all animals of it are counted in.
    heads: Option<usize>,
    of: Of,
}

#[derive(Debug)]
enum Of {
    Arc(usize),
    Group(Vec<Node>),
}

/// All placings of a request. Animals are counted in steps of its columns.
pub(crate) struct Placings {
    /// Animals in a step.
    each: u32,
    /// Steps in all.
    count: usize,
    unplaced: usize,
    arcs: Vec<usize>,
    nodes: Vec<Node>,
}

/// A placing, and what it costs at the prices.
#[derive(Debug, Clone)]
pub(crate) struct Priced {
    pub price: f64,
    pub places: Places,
}

/// What so many steps cost, from none to the most that may come.
type Costs = Vec<f64>;

/// A node with its costs; of a group also what it costs once used, and its members one after another.
struct Worked {
    costs: Costs,
    own: Costs,
    members: Members,
}

/// Members that have room, one after another: which of the nodes each is, what stood before it, and the
/// member.
type Members = Vec<(usize, Costs, Worked)>;

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
                let nodes = nodes(model, &arcs);
                Self { each: *each, count, unplaced: *unplaced, arcs, nodes }
            })
            .collect()
    }

    /// Its arcs.
    pub fn arcs(&self) -> impl Iterator<Item = usize> {
        self.arcs.iter().copied()
    }

    /// What its placings are priced by: columns of the programme, and what counts animals of pairs.
    pub fn columns<'a>(&'a self, model: &'a Model) -> impl Iterator<Item = usize> {
        let of_arcs = self.arcs.iter().flat_map(|at| {
            let arc = &model.arcs[*at];
            let own = [arc.x, model.heads_of_pair(arc.pair)].into_iter();
            own.chain(arc.units).chain(arc.ones.iter().copied())
        });
        of_arcs.chain([self.unplaced])
    }

    /// Nothing where it has no room.
    fn work(&self, terms: &Terms<'_>, node: &Node) -> Option<Worked> {
        let (mut costs, members) = match &node.of {
            Of::Arc(at) => (self.costs(terms, *at)?, Members::new()),
            Of::Group(nodes) => self.work_all(terms, nodes),
        };
        if let Some(heads) = node.heads {
            let most = as_count(terms.coupled.most(heads).min(as_figure(self.count as u64)));
            costs.truncate(most as usize + 1);
        }
        if costs.len() == 1 {
            return None;
        }
        let once: f64 = node.ones.iter().map(|one| terms.price(*one)).sum();
        let own = |steps: usize| {
            let steps = f64::from(u32::try_from(steps).unwrap_or(u32::MAX));
            once + node.heads.map_or(0.0, |heads| terms.prices.of(heads, steps))
        };
        let mut owns = vec![0.0; costs.len()];
        owns.iter_mut().enumerate().skip(1).for_each(|(steps, cost)| *cost = own(steps));
        costs.iter_mut().zip(&owns).for_each(|(cost, own)| *cost += own);
        Some(Worked { costs, own: owns, members })
    }

    fn work_all(&self, terms: &Terms<'_>, nodes: &[Node]) -> (Costs, Members) {
        let mut now = vec![0.0];
        let mut members = Members::new();
        for (at, node) in nodes.iter().enumerate() {
            if let Some(worked) = self.work(terms, node) {
                let after = joined(&now, &worked.costs, self.count);
                members.push((at, std::mem::replace(&mut now, after), worked));
            }
        }
        (now, members)
    }

    /// What so many steps in an arc cost.
    fn costs(&self, terms: &Terms<'_>, at: usize) -> Option<Costs> {
        let columns = &terms.model.arcs[at];
        let most = terms.most(at).min(u32::try_from(self.count).unwrap_or(u32::MAX));
        if most == 0 {
            return None;
        }
        let mut costs = Vec::with_capacity(most as usize + 1);
        costs.push(0.0);
        let (mut units, mut of_units, mut room) = (0.0, 0.0, 0);
        for steps in 1..=most {
            if room == 0 {
                (units, room) = (units + 1.0, columns.cap);
                of_units = columns.units.map_or(0.0, |column| terms.prices.of(column, units));
            }
            room -= 1;
            costs.push(of_units + terms.prices.of(columns.x, f64::from(steps)));
        }
        Some(costs)
    }

    /// What is left without a place, by the steps that have one.
    fn rest(&self, terms: &Terms<'_>) -> Costs {
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
        let (costs, members) = self.work_all(terms, &self.nodes);
        let all = costs.iter().zip(self.rest(terms)).map(|(cost, rest)| cost + rest);
        let best = all.enumerate().min_by(|one, other| one.1.total_cmp(&other.1));
        let (placed, price) = best.unwrap_or((0, f64::INFINITY));
        let mut places = Vec::new();
        if price.is_finite() {
            self.walk_back(placed, &self.nodes, &members, &mut places);
        }
        Priced { price, places }
    }

    /// From the steps placed in all back to how many came to each arc.
    fn walk_back(&self, mut placed: usize, nodes: &[Node], members: &Members, places: &mut Places) {
        for (at, before, worked) in members.iter().rev() {
            let ways = worked.costs.iter().take(placed + 1).enumerate();
            let ways = ways.filter_map(|(steps, cost)| Some((before.get(placed - steps)? + cost, steps)));
            let best = ways.min_by(|one, other| one.0.total_cmp(&other.0));
            let steps = best.map_or(0, |(_, steps)| steps);
            match &nodes[*at].of {
                _ if steps == 0 => {}
                Of::Arc(at) => places.push((*at, u32::try_from(steps).unwrap_or(u32::MAX) * self.each)),
                Of::Group(nodes) => self.walk_back(steps, nodes, &worked.members, places),
            }
            placed -= steps;
        }
    }

    /// Every placing of a price no higher than this; none where there are more than are still allowed in
    /// all.
    pub fn within(&self, terms: &Terms<'_>, price: f64, allowed: &AtomicUsize) -> Option<Vec<Places>> {
        let (costs, members) = self.work_all(terms, &self.nodes);
        let mut walk = Walk { each: self.each, allowed, places: Vec::new(), found: Vec::new() };
        for (placed, (least, rest)) in costs.iter().zip(self.rest(terms)).enumerate() {
            if least + rest <= price {
                let open = vec![Open { nodes: &self.nodes, members: &members, placed }];
                walk.go(&open, *least, price - rest)?;
            }
        }
        Some(walk.found)
    }

    /// For each of its arcs the lowest price of a placing that uses it.
    pub fn using(&self, terms: &Terms<'_>) -> Vec<(usize, f64)> {
        let (_, members) = self.work_all(terms, &self.nodes);
        let mut found = Vec::with_capacity(self.arcs.len());
        using(&self.nodes, &members, self.rest(terms), &mut found);
        found
    }
}

/// Members that are still to be gone through, the last first, with the steps to place in them.
#[derive(Clone, Copy)]
struct Open<'a> {
    nodes: &'a [Node],
    members: &'a [(usize, Costs, Worked)],
    placed: usize,
}

/// Goes through placings.
struct Walk<'a> {
    each: u32,
    allowed: &'a AtomicUsize,
    places: Places,
    found: Vec<Places>,
}

impl Walk<'_> {
    /// `least` is what all costs at least with what is open. None where there are too many.
    fn go(&mut self, open: &[Open<'_>], least: f64, price: f64) -> Option<()> {
        let Some((Open { nodes, members, placed }, others)) = open.split_last() else {
            self.found.push(self.places.clone());
            let one_less = |allowed: usize| allowed.checked_sub(1);
            return self.allowed.fetch_update(Relaxed, Relaxed, one_less).ok().map(|_| ());
        };
        let Some(((at, before, worked), members)) = members.split_last() else {
            return if *placed == 0 { self.go(others, least, price) } else { Some(()) };
        };
        let here = joined_at(before, &worked.costs, *placed);
        for (steps, cost) in worked.costs.iter().enumerate().take(placed + 1) {
            let Some(rest) = before.get(placed - steps) else { continue };
            let least = least - here + rest + cost;
            if least > price {
                continue;
            }
            let mut open = others.to_vec();
            open.push(Open { nodes, members, placed: placed - steps });
            match &nodes[*at].of {
                _ if steps == 0 => self.go(&open, least, price)?,
                Of::Arc(arc) => {
                    self.places.push((*arc, u32::try_from(steps).unwrap_or(u32::MAX) * self.each));
                    self.go(&open, least, price)?;
                    self.places.pop();
                }
                Of::Group(nodes) => {
                    open.push(Open { nodes, members: &worked.members, placed: steps });
                    self.go(&open, least, price)?;
                }
            }
        }
        Some(())
    }
}

/// What so many steps cost at least, in what stood before and one more.
fn joined_at(before: &[f64], costs: &[f64], placed: usize) -> f64 {
    let ways = costs.iter().enumerate().take(placed + 1);
    let ways = ways.filter_map(|(steps, cost)| Some(before.get(placed - steps)? + cost));
    ways.fold(f64::INFINITY, f64::min)
}

/// With what can follow at best, by the steps that are placed up to the end of the nodes.
fn using(nodes: &[Node], members: &Members, mut after: Costs, found: &mut Vec<(usize, f64)>) {
    for (at, before, worked) in members.iter().rev() {
        // What everything else costs, by the steps in this node.
        let beside = followed(&worked.costs, before, &after);
        match &nodes[*at].of {
            Of::Arc(at) => {
                let all = beside.iter().zip(&worked.costs).skip(1).map(|(beside, cost)| beside + cost);
                found.push((*at, all.fold(f64::INFINITY, f64::min)));
            }
            Of::Group(nodes) => {
                let after = beside.iter().zip(&worked.own).map(|(beside, own)| beside + own).collect();
                using(nodes, &worked.members, after, found);
            }
        }
        after = followed(before, &worked.costs, &after);
    }
}

/// For each number of steps that `of` has costs for, the least that so many others cost beside them with
/// what follows both.
fn followed(of: &[f64], others: &[f64], after: &[f64]) -> Costs {
    let least = |steps: usize| {
        let all = others.iter().zip(after.get(steps..).unwrap_or_default());
        all.map(|(other, after)| other + after).fold(f64::INFINITY, f64::min)
    };
    (0..of.len()).map(least).collect()
}

/// What so many steps cost in all, up to so many.
fn joined(before: &[f64], costs: &[f64], most: usize) -> Costs {
    let mut now = vec![f64::INFINITY; (before.len() + costs.len() - 1).min(most + 1)];
    for (steps, cost) in costs.iter().enumerate().take(now.len()) {
        // No branch and no index in here: it is what takes the time.
        for (now, before) in now[steps..].iter_mut().zip(before) {
            let with = before + cost;
            *now = if with < *now { with } else { *now };
        }
    }
    now
}

/// Arcs from one to before another, the wider first.
type Span = (usize, Reverse<usize>);
/// What they have in common: 0/1 columns, and what counts all animals.
type Common = (Vec<usize>, Option<usize>);

/// The arcs, sorted by centre and water, with what they have in common.
fn nodes(model: &Model, arcs: &[usize]) -> Vec<Node> {
    let mut ones: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
    let mut pairs: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
    let mut spans: BTreeMap<Span, Common> = BTreeMap::new();
    for (position, at) in arcs.iter().enumerate() {
        spans.insert((position, Reverse(position + 1)), (Vec::new(), None));
        for one in &model.arcs[*at].ones {
            ones.entry(*one).or_insert((position, 0)).1 = position + 1;
        }
        pairs.entry(model.arcs[*at].pair).or_insert((position, 0)).1 = position + 1;
    }
    for (column, (first, end)) in ones {
        spans.entry((first, Reverse(end))).or_default().0.push(column);
    }
    for (pair, (first, end)) in pairs {
        spans.entry((first, Reverse(end))).or_default().1 = Some(model.heads_of_pair(pair));
    }
    within(arcs, &mut spans.into_iter().peekable(), arcs.len())
}

/// The nodes before `end`, the wider first.
fn within(
    arcs: &[usize],
    spans: &mut Peekable<impl Iterator<Item = (Span, Common)>>,
    end: usize,
) -> Vec<Node> {
    let mut nodes = Vec::new();
    while let Some(((first, Reverse(to)), (ones, heads))) = spans.next_if(|((first, _), _)| *first < end) {
        let of = if to == first + 1 { Of::Arc(arcs[first]) } else { Of::Group(within(arcs, spans, to)) };
        nodes.push(Node { ones, heads, of });
    }
    nodes
}

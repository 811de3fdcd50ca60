//! The programme's columns and rows, one subject after another.

use std::collections::{BTreeMap, HashMap};

use super::admit::Arc;
use super::model::{ArcColumns, Model, Part, Whole, may_share_water, weight};
use super::program::{Program, Row};
use super::slots::Kind;

/// Builds the programme of a part.
pub(crate) struct Builder<'a> {
    whole: &'a Whole<'a>,
    part: &'a Part,
    model: Model,
    costs: HashMap<usize, f64>,
    /// Positions of arcs (of the part) by slot, by request and centre, by shared water and request.
    by_slot: BTreeMap<usize, Vec<usize>>,
    by_pair: BTreeMap<(usize, usize), Vec<usize>>,
    by_circuit: BTreeMap<usize, BTreeMap<usize, Vec<usize>>>,
    flags: HashMap<usize, usize>,
    pairs: HashMap<(usize, usize), Vec<usize>>,
}

impl<'a> Builder<'a> {
    pub fn new(whole: &'a Whole<'a>, part: &'a Part) -> Self {
        let (mut by_slot, mut by_pair, mut by_circuit) = (BTreeMap::new(), BTreeMap::new(), BTreeMap::new());
        for (at, arc) in part.arcs.iter().enumerate() {
            let arc = &whole.admitted.arcs[*arc];
            let slot = &whole.admitted.slots[arc.slot];
            by_slot.entry(arc.slot).or_insert_with(Vec::new).push(at);
            by_pair.entry((arc.request, slot.centre)).or_insert_with(Vec::new).push(at);
            if let Some(circuit) = slot.circuit {
                let of_circuit: &mut BTreeMap<usize, Vec<usize>> = by_circuit.entry(circuit).or_default();
                of_circuit.entry(arc.request).or_default().push(at);
            }
        }
        let model = Model {
            program: Program::default(),
            arcs: Vec::new(),
            unplaced: Vec::new(),
            minutes: Vec::new(),
            pairs: Vec::new(),
            load: 0,
            loads: Vec::new(),
        };
        Self {
            whole,
            part,
            model,
            costs: HashMap::new(),
            by_slot,
            by_pair,
            by_circuit,
            flags: HashMap::new(),
            pairs: HashMap::new(),
        }
    }

    pub fn built(mut self) -> Model {
        self.animals();
        self.demands();
        self.slots();
        self.circuits();
        self.quotas();
        self.efforts();
        self.fixed_minutes();
        self.load();
        let mut minutes = vec![0.0; self.model.program.upper.len()];
        for (column, cost) in &self.costs {
            minutes[*column] = *cost;
        }
        self.model.minutes = minutes;
        self.model
    }

    fn arc(&self, at: usize) -> &'a Arc {
        &self.whole.admitted.arcs[self.part.arcs[at]]
    }

    fn animals(&mut self) {
        let requests = self.part.requests.iter().enumerate();
        let positions: HashMap<usize, usize> = requests.map(|(at, request)| (*request, at)).collect();
        let pairs = self.by_pair.keys().enumerate();
        let pair_at: HashMap<(usize, usize), usize> = pairs.map(|(at, pair)| (*pair, at)).collect();
        let pairs = self.by_pair.keys().map(|(request, centre)| (positions[request], *centre));
        self.model.pairs = pairs.collect();
        for at in 0..self.part.arcs.len() {
            let arc = self.arc(at);
            let count = self.whole.count(arc.request);
            let slot = &self.whole.admitted.slots[arc.slot];
            let undivided = self.whole.undivided(arc.request);
            let free = match slot.kind {
                Kind::Rows { free } if !(undivided && slot.communal) => free,
                _ => 1,
            };
            let room = arc.cap.saturating_mul(free);
            let step = if undivided { count } else { 1 };
            let most = if undivided { u32::from(room >= count) } else { room.min(count) };
            let x = self.model.program.column(f64::from(most));
            let pair = &self.whole.admitted.pairs[&(arc.request, slot.centre)];
            let request = &self.whole.task.requests[arc.request];
            let each = f64::from(weight(self.whole.task, request)) * f64::from(pair.minutes);
            self.costs.insert(x, each * f64::from(step));
            let units = match slot.kind {
                Kind::Rows { .. } if !undivided => {
                    let needed = count.div_ceil(arc.cap).min(free);
                    let units = self.model.program.column(f64::from(needed));
                    let most = f64::from(arc.cap.min(count));
                    self.model.program.row(Row::at_most(0.0, vec![(x, 1.0), (units, -most)]));
                    Some(units)
                }
                _ => None,
            };
            let pair = pair_at[&(arc.request, slot.centre)];
            let request = positions[&arc.request];
            self.model.arcs.push(ArcColumns {
                request,
                pair,
                x,
                step,
                units,
                cap: arc.cap,
                ones: Vec::new(),
                heads: None,
            });
        }
    }

    fn demands(&mut self) {
        let mut of_request: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.part.requests.len()];
        for columns in &self.model.arcs {
            of_request[columns.request].push((columns.x, 1.0));
        }
        for (at, &request) in self.part.requests.iter().enumerate() {
            let count = self.whole.count(request);
            let step = if self.whole.undivided(request) { count } else { 1 };
            let in_all = f64::from(count / step);
            let unplaced = self.model.program.column(in_all);
            let mut terms = std::mem::take(&mut of_request[at]);
            terms.push((unplaced, 1.0));
            self.model.program.row(Row::exactly(in_all, terms));
            self.model.unplaced.push((unplaced, step));
        }
    }

    /// The 0/1 column that is one where the arc is used.
    fn flag(&mut self, at: usize) -> usize {
        if let Some(flag) = self.flags.get(&at) {
            return *flag;
        }
        let columns = self.model.arcs[at].clone();
        let upper = |column: usize| self.model.program.upper[column];
        let flag = if upper(columns.x) <= 1.0 {
            columns.x
        } else {
            match columns.units {
                Some(units) if upper(units) <= 1.0 => units,
                _ => {
                    let (of, most) = match columns.units {
                        Some(units) => (units, upper(units)),
                        None => (columns.x, upper(columns.x)),
                    };
                    let flag = self.model.program.column(1.0);
                    self.model.program.row(Row::at_most(0.0, vec![(of, 1.0), (flag, -most)]));
                    self.model.arcs[at].ones.push(flag);
                    flag
                }
            }
        };
        self.flags.insert(at, flag);
        flag
    }

    /// Columns whose sum is one where any of the arcs, all of one request, is used.
    fn any_of(&mut self, request: usize, arcs: &[usize]) -> Vec<usize> {
        if let [at] = arcs {
            return vec![self.flag(*at)];
        }
        if self.whole.undivided(request) {
            return arcs.iter().map(|at| self.model.arcs[*at].x).collect();
        }
        let count = f64::from(self.whole.count(request));
        let any = self.model.program.column(1.0);
        let mut terms: Vec<(usize, f64)> = arcs.iter().map(|at| (self.model.arcs[*at].x, 1.0)).collect();
        let most = terms.iter().map(|(x, _)| self.model.program.upper[*x]).sum::<f64>().min(count);
        terms.push((any, -most));
        self.model.program.row(Row::at_most(0.0, terms));
        for at in arcs {
            self.model.arcs[*at].ones.push(any);
        }
        vec![any]
    }

    /// Columns whose sum is one where the request goes to the centre.
    fn pair(&mut self, request: usize, centre: usize) -> Vec<usize> {
        if let Some(pair) = self.pairs.get(&(request, centre)) {
            return pair.clone();
        }
        let arcs = self.by_pair.get(&(request, centre)).cloned().unwrap_or_default();
        let pair = if arcs.is_empty() { Vec::new() } else { self.any_of(request, &arcs) };
        self.pairs.insert((request, centre), pair.clone());
        pair
    }

    fn slots(&mut self) {
        for (slot_at, arcs) in self.by_slot.clone() {
            let slot = &self.whole.admitted.slots[slot_at];
            match slot.kind {
                Kind::Rows { free } => {
                    let terms = arcs.iter().map(|at| {
                        let columns = &self.model.arcs[*at];
                        // An undivided request takes the units of all its animals.
                        let each = f64::from(columns.step.div_ceil(columns.cap));
                        columns.units.map_or((columns.x, each), |units| (units, 1.0))
                    });
                    let terms = terms.collect();
                    self.model.program.row(Row::at_most(f64::from(free), terms));
                }
                Kind::Shared { .. } => self.shared(slot_at, &arcs),
            }
        }
    }

    fn shared(&mut self, slot_at: usize, arcs: &[usize]) {
        let terms = self.heads_of(arcs);
        if let Some(free) = self.whole.admitted.slots[slot_at].free_size {
            let sizes = arcs.iter().zip(&terms);
            let terms =
                sizes.map(|(at, (x, step))| (*x, step * f64::from(self.arc(*at).size))).collect::<Vec<_>>();
            self.model.program.row(Row::at_most(f64::from(free), terms));
        }
        let Some(apart) = self.whole.admitted.apart.get(&slot_at) else { return };
        let (alone, others): (Vec<usize>, Vec<usize>) =
            arcs.iter().partition(|at| apart.alone.contains(&self.arc(**at).request));
        self.alone(&alone, &others, self.whole.admitted.slots[slot_at].free_size.is_some());
        let requests: Vec<usize> = others.iter().map(|at| self.arc(*at).request).collect();
        let cliques =
            cliques(&requests, |one, other| apart.pairs.contains(&(one.min(other), one.max(other))));
        for clique in &cliques {
            let flags = clique.iter().map(|at| (self.flag(others[*at]), 1.0)).collect();
            self.model.program.row(Row::at_most(1.0, flags));
        }
        if self.whole.admitted.slots[slot_at].free_size.is_none() {
            self.heads_together(&others, &cliques);
        }
    }

    fn heads_of(&self, arcs: &[usize]) -> Vec<(usize, f64)> {
        arcs.iter().map(|at| (self.model.arcs[*at].x, f64::from(self.model.arcs[*at].step))).collect()
    }

    /// Of those who share with nobody one comes at most, and then none of the others.
    fn alone(&mut self, alone: &[usize], others: &[usize], by_size: bool) {
        if alone.is_empty() {
            return;
        }
        let flags: Vec<usize> = alone.iter().map(|at| self.flag(*at)).collect();
        self.model.program.row(Row::at_most(1.0, flags.iter().map(|flag| (*flag, 1.0)).collect()));
        if others.is_empty() {
            return;
        }
        let mut terms = self.heads_of(others);
        let room = terms.iter().map(|(x, step)| self.model.program.upper[*x] * step).sum::<f64>();
        let cap = others.iter().map(|at| self.arc(*at).cap).max().unwrap_or(0);
        let most = if by_size { room } else { room.min(f64::from(cap)) };
        terms.extend(flags.into_iter().map(|flag| (flag, most)));
        self.model.program.row(Row::at_most(most, terms));
    }

    /// With a request in it that allows fewer heads, fewer may be in a unit in all. Of those that are
    /// apart one comes at most, so that one row holds for all of them.
    fn heads_together(&mut self, arcs: &[usize], cliques: &[Vec<usize>]) {
        let caps: Vec<u32> = arcs.iter().map(|at| self.arc(*at).cap).collect();
        let most = caps.iter().copied().max().unwrap_or(0);
        let mut terms = self.heads_of(arcs);
        if caps.iter().all(|cap| *cap == most) {
            self.model.program.row(Row::at_most(f64::from(most), terms));
            return;
        }
        let heads = self.model.program.column(f64::from(most));
        for at in arcs {
            self.model.arcs[*at].heads = Some(heads);
        }
        terms.push((heads, -1.0));
        self.model.program.row(Row::exactly(0.0, terms));
        let free = (0..arcs.len()).filter(|at| !cliques.iter().any(|clique| clique.contains(at)));
        let free: Vec<Vec<usize>> = free.map(|at| vec![at]).collect();
        for group in cliques.iter().chain(&free) {
            let fewer = group.iter().filter(|at| caps[**at] < most);
            let mut terms: Vec<(usize, f64)> =
                fewer.map(|at| (self.flag(arcs[*at]), f64::from(most - caps[*at]))).collect();
            if !terms.is_empty() {
                terms.push((heads, 1.0));
                self.model.program.row(Row::at_most(f64::from(most), terms));
            }
        }
    }

    /// One shared water is one unit: two requests come to it only with the vet's yes.
    fn circuits(&mut self) {
        for (_, of_circuit) in self.by_circuit.clone() {
            if of_circuit.len() < 2 {
                continue;
            }
            let requests: Vec<usize> = of_circuit.keys().copied().collect();
            let whole = self.whole;
            let cliques = cliques(&requests, |one, other| {
                !may_share_water(&whole.task.requests[one], &whole.task.requests[other])
            });
            let mut any: HashMap<usize, Vec<usize>> = HashMap::new();
            for clique in cliques {
                let mut terms = Vec::new();
                for at in clique {
                    let request = requests[at];
                    let columns =
                        any.entry(request).or_insert_with(|| self.any_of(request, &of_circuit[&request]));
                    terms.extend(columns.iter().map(|column| (*column, 1.0)));
                }
                self.model.program.row(Row::at_most(1.0, terms));
            }
        }
    }

    fn animals_at(&self, request: usize, centre: usize) -> Vec<(usize, f64)> {
        let arcs = self.by_pair.get(&(request, centre)).into_iter().flatten();
        arcs.map(|at| (self.model.arcs[*at].x, f64::from(self.model.arcs[*at].step))).collect()
    }

    #[allow(clippy::cast_precision_loss)]
    fn quotas(&mut self) {
        for quota in self.whole.quotas {
            let terms: Vec<(usize, f64)> =
                quota.counts.iter().flat_map(|request| self.animals_at(*request, quota.centre)).collect();
            if terms.is_empty() {
                continue;
            }
            if quota.binds.len() == quota.counts.len() {
                self.model.program.row(Row::at_most(quota.left.max(0) as f64, terms));
                continue;
            }
            // Whoever is let in by an order counts for the others all the same.
            let in_all: f64 = terms.iter().map(|(x, step)| self.model.program.upper[*x] * step).sum();
            let left = quota.left as f64;
            let slack = (in_all - left).max(0.0);
            for request in &quota.binds {
                let pair = self.pair(*request, quota.centre);
                let mut terms: HashMap<usize, f64> = terms.iter().copied().collect();
                for column in pair {
                    *terms.entry(column).or_default() += slack;
                }
                let mut terms: Vec<(usize, f64)> = terms.into_iter().collect();
                terms.sort_unstable_by_key(|(column, _)| *column);
                self.model.program.row(Row::at_most(left + slack, terms));
            }
        }
    }

    fn efforts(&mut self) {
        for effort in self.whole.efforts {
            let mut terms = Vec::new();
            for (request, used) in &effort.uses {
                let pair = self.pair(*request, effort.centre);
                terms.extend(pair.into_iter().map(|column| (column, f64::from(*used))));
            }
            if !terms.is_empty() {
                self.model.program.row(Row::at_most(f64::from(effort.left), terms));
            }
        }
    }

    fn fixed_minutes(&mut self) {
        let fixed = f64::from(self.whole.task.file.costs.fixed_minutes);
        if fixed == 0.0 {
            return;
        }
        let pairs: Vec<(usize, usize)> = self.by_pair.keys().copied().collect();
        for (request, centre) in pairs {
            for column in self.pair(request, centre) {
                *self.costs.entry(column).or_default() += fixed;
            }
        }
    }

    #[allow(clippy::cast_precision_loss)]
    fn load(&mut self) {
        let mut by_centre: HashMap<usize, Vec<usize>> = HashMap::new();
        for ((_, centre), arcs) in &self.by_pair {
            by_centre.entry(*centre).or_default().extend(arcs);
        }
        let animals: u64 = self.part.requests.iter().map(|one| u64::from(self.whole.count(*one))).sum();
        let mut most = 0_u64;
        for load in self.whole.loads {
            let Some(arcs) = by_centre.get(&load.centre) else { continue };
            most = most.max(((load.present + animals) * 1000).div_ceil(load.heads));
            self.model.loads.push((*load, arcs.clone()));
        }
        self.model.load = self.model.program.column(most as f64);
        for (load, arcs) in &self.model.loads {
            let mut terms: Vec<(usize, f64)> = arcs
                .iter()
                .map(|at| (self.model.arcs[*at].x, -1000.0 * f64::from(self.model.arcs[*at].step)))
                .collect();
            terms.push((self.model.load, load.heads as f64));
            self.model.program.rows.push(Row::at_least(1000.0 * load.present as f64, terms));
        }
    }
}

/// Groups, each of which are all apart from each other, that hold every two that are apart.
fn cliques(members: &[usize], apart: impl Fn(usize, usize) -> bool) -> Vec<Vec<usize>> {
    let count = members.len();
    let mut beside = vec![vec![false; count]; count];
    for one in 0..count {
        for other in one + 1..count {
            let mind = apart(members[one], members[other]);
            beside[one][other] = mind;
            beside[other][one] = mind;
        }
    }
    let mut open = beside.clone();
    let mut cliques = Vec::new();
    for one in 0..count {
        for other in one + 1..count {
            if !open[one][other] {
                continue;
            }
            let mut clique = vec![one, other];
            let mut more: Vec<usize> =
                (0..count).filter(|next| beside[one][*next] && beside[other][*next]).collect();
            while let Some(next) = more.first().copied() {
                clique.push(next);
                more.retain(|further| beside[next][*further]);
            }
            clique.sort_unstable();
            for (at, first) in clique.iter().enumerate() {
                for second in &clique[at + 1..] {
                    open[*first][*second] = false;
                }
            }
            cliques.push(clique);
        }
    }
    cliques
}

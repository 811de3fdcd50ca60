//! What requests share out among themselves: the rows of the programme that a request's own placing
//! does not already keep.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::mixture::Pattern;
use super::places::Places;
use super::shares::Share;
use crate::plan::model::{ArcColumns, Model};
use crate::plan::program::Row;
use crate::plan::start::as_count;

/// Rows of the form "no more than", with factors that are not below zero.
pub(crate) struct Coupled {
    pub limits: Vec<f64>,
    /// Of each row: columns of the programme, with the factor.
    pub terms: Vec<Vec<(usize, f64)>>,
    /// By column of the programme: rows, with the factor.
    pub by_column: Vec<Vec<(usize, f64)>>,
    /// By column of the programme, and after those by what counts the animals of a pair: rows that it
    /// takes of by stairs.
    stairs: Vec<Vec<(usize, Stairs)>>,
    /// By column of the programme: what counts the animals of its pair.
    heads: Vec<Option<usize>>,
    /// By pair, after the programme's columns: how many of what it is counted in there can be at most.
    most: Vec<f64>,
    /// Rows of which every column is what one arc takes.
    pub slots: Vec<bool>,
}

/// From how many on, how much: both grow from step to step, and below the first it is nothing.
pub(crate) type Stairs = Vec<(f64, f64)>;

/// A row that is added: what columns take of it by the piece and what they take by stairs, no more than
/// the limit.
pub(crate) struct Cut {
    pub limit: f64,
    pub terms: Vec<(usize, f64)>,
    pub stairs: Vec<(usize, Stairs)>,
}

/// How many times a limit is cut up at most when its row is rounded down.
const MOST_PARTS: u32 = 6;

impl Coupled {
    /// Those of a programme and of what earlier stages fixed. Rows that say what a column means have
    /// factors below zero and hold for every placing as it is written down; what does not reach its
    /// limit, however much is placed, binds nobody.
    pub fn of(model: &Model, fixed: &[Row]) -> Self {
        let columns = model.program.upper.len();
        let mut heads_of: Vec<Vec<(usize, f64)>> = vec![Vec::new(); columns];
        for arc in &model.arcs {
            if let Some(heads) = arc.heads {
                heads_of[heads].push((arc.x, f64::from(arc.step)));
            }
        }
        let mut heads = vec![None; columns];
        for arc in &model.arcs {
            heads[arc.x] = Some(model.heads_of_pair(arc.pair));
        }
        let mut coupled = Self {
            limits: Vec::new(),
            terms: Vec::new(),
            by_column: vec![Vec::new(); columns],
            stairs: vec![Vec::new(); columns + model.pairs.len()],
            heads,
            most: vec![f64::INFINITY; columns + model.pairs.len()],
            slots: Vec::new(),
        };
        let mut of_arc = vec![false; columns];
        for arc in &model.arcs {
            of_arc[arc.units.unwrap_or(arc.x)] = true;
        }
        for row in model.program.rows.iter().chain(fixed) {
            if row.lower.is_finite() || row.terms.iter().any(|(_, factor)| *factor < 0.0) {
                continue;
            }
            let mut terms: Vec<(usize, f64)> = Vec::new();
            let mut own = true;
            for (column, factor) in &row.terms {
                match heads_of[*column].as_slice() {
                    [] => terms.push((*column, *factor)),
                    // The heads of a shared unit are the animals of all who come to it.
                    heads => {
                        own = false;
                        terms.extend(heads.iter().map(|(x, step)| (*x, step * factor)));
                    }
                }
            }
            let most: f64 = terms.iter().map(|(column, factor)| factor * model.program.upper[*column]).sum();
            if most > row.upper {
                if own {
                    coupled.round(model, row.upper, &terms);
                }
                let slot = own && terms.iter().all(|(column, _)| of_arc[*column]);
                coupled.add(Cut { limit: row.upper, terms, stairs: Vec::new() }, slot);
            }
        }
        coupled
    }

    /// Says of pairs how many of each there can be within what its centre shares out.
    pub fn within(&mut self, shares: &BTreeMap<usize, Vec<Share>>) {
        for share in shares.values().flatten() {
            for (heads, of) in &share.uses {
                let left = share.limit.checked_sub(of.once);
                let most = match (left, of.each) {
                    (None, _) => 0.0,
                    (Some(_), 0) => continue,
                    (Some(left), each) => f64::from(left / each),
                };
                self.most[*heads] = self.most[*heads].min(most);
            }
        }
    }

    /// By arc, the most that it can take by itself.
    pub fn room(&self, model: &Model) -> Vec<u32> {
        let prices = Prices { each: Vec::new(), stairs: Vec::new() };
        let left = self.limits.as_slice();
        let terms = Terms { model, coupled: self, prices: &prices, left, room: None };
        (0..model.arcs.len()).map(|at| terms.most(at)).collect()
    }

    /// How many of what a pair is counted in there can be at most.
    pub fn most(&self, heads: usize) -> f64 {
        self.most[heads]
    }

    /// What is there of pairs, with columns at these values.
    pub fn heads(&self, values: &[(usize, f64)]) -> Vec<(usize, f64)> {
        let heads = values.iter().filter_map(|(column, value)| Some((self.heads[*column]?, *value)));
        summed(heads.collect())
    }

    /// Adds a row.
    pub fn add(&mut self, cut: Cut, slot: bool) {
        let at = self.limits.len();
        self.limits.push(cut.limit);
        self.slots.push(slot);
        cut.terms.iter().for_each(|(column, factor)| self.by_column[*column].push((at, *factor)));
        cut.stairs.into_iter().for_each(|(column, stairs)| self.stairs[column].push((at, stairs)));
        self.terms.push(cut.terms);
    }

    /// A row rounded down (Chvatal and Gomory): where the limit is cut up into so many parts and a rest,
    /// what takes one part can come no more often than there are parts. Columns are whole, and each is
    /// rounded as a whole, so that of a row of five units two placings that take three each are too many,
    /// which a mixture of them hides.
    fn round(&mut self, model: &Model, limit: f64, terms: &[(usize, f64)]) {
        for parts in 1..=MOST_PARTS {
            let parts = f64::from(parts);
            if parts >= limit {
                break;
            }
            let share = (parts + 1.0) / (limit + 0.5);
            let rounded = terms.iter().map(|(column, factor)| {
                (*column, rounded(factor * share, parts, model.program.upper[*column]))
            });
            let stairs: Vec<(usize, Stairs)> = rounded.filter(|(_, stairs)| !stairs.is_empty()).collect();
            let most: f64 = stairs.iter().filter_map(|(_, stairs)| Some(stairs.last()?.1)).sum();
            if most > parts {
                self.add(Cut { limit: parts, terms: Vec::new(), stairs }, false);
            }
        }
    }

    /// A request's placing as a pattern.
    pub fn pattern(
        &self,
        model: &Model,
        costs: &[f64],
        request: usize,
        count: u32,
        places: Places,
    ) -> Pattern {
        let values = values(model, request, count, &places);
        let cost = values.iter().map(|(column, value)| costs[*column] * value).sum();
        Pattern { request, takes: self.all_sums(&values), places, cost }
    }

    /// What columns are priced at: their costs, less what the duals make of what they take.
    pub fn prices(&self, costs: &[f64], duals: &[f64]) -> Prices {
        let columns = (0..self.stairs.len()).into_par_iter();
        let (each, stairs) = columns.map(|column| self.price(column, costs, duals)).unzip();
        Prices { each, stairs }
    }

    /// The same of some columns; the others stay as they are.
    pub fn price_again(&self, prices: &mut Prices, columns: &[usize], costs: &[f64], duals: &[f64]) {
        for column in columns {
            (prices.each[*column], prices.stairs[*column]) = self.price(*column, costs, duals);
        }
    }

    /// For one of a column, and by stairs.
    fn price(&self, column: usize, costs: &[f64], duals: &[f64]) -> (f64, Stairs) {
        let rows = self.by_column.get(column).map_or(&[][..], Vec::as_slice);
        let paid_each: f64 = rows.iter().map(|(row, factor)| duals[*row] * factor).sum();
        (costs.get(column).unwrap_or(&0.0) - paid_each, paid(&self.stairs[column], duals))
    }

    /// What columns at these values come to in each row.
    pub fn sums(&self, values: &[(usize, f64)]) -> Vec<(usize, f64)> {
        let mut sums: Vec<(usize, f64)> = Vec::new();
        for (column, value) in values {
            sums.extend(self.by_column[*column].iter().map(|(row, factor)| (*row, factor * value)));
        }
        summed(sums)
    }

    /// The same with the rows that are taken of by stairs.
    pub fn all_sums(&self, values: &[(usize, f64)]) -> Vec<(usize, f64)> {
        let mut sums = self.sums(values);
        let heads = self.heads(values);
        for (column, value) in values.iter().chain(&heads) {
            sums.extend(self.stairs[*column].iter().map(|(row, stairs)| (*row, height(stairs, *value))));
        }
        sums.retain(|(_, sum)| *sum > 0.0);
        summed(sums)
    }
}

/// How high stairs are there.
pub(crate) fn height(stairs: &[(f64, f64)], value: f64) -> f64 {
    let below = stairs.partition_point(|(from, _)| *from <= value + 1e-9);
    below.checked_sub(1).map_or(0.0, |at| stairs[at].1)
}

/// A factor's whole parts, of so many at most, up to a column's upper end.
pub(crate) fn rounded(factor: f64, most: f64, upper: f64) -> Stairs {
    let mut stairs = Stairs::new();
    let mut parts = 1.0;
    while parts <= most {
        let from = (parts / factor - 1e-9).ceil();
        if from > upper {
            break;
        }
        match stairs.last_mut() {
            Some((last, height)) if *last == from => *height = parts,
            _ => stairs.push((from, parts)),
        }
        parts += 1.0;
    }
    stairs
}

/// What a column pays in all rows that it takes of by stairs.
fn paid(rows: &[(usize, Stairs)], duals: &[f64]) -> Stairs {
    let mut rises: Vec<(f64, f64)> = Vec::new();
    for (row, stairs) in rows.iter().filter(|(row, _)| duals[*row] != 0.0) {
        let mut before = 0.0;
        for (from, height) in stairs {
            rises.push((*from, -duals[*row] * (height - before)));
            before = *height;
        }
    }
    rises.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut in_all = 0.0;
    for (_, rise) in &mut rises {
        in_all += *rise;
        *rise = in_all;
    }
    rises
}

/// One sum for each row.
pub(crate) fn summed(mut sums: Vec<(usize, f64)>) -> Vec<(usize, f64)> {
    sums.sort_unstable_by_key(|(row, _)| *row);
    sums.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        if same {
            kept.1 += next.1;
        }
        same
    });
    sums
}

/// What columns of the programme are priced at.
pub(crate) struct Prices {
    /// For one of each.
    each: Vec<f64>,
    /// By stairs.
    stairs: Vec<Stairs>,
}

impl Prices {
    /// Every column at nothing.
    pub fn none(coupled: &Coupled) -> Self {
        let columns = coupled.stairs.len();
        Self { each: vec![0.0; columns], stairs: vec![Stairs::new(); columns] }
    }

    /// Of a column at a value.
    pub fn of(&self, column: usize, value: f64) -> f64 {
        self.each[column] * value + height(&self.stairs[column], value)
    }
}

/// What placings are priced at, and what is left of each row.
pub(crate) struct Terms<'a> {
    pub model: &'a Model,
    pub coupled: &'a Coupled,
    pub prices: &'a Prices,
    pub left: &'a [f64],
    /// By arc, the most that it can take, where nothing is taken yet.
    pub room: Option<&'a [u32]>,
}

impl Terms<'_> {
    /// The price of a 0/1 column.
    pub fn price(&self, column: usize) -> f64 {
        self.prices.of(column, 1.0)
    }

    /// How often a column by itself can be taken.
    pub fn times(&self, column: usize) -> f64 {
        let mut times = self.model.program.upper[column];
        for (row, factor) in &self.coupled.by_column[column] {
            let left = self.left[*row];
            times = times.min(if *factor == 1.0 { left } else { left / factor });
            // Most that cannot come are seen not to at the first row.
            if times < 1.0 - 1e-6 {
                return 0.0;
            }
        }
        (times + 1e-6).floor()
    }

    /// The most that an arc by itself can take, in steps of its column.
    pub fn most(&self, at: usize) -> u32 {
        if let Some(room) = self.room {
            return room[at];
        }
        let columns = &self.model.arcs[at];
        let units = columns.units.map_or(f64::INFINITY, |units| self.times(units) * f64::from(columns.cap));
        // Most have no room: what is left of their own unit shows it.
        if units < 1.0 {
            return 0;
        }
        let times = as_count(self.times(columns.x).min(units).max(0.0));
        if times == 0 || columns.ones.iter().any(|one| self.times(*one) < 1.0) {
            return 0;
        }
        u32::try_from(times).unwrap_or(u32::MAX)
    }
}

/// Columns of a request's placing that are not zero: where its animals go, and how many of `count` do
/// not.
pub(crate) fn values(
    model: &Model,
    request: usize,
    count: u32,
    places: &[(usize, u32)],
) -> Vec<(usize, f64)> {
    let mut values: Vec<(usize, f64)> = Vec::new();
    let mut ones: Vec<usize> = Vec::new();
    let mut placed = 0;
    for (at, amount) in places {
        let ArcColumns { x, step, units, cap, ones: of_arc, .. } = &model.arcs[*at];
        placed += amount;
        values.push((*x, f64::from(amount / step)));
        if let Some(units) = units {
            values.push((*units, f64::from(amount.div_ceil(*cap))));
        }
        ones.extend(of_arc);
    }
    ones.sort_unstable();
    ones.dedup();
    values.extend(ones.into_iter().map(|one| (one, 1.0)));
    let (unplaced, step) = model.unplaced[request];
    let left = count.saturating_sub(placed) / step;
    if left > 0 {
        values.push((unplaced, f64::from(left)));
    }
    values
}

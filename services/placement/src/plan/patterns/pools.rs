//! Units that requests may share: of those who may not share with each other one comes, which the
//! programme says of each two only, or by the room that they leave each other.

use std::collections::HashMap;

use super::coupled::Cut;
use crate::plan::admit::Apart;
use crate::plan::model::{Model, Part, Whole};

/// By how much the relaxation must break a row for it to be worth its place.
const BROKEN: f64 = 0.01;

/// A shared unit: columns of animals.
pub(crate) struct Pool<'a> {
    /// Of those who share with nobody.
    alone: Vec<usize>,
    /// Of the others, with the request.
    others: Vec<(usize, usize)>,
    apart: &'a Apart,
}

/// All of a part.
pub(crate) fn pools<'a>(whole: &Whole<'a>, part: &Part, model: &Model) -> Vec<Pool<'a>> {
    let admitted = whole.admitted;
    let mut pools: HashMap<usize, Pool<'a>> = HashMap::new();
    for (at, columns) in part.arcs.iter().zip(&model.arcs) {
        let arc = &admitted.arcs[*at];
        let Some(apart) = admitted.apart.get(&arc.slot) else { continue };
        let empty = || Pool { alone: Vec::new(), others: Vec::new(), apart: apart.as_ref() };
        let pool = pools.entry(arc.slot).or_insert_with(empty);
        if apart.alone.contains(&arc.request) {
            pool.alone.push(columns.x);
        } else {
            pool.others.push((columns.x, arc.request));
        }
    }
    let mut pools: Vec<(usize, Pool<'a>)> = pools.into_iter().collect();
    pools.sort_unstable_by_key(|(slot, _)| *slot);
    pools.into_iter().map(|(_, pool)| pool).collect()
}

impl Pool<'_> {
    /// The row that is broken most, by what share of the mixture has any animals of a column.
    pub fn broken(&self, shares: &[f64]) -> Option<Cut> {
        let alone: f64 = self.alone.iter().map(|x| shares[*x]).sum();
        let mut order = self.others.clone();
        order.sort_by(|one, other| shares[other.0].total_cmp(&shares[one.0]).then(one.cmp(other)));
        let used = order.iter().take_while(|(x, _)| shares[*x] > 0.0).count();
        let groups = (0..used.max(1)).filter_map(|first| {
            let group = self.group(&order, first)?;
            let sum = alone + group.iter().map(|x| shares[*x]).sum::<f64>();
            (sum > 1.0 + BROKEN).then_some((sum, group))
        });
        let (_, group) = groups.max_by(|one, other| one.0.total_cmp(&other.0))?;
        let any = self.alone.iter().copied().chain(group).map(|x| (x, vec![(1.0, 1.0)]));
        Some(Cut { limit: 1.0, terms: Vec::new(), stairs: any.collect() })
    }

    /// One, and after it whoever may not share with any of those before.
    fn group(&self, order: &[(usize, usize)], first: usize) -> Option<Vec<usize>> {
        let mut group = vec![*order.get(first)?];
        for one in order {
            let apart =
                |other: &(usize, usize)| self.apart.pairs.contains(&(one.1.min(other.1), one.1.max(other.1)));
            if group.iter().all(apart) {
                group.push(*one);
            }
        }
        Some(group.into_iter().map(|(x, _)| x).collect())
    }
}

//! Rows that every plan keeps and a mixture of patterns does not: of what the relaxation uses in part,
//! some cannot be there together.

use std::collections::BTreeMap;

use super::coupled::{Coupled, Cut};
use super::master::Master;
use crate::plan::growing::Relaxed;
use crate::plan::model::Model;

/// By how much the relaxation must break a row for it to be worth its place.
const BROKEN: f64 = 0.01;
/// Units of a slot up to which it is looked at.
const MOST_UNITS: f64 = 10.0;

/// What of the relaxation uses how much of a slot: columns, with what they take of it and the weight.
type Used = BTreeMap<usize, Vec<(f64, f64)>>;

/// Rows that the relaxation breaks.
pub(crate) fn cuts(master: &Master<'_>, model: &Model, relaxed: &Relaxed) -> Vec<Cut> {
    let coupled = &master.coupled;
    let mixed = master.mixed(model, relaxed);
    let mut cuts: Vec<Cut> = (0..coupled.terms.len())
        .filter(|row| knapsack(model, coupled, *row))
        .filter_map(|row| cover(&coupled.terms[row], coupled.limits[row], &mixed))
        .collect();
    let mut slots: BTreeMap<usize, Used> = BTreeMap::new();
    for (pattern, weight) in master.with_weight(relaxed) {
        for (column, value) in master.values(model, pattern.request, &pattern.places) {
            for (row, factor) in coupled.by_column[column].iter().filter(|(row, _)| coupled.slots[*row]) {
                let used = slots.entry(*row).or_default();
                used.entry(column).or_default().push((factor * value, weight));
            }
        }
    }
    cuts.extend(slots.into_iter().filter_map(|(row, used)| together(coupled, row, &used)));
    cuts
}

/// True where a row's columns are all 0/1 and do not take the same.
fn knapsack(model: &Model, coupled: &Coupled, row: usize) -> bool {
    let terms = &coupled.terms[row];
    coupled.limits[row] > 1.0
        && terms.iter().all(|(column, _)| model.program.upper[*column] <= 1.0)
        && terms.iter().any(|(_, factor)| *factor > 1.0)
}

/// Columns that cannot all be there, and what the others count beside them (a lifted cover; Balas, Math.
/// Program. 8, 1975).
fn cover(terms: &[(usize, f64)], limit: f64, mixed: &[f64]) -> Option<Cut> {
    let mut order: Vec<(usize, f64)> = terms.to_vec();
    let lack = |column: usize| (1.0 - mixed[column]).max(0.0);
    order.sort_by(|one, other| {
        (lack(one.0) / one.1).total_cmp(&(lack(other.0) / other.1)).then(one.0.cmp(&other.0))
    });
    let mut taken = 0.0;
    let number = order.iter().position(|(_, factor)| {
        taken += factor;
        taken > limit + 1e-6
    })? + 1;
    let mut others = order.split_off(number);
    // What is least there goes first, as long as the rest cannot all be there.
    order.sort_by(|one, other| lack(other.0).total_cmp(&lack(one.0)).then(one.0.cmp(&other.0)));
    let mut kept = Vec::new();
    for (column, factor) in order {
        if taken - factor > limit + 1e-6 {
            taken -= factor;
            others.push((column, factor));
        } else {
            kept.push((column, factor));
        }
    }
    let most = kept.len() - 1;
    let mut counted: Vec<(usize, f64)> = kept.iter().map(|(column, _)| (*column, 1.0)).collect();
    // The least that what is counted takes of the limit, by what it counts.
    let mut least = vec![f64::INFINITY; most + 1];
    least[0] = 0.0;
    kept.iter().for_each(|(_, factor)| count_in(&mut least, 1, *factor));
    others.sort_by(|one, other| mixed[other.0].total_cmp(&mixed[one.0]).then(one.0.cmp(&other.0)));
    for (column, factor) in others {
        let beside = least.iter().rposition(|least| *least <= limit - factor + 1e-6);
        let counts = beside.map_or(most, |beside| most - beside);
        if counts > 0 {
            count_in(&mut least, counts, factor);
            #[allow(clippy::cast_precision_loss)]
            counted.push((column, counts as f64));
        }
    }
    #[allow(clippy::cast_precision_loss)]
    let most = most as f64;
    let sum: f64 = counted.iter().map(|(column, counts)| counts * mixed[*column]).sum();
    (sum > most + BROKEN).then(|| Cut { limit: most, terms: counted, rounded: Vec::new() })
}

fn count_in(least: &mut [f64], counts: usize, factor: f64) {
    for sum in (counts..least.len()).rev() {
        least[sum] = least[sum].min(least[sum - counts] + factor);
    }
}

/// Of those who take so many units of a slot that no two of them find room, and one who takes as many as
/// one of them leaves no room for, one can come. The number and the one that are broken most.
fn together(coupled: &Coupled, row: usize, used: &Used) -> Option<Cut> {
    let units = coupled.limits[row];
    if units > MOST_UNITS {
        return None;
    }
    let least = |from: f64, of: &[(f64, f64)]| -> f64 {
        of.iter().filter(|(takes, _)| *takes >= from - 1e-6).map(|(_, weight)| weight).sum()
    };
    let mut best: Option<(f64, f64, usize)> = None;
    let mut many = (units / 2.0).floor() + 1.0;
    while many <= units {
        let all: f64 = used.values().map(|of| least(many, of)).sum();
        for (column, of) in used {
            let sum = all - least(many, of) + least(units - many + 1.0, of);
            if sum > 1.0 + BROKEN && best.is_none_or(|(most, ..)| sum > most) {
                best = Some((sum, many, *column));
            }
        }
        many += 1.0;
    }
    let (_, many, one) = best?;
    let rounded = coupled.terms[row]
        .iter()
        .map(|(column, factor)| (*column, factor / if *column == one { units - many + 1.0 } else { many }));
    Some(Cut { limit: 1.0, terms: Vec::new(), rounded: rounded.collect() })
}

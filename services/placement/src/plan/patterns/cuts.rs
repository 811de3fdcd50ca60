//! Rows that every plan keeps and a mixture of patterns does not: of what the relaxation uses in part,
//! some cannot be there together, in a slot or in a centre.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::coupled::{Coupled, Cut};
use super::facets::{Level, MOST_ROWS, Thing, Uses, facet};
use super::master::Master;
use super::shares::Share;
use crate::plan::growing::Relaxed;
use crate::plan::model::Model;

/// Levels that are looked at together, at most.
const MOST_LEVELS: usize = 60;

/// Of a column or a pair: so many of it, with the weight, and how much dearer than best the pattern is.
type Used = BTreeMap<usize, Vec<(f64, f64, f64)>>;

/// Rows that the relaxation breaks.
///
/// # Errors
/// The solver's own words.
pub(crate) fn cuts(
    master: &Master<'_>,
    model: &Model,
    relaxed: &Relaxed,
    within: f64,
) -> Result<Vec<Cut>, String> {
    let coupled = &master.coupled;
    let mut of_slot: BTreeMap<usize, Used> = BTreeMap::new();
    let mut of_centre: BTreeMap<usize, Used> = BTreeMap::new();
    let mut any = vec![0.0; model.program.upper.len()];
    for (pattern, weight, dearer) in master.mixture.near(relaxed, within) {
        let values = master.values(model, pattern.request, &pattern.places);
        for (column, value) in &values {
            any[*column] += weight;
            for (row, _) in coupled.by_column[*column].iter().filter(|(row, _)| coupled.slots[*row]) {
                let used = of_slot.entry(*row).or_default();
                used.entry(*column).or_default().push((*value, weight, dearer));
            }
        }
        for (heads, value) in coupled.heads(&values) {
            let (_, centre) = model.pairs[heads - model.program.upper.len()];
            let used = of_centre.entry(centre).or_default();
            used.entry(heads).or_default().push((value, weight, dearer));
        }
    }
    let slots = of_slot.into_par_iter().map(|(row, used)| in_slot(coupled, row, &used));
    let mut cuts: Vec<Option<Cut>> = slots.collect::<Result<_, String>>()?;
    let shares = &master.shares;
    let centres = of_centre.into_par_iter();
    let centres = centres.filter_map(|(centre, used)| Some(in_centre(shares.get(&centre)?, &used)));
    cuts.extend(centres.collect::<Result<Vec<_>, String>>()?);
    let pools = master.pools.iter().filter_map(|pool| pool.broken(&any));
    Ok(cuts.into_iter().flatten().chain(pools).collect())
}

fn in_slot(coupled: &Coupled, row: usize, used: &Used) -> Result<Option<Cut>, String> {
    let mut limits = [u32::MAX; MOST_ROWS];
    limits[0] = whole(coupled.limits[row]);
    let factors: BTreeMap<usize, f64> = coupled.terms[row].iter().copied().collect();
    cut(used, &limits, |column, value| {
        let mut uses = [0; MOST_ROWS];
        uses[0] = whole(factors[&column] * value);
        uses
    })
}

fn in_centre(shares: &[Share], used: &Used) -> Result<Option<Cut>, String> {
    let mut limits = [u32::MAX; MOST_ROWS];
    limits.iter_mut().zip(shares).for_each(|(limit, share)| *limit = share.limit);
    cut(used, &limits, |pair, value| {
        let mut uses = [0; MOST_ROWS];
        for (uses, share) in uses.iter_mut().zip(shares) {
            if let Some(of) = share.uses.get(&pair) {
                *uses = of.each * whole(value) + of.once;
            }
        }
        uses
    })
}

fn cut(used: &Used, limits: &Uses, uses: impl Fn(usize, f64) -> Uses) -> Result<Option<Cut>, String> {
    let things = things(used, limits, uses);
    let fraction = |level: &Level| level.weight > 1e-6 && level.weight < 1.0 - 1e-6;
    if !things.iter().any(|thing| thing.levels.iter().any(fraction)) {
        return Ok(None);
    }
    let row = facet(&things, limits)?;
    Ok(row.map(|stairs| Cut { limit: 1.0, terms: Vec::new(), stairs }))
}

/// What is used, in levels: those of the relaxation, and those of the patterns next to it.
fn things(used: &Used, limits: &Uses, uses: impl Fn(usize, f64) -> Uses) -> Vec<Thing> {
    let mut levels: Vec<(usize, f64, f64, f64)> = Vec::new();
    for (column, of) in used {
        let mut of = of.clone();
        of.sort_by(|one, other| one.0.total_cmp(&other.0));
        of.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            if same {
                kept.1 += next.1;
                kept.2 = kept.2.min(next.2);
            }
            same
        });
        levels.extend(of.into_iter().map(|(from, weight, dearer)| (*column, from, weight, dearer)));
    }
    levels.retain(|(column, from, ..)| {
        let uses = uses(*column, *from);
        uses.iter().any(|uses| *uses > 0) && uses.iter().zip(limits).all(|(uses, limit)| uses <= limit)
    });
    levels.sort_by(|one, other| (one.2 < 1e-9).cmp(&(other.2 < 1e-9)).then(one.3.total_cmp(&other.3)));
    levels.truncate(MOST_LEVELS);
    let mut of_column: BTreeMap<usize, Vec<(f64, f64)>> = BTreeMap::new();
    for (column, from, weight, _) in levels {
        of_column.entry(column).or_default().push((from, weight));
    }
    let things = of_column.into_iter().map(|(column, mut of)| {
        of.sort_by(|one, other| other.0.total_cmp(&one.0));
        let mut in_all = 0.0;
        let levels = of.into_iter().map(|(from, weight)| {
            in_all += weight;
            Level { from, weight: in_all, uses: uses(column, from) }
        });
        let mut levels: Vec<Level> = levels.collect();
        levels.reverse();
        Thing { column, levels }
    });
    things.collect()
}

/// Counts and limits are whole and far below the largest.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole(count: f64) -> u32 {
    (count + 1e-6).max(0.0) as u32
}

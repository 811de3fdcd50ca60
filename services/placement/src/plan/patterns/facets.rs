//! Of things that share something out, a row that no choice of them breaks and a given mixture does,
//! where there is one: what a mixture of choices comes to is covered by choices, and where more than one
//! is needed, the duals of the covering are the row. Choices are found as they are needed.

use super::coupled::Stairs;
use crate::plan::growing::Growing;

/// Rows that are looked at together, at most.
pub(super) const MOST_ROWS: usize = 6;
/// What is used up of each of them.
pub(super) type Uses = [u32; MOST_ROWS];
/// By how much the mixture must break a row for it to be worth its place.
const BROKEN: f64 = 0.01;
/// How near to the most that it can break one a row must come.
const NEAR: f64 = 1.02;
/// How often it is gone round at most, and how many choices are kept side by side.
const ROUNDS: usize = 60;
const MOST_CHOICES: usize = 3000;
/// What a level counts that the mixture does not use: so that the row says of it what it can.
const UNUSED: f64 = 1e-3;
const SECONDS: f64 = 1.0;

/// So many of a thing, or more.
#[derive(Debug, Clone)]
pub(super) struct Level {
    pub from: f64,
    /// Share of the mixture that has at least so many.
    pub weight: f64,
    pub uses: Uses,
}

/// What has none or so many, the fewest first.
#[derive(Debug, Clone)]
pub(super) struct Thing {
    pub column: usize,
    pub levels: Vec<Level>,
}

/// Part of a choice: of the things so far, what they use up and what they are worth.
struct Chosen {
    worth: f64,
    uses: Uses,
    /// Which of the choices before it goes on from, and how many levels of the last thing it has.
    before: usize,
    levels: usize,
}

/// The row: by stairs, no more than one. None where the mixture breaks no row by enough.
///
/// # Errors
/// The solver's own words.
pub(super) fn facet(things: &[Thing], limits: &Uses) -> Result<Option<Vec<(usize, Stairs)>>, String> {
    let mut covering = Growing::of(0)?;
    let mut first = 0;
    let mut rows: Vec<usize> = Vec::new();
    for thing in things {
        rows.push(first);
        first += thing.levels.len();
        for level in &thing.levels {
            covering.limit(-(level.weight + UNUSED), &[])?;
        }
    }
    for (at, thing) in things.iter().enumerate() {
        let mut alone = vec![0; things.len()];
        alone[at] = thing.levels.len();
        cover(&mut covering, &rows, &alone)?;
    }
    let mut found: Option<(f64, Vec<(usize, Stairs)>)> = None;
    for _ in 0..ROUNDS {
        let Some(covered) = covering.solve(SECONDS)? else { break };
        if covered.objective <= 1.0 + BROKEN {
            return Ok(None);
        }
        let rise = |at: usize| (-covered.duals[at]).max(0.0);
        let (mut at, mut sum) = (0, 0.0);
        let mut stairs: Vec<Stairs> = Vec::new();
        for thing in things {
            let mut height = 0.0;
            let mut own = Stairs::new();
            for level in &thing.levels {
                height += rise(at);
                sum += rise(at) * level.weight;
                at += 1;
                own.push((level.from, height));
            }
            stairs.push(own);
        }
        let Some((worth, chosen)) = dearest(things, &stairs, limits) else { break };
        if sum > worth * (1.0 + BROKEN) && found.as_ref().is_none_or(|(best, _)| sum / worth > *best) {
            found = Some((sum / worth, scaled(things, &stairs, worth)));
        }
        if worth <= NEAR {
            break;
        }
        cover(&mut covering, &rows, &chosen)?;
    }
    Ok(found.map(|(_, row)| row))
}

/// Adds a choice, given by how many levels of each thing it has.
fn cover(covering: &mut Growing, rows: &[usize], chosen: &[usize]) -> Result<(), String> {
    let levels = rows.iter().zip(chosen).flat_map(|(first, levels)| *first..first + levels);
    let terms: Vec<(usize, f64)> = levels.map(|row| (row, -1.0)).collect();
    covering.add(1.0, &terms).map(|_| ())
}

/// The stairs at a limit of one, without steps that do not rise.
fn scaled(things: &[Thing], stairs: &[Stairs], worth: f64) -> Vec<(usize, Stairs)> {
    let mut row = Vec::new();
    for (thing, own) in things.iter().zip(stairs) {
        let mut steps = Stairs::new();
        for (from, height) in own {
            // A little less of it is a row all the same.
            let height = (height / worth - 1e-9).max(0.0);
            if height > steps.last().map_or(1e-6, |(_, last)| last + 1e-6) {
                steps.push((*from, height));
            }
        }
        if !steps.is_empty() {
            row.push((thing.column, steps));
        }
    }
    row
}

/// The choice that is worth most, with how many levels of each thing it has; nothing where there are too
/// many to be sure.
fn dearest(things: &[Thing], stairs: &[Stairs], limits: &Uses) -> Option<(f64, Vec<usize>)> {
    let mut layers: Vec<Vec<Chosen>> =
        vec![vec![Chosen { worth: 0.0, uses: [0; MOST_ROWS], before: 0, levels: 0 }]];
    for (thing, own) in things.iter().zip(stairs) {
        let before = layers.last()?;
        let mut next: Vec<Chosen> = Vec::new();
        for (at, chosen) in before.iter().enumerate() {
            next.push(Chosen { worth: chosen.worth, uses: chosen.uses, before: at, levels: 0 });
            let mut last = 0.0;
            for (levels, (level, (_, height))) in thing.levels.iter().zip(own).enumerate() {
                // What is worth no more than fewer of it is no better.
                if *height <= last {
                    continue;
                }
                last = *height;
                let mut uses = chosen.uses;
                uses.iter_mut().zip(level.uses).for_each(|(all, one)| *all += one);
                if uses.iter().zip(limits).all(|(uses, limit)| uses <= limit) {
                    next.push(Chosen { worth: chosen.worth + height, uses, before: at, levels: levels + 1 });
                }
            }
        }
        layers.push(undominated(next)?);
    }
    let last = layers.last()?;
    let (mut at, _) = last.iter().enumerate().max_by(|one, other| one.1.worth.total_cmp(&other.1.worth))?;
    let worth = last[at].worth;
    let mut chosen = Vec::new();
    for layer in layers[1..].iter().rev() {
        chosen.push(layer[at].levels);
        at = layer[at].before;
    }
    chosen.reverse();
    Some((worth, chosen))
}

/// Those that no other is as good as and uses as little.
fn undominated(mut all: Vec<Chosen>) -> Option<Vec<Chosen>> {
    all.sort_by(|one, other| other.worth.total_cmp(&one.worth).then(one.uses.cmp(&other.uses)));
    let mut kept: Vec<Chosen> = Vec::new();
    for one in all {
        let less = |other: &Chosen| other.uses.iter().zip(one.uses).all(|(other, one)| *other <= one);
        if !kept.iter().any(less) {
            kept.push(one);
        }
        if kept.len() > MOST_CHOICES {
            return None;
        }
    }
    Some(kept)
}

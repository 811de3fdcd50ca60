//! Plans out of the relaxation over patterns: what it is surest of is settled, it is solved again, and
//! so on until few requests are left for the solver.

use super::master::{Master, Pattern};
use crate::plan::growing::Relaxed;
use crate::plan::model::Model;
use crate::plan::solve::{Course, Deadline};
use crate::plan::start::Amounts;

/// Weight from which a pattern is as good as chosen.
const SURE: f64 = 0.999;
/// Share of the open requests that are settled in one go.
const SETTLED: usize = 8;
/// Rounds of pricing between.
const ROUNDS: usize = 3;

/// A plan on its way.
pub(crate) struct Dived {
    /// Animals of each arc, of the requests that are settled.
    pub amounts: Amounts,
    /// Requests that are left open.
    pub open: Vec<bool>,
}

/// Settles the `free` requests, with the others as they are in the plan at hand, until no more than `few`
/// are open or the relaxation finds no place for them. The relaxation is as before afterwards, but for
/// what it has learnt.
///
/// # Errors
/// The solver's own words.
pub(crate) fn dive(
    master: &mut Master<'_>,
    course: &Course<'_>,
    free: &[bool],
    few: usize,
    deadline: &Deadline,
) -> Result<Dived, String> {
    let (model, plan) = (&course.model, &course.amounts);
    let requests = master.placings.len();
    let mut left = master.coupled.limits.clone();
    let mut open = free.to_vec();
    let kept =
        model.arcs.iter().zip(plan).map(|(columns, amount)| if free[columns.request] { 0 } else { *amount });
    let mut amounts: Amounts = kept.collect();
    let mut held = Vec::new();
    for at in master.learn_plan(model, plan)? {
        let Pattern { request, takes, .. } = &master.patterns[at];
        if !free[*request] {
            takes.iter().for_each(|(row, sum)| left[*row] -= sum);
            master.relaxation.hold(requests + at, 1.0, 1.0)?;
            held.push(requests + at);
        }
    }
    while deadline.left() > 0.0 && open.iter().filter(|open| **open).count() > few {
        let Some(relaxed) = priced_out(master, model, &open, &left, deadline)? else { break };
        let weights = master.patterns.iter().zip(&relaxed.columns[requests..]).enumerate();
        let mut wanted: Vec<(f64, usize)> = weights
            .filter(|(_, (pattern, weight))| open[pattern.request] && **weight > 1e-6)
            .map(|(at, (_, weight))| (*weight, at))
            .collect();
        wanted.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
        let before = held.len();
        let most = open.iter().filter(|open| **open).count().div_ceil(SETTLED);
        let mut settled = 0;
        for (weight, at) in wanted {
            // Half and half is no choice yet, but for the surest of all.
            if settled > 0 && (weight <= 0.5 || (settled >= most && weight < SURE)) {
                break;
            }
            let Pattern { request, places, takes, .. } = &master.patterns[at];
            // Each of two may fit, and both not.
            let fits = takes.iter().all(|(row, sum)| *sum <= left[*row] + 1e-6);
            if fits {
                takes.iter().for_each(|(row, sum)| left[*row] -= sum);
                open[*request] = false;
                places.iter().for_each(|(arc, amount)| amounts[*arc] = *amount);
                settled += 1;
            }
            let value = f64::from(u8::from(fits));
            master.relaxation.hold(requests + at, value, value)?;
            held.push(requests + at);
        }
        if held.len() == before {
            break;
        }
    }
    for column in held {
        master.relaxation.hold(column, 0.0, f64::INFINITY)?;
    }
    Ok(Dived { amounts, open })
}

/// The relaxation with the patterns that open requests can still have.
fn priced_out(
    master: &mut Master<'_>,
    model: &Model,
    open: &[bool],
    left: &[f64],
    deadline: &Deadline,
) -> Result<Option<Relaxed>, String> {
    let mut relaxed = master.relaxation.solve(deadline.left())?;
    for _ in 0..ROUNDS {
        let Some(now) = &relaxed else { break };
        let priced = master.best(model, &master.duals(now), left, |request| open[request]);
        let tightened = master.tighten(now)?;
        if !master.learn_all(model, priced)? && !tightened {
            break;
        }
        relaxed = master.relaxation.solve(deadline.left())?;
    }
    Ok(relaxed)
}

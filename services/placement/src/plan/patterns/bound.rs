//! Lagrange's bound, made better round after round: the relaxation over the patterns known gives duals,
//! the best patterns at the duals give a bound and are learnt; where there are no more of them, rows that
//! every plan keeps cut the relaxation off.

use super::cuts::cuts;
use super::master::Master;
use crate::plan::solve::{Course, Deadline, proven};
use crate::plan::start::as_figure;

/// Weight of the best duals so far in those that are tried: the relaxation's own leap to and fro.
const STEADY: f64 = 0.7;
/// A bound this near to the relaxation, relative to it, is the relaxation's.
const NEAR: f64 = 1e-6;
/// The same, as a share of what is open to the plan.
const NEAR_ENOUGH: f64 = 0.003;
/// What the relaxation gains at least from round to round before rows cut it off, relative to the bound.
const SLOW: f64 = 2e-5;
/// What share of what is open to the plan cuts must close for more of them to be looked for.
const WORTH: f64 = 0.01;
/// How much dearer than the bound a plan is hoped to be, at most: what is open to a poor one that a search
/// begins with does not say how near the bound is worth coming.
const HOPED: f64 = 0.005;

/// How far it came: the best bound, and the duals that prove it.
pub(crate) struct Grown {
    pub bound: f64,
    pub duals: Vec<f64>,
}

/// Grows until little is to be learnt, the bound proves the plan at hand best, or the time is up;
/// nothing where it was up at once.
///
/// # Errors
/// The solver's own words.
pub(crate) fn grown(
    master: &mut Master<'_>,
    course: &Course<'_>,
    costs: &[f64],
    deadline: &Deadline,
) -> Result<Option<Grown>, String> {
    let model = &course.model;
    let objective = model.cost(costs, &course.values());
    let mut best: Option<Grown> = None;
    let (mut before_cuts, mut last, mut cutting) = (f64::NEG_INFINITY, f64::INFINITY, true);
    while deadline.left() > 0.0 {
        let Some(relaxed) = master.mixture.solve(deadline.left())? else { break };
        let own = master.mixture.duals(&relaxed);
        let tightened = master.mixture.tighten(&relaxed)?;
        let mut grown = false;
        // Where the steadier duals teach nothing, the relaxation's own do, or there is nothing to learn.
        for steady in [STEADY, 0.0] {
            let tried: Vec<f64> = match &best {
                Some(best) => {
                    let both = best.duals.iter().zip(&own);
                    both.map(|(best, own)| steady * best + (1.0 - steady) * own).collect()
                }
                None => own.clone(),
            };
            let (priced, bound) = master.lagrange(model, &tried);
            grown = master.learn_all(model, priced.into_iter().enumerate())?;
            match &mut best {
                Some(best) if best.bound >= bound => {}
                Some(best) => (best.bound, best.duals) = (bound, tried),
                None => best = Some(Grown { bound, duals: tried }),
            }
            if grown {
                break;
            }
        }
        let Some(best) = &mut best else { break };
        if proven(best.bound) >= objective {
            break;
        }
        let to_plan = (as_figure(objective) - best.bound).min(best.bound.abs() * HOPED);
        let near = (to_plan * NEAR_ENOUGH).max(best.bound.abs() * NEAR);
        let settled = !grown || relaxed.objective - best.bound <= near;
        let slow = last - relaxed.objective < best.bound.abs() * SLOW;
        last = relaxed.objective;
        if tightened || !(settled || (cutting && slow)) {
            continue;
        }
        if cutting {
            let gained = last > before_cuts + to_plan * WORTH;
            let cuts = if gained { cuts(master, model, &relaxed, to_plan)? } else { Vec::new() };
            cutting = !cuts.is_empty();
            (before_cuts, last) = (last, f64::INFINITY);
            if cutting {
                master.mixture.renew(&relaxed, to_plan)?;
                master.cut(model, cuts)?;
                best.duals.resize(master.coupled.limits.len(), 0.0);
                continue;
            }
        }
        if settled {
            break;
        }
    }
    Ok(best)
}

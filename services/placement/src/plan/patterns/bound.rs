//! Lagrange's bound, made better round after round: the relaxation over the patterns known gives duals,
//! the best patterns at the duals give a bound and are learnt; where there are no more of them, rows that
//! every plan keeps cut the relaxation off.

use super::cuts::cuts;
use super::master::Master;
use crate::plan::growing::Relaxed;
use crate::plan::solve::{Course, Deadline, proven};
use crate::plan::start::as_figure;

/// Weight of the best duals so far in those that are tried: the relaxation's own leap to and fro.
const STEADY: f64 = 0.7;
/// A bound this near to the relaxation, relative to it, is the relaxation's.
const NEAR: f64 = 1e-6;
/// The same, as a share of what is open to the plan.
const NEAR_ENOUGH: f64 = 0.003;
/// What share of what is open to the plan cuts must close for more of them to be looked for.
const WORTH: f64 = 0.003;

/// How far it came.
pub(crate) struct Grown {
    /// The relaxation over the patterns known.
    pub relaxed: Relaxed,
    /// The best bound, and the duals that prove it.
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
    let mut before_cuts = f64::NEG_INFINITY;
    while deadline.left() > 0.0 {
        let Some(relaxed) = master.relaxation.solve(deadline.left())? else { break };
        let own = master.duals(&relaxed);
        let tightened = master.tighten(&relaxed)?;
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
            grown = master.learn_all(model, priced)?;
            match &mut best {
                Some(best) if best.bound >= bound => {}
                Some(best) => (best.bound, best.duals) = (bound, tried),
                None => best = Some(Grown { relaxed: relaxed.clone(), bound, duals: tried }),
            }
            if grown {
                break;
            }
        }
        let Some(best) = &mut best else { break };
        let open = relaxed.objective - best.bound;
        best.relaxed = relaxed;
        if proven(best.bound) >= objective {
            break;
        }
        let to_plan = as_figure(objective) - best.bound;
        let near = (to_plan * NEAR_ENOUGH).max(best.bound.abs() * NEAR);
        if tightened || (grown && open > near) {
            continue;
        }
        let cuts = cuts(master, model, &best.relaxed, to_plan)?;
        if cuts.is_empty() || best.bound < before_cuts + to_plan * WORTH {
            break;
        }
        before_cuts = best.bound;
        master.cut(model, cuts)?;
        best.duals.resize(master.coupled.limits.len(), 0.0);
    }
    Ok(best)
}

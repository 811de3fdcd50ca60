//! A plan out of the relaxation (diving): patterns that it uses whole or nearly are held, what is left is
//! mixed anew with patterns that fit in there, and so on until few requests are left. What these cannot do
//! without, others hold by then: they are left to parts.

use super::master::Master;
use super::places::Partly;
use crate::plan::growing::Relaxed;
use crate::plan::model::Model;
use crate::plan::solve::Deadline;
use crate::plan::start::as_figure;

/// A pattern of which the relaxation uses so much is held.
const WHOLE: f64 = 0.999;
/// Share of those left that are held each time at least, the most used first.
const EACH_TIME: f64 = 0.1;
/// Share of all that are left in the end.
const LEFT: f64 = 0.03;
/// What patterns that fit must make cheaper for more of them to be looked for, as a share of all.
const WORTH: f64 = 5e-5;
/// How much dearer patterns are that are kept at first, as a share of all.
const KEPT: f64 = 0.005;

/// By request, the places that it came to.
///
/// # Errors
/// The solver's own words.
pub(crate) fn dived(master: &mut Master<'_>, model: &Model, deadline: &Deadline) -> Result<Partly, String> {
    if let Some(relaxed) = master.mixture.solve(deadline.left())? {
        master.mixture.renew(&relaxed, relaxed.objective.abs() * KEPT)?;
    }
    let left = master.coupled.limits.clone();
    let mut dive = Dive { held: vec![None; master.placings.len()], master, left };
    let dived = dive.down(model, deadline);
    let Dive { held, master, .. } = dive;
    for at in held.iter().flatten() {
        master.mixture.hold(*at, false)?;
    }
    dived?;
    Ok(held.into_iter().map(|at| Some(master.mixture.patterns[at?].places.clone())).collect())
}

struct Dive<'a, 'b> {
    master: &'a mut Master<'b>,
    /// By request, the pattern that is held.
    held: Vec<Option<usize>>,
    /// What those leave of each row.
    left: Vec<f64>,
}

impl Dive<'_, '_> {
    fn down(&mut self, model: &Model, deadline: &Deadline) -> Result<(), String> {
        let last = as_figure(self.held.len() as u64) * LEFT;
        let mut before = f64::INFINITY;
        while let Some(relaxed) = self.master.mixture.solve(deadline.left())? {
            if self.master.mixture.tighten(&relaxed)? {
                continue;
            }
            let open: Vec<usize> = (0..self.held.len()).filter(|one| self.held[*one].is_none()).collect();
            let number = as_figure(open.len() as u64);
            if number <= last {
                break;
            }
            if relaxed.objective < before - relaxed.objective.abs() * WORTH {
                before = relaxed.objective;
                let duals = self.master.mixture.duals(&relaxed);
                if self.master.learn_within(model, &duals, &open, &self.left)? {
                    continue;
                }
            }
            before = f64::INFINITY;
            if !self.hold(&relaxed, number * EACH_TIME)? {
                break;
            }
        }
        Ok(())
    }

    /// Holds what the relaxation uses whole, or so many of what it uses most; false where nothing fits.
    fn hold(&mut self, relaxed: &Relaxed, least: f64) -> Result<bool, String> {
        let used = self.master.mixture.used(relaxed);
        let used = used.filter(|(_, pattern, _)| self.held[pattern.request].is_none());
        let mut used: Vec<(f64, usize)> = used.map(|(at, _, weight)| (weight, at)).collect();
        used.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
        let mut number = 0.0;
        for (weight, at) in used {
            if weight < WHOLE && number >= least {
                break;
            }
            let pattern = &self.master.mixture.patterns[at];
            let fits = pattern.takes.iter().all(|(row, sum)| *sum <= self.left[*row] + 1e-6);
            if fits && self.held[pattern.request].is_none() {
                pattern.takes.iter().for_each(|(row, sum)| self.left[*row] -= sum);
                self.held[pattern.request] = Some(at);
                self.master.mixture.hold(at, true)?;
                number += 1.0;
            }
        }
        Ok(number > 0.0)
    }
}

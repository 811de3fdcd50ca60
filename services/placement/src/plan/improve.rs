//! The stage of minutes, which is the hard one: a bound from the relaxation, a better plan from parts of
//! it, and what no better plan can use taken out.

use super::answer::StageName;
use super::program::{Effort, Solved, Start, minimise};
use super::solve::{Course, Deadline, proven};
use super::start::as_figure;

/// Programmes with fewer columns are solved as they are.
const SMALL: usize = 1500;
/// With less time than this nothing is begun.
pub(crate) const LEAST_SECONDS: f64 = 0.05;
/// Share of the time that goes into parts.
const SHARE: f64 = 0.5;
/// Seconds for one part.
const PART_SECONDS: f64 = 3.0;
/// Requests that a part leaves free.
const FREE: usize = 24;
/// Parts in a row without a gain, after which no more are tried.
const PATIENCE: usize = 12;

/// A bound from the relaxation; on the way the plan at hand is improved and the programme made smaller.
///
/// # Errors
/// The solver's own words.
pub(crate) fn minutes(course: &mut Course<'_>, costs: &[f64], deadline: &Deadline) -> Result<u64, String> {
    if course.model.program.upper.len() < SMALL || deadline.left() < LEAST_SECONDS {
        return Ok(0);
    }
    let effort = Effort { seconds: deadline.left() * SHARE, whole: false, presolve: true, gap: 0.0 };
    let relaxed = minimise(&course.model.program, &course.fixed, costs, Start::default(), effort)?;
    let bound = proven(relaxed.bound);
    if bound == 0 {
        return Ok(0);
    }
    near_relaxation(course, costs, &relaxed, deadline)?;
    parts(course, costs, &relaxed, &Deadline::in_seconds(deadline.left() * SHARE))?;
    take_out(course, costs, &relaxed);
    Ok(bound)
}

/// Solves with the columns that the relaxation uses, and those that cost it least.
fn near_relaxation(
    course: &mut Course<'_>,
    costs: &[f64],
    relaxed: &Solved,
    deadline: &Deadline,
) -> Result<(), String> {
    let Some(wanted) = &relaxed.values else { return Ok(()) };
    let values = course.values();
    let mut cheap: Vec<f64> = relaxed.reduced.iter().copied().filter(|cost| *cost > 1e-6).collect();
    cheap.sort_by(f64::total_cmp);
    let limit = cheap.get(cheap.len() / 20).copied().unwrap_or(f64::INFINITY);
    // What is neither used by the relaxation, nor cheap, nor in the plan at hand, stays at nothing.
    let held: Vec<bool> = (0..values.len())
        .map(|at| values[at] == 0.0 && wanted[at] < 1e-6 && relaxed.reduced[at] > limit)
        .collect();
    let effort = Effort { seconds: deadline.left() * 0.25, whole: true, presolve: true, gap: 1e-3 };
    let start = Start { values: Some(&values), held: Some(&held) };
    let solved = minimise(&course.model.program, &course.fixed, costs, start, effort)?;
    if let Some(found) = &solved.values {
        let amounts = course.model.amounts(found);
        course.take(StageName::Minutes, costs, &amounts, 0);
    }
    Ok(())
}

/// Solves again with all but some requests as they are: those who travel furthest beyond what the
/// relaxation has for them, and who use the same places.
fn parts(
    course: &mut Course<'_>,
    costs: &[f64],
    relaxed: &Solved,
    deadline: &Deadline,
) -> Result<(), String> {
    let Some(wanted) = &relaxed.values else { return Ok(()) };
    let (mut since, mut round) = (0, 0_usize);
    while since < PATIENCE && deadline.left() > 0.5 {
        let values = course.values();
        let free = neighbourhood(course, costs, &values, wanted, round);
        round += 1;
        let mut held: Vec<bool> = vec![false; values.len()];
        for columns in &course.model.arcs {
            if !free[columns.request] {
                held[columns.x] = true;
                if let Some(units) = columns.units {
                    held[units] = true;
                }
            }
        }
        let effort =
            Effort { seconds: deadline.left().min(PART_SECONDS), whole: true, presolve: true, gap: 0.0 };
        let start = Start { values: Some(&values), held: Some(&held) };
        let solved = minimise(&course.model.program, &course.fixed, costs, start, effort)?;
        let better = solved.values.as_ref().is_some_and(|found| {
            let amounts = course.model.amounts(found);
            course.take(StageName::Minutes, costs, &amounts, 0)
        });
        since = if better { 0 } else { since + 1 };
    }
    Ok(())
}

/// Requests to leave free: one after another by what they lose, with those who hold the places that the
/// relaxation has for it.
fn neighbourhood(
    course: &Course<'_>,
    costs: &[f64],
    values: &[f64],
    wanted: &[f64],
    round: usize,
) -> Vec<bool> {
    let model = &course.model;
    let slot = |at: usize| course.whole.admitted.arcs[course.part.arcs[at]].slot;
    let mut lost = vec![0.0; model.unplaced.len()];
    for columns in &model.arcs {
        lost[columns.request] += costs[columns.x] * (values[columns.x] - wanted[columns.x]);
    }
    let mut order: Vec<usize> = (0..lost.len()).collect();
    order.sort_by(|one, other| lost[*other].total_cmp(&lost[*one]).then(one.cmp(other)));
    let mut free = vec![false; lost.len()];
    let mut chosen = 0;
    let mut choose = |request: usize, free: &mut Vec<bool>| {
        if !free[request] && chosen < FREE {
            free[request] = true;
            chosen += 1;
        }
        chosen < FREE
    };
    // Rounds begin further down each time, so that all have their turn.
    let mut queue: std::collections::VecDeque<usize> =
        order.iter().cycle().skip(round * 5).take(order.len()).copied().collect();
    while let Some(request) = queue.pop_front() {
        if !choose(request, &mut free) {
            break;
        }
        let wants: std::collections::HashSet<usize> = (0..model.arcs.len())
            .filter(|at| model.arcs[*at].request == request && wanted[model.arcs[*at].x] > 1e-6)
            .map(slot)
            .collect();
        for (at, columns) in model.arcs.iter().enumerate() {
            if values[columns.x] > 0.5 && wants.contains(&slot(at)) && !choose(columns.request, &mut free) {
                break;
            }
        }
    }
    free
}

/// Takes out of the programme what no plan as good as the one at hand can use: one of it costs the
/// relaxation more than lies between. So the bound of what is left is the bound of all.
fn take_out(course: &mut Course<'_>, costs: &[f64], relaxed: &Solved) {
    let now = as_figure(course.model.cost(costs, &course.values()));
    let room = now - relaxed.bound;
    let hair = (now.abs() * 1e-9).max(1e-3);
    for (upper, reduced) in course.model.program.upper.iter_mut().zip(&relaxed.reduced) {
        if *reduced > room + hair {
            *upper = 0.0;
        }
    }
}

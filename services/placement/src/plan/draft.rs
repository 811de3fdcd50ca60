//! A plan before it is explained: solved, and laid out into units.

use super::admit::{Admitted, Task, admitted};
use super::answer::Assignment;
use super::feasible::Checker;
use super::model::Whole;
use super::scarce::{efforts, loads, quotas};
use super::solve::{Deadline, Solution, solved};
use super::units::{Laid, laid};

/// What was found.
pub(crate) struct Draft {
    pub admitted: Admitted,
    pub solution: Solution,
    pub laid: Vec<Laid>,
}

impl Draft {
    /// Solves the first so many stages.
    ///
    /// # Errors
    /// The solver's own words.
    pub fn of(task: &Task<'_>, deadline: &Deadline, stages: usize) -> Result<Self, String> {
        let asked = task.asked();
        let admitted = admitted(task, &asked);
        let quotas = quotas(task, &asked, &admitted);
        let efforts = efforts(task, &admitted);
        let loads = loads(task);
        let whole = Whole { task, admitted: &admitted, quotas: &quotas, efforts: &efforts, loads: &loads };
        let solution = solved(&whole, deadline.left(), stages)?;
        let laid = laid(task.file, &admitted, &solution.amounts);
        Ok(Self { admitted, solution, laid })
    }

    /// Animals of a request that have a place.
    pub fn placed(&self, request: usize) -> u32 {
        let own = self.laid.iter().filter(|one| one.request == request);
        own.map(|one| one.count).sum()
    }

    /// The places as they are handed out, with the orders they rest on.
    pub fn assignments(&self, task: &Task<'_>, checker: &Checker<'_>) -> Vec<Assignment> {
        let view = &task.file.view;
        let mut by_centre: Vec<Option<std::vec::IntoIter<_>>> = view.centres.iter().map(|_| None).collect();
        let mut assignments = Vec::new();
        for one in &self.laid {
            let judged = by_centre[one.centre]
                .get_or_insert_with(|| checker.centre(one.centre, &self.laid).1.into_iter());
            // Places and judgements of a centre stand in the same sequence.
            let judgement = judged.next().unwrap_or_default();
            let request = &task.requests[one.request];
            let Some(pair) = self.admitted.pairs.get(&(one.request, one.centre)) else { continue };
            assignments.push(Assignment {
                request_id: request.request_id.clone(),
                centre_id: view.centres[one.centre].centre_id.clone(),
                unit_id: view.units[one.unit_at].unit_id.clone(),
                individual_count: one.count,
                units: one.units,
                unit_numbers: one.numbers.clone(),
                scientific_name: request.scientific_name.clone(),
                triage: request.triage,
                minutes: pair.minutes,
                kilometres: pair.kilometres,
                journey_basis: pair.basis,
                waived_by: judgement.waived,
                notes: judgement.notes,
            });
        }
        assignments
    }
}

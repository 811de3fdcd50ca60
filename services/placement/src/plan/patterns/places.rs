//! Where a request's animals go, and a plan as the places of its requests.

use crate::plan::model::Model;
use crate::plan::start::Amounts;

/// Arcs of the part, with animals.
pub(crate) type Places = Vec<(usize, u32)>;

/// By request, its places in a plan; none where it has no placing yet.
pub(crate) type Partly = Vec<Option<Places>>;

/// The places of each request in a plan.
pub(crate) fn of_plan(model: &Model, amounts: &[u32]) -> Vec<Places> {
    let mut places = vec![Places::new(); model.unplaced.len()];
    for (at, amount) in amounts.iter().enumerate().filter(|(_, amount)| **amount > 0) {
        places[model.arcs[at].request].push((at, *amount));
    }
    places
}

/// The plan of these places.
pub(crate) fn plan<'a>(model: &Model, places: impl IntoIterator<Item = &'a Places>) -> Amounts {
    let mut amounts = vec![0; model.arcs.len()];
    for (arc, animals) in places.into_iter().flatten() {
        amounts[*arc] = *animals;
    }
    amounts
}

//! The best places for many animals at once, proven best, and checked before they are handed out.
//!
//! [`plan`] reads a request file: [`admit`](self) asks the rules which request may go to which unit,
//! the model holds what requests share out among themselves, the solver works through five stages in
//! order (unplaced red, yellow, green animals; minutes; the highest load), and a check that knows
//! nothing of the model puts every place of the plan to the rules again. What stays unplaced says why
//! and what would change it; what would help most is found by solving again.
//!
//! The only clock is the solver's time limit. A plan that is proven best is the same at every run in
//! its objectives; among equals the solver chooses.

mod admit;
pub mod answer;
mod building;
mod counted;
mod draft;
pub(crate) mod evacuation;
mod excerpt;
mod fault;
mod feasible;
mod growing;
mod helps;
mod improve;
mod larger;
mod model;
mod patterns;
mod program;
mod reading;
mod scarce;
mod slots;
mod smallest;
mod solve;
mod standing;
mod start;
mod trial;
mod units;
mod unplaced;

pub use answer::{
    Assignment, ByColour, ChangesPlace, Help, HelpKind, Plan, Reason, Stage, StageName, Unplaced, WaivedRule,
};
pub use fault::PlanFault;
pub use feasible::{Breach, feasible};
pub use reading::read;

use chrono::{DateTime, FixedOffset};
use haulout_schemas::names::Names;
use haulout_schemas::profile::{HazardClass, Profiles};
use serde_json::Value;

use crate::request::RequestFile;
use crate::species::Species;
use admit::Task;
use draft::Draft;
use feasible::Checker;
use solve::{Deadline, STAGES};

/// How long a plan may take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Seconds for the plan itself: the best found by then is handed out, with what is proven.
    pub seconds: f64,
    /// Seconds on top for what would help most; 0, nothing is tried.
    pub helps_seconds: f64,
}

impl Default for Limits {
    fn default() -> Self {
        Self { seconds: 60.0, helps_seconds: 20.0 }
    }
}

/// Plans a request file.
///
/// `at` is the instant asked about; days are those of its offset. The file must not count an animal
/// twice that is both an occupant and a request, except where its unit is to count as taken.
///
/// # Errors
/// [`PlanFault::File`] with every fault of the file; [`PlanFault::Solver`] when the solver fails;
/// [`PlanFault::Unsound`] when the plan found does not stand up to the rules: it is not handed out.
/// That no request finds a place is no error: then all are unplaced.
pub fn plan(
    file: &RequestFile,
    profiles: &Profiles,
    names: &Names,
    at: DateTime<FixedOffset>,
    limits: &Limits,
) -> Result<Plan, PlanFault> {
    let found = file.faults();
    if !found.is_empty() {
        return Err(PlanFault::File(found));
    }
    let species = Species { profiles, names };
    let requests = evacuation::requests(file);
    let task = Task { file, requests: &requests, species, at };
    let deadline = Deadline::in_seconds(limits.seconds);
    let draft = Draft::of(&task, &deadline, STAGES.len()).map_err(PlanFault::Solver)?;
    let checker = Checker::new(file, &requests, species, at);
    let breaches = checker.breaches(&draft.laid);
    if !breaches.is_empty() {
        return Err(PlanFault::Unsound(breaches));
    }
    let helps = helps::helps(&task, &draft, limits.helps_seconds);
    Ok(Plan {
        at,
        assignments: draft.assignments(&task, &checker),
        unplaced: unplaced::unplaced(&checker, &draft),
        cautions: cautions(&task, &draft),
        stages: draft.solution.stages,
        helps: helps.found,
        helps_untried: helps.untried,
        time_limit_reached: draft.solution.time_limit_reached,
    })
}

/// The published schemas of the request file and of the plan (JSON Schema 2020-12): name, document.
#[must_use]
pub fn schemas() -> [(&'static str, Value); 2] {
    let generator = || schemars::generate::SchemaSettings::draft2020_12().into_generator();
    [
        ("request-file", generator().into_root_schema_for::<RequestFile>().to_value()),
        ("plan", generator().into_root_schema_for::<Plan>().to_value()),
    ]
}

/// What holds whatever is done, the gravest first.
fn cautions(task: &Task<'_>, draft: &Draft) -> Vec<String> {
    let mut cautions = Vec::new();
    let dangerous = draft.laid.iter().any(|one| {
        let meant = task.species.meant_by(&task.requests[one.request].scientific_name);
        meant.iter().any(|profile| profile.hazard.value.class >= HazardClass::Severe)
    });
    if dangerous {
        cautions.push(
            "Danger to people: keep everybody back; only a trained crew goes near crocodilians and the like \
             (common practice)."
                .to_owned(),
        );
    }
    if draft.solution.time_limit_reached {
        cautions.push(
            "The solver stopped at its time limit: the plan is sound, but a better one may exist; the gaps \
             of the stages say by how much at most."
                .to_owned(),
        );
    }
    cautions.push(
        "No reason was found against these places by the rules named; local codes and licensed practice \
         decide. A place is kept only once the centre has promised it."
            .to_owned(),
    );
    cautions
}

//! `haulout solve`: the process in which a plan is made; hidden, since nobody calls it by hand.

use clap::Args;
use haulout_placement::plan::{self, Limits, PlanFault};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use std::io::Read;

use super::output::print_json;
use super::{Failure, Verdict};
use crate::plans::solver::{FAULTY, MEMORY_BYTES, Task};

/// Reads a task on standard input and writes its plan.
#[derive(Debug, Args)]
pub struct Solve {}

impl Solve {
    pub(super) fn run(self) -> Result<Verdict, Failure> {
        rlimit::Resource::AS
            .set(MEMORY_BYTES, MEMORY_BYTES)
            .map_err(|error| Failure::new("the memory cannot be bounded").because(error))?;
        let mut text = Vec::new();
        std::io::stdin().read_to_end(&mut text)?;
        let task: Task = serde_json::from_slice(&text)
            .map_err(|error| Failure::new("the task does not read").because(error))?;
        let (profiles, names) = catalogue(&task)?;
        let limits =
            Limits { seconds: f64::from(task.time_limit_seconds), helps_seconds: task.helps_seconds() };
        match plan::plan(&task.file, &profiles, &names, task.at, &limits) {
            Ok(plan) => {
                print_json(&plan)?;
                Ok(Verdict::Yes)
            }
            Err(PlanFault::File(faults)) => {
                print_json(&faults)?;
                std::process::exit(FAULTY)
            }
            Err(fault) => Err(Failure::new(fault.to_string())),
        }
    }
}

/// Profiles and names in force: the region's own, or those shipped.
fn catalogue(task: &Task) -> Result<(Profiles, Names), Failure> {
    let Some(region) = &task.region else {
        return Ok((Profiles::standard().clone(), Names::standard().clone()));
    };
    let profiles = region.profiles().map_err(|error| Failure::new(error.to_string()))?;
    let names = region.names(&profiles).map_err(|error| Failure::new(error.to_string()))?;
    Ok((profiles, names))
}

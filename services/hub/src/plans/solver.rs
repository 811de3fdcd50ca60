//! Plans are made in a process of their own: the solver can be stopped, its memory is bounded, and a
//! hub that plans for hundreds goes on answering.

use chrono::{DateTime, FixedOffset};
use haulout_placement::Fault;
use haulout_placement::RequestFile;
use haulout_placement::plan::Plan;
use haulout_reckoning::Region;
use serde::{Deserialize, Serialize};
use std::process::Stdio;
use std::time::Duration;
use tokio::io::AsyncWriteExt;
use tokio::process::Command;

/// Seconds that a plan may take where nobody says.
pub const TIME_LIMIT_SECONDS: u32 = 20;
/// Most seconds that a plan may take.
pub const MOST_SECONDS: u32 = 600;
/// Memory of the process, addresses included: a plan for 7,500 animals takes about a quarter of it.
pub const MEMORY_BYTES: u64 = 4 << 30;
/// How long after its time the process may still write its answer down.
const GRACE: Duration = Duration::from_secs(2);
/// Exit code of the process when the file has faults, told on standard output.
pub const FAULTY: i32 = 3;

/// What the process reads on standard input.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Task {
    /// What is asked, and the region as it stands.
    pub file: RequestFile,
    /// The region file, for its own names and profiles; without it the shipped ones count.
    pub region: Option<Region>,
    /// The instant asked about.
    pub at: DateTime<FixedOffset>,
    /// Seconds for all stages together; half as long again may go into what would help.
    pub time_limit_seconds: u32,
}

impl Task {
    /// Seconds that may go into what would help.
    #[must_use]
    pub fn helps_seconds(&self) -> f64 {
        f64::from(self.time_limit_seconds) / 2.0
    }
}

/// Why there is no plan.
#[derive(Debug)]
pub enum NoPlan {
    /// The file cannot be planned with; each fault with its JSON pointer.
    Faulty(Vec<Fault>),
    /// The process was stopped or broke down: ours.
    Failed {
        /// For the caller.
        outer: String,
        /// For the log.
        inner: String,
    },
}

/// Has a plan made.
///
/// # Errors
/// [`NoPlan`].
pub async fn solve(task: &Task) -> Result<Plan, NoPlan> {
    let failed = |outer: &str, inner: &dyn std::fmt::Display| NoPlan::Failed {
        outer: outer.to_owned(),
        inner: inner.to_string(),
    };
    let cannot_start = |error: &dyn std::fmt::Display| failed("the solver could not be started", error);
    let question = serde_json::to_vec(task).map_err(|error| cannot_start(&error))?;
    let binary = std::env::current_exe().map_err(|error| cannot_start(&error))?;
    let mut child = Command::new(binary)
        .arg("solve")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .kill_on_drop(true)
        .spawn()
        .map_err(|error| cannot_start(&error))?;
    let input = child.stdin.take();
    let ask = async move {
        if let Some(mut input) = input {
            // A process that stopped reading tells why by its end.
            let _ = input.write_all(&question).await;
        }
    };
    let whole = Duration::from_secs_f64(f64::from(task.time_limit_seconds) + task.helps_seconds()) + GRACE;
    // Dropped at the end of its time, the process is killed.
    let answered = tokio::time::timeout(whole, async { tokio::join!(ask, child.wait_with_output()).1 }).await;
    let output = match answered {
        Err(_) => {
            let outer =
                format!("the solver did not keep its time of {} s and was stopped", task.time_limit_seconds);
            return Err(failed(&outer, &"killed"));
        }
        Ok(Err(error)) => return Err(failed("the solver was lost", &error)),
        Ok(Ok(output)) => output,
    };
    let said = String::from_utf8_lossy(&output.stderr);
    match output.status.code() {
        Some(0) => serde_json::from_slice(&output.stdout)
            .map_err(|error| failed("the solver's answer could not be read", &error)),
        Some(FAULTY) => serde_json::from_slice(&output.stdout)
            .map_err(|error| failed("the solver's answer could not be read", &error))
            .and_then(|faults| Err(NoPlan::Faulty(faults))),
        _ => {
            Err(failed("the solver broke down, or the plan needs more memory than it may use", &said.trim()))
        }
    }
}

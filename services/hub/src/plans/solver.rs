//! Plans are made in a process of their own: the solver can be stopped, its memory is bounded, and a
//! hub that plans for hundreds goes on answering.

use chrono::{DateTime, FixedOffset};
use haulout_placement::Fault;
use haulout_placement::RequestFile;
use haulout_placement::plan::Plan;
use haulout_reckoning::Region;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::io::{self, Read, Write};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Seconds that a plan may take where nobody says.
pub const TIME_LIMIT_SECONDS: u32 = 20;
/// Most seconds that a plan may take.
pub const MOST_SECONDS: u32 = 600;
/// Memory of the process, addresses included: more is refused to it, and it ends.
pub const MEMORY_BYTES: u64 = 4 << 30;
/// How long after its time the process may still write its answer down.
const GRACE: Duration = Duration::from_secs(2);
/// How often the process is looked at.
const LOOK_AGAIN: Duration = Duration::from_millis(5);
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

/// Has a plan made; the caller waits for it.
///
/// # Errors
/// [`NoPlan`].
pub fn solve(task: &Task) -> Result<Plan, NoPlan> {
    let question =
        serde_json::to_vec(task).map_err(|error| failed("the task could not be written", error))?;
    let mut child = std::env::current_exe()
        .and_then(|binary| {
            let mut command = Command::new(binary);
            command.arg("solve").stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn()
        })
        .map_err(|error| failed("the solver could not be started", error))?;
    let input = child.stdin.take();
    let (answer, said) = (reading(child.stdout.take()), reading(child.stderr.take()));
    // A process that stops reading tells why by its end.
    let asking = std::thread::spawn(move || input.map(|mut input| input.write_all(&question)));
    let limit = Duration::from_secs_f64(f64::from(task.time_limit_seconds) + task.helps_seconds()) + GRACE;
    let ended = ended(&mut child, Instant::now() + limit);
    let _ = asking.join();
    let (answer, said) = (answer.join().unwrap_or_default(), said.join().unwrap_or_default());
    let unread = |error| failed("the solver's answer could not be read", error);
    match ended.map_err(|error| failed("the solver was lost", error))? {
        None => {
            let outer =
                format!("the solver did not keep its time of {} s and was stopped", task.time_limit_seconds);
            Err(failed(&outer, "killed"))
        }
        Some(status) => match status.code() {
            Some(0) => serde_json::from_slice(&answer).map_err(unread),
            Some(FAULTY) => Err(NoPlan::Faulty(serde_json::from_slice(&answer).map_err(unread)?)),
            _ => Err(failed(
                "the solver broke down, or the plan needs more memory than it may use",
                String::from_utf8_lossy(&said).trim(),
            )),
        },
    }
}

/// How the process ended; `None` where it was still at work at its time and was killed.
fn ended(child: &mut Child, until: Instant) -> io::Result<Option<ExitStatus>> {
    loop {
        if let Some(status) = child.try_wait()? {
            return Ok(Some(status));
        }
        if Instant::now() >= until {
            child.kill()?;
            child.wait()?;
            return Ok(None);
        }
        std::thread::sleep(LOOK_AGAIN);
    }
}

/// Reads a stream to its end in a thread of its own, so that a full pipe stops nobody.
fn reading(stream: Option<impl Read + Send + 'static>) -> JoinHandle<Vec<u8>> {
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        if let Some(mut stream) = stream {
            // What came before a broken end is kept; it tells more than the break.
            let _ = stream.read_to_end(&mut bytes);
        }
        bytes
    })
}

fn failed(outer: &str, inner: impl fmt::Display) -> NoPlan {
    NoPlan::Failed { outer: outer.to_owned(), inner: inner.to_string() }
}

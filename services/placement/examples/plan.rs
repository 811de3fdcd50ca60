//! Plans request files and prints one JSON line for each: what the reference tests and the benchmark
//! read.
//!
//!     plan [--at INSTANT] [--seconds S] [--helps-seconds S] FILE…
//!
//! A line is {"file", "seconds", "plan"} or {"file", "seconds", "fault"}; with `--schemas` the two
//! published schemas are printed instead.

use std::io::Write;
use std::time::Instant;

use chrono::{DateTime, FixedOffset};
use haulout_placement::RequestFile;
use haulout_placement::plan::{self, Limits, PlanFault};
use haulout_schemas::names::Names;
use haulout_schemas::profile::Profiles;
use serde_json::json;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut at: DateTime<FixedOffset> = "2026-07-09T20:00:00+05:30".parse()?;
    let mut limits = Limits::default();
    let mut files = Vec::new();
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().ok_or(format!("{argument} needs a value"));
        match argument.as_str() {
            "--at" => at = value()?.parse()?,
            "--seconds" => limits.seconds = value()?.parse()?,
            "--helps-seconds" => limits.helps_seconds = value()?.parse()?,
            "--schemas" => {
                println!(
                    "{}",
                    json!(plan::schemas().into_iter().collect::<std::collections::BTreeMap<_, _>>())
                );
                return Ok(());
            }
            _ => files.push(argument),
        }
    }
    let mut out = std::io::stdout().lock();
    for path in files {
        let file: RequestFile = serde_json::from_slice(&std::fs::read(&path)?)?;
        let began = Instant::now();
        let found = plan::plan(&file, Profiles::standard(), Names::standard(), at, &limits);
        let seconds = began.elapsed().as_secs_f64();
        let line = match found {
            Ok(plan) => json!({ "file": path, "seconds": seconds, "plan": plan }),
            Err(PlanFault::File(faults)) => json!({ "file": path, "seconds": seconds, "fault": faults }),
            Err(fault) => json!({ "file": path, "seconds": seconds, "fault": fault.to_string() }),
        };
        writeln!(out, "{line}")?;
    }
    Ok(())
}

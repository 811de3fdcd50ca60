//! What the hub counts about itself, in the text format of Prometheus. Labels are route templates
//! and outcomes, never identifiers, so the number of series stays small.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// Upper bounds of the duration classes, second.
const CLASSES: [f64; 8] = [0.005, 0.02, 0.1, 0.5, 1.0, 5.0, 30.0, 120.0];

/// Counters of one process.
#[derive(Debug, Default)]
pub struct Metrics {
    requests: Mutex<BTreeMap<Labels, Durations>>,
    records: Mutex<BTreeMap<&'static str, u64>>,
}

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Labels {
    method: String,
    route: String,
    status: u16,
}

#[derive(Debug, Default)]
struct Durations {
    classes: [u64; CLASSES.len()],
    count: u64,
    seconds: f64,
}

impl Metrics {
    /// Counts one request.
    pub fn request(&self, method: &str, route: &str, status: u16, took: Duration) {
        let labels = Labels { method: method.to_owned(), route: route.to_owned(), status };
        let mut requests = self.requests.lock().unwrap_or_else(PoisonError::into_inner);
        let durations = requests.entry(labels).or_default();
        let seconds = took.as_secs_f64();
        durations.count += 1;
        durations.seconds += seconds;
        for (class, bound) in durations.classes.iter_mut().zip(CLASSES) {
            *class += u64::from(seconds <= bound);
        }
    }

    /// Counts records by outcome: `accepted`, `known`, `rejected`.
    pub fn records(&self, outcome: &'static str, number: u64) {
        let mut records = self.records.lock().unwrap_or_else(PoisonError::into_inner);
        *records.entry(outcome).or_default() += number;
    }

    /// All of it as text.
    pub fn text(&self) -> String {
        let mut out = String::new();
        out.push_str(
            "# HELP haulout_records_total Records by outcome.\n# TYPE haulout_records_total counter\n",
        );
        for (outcome, number) in self.records.lock().unwrap_or_else(PoisonError::into_inner).iter() {
            let _ = writeln!(out, "haulout_records_total{{outcome=\"{outcome}\"}} {number}");
        }
        let name = "haulout_http_request_duration_seconds";
        let _ = writeln!(
            out,
            "# HELP {name} Time from the request to the end of its answer's head.\n# TYPE {name} histogram"
        );
        for (labels, durations) in self.requests.lock().unwrap_or_else(PoisonError::into_inner).iter() {
            let of = format!(
                "method=\"{}\",route=\"{}\",status=\"{}\"",
                labels.method, labels.route, labels.status
            );
            for (class, bound) in durations.classes.iter().zip(CLASSES) {
                let _ = writeln!(out, "{name}_bucket{{{of},le=\"{bound}\"}} {class}");
            }
            let _ = writeln!(out, "{name}_bucket{{{of},le=\"+Inf\"}} {}", durations.count);
            let _ = writeln!(out, "{name}_sum{{{of}}} {}", durations.seconds);
            let _ = writeln!(out, "{name}_count{{{of}}} {}", durations.count);
        }
        out
    }
}

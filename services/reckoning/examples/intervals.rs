//! Exact intervals for whoever wants to check them: lines `{"x", "n"}` in, the same with `low` and
//! `high` out; both are null where there is no interval.
//!
//! `echo '{"x": 4, "n": 190}' | cargo run -p haulout-reckoning --example intervals`

use haulout_reckoning::statement::exact_interval;
use serde::Deserialize;
use std::io::{BufRead, Write};

#[derive(Deserialize)]
struct Asked {
    x: u64,
    n: u64,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let Asked { x, n } = serde_json::from_str(&line?)?;
        let (low, high) = exact_interval(x, n).unzip();
        writeln!(out, "{}", serde_json::json!({ "x": x, "n": n, "low": low, "high": high }))?;
    }
    Ok(())
}

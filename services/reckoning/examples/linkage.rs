//! Compares pairs read from standard input, estimates m and u, and writes figures for other libraries to
//! check: `tests/reference/linkage/run.sh`.
//!
//! In: {"threshold", "tolerance", "steps", "texts": [[[one, other] of each field] of each pair],
//! "numbers": [[one, other, offset, scale]]}. Out: {"similarities", "numbers", "fields", "share", "weights",
//! "probabilities", "settled"}.

use haulout_reckoning::linkage::{estimate, numeric, text};
use serde::Deserialize;
use serde_json::json;
use std::collections::BTreeMap;
use std::error::Error;

#[derive(Deserialize)]
struct Asked {
    threshold: f64,
    tolerance: f64,
    steps: u32,
    texts: Vec<Vec<(String, String)>>,
    numbers: Vec<(f64, f64, f64, f64)>,
}

fn main() -> Result<(), Box<dyn Error>> {
    let asked: Asked = serde_json::from_reader(std::io::stdin().lock())?;
    // What one of two does not tell does not agree, as the other library has it.
    let alike = |(one, other): &(String, String)| {
        if one.is_empty() || other.is_empty() { 0.0 } else { text(one, other) }
    };
    let similarities: Vec<Vec<f64>> =
        asked.texts.iter().map(|pair| pair.iter().map(alike).collect()).collect();
    let patterns: Vec<Vec<bool>> = similarities
        .iter()
        .map(|pair| pair.iter().map(|similarity| *similarity >= asked.threshold).collect())
        .collect();
    let mut counted: BTreeMap<Vec<bool>, u64> = BTreeMap::new();
    for pattern in &patterns {
        *counted.entry(pattern.clone()).or_default() += 1;
    }
    let found =
        estimate(&counted, asked.tolerance, asked.steps).ok_or("no pairs, or pairs of different lengths")?;
    let fields: Vec<_> = found.fields.iter().map(|field| json!({ "m": field.m, "u": field.u })).collect();
    let numbers: Vec<f64> = asked
        .numbers
        .iter()
        .map(|(one, other, offset, scale)| numeric(*one, *other, *offset, *scale))
        .collect();
    let answer = json!({
        "similarities": similarities,
        "numbers": numbers,
        "fields": fields,
        "share": found.share,
        "settled": found.settled,
        "weights": patterns.iter().map(|pattern| found.weight(pattern)).collect::<Vec<_>>(),
        "probabilities": patterns.iter().map(|pattern| found.probability(pattern)).collect::<Vec<_>>(),
    });
    serde_json::to_writer(std::io::stdout().lock(), &answer)?;
    Ok(())
}

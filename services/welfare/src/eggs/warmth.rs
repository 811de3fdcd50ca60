//! The log of an incubation: its gaps, its jumps, and the temperatures between.
//!
//! A log is read by the day: its mean where the day has readings, and unknown
//! where it has none. Nothing is filled in.

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use crate::refusal::Refusal;
use crate::units::{Celsius, Kelvin};

/// One reading of a thermometer at the eggs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct EggReading {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// How warm, degrees Celsius.
    pub celsius: Celsius,
}

/// A change between two readings that eggs in sand do not make (a proposal).
pub const JUMP: Kelvin = Kelvin::of(4.0);
/// Readings no further apart than this make a jump; further apart it may have been slow (a proposal).
const JUMP_HOURS: i64 = 6;

/// A day of the log.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Day {
    /// The day, as the log writes it.
    pub on: NaiveDate,
    /// Mean of its readings, degrees Celsius.
    pub mean_celsius: Celsius,
}

/// A log, looked through.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Log {
    /// Days with readings, in order.
    pub days: Vec<Day>,
    /// What is doubtful about it.
    pub doubts: Vec<Refusal>,
}

/// Looks a log through. Readings need not be in order; two of one instant must agree.
///
/// # Errors
/// Two readings of one instant that differ.
pub fn log(readings: &[EggReading]) -> Result<Log, Refusal> {
    let mut readings = readings.to_vec();
    readings.sort_by_key(|reading| reading.at);
    let mut doubts = Vec::new();
    for (one, two) in readings.iter().zip(readings.iter().skip(1)) {
        let change = two.celsius.degrees() - one.celsius.degrees();
        if one.at == two.at && change != 0.0 {
            return Err(Refusal::new(
                "log-contradicts",
                format!("incubation log at {}", one.at),
                format!("says {} and {} degrees C", one.celsius.degrees(), two.celsius.degrees()),
                "find out which thermometer is at the eggs, and give that one alone",
            ));
        }
        if change.abs() >= JUMP.kelvin() && (two.at - one.at).num_hours() <= JUMP_HOURS {
            doubts.push(Refusal::new(
                "log-jumps",
                format!("incubation log from {} to {}", one.at, two.at),
                format!("jumps by {change:.1} K; sand is slower than that"),
                "look at the thermometer, its place and its unit before trusting the window",
            ));
        }
    }
    let mut days: Vec<Day> = Vec::new();
    for day in readings.chunk_by(|one, two| one.at.date_naive() == two.at.date_naive()) {
        let Some(first) = day.first() else { continue };
        let mean = day.iter().map(|reading| reading.celsius.degrees()).sum::<f64>() / day.len() as f64;
        days.push(Day { on: first.at.date_naive(), mean_celsius: Celsius::new(mean)? });
    }
    Ok(Log { days, doubts })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(at: &str, celsius: f64) -> EggReading {
        EggReading { at: at.parse().unwrap(), celsius: Celsius::new(celsius).unwrap() }
    }

    #[test]
    fn days_jumps_and_contradictions() {
        let told = log(&[
            reading("2026-04-02T06:00:00+05:30", 30.0),
            reading("2026-04-01T06:00:00+05:30", 29.0),
            reading("2026-04-01T18:00:00+05:30", 31.0),
            reading("2026-04-02T09:00:00+05:30", 36.0),
        ])
        .unwrap();
        assert_eq!(told.days.len(), 2);
        assert!((told.days[0].mean_celsius.degrees() - 30.0).abs() < 1e-9);
        assert_eq!(told.doubts.iter().map(|doubt| doubt.code).collect::<Vec<_>>(), ["log-jumps"]);
        // Six kelvin over a day may have been slow.
        let slow = [reading("2026-04-01T06:00:00Z", 28.0), reading("2026-04-02T06:00:00Z", 34.0)];
        assert_eq!(log(&slow).unwrap().doubts, []);
        let twice = [reading("2026-04-01T06:00:00Z", 28.0), reading("2026-04-01T11:30:00+05:30", 29.0)];
        assert_eq!(log(&twice).unwrap_err().code, "log-contradicts");
        assert!(log(&[]).unwrap().days.is_empty());
    }
}

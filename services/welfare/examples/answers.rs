//! Answers questions in NDJSON, one a line, so that other programs can check the figures:
//! `{"ask":"proportion","ofThem":1,"all":10,"level":0.95}`. A refusal is answered as `{"refused":…}`.

use std::io::{BufRead, Write};

use chrono::NaiveDate;
use haulout_welfare::condition::{self, fit};
use haulout_welfare::mortality::{cluster, proportion};
use haulout_welfare::places::{self, Sensitivity};
use haulout_welfare::release::survival::{Followed, curve};
use haulout_welfare::transport::{day::DayCurve, distance, sun};
use haulout_welfare::units::{Celsius, Days, Hours, Interval, Ratio, Share};
use serde::Deserialize;
use serde_json::{Value, json};

#[derive(Deserialize)]
#[serde(tag = "ask", rename_all = "camelCase", rename_all_fields = "camelCase")]
enum Question {
    Regression { robust: bool, level: f64, mass_kg: Vec<f64>, length_m: Vec<f64>, at_m: f64 },
    Proportion { of_them: u64, all: u64, level: f64 },
    Poisson { deaths: u64, expected: f64 },
    Survival { days: Vec<f64>, died: Vec<bool>, level: f64 },
    Geodesic { from: (f64, f64), to: (f64, f64) },
    Coarse { at: (f64, f64), decimals: u8 },
    Sun { date: NaiveDate, offset_s: i32, at: (f64, f64) },
    Day { noon_h: f64, length_h: f64, low_c: f64, high_c: f64, hours: Vec<f64> },
}

type Answer = Result<Value, Box<dyn std::error::Error>>;

fn answer(question: Question) -> Answer {
    match question {
        Question::Regression { robust, level, mass_kg, length_m, at_m } => {
            let pairs = mass_kg.into_iter().zip(length_m);
            let sample = pairs.map(|(kg, m)| condition::measured(kg, m)).collect::<Result<Vec<_>, _>>()?;
            let level = Share::new(level)?;
            let fit = if robust { fit::robust(&sample, level)? } else { fit::least_squares(&sample, level)? };
            let animal = condition::measured(1.0, at_m)?;
            Ok(json!({
                "slope": ratio(fit.slope), "intercept": ratio(fit.intercept), "smaSlope": fit.sma_slope,
                "slopeError": fit.slope_error, "interceptError": fit.intercept_error,
                "expected": fit.expected(animal.length)?,
            }))
        }
        Question::Proportion { of_them, all, level } => {
            Ok(serde_json::to_value(proportion(of_them, all, Share::new(level)?)?.share)?)
        }
        Question::Poisson { deaths, expected } => Ok(json!(cluster::chance(deaths, expected)?)),
        Question::Survival { days, died, level } => {
            let followed = days.into_iter().zip(died);
            let followed = followed.map(|(days, died)| Ok(Followed { days: Days::new(days)?, died }));
            let followed = followed.collect::<Result<Vec<_>, haulout_welfare::refusal::Refusal>>()?;
            Ok(serde_json::to_value(curve(&followed, Share::new(level)?)?)?)
        }
        Question::Geodesic { from, to } => {
            let (from, to) = (distance::Position::new(from.0, from.1)?, distance::Position::new(to.0, to.1)?);
            Ok(json!(distance::line(from, to)))
        }
        Question::Coarse { at, decimals } => {
            let sensitivity = match decimals {
                0 => Sensitivity::Extreme,
                1 => Sensitivity::High,
                2 => Sensitivity::Medium,
                _ => Sensitivity::Low,
            };
            Ok(json!(places::coarse(distance::Position::new(at.0, at.1)?, sensitivity, None)?))
        }
        Question::Sun { date, offset_s, at } => {
            let zone = chrono::FixedOffset::east_opt(offset_s).ok_or("no such offset")?;
            Ok(match sun::sun(date, &zone, distance::Position::new(at.0, at.1)?)? {
                sun::Sun::RisesAndSets { rise, set } => json!([rise.timestamp(), set.timestamp()]),
                sun::Sun::AlwaysUp => json!("up"),
                sun::Sun::AlwaysDown => json!("down"),
            })
        }
        Question::Day { noon_h, length_h, low_c, high_c, hours } => {
            let curve = DayCurve::new(
                Hours::new(noon_h)?,
                Hours::new(length_h)?,
                Celsius::new(low_c)?,
                Celsius::new(high_c)?,
            )?;
            let at = |hour: f64| Ok(curve.at(Hours::new(hour)?));
            let at = hours.into_iter().map(at).collect::<Result<Vec<_>, haulout_welfare::refusal::Refusal>>();
            Ok(json!(at?))
        }
    }
}

fn ratio(interval: Interval<Ratio>) -> Value {
    json!([interval.value, interval.low, interval.high])
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    for line in std::io::stdin().lock().lines() {
        let told = serde_json::from_str(&line?)
            .map_err(Into::into)
            .and_then(answer)
            .unwrap_or_else(|fault| json!({ "refused": fault.to_string() }));
        writeln!(out, "{told}")?;
    }
    Ok(())
}

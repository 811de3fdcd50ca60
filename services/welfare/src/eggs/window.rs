//! When a clutch may hatch: a range, never a date.
//!
//! Where the profile knows the days at two temperatures or more, each logged day
//! adds its part of the development, one over the days at its temperature, by
//! straight lines between the known points. Days without a reading lie between
//! the slowest and the fastest of these. The points are means; nothing tells how
//! far clutches scatter, so a tenth of the whole is allowed either way (a
//! proposal). Where the profile knows a window alone, that window is told.

use chrono::{Days as CalendarDays, NaiveDate};
use haulout_schemas::profile::{IncubationPoint, Profile};
use serde::{Deserialize, Serialize};

use super::warmth::{self, EggReading};
use crate::grounds::Grounds;
use crate::refusal::Refusal;
use crate::units::{Celsius, Days};

/// Share of the whole by which single clutches may differ from the mean (a proposal).
const SCATTER: f64 = 0.1;
/// No incubation is reckoned further than this.
const MOST_DAYS: u64 = 730;

/// What is known of a clutch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Incubated {
    /// First day on which it may have been laid.
    pub laid_from: NaiveDate,
    /// Last day on which it may have been laid.
    pub laid_through: NaiveDate,
    /// Temperatures at the eggs.
    #[serde(default)]
    pub log: Vec<EggReading>,
    /// The day on which the question is asked.
    pub on: NaiveDate,
}

/// Where the day stands to the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Stage {
    /// Before it.
    Before,
    /// In it.
    Within,
    /// After it; nobody opens an egg on that account.
    After,
    /// After the window of eggs that pause: they may be alive.
    AfterButPausing,
}

/// A hatch window.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Window {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub through: NaiveDate,
    /// Where the day asked about stands.
    pub stage: Stage,
    /// What to do, and what never.
    pub advice: &'static str,
    /// What the window rests on.
    pub grounds: Grounds,
    /// True where the log moved the window.
    pub by_temperature: bool,
    /// Days from laying at the known temperatures, interpolated; absent without them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interpolated: Option<&'static str>,
    /// What could not be reckoned, and doubts about the log.
    pub doubts: Vec<Refusal>,
}

const WAIT: &str = "leave the eggs as they lie; look, do not lift";
const HATCHING: &str = "look twice a day; help no hatchling out of its egg without the veterinarian";
const PAST: &str =
    "past the window: do not open or discard; ask the veterinarian, and check the day of laying and the log";
const PAUSING: &str = "eggs of this species pause for months: do not open or discard; they are not overdue";

/// When the clutch may hatch.
///
/// # Errors
/// Days of laying upside down or after the day asked about, or a species whose incubation nobody
/// has told.
pub fn window(profile: &Profile, clutch: &Incubated) -> Result<Window, Refusal> {
    let what = || format!("hatch window of {}", profile.scientific_name);
    if clutch.laid_from > clutch.laid_through || clutch.laid_from > clutch.on {
        return Err(Refusal::new(
            "laid-when",
            what(),
            format!("laid from {} to {}, asked on {}", clutch.laid_from, clutch.laid_through, clutch.on),
            "give the first and the last day on which it may have been laid",
        ));
    }
    let Some(told) = &profile.incubation else {
        return Err(Refusal::new(
            "incubation-unknown",
            what(),
            "the profile tells no days of incubation",
            "state them with their source in the region file",
        ));
    };
    let incubation = &told.value;
    let mut doubts = Vec::new();
    let mut by_temperature = false;
    let (mut from, mut through) = (
        after(clutch.laid_from, incubation.days_low, &what)?,
        after(clutch.laid_through, incubation.days_high, &what)?,
    );
    if !clutch.log.is_empty() && !incubation.diapause {
        let log = warmth::log(&clutch.log)?;
        doubts.extend(log.doubts.clone());
        match by_log(&incubation.at, clutch, &log.days, &what()) {
            Ok((early, late)) => (from, through, by_temperature) = (early, late, true),
            Err(refusal) => doubts.push(refusal),
        }
    }
    if incubation.diapause && !clutch.log.is_empty() {
        doubts.push(Refusal::new(
            "diapause",
            "temperature log",
            "how long these eggs pause does not follow from warmth alone",
            "go by the window, and keep the log",
        ));
    }
    let (stage, advice) = match (clutch.on < from, clutch.on > through, incubation.diapause) {
        (true, _, true) => (Stage::Before, PAUSING),
        (true, _, false) => (Stage::Before, WAIT),
        (_, true, true) => (Stage::AfterButPausing, PAUSING),
        (_, true, false) => (Stage::After, PAST),
        (_, _, true) => (Stage::Within, PAUSING),
        (_, _, false) => (Stage::Within, HATCHING),
    };
    Ok(Window {
        from,
        through,
        stage,
        advice,
        grounds: Grounds::profile(&told.source),
        by_temperature,
        interpolated: by_temperature.then_some("interpolated between known temperatures, a tenth either way"),
        doubts,
    })
}

fn after(day: NaiveDate, days: f64, what: &impl Fn() -> String) -> Result<NaiveDate, Refusal> {
    day.checked_add_days(CalendarDays::new(days.round().clamp(0.0, 36_500.0) as u64))
        .ok_or_else(|| Refusal::new("calendar", what(), "the calendar ends before it", "check the year"))
}

/// Mean days from laying to hatching at a steady temperature, by a straight line between the two
/// known temperatures about it; label it "interpolated".
///
/// # Errors
/// Fewer than two known temperatures, or one outside them: lines are not drawn out.
pub fn days_at(points: &[IncubationPoint], celsius: Celsius) -> Result<Days, Refusal> {
    let what = || format!("incubation at {:.1} degrees C", celsius.degrees());
    let at = celsius.degrees();
    let pair = points.iter().zip(points.iter().skip(1));
    for (one, two) in pair {
        if (one.temperature_c..=two.temperature_c).contains(&at) {
            let share = (at - one.temperature_c) / (two.temperature_c - one.temperature_c);
            return Days::new(one.days + share * (two.days - one.days));
        }
    }
    Err(match (points.first(), points.last()) {
        (Some(low), Some(high)) if points.len() > 1 => Refusal::new(
            "beyond-source",
            what(),
            format!("days are known from {} to {} degrees C only", low.temperature_c, high.temperature_c),
            "bring the eggs back between the two, and ask the veterinarian what it means for them",
        ),
        _ => Refusal::new(
            "no-temperatures",
            what(),
            "the profile knows no days at two temperatures",
            "go by the window of the species",
        ),
    })
}

/// Earliest and latest day by the log: each laying day on its own, unlogged days at the slowest and
/// the fastest pace.
fn by_log(
    points: &[IncubationPoint],
    clutch: &Incubated,
    days: &[warmth::Day],
    what: &str,
) -> Result<(NaiveDate, NaiveDate), Refusal> {
    let (Some(slow), Some(fast)) = (
        points.iter().map(|point| point.days).max_by(f64::total_cmp),
        points.iter().map(|point| point.days).min_by(f64::total_cmp),
    ) else {
        return Err(Refusal::new(
            "no-temperatures",
            what,
            "the profile knows no days at known temperatures",
            "go by the window of the species",
        ));
    };
    let mut paces = Vec::with_capacity(days.len());
    for day in days.iter().filter(|day| day.on <= clutch.on) {
        paces.push((day.on, 1.0 / days_at(points, day.mean_celsius)?.days()));
    }
    // What comes is taken to be like the mean of what was; it is a guess that each new day mends.
    let mean =
        (!paces.is_empty()).then(|| paces.iter().map(|(_, pace)| pace).sum::<f64>() / paces.len() as f64);
    let reach = |laid: NaiveDate, unlogged: f64, wanted: f64| {
        let mut done = 0.0;
        for day in laid.iter_days().take(MOST_DAYS as usize) {
            if done >= wanted - 1e-9 {
                return Ok(day);
            }
            let logged = paces.iter().find(|(on, _)| *on == day).map(|(_, pace)| *pace);
            done += match logged {
                Some(pace) => pace,
                None if day > clutch.on => mean.unwrap_or(unlogged),
                None => unlogged,
            };
        }
        Err(Refusal::new("never-hatches", what, "it is not reached in two years", "check the log"))
    };
    let early = reach(clutch.laid_from, 1.0 / fast, 1.0 - SCATTER)?;
    let late = reach(clutch.laid_through, 1.0 / slow, 1.0 + SCATTER)?;
    Ok((early, late))
}

#[cfg(test)]
#[path = "window_tests.rs"]
mod tests;

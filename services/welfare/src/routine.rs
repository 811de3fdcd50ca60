//! Water and heat as they are kept: a share, with its denominator.
//!
//! A fifth of the water each three days, a scrub each month and 29 to 30 degrees
//! C in winter are common practice for still indoor water, and mean nothing in
//! flowing water or earthen ponds; the heat harms species that rest in the cool
//! season. Where the rule does not fit, it is not reckoned, and that is said.

pub mod due;

use chrono::NaiveDate;
use haulout_schemas::profile::{Profile, SeasonalRest, TemperatureBand};
use serde::{Deserialize, Serialize};

use crate::grounds::Grounds;
use crate::mortality::{Proportion, proportion};
use crate::refusal::Refusal;
use crate::units::{Celsius, LEVEL, Share};

/// Share of the water changed (common practice).
pub const CHANGED: Share = Share::of(0.20);
/// In so many days (common practice).
pub const CHANGE_DAYS: i64 = 3;
/// A scrub in so many days: a month (common practice).
pub const SCRUB_DAYS: i64 = 30;
/// Water held in winter, degrees Celsius (common practice).
pub const WINTER: TemperatureBand = TemperatureBand { low_c: 29.0, high_c: 30.0 };
/// Longest period looked at, days.
const MOST_DAYS: i64 = 3660;

/// What kind of water a unit has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum WaterType {
    /// Still water in a tank or pool indoors.
    StaticIndoor,
    /// Water that flows through.
    FlowThrough,
    /// A pond in the earth.
    EarthenPond,
    /// A pen in the river.
    RiverPen,
}

/// What was done on a day; absent where not recorded.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Done {
    /// Day.
    pub on: NaiveDate,
    /// Share of the water changed.
    pub water_changed_share: Option<Share>,
    /// Pool scrubbed.
    #[serde(default)]
    pub scrubbed: bool,
    /// Water temperature, degrees Celsius.
    pub water_celsius: Option<Celsius>,
}

/// A unit over a period.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Kept {
    /// Its water.
    pub water: WaterType,
    /// First day.
    pub from: NaiveDate,
    /// Last day: the day on which "due" is asked.
    pub through: NaiveDate,
    /// Whether the period is winter, when heat is held.
    pub winter: bool,
    /// What was done.
    pub done: Vec<Done>,
}

/// How the routine was kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Routine {
    /// Whole spans of three days with a fifth changed, of all whole spans.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<Proportion>,
    /// Whole months of 30 days with a scrub, of all whole months.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scrubs: Option<Proportion>,
    /// Days whose every reading lay in the winter band, of the days with a reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat_of_read: Option<Proportion>,
    /// Days with a reading, of all days: what the figure above does not see.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub days_read: Option<Proportion>,
    /// Water is due: less than a fifth was changed in the last three days.
    pub water_due: bool,
    /// A scrub is due: none in the last 30 days.
    pub scrub_due: bool,
    /// What the rules rest on.
    pub grounds: Grounds,
    /// What was not reckoned, and why.
    pub unknown: Vec<Refusal>,
}

/// How a unit's water and heat were kept over a period.
///
/// # Errors
/// A period upside down or of more than ten years.
pub fn routine(profile: &Profile, kept: &Kept) -> Result<Routine, Refusal> {
    let length = (kept.through - kept.from).num_days() + 1;
    if !(1..=MOST_DAYS).contains(&length) {
        return Err(Refusal::new(
            "period",
            format!("routine from {} to {}", kept.from, kept.through),
            "the period must have from 1 day to ten years",
            "give the first day first",
        ));
    }
    let mut told = Routine {
        water: None,
        scrubs: None,
        heat_of_read: None,
        days_read: None,
        water_due: false,
        scrub_due: false,
        grounds: Grounds::common_practice(),
        unknown: Vec::new(),
    };
    let refused = |what: &str, why: &str, mend: &str| Refusal::new("rule-does-not-fit", what, why, mend);
    if kept.water == WaterType::StaticIndoor {
        let changed = |days: &[&Done]| {
            let sum: f64 = days.iter().filter_map(|day| day.water_changed_share).map(Share::share).sum();
            // A hair: 0.1 + 0.1 and the like in binary.
            sum >= CHANGED.share() - 1e-9
        };
        let scrubbed = |days: &[&Done]| days.iter().any(|day| day.scrubbed);
        told.water = spans(kept, length, CHANGE_DAYS, changed)?;
        told.scrubs = spans(kept, length, SCRUB_DAYS, scrubbed)?;
        told.water_due = !changed(&between(kept, length - CHANGE_DAYS, length));
        told.scrub_due = !scrubbed(&between(kept, length - SCRUB_DAYS, length));
    } else {
        told.unknown.push(refused(
            "water changed",
            "a fifth each three days is a rule for still indoor water",
            "keep flow, depth and clearness, and post what is measured",
        ));
    }
    if profile.seasonal_rest.value == SeasonalRest::CoolSeason {
        told.unknown.push(refused(
            "winter heat",
            "the species rests in the cool season, and 29 to 30 degrees C harm it then",
            "go by the profile and the veterinarian",
        ));
    } else if !kept.winter || kept.water != WaterType::StaticIndoor {
        told.unknown.push(refused(
            "winter heat",
            "29 to 30 degrees C are held in still indoor water in winter",
            "ask for a period of winter",
        ));
    } else {
        (told.heat_of_read, told.days_read) = heat(kept, length)?;
    }
    Ok(told)
}

/// What was done from one day of the period to before another, counted from 0.
fn between(kept: &Kept, from: i64, to: i64) -> Vec<&Done> {
    kept.done.iter().filter(|done| (from..to).contains(&(done.on - kept.from).num_days())).collect()
}

/// Whole spans that were kept, of all whole spans; what is left over at the end is not judged.
fn spans(
    kept: &Kept,
    length: i64,
    days: i64,
    good: impl Fn(&[&Done]) -> bool,
) -> Result<Option<Proportion>, Refusal> {
    let all = length / days;
    let good = (0..all).filter(|span| good(&between(kept, span * days, (span + 1) * days))).count();
    if all == 0 { Ok(None) } else { proportion(good as u64, all as u64, LEVEL).map(Some) }
}

fn heat(kept: &Kept, length: i64) -> Result<(Option<Proportion>, Option<Proportion>), Refusal> {
    let (mut read, mut held) = (0_u64, 0_u64);
    for day in 0..length {
        let readings: Vec<f64> = between(kept, day, day + 1)
            .iter()
            .filter_map(|done| done.water_celsius)
            .map(Celsius::degrees)
            .collect();
        if readings.is_empty() {
            continue;
        }
        read += 1;
        held += u64::from(readings.iter().all(|at| (WINTER.low_c..=WINTER.high_c).contains(at)));
    }
    let of_read = (read > 0).then(|| proportion(held, read, LEVEL)).transpose()?;
    Ok((of_read, Some(proportion(read, length as u64, LEVEL)?)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use haulout_schemas::profile::Profiles;

    fn done(on: &str, share: f64, celsius: Option<f64>) -> Done {
        Done {
            on: on.parse().unwrap(),
            water_changed_share: Some(Share::new(share).unwrap()),
            scrubbed: false,
            water_celsius: celsius.map(|at| Celsius::new(at).unwrap()),
        }
    }

    fn kept(water: WaterType, done: Vec<Done>) -> Kept {
        let day = |text: &str| text.parse().unwrap();
        Kept { water, from: day("2026-12-01"), through: day("2026-12-10"), winter: true, done }
    }

    fn told(name: &str, kept: &Kept) -> Routine {
        routine(Profiles::standard().get(name).unwrap(), kept).unwrap()
    }

    fn of(share: Option<Proportion>) -> (u64, u64) {
        share.map(|share| (share.of_them, share.all)).unwrap()
    }

    /// Common practice, 20 % each 3 days and 29 to 30 degrees C; by hand: ten days are three whole
    /// spans, of which 10 + 10 % and 20 % keep the rule and 19 % does not; the tenth day is not judged.
    #[test]
    fn shares_with_their_denominators() {
        let done = vec![
            done("2026-12-01", 0.1, Some(29.0)),
            done("2026-12-03", 0.1, Some(30.0)),
            done("2026-12-04", 0.19, Some(28.9)),
            done("2026-12-09", 0.2, None),
        ];
        let told = told("Crocodylus porosus", &kept(WaterType::StaticIndoor, done));
        assert_eq!((of(told.water), of(told.heat_of_read), of(told.days_read)), ((2, 3), (2, 3), (3, 10)));
        assert!(told.scrubs.is_none() && told.scrub_due && !told.water_due);
    }

    #[test]
    fn a_month_and_its_scrub() {
        let mut kept =
            kept(WaterType::StaticIndoor, vec![Done { scrubbed: true, ..done("2026-12-05", 0.0, None) }]);
        kept.through = "2027-01-29".parse().unwrap();
        let told = told("Crocodylus porosus", &kept);
        // 60 days: a scrub on the fifth, none in the second month.
        assert_eq!((of(told.scrubs), told.scrub_due, told.water_due), ((1, 2), true, true));
        assert!(told.heat_of_read.is_none() && of(told.days_read) == (0, 60));
    }

    /// The rules mean nothing in flowing water, and heat harms what rests in the cool season.
    #[test]
    fn where_the_rules_do_not_fit() {
        for water in [WaterType::FlowThrough, WaterType::EarthenPond, WaterType::RiverPen] {
            let told = told("Crocodylus porosus", &kept(water, Vec::new()));
            assert!(told.water.is_none() && !told.water_due && told.unknown.len() == 2);
        }
        let turtle = told("Nilssonia gangetica", &kept(WaterType::StaticIndoor, Vec::new()));
        assert!(turtle.heat_of_read.is_none() && turtle.unknown[0].why.contains("rests in the cool season"));
        let mugger = told("Crocodylus palustris", &kept(WaterType::StaticIndoor, Vec::new()));
        assert!(mugger.heat_of_read.is_none(), "it rests in the cool season");
        let mut reversed = kept(WaterType::StaticIndoor, Vec::new());
        reversed.through = "2026-11-01".parse().unwrap();
        let refused = routine(Profiles::standard().get("Nilssonia gangetica").unwrap(), &reversed);
        assert_eq!(refused.unwrap_err().code, "period");
    }
}

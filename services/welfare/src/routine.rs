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
    /// Whether the pool was scrubbed.
    pub scrubbed: Option<bool>,
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
    if let (Some(water), Some(scrubs)) = (water_spans(kept), scrub_spans(kept)) {
        told.water = water.share()?;
        told.scrubs = scrubs.share()?;
        told.water_due = !changed(&between(kept, length - CHANGE_DAYS, length));
        told.scrub_due = !scrubbed(&between(kept, length - SCRUB_DAYS, length));
    } else {
        told.unknown.push(refused(
            "water changed",
            "a fifth each three days is a rule for still indoor water",
            "keep flow, depth and clearness, and post what is measured",
        ));
    }
    if !held_warm(profile) {
        told.unknown.push(refused(
            "winter heat",
            "the species rests in the cool season, and 29 to 30 degrees C harm it then",
            "go by the profile and the veterinarian",
        ));
    } else if let Some(days) = heat_days(kept) {
        told.heat_of_read = (days.told > 0).then(|| proportion(days.kept, days.told, LEVEL)).transpose()?;
        told.days_read = Some(proportion(days.told, days.due, LEVEL)?);
    } else {
        told.unknown.push(refused(
            "winter heat",
            "29 to 30 degrees C are held in still indoor water in winter",
            "ask for a period of winter",
        ));
    }
    Ok(told)
}

/// Whole spans of a rule over a period, or days.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Spans {
    /// All of them; what is left over at the end of a period is not judged.
    pub due: u64,
    /// Of these, with a word on what was done.
    pub told: u64,
    /// Of these, on which the rule was kept.
    pub kept: u64,
}

impl Spans {
    /// Those kept, of all; none where nothing was due.
    fn share(self) -> Result<Option<Proportion>, Refusal> {
        (self.due > 0).then(|| proportion(self.kept, self.due, LEVEL)).transpose()
    }
}

/// Whole spans of three days, and on how many of them a fifth of the water was changed; `None` where
/// the rule means nothing: in all but still indoor water.
pub fn water_spans(kept: &Kept) -> Option<Spans> {
    still(kept).then(|| spans(kept, CHANGE_DAYS, |day| day.water_changed_share.is_some(), changed))
}

/// Whole months of 30 days, and in how many of them the pool was scrubbed; as [`water_spans`].
pub fn scrub_spans(kept: &Kept) -> Option<Spans> {
    still(kept).then(|| spans(kept, SCRUB_DAYS, |day| day.scrubbed.is_some(), scrubbed))
}

/// Days, those with a reading, and those whose every reading lay in the winter band; `None` out of
/// winter and in all but still indoor water. Not to be asked where [`held_warm`] forbids it.
pub fn heat_days(kept: &Kept) -> Option<Spans> {
    let held = |days: &[&Done]| {
        let mut readings = days.iter().filter_map(|day| day.water_celsius).map(Celsius::degrees).peekable();
        readings.peek().is_some() && readings.all(|at| (WINTER.low_c..=WINTER.high_c).contains(&at))
    };
    (kept.winter && still(kept)).then(|| spans(kept, 1, |day| day.water_celsius.is_some(), held))
}

/// Whether a species is held warm in winter: not where it rests in the cool season.
pub fn held_warm(profile: &Profile) -> bool {
    profile.seasonal_rest.value != SeasonalRest::CoolSeason
}

fn still(kept: &Kept) -> bool {
    kept.water == WaterType::StaticIndoor
}

fn changed(days: &[&Done]) -> bool {
    let sum: f64 = days.iter().filter_map(|day| day.water_changed_share).map(Share::share).sum();
    // A hair: 0.1 + 0.1 and the like in binary.
    sum >= CHANGED.share() - 1e-9
}

fn scrubbed(days: &[&Done]) -> bool {
    days.iter().any(|day| day.scrubbed == Some(true))
}

/// What was done from one day of the period to before another, counted from 0.
fn between(kept: &Kept, from: i64, to: i64) -> Vec<&Done> {
    kept.done.iter().filter(|done| (from..to).contains(&(done.on - kept.from).num_days())).collect()
}

fn spans(kept: &Kept, days: i64, tells: impl Fn(&Done) -> bool, good: impl Fn(&[&Done]) -> bool) -> Spans {
    let all = ((kept.through - kept.from).num_days() + 1) / days;
    let mut spans = Spans::default();
    for span in 0..all {
        let done = between(kept, span * days, (span + 1) * days);
        spans.due += 1;
        spans.told += u64::from(done.iter().any(|day| tells(day)));
        spans.kept += u64::from(good(&done));
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;
    use haulout_schemas::profile::Profiles;

    fn done(on: &str, share: f64, celsius: Option<f64>) -> Done {
        Done {
            on: on.parse().unwrap(),
            water_changed_share: Some(Share::new(share).unwrap()),
            scrubbed: None,
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

    /// By hand: of three whole spans the second has no word on water, and the third one that is short.
    #[test]
    fn what_no_record_tells_is_counted_apart() {
        let mut kept = kept(
            WaterType::StaticIndoor,
            vec![done("2026-12-02", 0.2, None), done("2026-12-07", 0.1, Some(31.0))],
        );
        assert_eq!(water_spans(&kept), Some(Spans { due: 3, told: 2, kept: 1 }));
        assert_eq!(heat_days(&kept), Some(Spans { due: 10, told: 1, kept: 0 }));
        assert_eq!(scrub_spans(&kept), Some(Spans::default()), "ten days are no whole month");
        kept.winter = false;
        assert_eq!(heat_days(&kept), None);
        kept.water = WaterType::EarthenPond;
        assert_eq!((water_spans(&kept), scrub_spans(&kept)), (None, None));
    }

    #[test]
    fn a_month_and_its_scrub() {
        let mut kept = kept(
            WaterType::StaticIndoor,
            vec![Done { scrubbed: Some(true), ..done("2026-12-05", 0.0, None) }],
        );
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

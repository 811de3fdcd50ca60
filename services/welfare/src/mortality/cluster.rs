//! Too many deaths in one place and time? Poisson, corrected for many looks.
//!
//! Whoever looks at every unit and every window will find something. So the
//! chance of each window is multiplied by the number of windows looked at
//! (Bonferroni, the stricter choice since windows overlap) before it counts.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use statrs::distribution::{DiscreteCDF, Poisson};

use crate::refusal::Refusal;
use crate::units::Share;

/// A death in a place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Death {
    /// Day.
    pub day: NaiveDate,
    /// Unit, water circuit or centre, whichever the caller compares.
    pub place: String,
}

/// Animals held in a place each day of the period, on average.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Held {
    /// The place.
    pub place: String,
    /// Animal-days over the whole period.
    pub animal_days: u64,
}

/// One window that stands out.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Cluster {
    /// The place.
    pub place: String,
    /// First day of the window.
    pub from: NaiveDate,
    /// Days of the window.
    pub days: u16,
    /// Deaths in it.
    pub deaths: u64,
    /// Deaths to be expected in it at the period's overall rate.
    pub expected: f64,
    /// Chance of as many or more in this one window.
    pub chance: Share,
    /// The same after correction for all windows looked at.
    pub corrected: Share,
    /// How many windows were looked at.
    pub looks: u64,
}

/// Chance of `deaths` or more where `expected` are to be expected.
///
/// # Errors
/// An expectation that is not a positive number.
pub fn chance(deaths: u64, expected: f64) -> Result<Share, Refusal> {
    let poisson = Poisson::new(expected).ok().filter(|_| expected.is_finite()).ok_or_else(|| {
        Refusal::new(
            "expectation",
            format!("{expected} deaths expected"),
            "must be above zero",
            "give the animal-days of the place, or a longer period",
        )
    })?;
    let chance = deaths.checked_sub(1).map_or(1.0, |below| poisson.sf(below));
    Share::new(chance.clamp(0.0, 1.0))
}

/// Windows of `days` days with more deaths than the overall rate explains, after correction at or
/// below `most`; the least likely first. The rate is that of all places and the whole period, and
/// every day is taken to have held as many animals as the others (say so beside the result).
///
/// # Errors
/// An empty or reversed period, a window longer than it, a place without animal-days.
pub fn clusters(
    deaths: &[Death],
    held: &[Held],
    (first, last): (NaiveDate, NaiveDate),
    days: u16,
    most: Share,
) -> Result<Vec<Cluster>, Refusal> {
    let period = (last - first).num_days() + 1;
    if period < 1 || days == 0 || i64::from(days) > period {
        return Err(Refusal::new(
            "window",
            format!("window of {days} days from {first} to {last}"),
            "does not fit the period",
            "choose a shorter window or a longer period",
        ));
    }
    if let Some(death) = deaths.iter().find(|death| !held.iter().any(|held| held.place == death.place)) {
        return Err(Refusal::new(
            "place-not-held",
            format!("death in {}", death.place),
            "no animal-days are given for the place",
            "give how many animals it held",
        ));
    }
    let within: Vec<&Death> = deaths.iter().filter(|death| (first..=last).contains(&death.day)).collect();
    let all: u64 = held.iter().map(|held| held.animal_days).sum();
    let windows = (period - i64::from(days) + 1) as u64;
    let looks = windows * held.len() as u64;
    let mut found = Vec::new();
    for held in held {
        let share = held.animal_days as f64 / all.max(1) as f64;
        let expected = within.len() as f64 * share * f64::from(days) / period as f64;
        for from in first.iter_days().take(windows as usize) {
            let count = within
                .iter()
                .filter(|death| {
                    death.place == held.place && (0..i64::from(days)).contains(&(death.day - from).num_days())
                })
                .count() as u64;
            if count < 2 {
                continue;
            }
            let chance = chance(count, expected)?;
            let corrected = Share::new((chance.share() * looks as f64).min(1.0))?;
            if corrected <= most {
                found.push(Cluster {
                    place: held.place.clone(),
                    from,
                    days,
                    deaths: count,
                    expected,
                    chance,
                    corrected,
                    looks,
                });
            }
        }
    }
    found.sort_by(|one, other| {
        one.chance.share().total_cmp(&other.chance.share()).then(one.from.cmp(&other.from))
    });
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn held(place: &str) -> Held {
        Held { place: place.into(), animal_days: 3000 }
    }

    /// By hand: two or more where one is expected, 1 - 2/e = 0.2642411; none or more is certain.
    #[test]
    fn chance_of_so_many() {
        assert!((chance(2, 1.0).unwrap().share() - (1.0 - 2.0 / std::f64::consts::E)).abs() < 1e-12);
        assert_eq!(chance(0, 1.0).unwrap().share(), 1.0);
        assert!(chance(1, 0.0).is_err());
    }

    #[test]
    fn six_in_a_week_stand_out_and_six_spread_out_do_not() {
        let died = |days: [u32; 6]| {
            days.map(|d| Death { day: NaiveDate::from_ymd_opt(2026, 6, d).unwrap(), place: "W3".into() })
        };
        let period = (day("2026-06-01"), day("2026-06-30"));
        let most = Share::new(0.05).unwrap();
        let places = [held("W1"), held("W2"), held("W3")];
        let together = clusters(&died([10, 10, 11, 12, 12, 13]), &places, period, 7, most).unwrap();
        let worst = together.first().unwrap();
        // 6 deaths x a third of the animals x 7 of 30 days; 24 windows in each of three places.
        assert!((worst.expected - 6.0 / 3.0 * 7.0 / 30.0).abs() < 1e-12);
        assert_eq!((worst.deaths, worst.looks), (6, 72));
        let spread = clusters(&died([1, 6, 11, 17, 22, 28]), &places, period, 7, most).unwrap();
        assert_eq!(spread, []);
        assert!(clusters(&[], &places, (period.1, period.0), 7, most).is_err());
        assert!(clusters(&died([1, 2, 3, 4, 5, 6]), &places[..2], period, 7, most).is_err());
    }
}

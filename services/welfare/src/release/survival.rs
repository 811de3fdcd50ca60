//! Survival of released animals from sightings: Kaplan and Meier, with interval.
//!
//! Every animal is followed to the last day it is known alive, or to its known
//! death. An animal not seen again is not dead: it leaves the count on its last
//! sighting. Detection is not modelled, so the curve is one of animals that are
//! still found, and a species that hides looks short-lived only where deaths
//! are found more readily than the living.

use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, Normal};

use crate::mortality::{no_interval, tail};
use crate::refusal::Refusal;
use crate::units::{Days, Interval, Share};

/// How long one animal was followed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Followed {
    /// Days from release to death or last sighting.
    pub days: Days,
    /// True for a known death, false where it was last seen alive.
    pub died: bool,
}

/// One step of the curve: a day on which deaths are known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Step {
    /// Days after release.
    pub days: Days,
    /// Animals still followed just before.
    pub at_risk: usize,
    /// Deaths on the day.
    pub deaths: usize,
    /// Share alive after it, with interval.
    pub alive: Interval<Share>,
}

/// What the curve cannot say; shown with every curve.
pub const CAUTION: &str = "not seen is not dead: detection is not modelled, and animals not seen again leave the count on their last sighting";

/// The curve, a step for each day with deaths; empty where no death is known.
///
/// Intervals by Greenwood's variance on the log(-log) scale (as common survival libraries do), which
/// stays within 0 and 1; where none is left alive the interval is not known and told as 0 to 1.
///
/// # Errors
/// No animals, or a level outside 0 to 1.
pub fn curve(animals: &[Followed], level: Share) -> Result<Vec<Step>, Refusal> {
    if animals.is_empty() {
        return Err(Refusal::new(
            "nobody-followed",
            "survival curve",
            "no released animal is followed",
            "post releases and sightings with the animals' numbers",
        ));
    }
    let normal = Normal::new(0.0, 1.0).map_err(|_| no_interval("survival curve"))?;
    let quantile = normal.inverse_cdf(1.0 - tail(level)?);
    let mut days: Vec<f64> = animals.iter().filter(|one| one.died).map(|one| one.days.days()).collect();
    days.sort_unstable_by(f64::total_cmp);
    days.dedup();
    let (mut alive, mut sum) = (1.0_f64, 0.0_f64);
    let mut steps = Vec::with_capacity(days.len());
    for day in days {
        let at_risk = animals.iter().filter(|one| one.days.days() >= day).count();
        let deaths = animals.iter().filter(|one| one.died && one.days.days() == day).count();
        let (n, d) = (at_risk as f64, deaths as f64);
        alive *= 1.0 - d / n;
        sum += d / (n * (n - d));
        let (low, high) = if at_risk == deaths {
            (0.0, 1.0)
        } else {
            let spread = (quantile * sum.sqrt() / alive.ln()).abs();
            (alive.powf(spread.exp()), alive.powf((-spread).exp()))
        };
        let share = |number: f64| Share::new(number.clamp(0.0, 1.0));
        let alive = Interval { value: share(alive)?, low: share(low)?, high: share(high)?, level };
        steps.push(Step { days: Days::new(day)?, at_risk, deaths, alive });
    }
    Ok(steps)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::LEVEL;

    fn followed(days: f64, died: bool) -> Followed {
        Followed { days: Days::new(days).unwrap(), died }
    }

    /// By hand: of five, one dies on day 10 (4/5), one is last seen on day 20, one of the three
    /// left dies on day 30 (4/5 x 2/3 = 8/15).
    #[test]
    fn five_animals() {
        let animals =
            [(10., true), (20., false), (30., true), (40., false), (40., false)].map(|(d, x)| followed(d, x));
        let steps = curve(&animals, LEVEL).unwrap();
        assert_eq!(
            steps.iter().map(|step| (step.at_risk, step.deaths)).collect::<Vec<_>>(),
            [(5, 1), (3, 1)]
        );
        assert!((steps[0].alive.value.share() - 0.8).abs() < 1e-12);
        assert!((steps[1].alive.value.share() - 8.0 / 15.0).abs() < 1e-12);
        assert!(steps.iter().all(|s| s.alive.low < s.alive.value && s.alive.value < s.alive.high));
    }

    #[test]
    fn not_seen_is_not_dead_and_nobody_is_no_curve() {
        assert_eq!(curve(&[followed(5.0, false)], LEVEL), Ok(Vec::new()));
        assert!(curve(&[], LEVEL).is_err());
        let last = curve(&[followed(5.0, true)], LEVEL).unwrap();
        assert_eq!((last[0].alive.low.share(), last[0].alive.high.share()), (0.0, 1.0));
    }
}

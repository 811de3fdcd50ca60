//! Deaths among animals: how many of how many, and whether too many at once.
//!
//! A rate without its denominator and interval is no figure, and a cluster is a
//! question for the veterinarian, never a cause.

pub mod cluster;

use serde::{Deserialize, Serialize};
use statrs::distribution::{Beta, ContinuousCDF};

use crate::refusal::Refusal;
use crate::units::{Interval, Share};

/// So many of so many, with the exact interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Proportion {
    /// How many.
    pub of_them: u64,
    /// Of how many.
    pub all: u64,
    /// The share with the exact (Clopper and Pearson 1934) interval, which holds the truth at least
    /// as often as its level says.
    pub share: Interval<Share>,
}

/// The share that `of_them` are of `all`, with the exact binomial interval.
///
/// Used for deaths among animals held and for eggs hatched of eggs laid alike.
///
/// # Errors
/// None of none, more than all, or a level that is not between 0 and 1.
pub fn proportion(of_them: u64, all: u64, level: Share) -> Result<Proportion, Refusal> {
    let what = || format!("{of_them} of {all}");
    if all == 0 {
        return Err(Refusal::new(
            "proportion-of-none",
            what(),
            "there is nothing to be a share of",
            "give how many there were",
        ));
    }
    if of_them > all {
        return Err(Refusal::new(
            "proportion-above-all",
            what(),
            "is more than all",
            "check the two numbers; they may be of different days",
        ));
    }
    let tail = tail(level)?;
    let (k, n) = (of_them as f64, all as f64);
    let quantile = |a: f64, b: f64, p: f64| {
        let beta = Beta::new(a, b).map_err(|_| no_interval(&what()))?;
        Ok::<f64, Refusal>(beta.inverse_cdf(p))
    };
    let low = if of_them == 0 { 0.0 } else { quantile(k, n - k + 1.0, tail)? };
    let high = if of_them == all { 1.0 } else { quantile(k + 1.0, n - k, 1.0 - tail)? };
    let share = Interval { value: Share::new(k / n)?, low: Share::new(low)?, high: Share::new(high)?, level };
    Ok(Proportion { of_them, all, share })
}

/// The probability left out on each side of an interval.
pub(crate) fn tail(level: Share) -> Result<f64, Refusal> {
    let tail = (1.0 - level.share()) / 2.0;
    if tail > 0.0 && tail < 0.5 {
        return Ok(tail);
    }
    Err(Refusal::new("level", format!("level {}", level.share()), "must lie between 0 and 1", "ask for 0.95"))
}

pub(crate) fn no_interval(what: &str) -> Refusal {
    Refusal::new("no-interval", what, "the interval could not be computed", "ask for the figure alone")
}

/// An exposure that animals may have had, and what the necropsies found among those with and without it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Exposure {
    /// The exposure: a unit, a water circuit, a batch, a consignment, a drug.
    pub exposure: String,
    /// Deaths with the finding among the exposed.
    pub exposed: Proportion,
    /// Deaths with the finding among the others.
    pub others: Proportion,
    /// What the comparison cannot say.
    pub caution: &'static str,
}

/// An animal under watch, as far as the comparison needs it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Watched {
    /// The exposures it had, by name.
    pub exposures: Vec<String>,
    /// Whether it died and the necropsy found what is asked about; `None` where a carcass was not opened.
    pub finding: Option<bool>,
}

/// Joins necropsy results to exposures: for each exposure the share with the finding, among those
/// that had it and those that had not. Also returns how many carcasses nobody opened; they are left out.
///
/// # Errors
/// As [`proportion`]; an exposure that all or none had is left out, for nothing can be compared.
pub fn exposures(animals: &[Watched], level: Share) -> Result<(Vec<Exposure>, usize), Refusal> {
    let unopened = animals.iter().filter(|animal| animal.finding.is_none()).count();
    let known: Vec<(&Watched, bool)> =
        animals.iter().filter_map(|animal| Some((animal, animal.finding?))).collect();
    let mut names: Vec<&String> = known.iter().flat_map(|(animal, _)| &animal.exposures).collect();
    names.sort_unstable();
    names.dedup();
    let mut found = Vec::new();
    for name in names {
        let (with, without): (Vec<_>, Vec<_>) =
            known.iter().partition(|(animal, _)| animal.exposures.contains(name));
        if without.is_empty() {
            continue;
        }
        let share = |group: &[&(&Watched, bool)]| {
            proportion(group.iter().filter(|(_, finding)| *finding).count() as u64, group.len() as u64, level)
        };
        let (with, without): (Vec<_>, Vec<_>) = (with, without);
        let (exposed, others) =
            (share(&with.iter().collect::<Vec<_>>())?, share(&without.iter().collect::<Vec<_>>())?);
        found.push(Exposure {
            exposure: name.clone(),
            exposed,
            others,
            caution: "found together is no cause: animals that share one thing share others",
        });
    }
    Ok((found, unopened))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::LEVEL;
    use proptest::prelude::*;

    /// By hand: none of ten has the upper bound 1 - 0.025^(1/10) = 0.308497; the other side mirrors it.
    #[test]
    fn none_and_all() {
        let none = proportion(0, 10, LEVEL).unwrap().share;
        assert_eq!(none.low.share(), 0.0);
        assert!((none.high.share() - (1.0 - 0.025_f64.powf(0.1))).abs() < 1e-9);
        let all = proportion(10, 10, LEVEL).unwrap().share;
        assert!((all.low.share() - 0.025_f64.powf(0.1)).abs() < 1e-9);
        assert!(proportion(0, 0, LEVEL).is_err() && proportion(3, 2, LEVEL).is_err());
        assert!(proportion(1, 2, Share::new(1.0).unwrap()).is_err());
    }

    #[test]
    fn necropsies_joined_to_exposure() {
        let animal = |exposure: &str, finding| Watched { exposures: vec![exposure.into()], finding };
        let animals = [
            animal("W3", Some(true)),
            animal("W3", Some(false)),
            animal("W1", Some(false)),
            animal("W3", None),
        ];
        let (found, unopened) = exposures(&animals, LEVEL).unwrap();
        assert_eq!((found.len(), unopened), (2, 1));
        let shared = &found[1];
        assert_eq!((shared.exposure.as_str(), shared.exposed.of_them, shared.exposed.all), ("W3", 1, 2));
        assert_eq!((shared.others.of_them, shared.others.all), (0, 1));
    }

    proptest! {
        #[test]
        fn the_interval_holds_the_share_and_mirrors(k in 0_u64..200, more in 0_u64..200) {
            let n = k + more;
            prop_assume!(n > 0);
            let one = proportion(k, n, LEVEL).unwrap().share;
            let other = proportion(more, n, LEVEL).unwrap().share;
            prop_assert!(one.low <= one.value && one.value <= one.high);
            prop_assert!((one.low.share() + other.high.share() - 1.0).abs() < 1e-9);
        }
    }
}

//! How many of the animals in care died, with an exact interval. Outside the digests: a rate is worked
//! out from the account and adds nothing to it.

use super::{Account, AccountRow, Deaths};
use haulout_welfare::mortality::proportion;
use haulout_welfare::units::Share;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Counter-accounts by which a figure is set right: what they add or take counts with who came.
const CORRECTIONS: [&str; 3] = ["recount", "redetermined", "unexplained"];
/// Sources that nothing goes back to, except what a link takes back: told twice, it came once.
const SOURCES: [&str; 5] = ["wild", "trade", "private", "farm", "unknown"];

/// Deaths of the period beside those they are counted of. The dead on arrival, and those that died
/// before anyone came or on the way, are in neither: they never were in care.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "camelCase")]
pub struct Mortality {
    /// Animals that stood in centres and points when the period began, or came into them alive in it;
    /// those that moved between two centres once, and what was told twice or counted anew as it was
    /// set right.
    pub in_care: i64,
    /// Of these, those that came in the period.
    pub arrived: i64,
    /// Deaths within 48 hours of arrival, of those that came.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub within48h: Option<Proportion>,
    /// Later deaths, of all in care.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub later: Option<Proportion>,
    /// All deaths in care, of all in care.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub together: Option<Proportion>,
}

/// So many of so many, with the exact 95 % interval of Clopper and Pearson (1934).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Proportion {
    /// So many.
    pub count: i64,
    /// Of so many.
    pub of: i64,
    /// Their ratio, four decimals.
    pub rate: f64,
    /// Lower end of the interval, four decimals.
    pub low: f64,
    /// Upper end, four decimals.
    pub high: f64,
}

impl Proportion {
    /// None where there is nothing to be a share of, or more than the whole: a count that does not
    /// add up is a finding, and no rate.
    pub fn of(count: i64, of: i64) -> Option<Self> {
        let (low, high) = exact_interval(u64::try_from(count).ok()?, u64::try_from(of).ok()?)?;
        // Counts of animals are far below 2^53.
        #[allow(clippy::cast_precision_loss)]
        let rate = count as f64 / of as f64;
        Some(Self { count, of, rate: four(rate), low: four(low), high: four(high) })
    }
}

fn four(value: f64) -> f64 {
    (value * 10_000.0).round() / 10_000.0
}

/// The exact two-sided 95 % interval of a proportion (Clopper and Pearson 1934). None where `of` is
/// zero or `count` is more.
pub fn exact_interval(count: u64, of: u64) -> Option<(f64, f64)> {
    let share = proportion(count, of, Share::new(0.95).ok()?).ok()?.share;
    Some((share.low.share(), share.high.share()))
}

/// From the account of a region, or of one place of it: for one place, who came from another centre
/// came.
pub(super) fn mortality(account: &Account, one_place: bool) -> Mortality {
    let animals = || account.rows.iter().filter(|row| row.commodity == "animals");
    let came = |row: &AccountRow| -> i64 {
        let gains = row.gains.iter().filter(|(from, _)| one_place || from.as_str() != "transit");
        let taken_back = |to: &str| CORRECTIONS.contains(&to) || SOURCES.contains(&to);
        let losses = row.losses.iter().filter(|(to, _)| taken_back(to));
        gains.map(|(_, count)| count).sum::<i64>() - losses.map(|(_, count)| count).sum::<i64>()
    };
    // The dead of a load stood in the book of those who took it over until it was counted out.
    let died: i64 = animals().filter_map(|row| row.losses.get("dead")).sum();
    let dead_on_arrival = (died - account.deaths.within48h - account.deaths.in_care).max(0);
    let arrived = animals().map(came).sum::<i64>() - dead_on_arrival;
    let opening: i64 = animals().map(|row| row.opening).sum();
    // Who was on the road when the period began comes into care in it, without another arrival.
    let on_the_road: i64 = if one_place {
        0
    } else {
        account.transit.iter().filter(|row| row.commodity == "animals").map(|row| row.opening).sum()
    };
    let in_care = opening + on_the_road + arrived;
    let Deaths { within48h, in_care: later, .. } = account.deaths;
    Mortality {
        in_care,
        arrived,
        within48h: Proportion::of(within48h, arrived),
        later: Proportion::of(later, in_care),
        together: Proportion::of(within48h + later, in_care),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Values of `scipy.stats.binomtest(x, n).proportion_ci(0.95, "exact")`, scipy 1.17.1; 0 of n has
    /// the closed form 1 - 0.025^(1/n).
    #[test]
    fn intervals_are_those_of_clopper_and_pearson() {
        for (x, n, low, high) in [
            (0, 10, 0.0, 1.0 - 0.025_f64.powf(0.1)),
            (10, 10, 0.025_f64.powf(0.1), 1.0),
            (4, 190, 0.005_765_220_010_172, 0.053_023_222_466_618),
        ] {
            let (found_low, found_high) = exact_interval(x, n).unwrap();
            assert!((found_low - low).abs() < 1e-9, "{x} of {n}: {found_low}");
            assert!((found_high - high).abs() < 1e-9, "{x} of {n}: {found_high}");
        }
        assert_eq!(exact_interval(0, 0), None);
        assert_eq!(exact_interval(3, 2), None);
    }
}

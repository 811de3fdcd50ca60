//! How many hatch, and of how many.

use serde::{Deserialize, Serialize};

use crate::mortality::{Proportion, proportion};
use crate::refusal::Refusal;
use crate::units::{LEVEL, Ratio, Share};

/// What became of the eggs of a clutch, a box or a season.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Outcome {
    /// Eggs in all.
    pub eggs: u32,
    /// Of them hatched alive.
    pub hatched: u32,
    /// Of them known to have failed.
    pub failed: u32,
}

/// Hatch success with its denominators side by side.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Success {
    /// Hatched of those whose outcome is known, with exact interval.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of_known: Option<Proportion>,
    /// Hatched of all eggs, should no other hatch.
    pub of_all_at_least: Proportion,
    /// Hatched of all eggs, should every other hatch.
    pub of_all_at_most: Proportion,
    /// Eggs whose outcome is open.
    pub open: u32,
}

/// Hatch success with the exact interval of Clopper and Pearson at 95 %. Eggs of one clutch share a
/// mother and a box, so the interval is narrower than it should be.
///
/// # Errors
/// No eggs, or more outcomes than eggs.
pub fn success(outcome: &Outcome) -> Result<Success, Refusal> {
    let (eggs, hatched, failed) =
        (u64::from(outcome.eggs), u64::from(outcome.hatched), u64::from(outcome.failed));
    let Some(open) = eggs.checked_sub(hatched + failed) else {
        return Err(Refusal::new(
            "outcomes-above-eggs",
            format!("{hatched} hatched and {failed} failed of {eggs} eggs"),
            "are more than all",
            "check the three numbers; they may be of different days or boxes",
        ));
    };
    Ok(Success {
        of_known: (hatched + failed > 0).then(|| proportion(hatched, hatched + failed, LEVEL)).transpose()?,
        of_all_at_least: proportion(hatched, eggs, LEVEL)?,
        of_all_at_most: proportion(hatched + open, eggs, LEVEL)?,
        open: open as u32,
    })
}

/// Hatchlings to expect of eggs at a share known from elsewhere; a mean, so no whole number.
///
/// # Errors
/// Never for a share of this crate.
pub fn expected(eggs: u32, share: Share) -> Result<Ratio, Refusal> {
    Ratio::new(f64::from(eggs) * share.share())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 60 eggs, 41 hatched, 9 failed, 10 remain: 41 of 50 known, 41 to 51 of 60. The exact interval of
    /// 41 of 50 by scipy 1.17.1 (beta.ppf): 0.685631 to 0.914238.
    #[test]
    fn sixty_eggs() {
        let told = success(&Outcome { eggs: 60, hatched: 41, failed: 9 }).unwrap();
        let known = told.of_known.unwrap();
        assert_eq!((known.of_them, known.all, told.open), (41, 50, 10));
        assert!((known.share.low.share() - LOW).abs() < 1e-6, "{:?}", known.share);
        assert!((known.share.high.share() - HIGH).abs() < 1e-6);
        assert_eq!((told.of_all_at_least.of_them, told.of_all_at_most.of_them), (41, 51));
    }

    /// Batagur baska: 39 eggs at the 91 % that a newspaper tells are 35.49 hatchlings.
    #[test]
    fn thirty_nine_eggs() {
        assert!((expected(39, Share::new(0.91).unwrap()).unwrap().value() - 35.49).abs() < 1e-9);
    }

    const LOW: f64 = 0.685_630_6;
    const HIGH: f64 = 0.914_237_9;

    #[test]
    fn nothing_known_and_too_much() {
        assert_eq!(success(&Outcome { eggs: 20, hatched: 0, failed: 0 }).unwrap().of_known, None);
        let code = |eggs, hatched, failed| success(&Outcome { eggs, hatched, failed }).unwrap_err().code;
        assert_eq!(code(20, 15, 6), "outcomes-above-eggs");
        assert_eq!(code(0, 0, 0), "proportion-of-none");
    }
}

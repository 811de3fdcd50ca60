//! m and u where nobody knows which pairs are the same: expectation and maximisation over the patterns of
//! agreement, fields taken as independent within each class (Winkler 1988; Herzog, Scheuren and Winkler
//! 2007, *Data Quality and Record Linkage Techniques*).

use super::Agreement;
use std::collections::BTreeMap;

/// What was estimated.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// m and u of each field, in the order of the fields.
    pub fields: Vec<Agreement>,
    /// The share of pairs that are the same.
    pub share: f64,
    /// Steps taken.
    pub steps: u32,
    /// Whether the last step moved no figure by more than the tolerance.
    pub settled: bool,
}

impl Estimate {
    /// The weight of a pattern in bits.
    pub fn weight(&self, pattern: &[bool]) -> f64 {
        self.fields.iter().zip(pattern).map(|(field, agrees)| field.weight(Some(*agrees))).sum()
    }

    /// The probability that a pair of this pattern is the same.
    pub fn probability(&self, pattern: &[bool]) -> f64 {
        let (same, not) = classes(&self.fields, self.share, pattern);
        same / (same + not)
    }
}

/// Starts at m 0.9, u 0.1 and a share of 0.1, and goes on until no figure moves by more than `tolerance`
/// or `steps` were taken. `None` where there is no pair or patterns differ in length. Figures are kept
/// off 0 and 1 by a millionth of a millionth, so that every weight is finite.
pub fn estimate(patterns: &BTreeMap<Vec<bool>, u64>, tolerance: f64, steps: u32) -> Option<Estimate> {
    let fields = patterns.keys().next()?.len();
    if fields == 0 || patterns.keys().any(|pattern| pattern.len() != fields) {
        return None;
    }
    let mut now =
        Estimate { fields: vec![Agreement { m: 0.9, u: 0.1 }; fields], share: 0.1, steps: 0, settled: false };
    while now.steps < steps && !now.settled {
        let next = step(patterns, &now);
        let moved = now
            .fields
            .iter()
            .zip(&next.fields)
            .map(|(one, other)| (one.m - other.m).abs().max((one.u - other.u).abs()));
        let most = moved.fold((now.share - next.share).abs(), f64::max);
        now = Estimate { settled: most <= tolerance, ..next };
    }
    Some(now)
}

fn step(patterns: &BTreeMap<Vec<bool>, u64>, now: &Estimate) -> Estimate {
    let mut sums = vec![(0.0, 0.0); now.fields.len()];
    let (mut same_sum, mut not_sum) = (0.0, 0.0);
    for (pattern, count) in patterns {
        #[allow(clippy::cast_precision_loss, reason = "fewer pairs than 2^53")]
        let count = *count as f64;
        let same = count * now.probability(pattern);
        let not = count - same;
        (same_sum, not_sum) = (same_sum + same, not_sum + not);
        for (sum, agrees) in sums.iter_mut().zip(pattern) {
            if *agrees {
                *sum = (sum.0 + same, sum.1 + not);
            }
        }
    }
    let fields = sums.iter().map(|(m, u)| Agreement { m: inside(m / same_sum), u: inside(u / not_sum) });
    Estimate {
        fields: fields.collect(),
        share: inside(same_sum / (same_sum + not_sum)),
        steps: now.steps + 1,
        settled: false,
    }
}

fn inside(share: f64) -> f64 {
    let least = 1e-12;
    if share.is_nan() { least } else { share.clamp(least, 1.0 - least) }
}

fn classes(fields: &[Agreement], share: f64, pattern: &[bool]) -> (f64, f64) {
    let of = |probability: f64, agrees: bool| if agrees { probability } else { 1.0 - probability };
    fields.iter().zip(pattern).fold((share, 1.0 - share), |(same, not), (field, agrees)| {
        (same * of(field.m, *agrees), not * of(field.u, *agrees))
    })
}

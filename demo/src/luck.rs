//! Chance that can be repeated: one stream of a stated generator, and whole-number draws only.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A stream of chance. The same seed and stream give the same draws on every machine.
pub(crate) struct Luck(ChaCha8Rng);

impl Luck {
    /// The stream `stream` of a seed.
    pub(crate) fn new(seed: u64, stream: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(stream);
        Self(rng)
    }

    /// True with probability `p`.
    pub(crate) fn chance(&mut self, p: f64) -> bool {
        self.0.random_bool(p.clamp(0.0, 1.0))
    }

    /// A whole number from `low` to `high`, both included.
    pub(crate) fn int(&mut self, low: u32, high: u32) -> u32 {
        if high <= low { low } else { self.0.random_range(low..=high) }
    }

    /// Days from `low` to `high`, both included.
    pub(crate) fn days(&mut self, low: u32, high: u32) -> i32 {
        i32::try_from(self.int(low, high)).unwrap_or(0)
    }

    /// How often something of this mean rate happens: the whole part surely, the rest by chance.
    pub(crate) fn times(&mut self, rate: f64) -> u32 {
        let rate = rate.clamp(0.0, 10_000.0);
        let whole = rate.floor();
        whole as u32 + u32::from(self.chance(rate - whole))
    }

    /// A number from `low` to `high` in steps of a hundredth.
    pub(crate) fn hundredths(&mut self, low: f64, high: f64) -> f64 {
        let (low, high) = ((low * 100.0).round() as u32, (high * 100.0).round() as u32);
        f64::from(self.int(low, high)) / 100.0
    }

    /// One of several; `None` of none.
    pub(crate) fn pick<'a, T>(&mut self, from: &'a [T]) -> Option<&'a T> {
        let last = u32::try_from(from.len()).ok()?.checked_sub(1)?;
        from.get(self.int(0, last) as usize)
    }

    /// One of several words, of which there is at least one.
    pub(crate) fn word<'a>(&mut self, from: &[&'a str]) -> &'a str {
        self.pick(from).copied().unwrap_or_default()
    }

    /// An index into a list of weights; the first of nothing but zeros.
    pub(crate) fn weighted(&mut self, weights: &[u32]) -> usize {
        let sum: u32 = weights.iter().sum();
        if sum == 0 {
            return 0;
        }
        let mut drawn = self.int(1, sum);
        for (index, weight) in weights.iter().enumerate() {
            if drawn <= *weight {
                return index;
            }
            drawn -= weight;
        }
        0
    }
}

/// Rounded to a hundredth, so that files hold short numbers.
pub(crate) fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// Rounded to a thousandth.
pub(crate) fn thousandth(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

//! Likely the same: probabilistic linkage after Fellegi and Sunter (1969, *A Theory for Record Linkage*).
//!
//! Two descriptions are compared field by field. A field that agrees speaks for one animal by
//! log2(m/u), one that disagrees against it by log2((1-m)/(1-u)): m is how often it agrees where it is
//! the same, u how often where it is not. What one of them does not tell says nothing. The sum is the
//! weight. It is evidence for a person who decides, never a decision.

mod compare;
mod em;

pub use compare::{days, kilometres, numeric, text};
pub use em::{Estimate, estimate};

/// How often a field agrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Agreement {
    /// Among pairs that are the same, above 0 and below 1.
    pub m: f64,
    /// Among pairs that are not, above 0 and below 1.
    pub u: f64,
}

impl Agreement {
    /// The weight of a field in bits: of agreement, of disagreement, or zero where nothing is told.
    pub fn weight(&self, agrees: Option<bool>) -> f64 {
        match agrees {
            Some(true) => (self.m / self.u).log2(),
            Some(false) => ((1.0 - self.m) / (1.0 - self.u)).log2(),
            None => 0.0,
        }
    }
}

#[cfg(test)]
mod tests;

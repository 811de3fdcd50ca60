//! The catalogue: every rule of the findings, sorted by code.

use crate::statement::NIGHT_LATE;
use haulout_schemas::rule::Rule;

/// Every rule of the findings, sorted by code.
pub static RULES: &[&Rule] = &[&NIGHT_LATE];

/// The rule of a code.
pub fn rule(code: &str) -> Option<&'static Rule> {
    RULES.iter().copied().find(|rule| rule.code == code)
}

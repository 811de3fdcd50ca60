//! What the schema cannot know: a day, a name list, experience. Rules warn and never refuse.

mod catalogue;
mod dates;
mod marks;
mod numbers;
mod walk;

pub use catalogue::*;
use haulout_schemas::Record;
use haulout_schemas::rule::{Rule, Severity as Grade};

use crate::checker::{Located, Settings};
use crate::json::node::Read;
use crate::json::place;
use crate::problem::{Layer, Problem, Severity};

/// Most findings of one kind of walk through one record.
const MOST: usize = 20;

/// One record while it is judged.
pub(crate) struct Case<'c> {
    pub(crate) read: &'c Read<'c>,
    pub(crate) record: &'c Record,
    pub(crate) text: &'c str,
    pub(crate) settings: &'c Settings,
    pub(crate) found: Vec<Problem>,
}

/// All warnings and remarks on a record that follows the schema, in the order of the text.
pub(crate) fn judge(
    read: &Read<'_>,
    record: &Record,
    text: &str,
    settings: &Settings,
) -> Vec<Located> {
    let mut case = Case {
        read,
        record,
        text,
        settings,
        found: Vec::new(),
    };
    dates::judge(&mut case);
    marks::judge(&mut case);
    numbers::judge(&mut case);
    walk::judge(&mut case);
    let mut located: Vec<Located> = case
        .found
        .into_iter()
        .map(|problem| {
            let offset = problem
                .pointer
                .as_deref()
                .and_then(|at| place::value(text, at));
            Located { problem, offset }
        })
        .collect();
    located.sort_by_key(|located| located.offset);
    located
}

/// A problem of a rule: its weight and its way out come from the catalogue.
fn warn(rule: &'static Rule, text: impl Into<String>) -> Problem {
    let severity = match rule.severity {
        Grade::Info => Severity::Info,
        _ => Severity::Warning,
    };
    Problem::new(Layer::Rule, rule.code, text)
        .with_severity(severity)
        .with_help(rule.mend)
}

//! What the schema cannot know: a day, a name list, experience. Rules warn and never refuse.

mod dates;
mod marks;
mod names;
mod numbers;
mod walk;

use haulout_schemas::Record;

use crate::catalogue::record;
use crate::checker::{Located, Settings};
use crate::json::node::Read;
use crate::json::place::Finder;
use crate::problem::Problem;
use crate::words::counted;

/// Remarks on one record shown one by one; the rest are counted in a last one.
const MOST: usize = 50;

/// One record while it is judged.
pub(crate) struct Case<'c> {
    pub(crate) read: &'c Read<'c>,
    pub(crate) record: &'c Record,
    pub(crate) text: &'c str,
    pub(crate) settings: &'c Settings,
    pub(crate) found: Vec<Problem>,
}

/// All warnings and remarks on a record that follows the schema, in the order of the text.
pub(crate) fn judge(read: &Read<'_>, record: &Record, text: &str, settings: &Settings) -> Vec<Located> {
    let mut case = Case { read, record, text, settings, found: Vec::new() };
    dates::judge(&mut case);
    marks::judge(&mut case);
    numbers::judge(&mut case);
    walk::judge(&mut case);
    let more = case.found.len().saturating_sub(MOST) as u64;
    case.found.truncate(MOST);
    let mut finder = Finder::new(text);
    let mut located: Vec<Located> = case
        .found
        .into_iter()
        .map(|problem| {
            let offset = problem.pointer.as_deref().and_then(|at| finder.value(at));
            Located { problem, offset }
        })
        .collect();
    located.sort_by_key(|located| located.offset.unwrap_or(usize::MAX));
    if more > 0 {
        let said = format!("and {} on this record", counted(more, "more remark", "more remarks"));
        let problem = Problem::of(&record::MORE_REMARKS, said).at("");
        located.push(Located { problem, offset: None });
    }
    located
}

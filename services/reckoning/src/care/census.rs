//! The night's census: a night is posted when one for its day counts.

use super::{Floor, Line, Task, Told, When};
use chrono::NaiveDate;
use haulout_schemas::Body;
use haulout_welfare::grounds::Grounds;
use std::collections::BTreeSet;

/// Nights without a census that are named one by one.
const NAMED: usize = 5;

pub(super) fn tell(floor: &Floor<'_>, told: &mut Told) {
    let counted: BTreeSet<NaiveDate> = floor
        .records()
        .filter(|record| {
            matches!(record.body, Some(Body::Census(_))) && record.envelope.author_id == *floor.asked.centre
        })
        .map(|record| record.envelope.event_date.day())
        .collect();
    let grounds =
        || Grounds::records("the contract of posting: a night is posted when a census of its day counts");
    let Some(first) = counted.first() else {
        let line = Line::new(
            Task::Census,
            "count everything and post the opening census, dated the day before the first night",
            grounds(),
        );
        told.add(When::Due, line.because("no census of the centre is known"));
        return;
    };
    let missing: Vec<NaiveDate> =
        first.iter_days().take_while(|day| *day < floor.at()).filter(|day| !counted.contains(day)).collect();
    if let Some(since) = missing.first() {
        let few: Vec<String> = missing.iter().rev().take(NAMED).rev().map(ToString::to_string).collect();
        let more = missing.len().saturating_sub(NAMED);
        let earlier = if more > 0 { format!(" and {more} before") } else { String::new() };
        let line = Line::new(Task::Census, format!("post the census of {} nights", missing.len()), grounds());
        let line = line.because(format!("no census of {}{earlier}", few.join(", "))).caution(
            "post what was counted on those nights; what nobody counted stays missing, and is not made up",
        );
        told.add(When::Overdue, Line { since: Some(*since), ..line });
    }
    let tonight = Line::new(Task::Census, "count at the close of the day and post the census", grounds());
    if counted.contains(&floor.at()) {
        let line = Line::new(Task::Census, "the census of the day is posted", grounds());
        told.add(When::NotDue, line);
    } else {
        told.add(When::Due, tonight.due_from(floor.at(), floor.at()));
    }
}

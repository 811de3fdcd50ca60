//! Rules on when it happened.

use super::Case;
use crate::catalogue::record;
use crate::problem::Problem;

pub(super) fn judge(case: &mut Case<'_>) {
    let date = &case.record.envelope.event_date;
    if let Some(today) = case.settings.today
        && date.start().day > today
    {
        let text = format!("the event is dated {}, after today, {today}", date.start().day);
        case.found.push(Problem::of(&record::FUTURE_DATE, text).at("/eventDate"));
    }
    if date.is_reversed() {
        let text = format!("the interval {date} ends before it begins");
        case.found.push(Problem::of(&record::DATE_REVERSED, text).at("/eventDate"));
    }
}

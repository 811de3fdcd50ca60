//! What came before what.

use chrono::{DateTime, NaiveDate, Utc};
use haulout_schemas::event_date::Moment;
use haulout_schemas::{EventDate, Record};
use std::cmp::Ordering;

/// Whether one event had ended before the other began. Where either has no time, the days as written
/// are compared; events of one day without times, and intervals that overlap, are in no order.
pub(crate) fn surely_before(earlier: &EventDate, later: &EventDate) -> bool {
    let ends = [earlier.start(), earlier.end()];
    let starts = [later.start(), later.end()];
    ends.iter().all(|end| starts.iter().all(|start| moment_before(*end, *start)))
}

fn moment_before(one: Moment, other: Moment) -> bool {
    match (one.instant, other.instant) {
        (Some(one), Some(other)) => one < other,
        _ => one.day < other.day,
    }
}

/// The order in which projections apply records: day, start, end, rank of the kind, author, record.
///
/// A total order. Within a day, an event without a time comes before the timed ones where its kind
/// fills a place (rank 0 to 3) and after them where its kind empties or counts it.
pub fn by_order(one: &Record, other: &Record) -> Ordering {
    order_of(one).cmp(&order_of(other))
}

type Position<'r> = (NaiveDate, u8, Option<DateTime<Utc>>, Option<DateTime<Utc>>, u8, &'r str, &'r str, u16);

fn order_of(record: &Record) -> Position<'_> {
    let frame = &record.envelope;
    let (start, end) = (frame.event_date.start(), frame.event_date.end());
    let rank = record.kind().rank();
    let slot = match (start.instant.or(end.instant), rank) {
        (Some(_), _) => 1,
        (None, 0..=3) => 0,
        (None, _) => 2,
    };
    let utc = |moment: Moment| moment.instant.map(|instant| instant.to_utc());
    let (author, id) = (frame.author_id.as_str(), frame.record_id.as_str());
    (frame.event_date.day(), slot, utc(start), utc(end), rank, author, id, frame.revision)
}

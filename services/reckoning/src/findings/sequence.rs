//! What came before what.

use chrono::{DateTime, Utc};
use haulout_schemas::{EventDate, Record};
use std::cmp::Ordering;

/// Whether one event had ended before the other began. Where a time is missing whole days are
/// compared; events of one day without times, and intervals that overlap, are in no order.
pub fn surely_before(earlier: &EventDate, later: &EventDate) -> bool {
    let (end, start) = (earlier.end().max(earlier.start()), later.start().min(later.end()));
    end < start
}

/// The order in which projections apply records: day, start, end, rank of the kind, author, record.
///
/// A total order. Within a day, an event without a time comes before the timed ones where its kind
/// fills a place (rank 0 to 3) and after them where its kind empties or counts it.
pub fn by_order(one: &Record, other: &Record) -> Ordering {
    order_of(one).cmp(&order_of(other))
}

type Place<'r> = (chrono::NaiveDate, u8, Option<DateTime<Utc>>, Option<DateTime<Utc>>, u8, &'r str, &'r str, u16);

fn order_of(record: &Record) -> Place<'_> {
    let frame = &record.envelope;
    let (start, end) = (frame.event_date.start(), frame.event_date.end());
    let rank = record.kind().rank();
    let slot = match (start.instant.or(end.instant), rank) {
        (Some(_), _) => 1,
        (None, 0..=3) => 0,
        (None, _) => 2,
    };
    let utc = |moment: haulout_schemas::event_date::Moment| moment.instant.map(|instant| instant.to_utc());
    let (author, id) = (frame.author_id.as_str(), frame.record_id.as_str());
    (frame.event_date.day(), slot, utc(start), utc(end), rank, author, id, frame.revision)
}

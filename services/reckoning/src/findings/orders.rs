//! The authority's orders: which are in force, and stays that rest on one.

use super::judging::{Judging, parameters};
use crate::effective::Effective;
use crate::keys::Key;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::records::authority::Order;
use haulout_schemas::records::keeping::HousingEvent;
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::{Body, Record};
use std::sync::Arc;

/// An animal is kept under an order. Parameters: `orderNumber`, `organismID` or `lotID`, `firstDay`,
/// and `endDate` where the authority's order is known and ends.
pub(super) static STAY: Rule = Rule {
    code: "stay-under-order",
    layer: Layer::Finding,
    severity: Severity::Info,
    title: "Stay under an order",
    meaning: "A housing names the order that allows a stay which a rule would forbid.",
    why: "What is waived stays visible until the animals stand where they should.",
    mend: "Nothing to mend; a further housing before the order ends.",
    source: "planning model: waivable by a named order with an end date only",
    thresholds: &[],
};

/// An order of the authority.
pub(super) fn order<'r>(judging: &Judging<'_>, record: &'r Record) -> Option<&'r Order> {
    match &record.body {
        Some(Body::Order(order)) if judging.by_authority(record) => Some(order),
        _ => None,
    }
}

/// The first and the last day of an order of the authority.
pub(super) fn days(judging: &Judging<'_>, record: &Record) -> Option<(NaiveDate, Option<NaiveDate>)> {
    let order = order(judging, record)?;
    Some((record.envelope.event_date.start().day, order.end_date.map(|end| end.0)))
}

/// Whether an order is in force on a day: given on that day or before, its last day included.
pub(super) fn in_force(record: &Record, order: &Order, day: NaiveDate) -> bool {
    let given = record.envelope.event_date.start().day;
    given <= day && order.end_date.is_none_or(|end| day <= end.0)
}

/// The authority's orders of a number.
pub(super) fn numbered(judging: &Judging<'_>, number: &str) -> Vec<Arc<Effective>> {
    let mut found = judging.records.of(&Key::order(number));
    found
        .retain(|one| order(judging, &one.record).is_some_and(|order| order.order_number.as_str() == number));
    found
}

/// Whether the authority's order of a number is in force on a day.
pub(super) fn number_in_force(judging: &Judging<'_>, number: &str, day: NaiveDate) -> bool {
    numbered(judging, number)
        .iter()
        .any(|one| order(judging, &one.record).is_some_and(|order| in_force(&one.record, order, day)))
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let number = judging.key.id();
    let end = numbered(judging, number)
        .iter()
        .filter_map(|one| order(judging, &one.record)?.end_date)
        .map(|day| day.0)
        .max();
    for one in &own {
        let frame = &one.record.envelope;
        let Some(Body::Housing(housing)) = &one.record.body else { continue };
        if housing.event != HousingEvent::Housed
            || housing.order_number.as_ref().is_none_or(|named| named.as_str() != number)
        {
            continue;
        }
        let mut told =
            parameters([("orderNumber", number.into()), ("firstDay", frame.event_date.day().into())]);
        if let Some(subject) = Subject::of_frame(frame) {
            told.insert(subject.member().to_owned(), subject.id().into());
        }
        if let Some(end) = end {
            told.insert("endDate".to_owned(), end.into());
        }
        judging.find(&STAY, [&one.record], end, told);
    }
}

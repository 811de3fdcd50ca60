//! Orders that are not on paper, or that nobody knows: what rests on the authority's word.

use super::judging::{Judging, days_after, parameters};
use super::orders::{in_force, numbered, order};
use crate::subject::Subject;
use haulout_schemas::records::authority::{OrderForm, OrderType};
use haulout_schemas::records::ending::{DeathEnd, Mortality, MortalityEvent};
use haulout_schemas::records::keeping::CustodyEvent;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::{Body, Record};

/// An order stayed a spoken word. Parameters: `orderNumber`.
pub(super) static NOT_IN_WRITING: Rule = Rule {
    code: "order-not-in-writing",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Order given by voice and not put in writing",
    meaning: "The authority gave an order by voice and by the deadline no revision put it in writing. A centre's own version is a claim and is not judged.",
    why: "Who acts on a spoken word stands alone when it is questioned.",
    mend: "The authority revises the order: `form` written, `revisionReason` putInWriting.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 3, unit: "day", source: "common practice" }],
};

/// Something rests on an order that the authority never wrote. Parameters: `orderNumber`, `kind` (of
/// the record that names it).
pub(super) static NOT_KNOWN: Rule = Rule {
    code: "order-not-known",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Order that the authority has not written",
    meaning: "A housing, dispatch, death or step of custody names an order, and by the deadline the authority has written none of that number. A centre's own version is a claim and does not count. What the authority itself writes is exempt.",
    why: "Without the order nobody can see what was allowed, to whom and until when.",
    mend: "The authority writes the `order`; if the number is a slip, revise the record that names it.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 7, unit: "day", source: "common practice" }],
};

/// Put to death by order, and no order. Parameters: `reason` (`notNamed`, `notFound`, `type`, `dates`),
/// `organismID` or `lotID`, and `orderNumber` where one is named.
pub(super) static DESTROYED: Rule = Rule {
    code: "destruction-without-order",
    layer: Layer::Finding,
    severity: Severity::Critical,
    title: "Put to death without an order in force",
    meaning: "A death is booked as by order, and it names no order, or none of the authority's that orders a destruction and was in force on the day. An animal put to death by a veterinarian for its welfare is no death by order.",
    why: "A protected animal is put to death by order on the authority's word alone.",
    mend: "Name the order in the death; the authority writes it if it stands on paper only. If no order was given, revise how it died and report it to the authority.",
    source: "common practice",
    thresholds: &[],
};

/// Custody lifted on nobody's word. Parameters: `caseNumber`, `event`.
pub(super) static LIFTED: Rule = Rule {
    code: "custody-lifted-without-order",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Custody lifted or varied without an order",
    meaning: "A step of custody lifts or varies what a case forbids and names no order. What the authority itself writes is exempt.",
    why: "Whoever keeps case property cannot set it free of the case by itself.",
    mend: "Revise the step with the number of the order or leave; without one, withdraw it.",
    source: "confiscated live animals: no transfer while held as evidence without the authority's leave (from memory)",
    thresholds: &[],
};

/// What of an order is wanting, for the number of the key.
pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let number = judging.key.id();
    let written = numbered(judging, number);
    let form = |record: &Record| order(judging, record).map(|order| order.form);
    let on_paper = written.iter().any(|one| form(&one.record) == Some(OrderForm::Written));
    if !on_paper {
        for one in &written {
            let due =
                days_after(one.record.envelope.event_date.day(), judging.threshold(&NOT_IN_WRITING, "days"));
            if judging.passed(due) {
                let told = parameters([("orderNumber", number.into())]);
                judging.find(&NOT_IN_WRITING, [&one.record], Some(due), told);
            }
        }
    }
    if !written.is_empty() {
        return;
    }
    for one in &own {
        let record = &one.record;
        if judging.by_authority(record) || named(record) != Some(number) {
            continue;
        }
        let due = days_after(record.envelope.event_date.day(), judging.threshold(&NOT_KNOWN, "days"));
        if judging.passed(due) {
            let told = parameters([("orderNumber", number.into()), ("kind", record.kind().as_str().into())]);
            judging.find(&NOT_KNOWN, [record], Some(due), told);
        }
    }
}

/// The order that a record of the keepers rests on.
fn named(record: &Record) -> Option<&str> {
    let number = match record.body.as_ref()? {
        Body::Housing(housing) => housing.order_number.as_ref(),
        Body::Dispatch(dispatch) => dispatch.order_number.as_ref(),
        Body::Mortality(mortality) => mortality.order_number.as_ref(),
        Body::Custody(custody) => custody.order_number.as_ref(),
        _ => None,
    };
    number.map(|number| number.as_str())
}

/// Deaths by order of the key's animal or lot.
pub(super) fn destroyed(judging: &mut Judging<'_>) {
    let Some(subject) = Subject::of_key(judging.key) else { return };
    for one in &judging.own() {
        let record = &one.record;
        let Some(Body::Mortality(mortality)) = &record.body else { continue };
        let by_order =
            mortality.event == MortalityEvent::Death && mortality.end == Some(DeathEnd::DestroyedByOrder);
        if !by_order || Subject::of_frame(&record.envelope).as_ref() != Some(&subject) {
            continue;
        }
        if let Some(reason) = no_order(judging, record, mortality) {
            let mut told = parameters([("reason", reason.into()), (subject.member(), subject.id().into())]);
            if let Some(number) = &mortality.order_number {
                told.insert("orderNumber".to_owned(), number.as_str().into());
            }
            judging.find(&DESTROYED, [record], None, told);
        }
    }
}

/// Why no order covers a death; `None` where one does.
fn no_order(judging: &Judging<'_>, record: &Record, mortality: &Mortality) -> Option<&'static str> {
    let Some(number) = &mortality.order_number else { return Some("notNamed") };
    let orders = numbered(judging, number.as_str());
    let day = record.envelope.event_date.day();
    let mut destructions = orders
        .iter()
        .filter_map(|one| Some((&one.record, order(judging, &one.record)?)))
        .filter(|(_, order)| order.order_type == OrderType::Destruction)
        .peekable();
    if orders.is_empty() {
        Some("notFound")
    } else if destructions.peek().is_none() {
        Some("type")
    } else {
        (!destructions.any(|(given, order)| in_force(given, order, day))).then_some("dates")
    }
}

/// Steps of custody of the key's case that rest on nobody's word.
pub(super) fn lifted(judging: &mut Judging<'_>) {
    let case = judging.key.id();
    for one in &judging.own() {
        let Some(Body::Custody(custody)) = &one.record.body else { continue };
        let loosens = matches!(custody.event, CustodyEvent::Lifted | CustodyEvent::Varied);
        if loosens && custody.order_number.is_none() && !judging.by_authority(&one.record) {
            let told = parameters([("caseNumber", case.into()), ("event", custody.event.as_str().into())]);
            judging.find(&LIFTED, [&one.record], None, told);
        }
    }
}

//! Dates and ends of a journey that cannot be right, or should not have been.

use super::judging::{Judging, Parameters, parameters};
use super::sequence::surely_before;
use crate::keys::place_of;
use haulout_schemas::records::transfer::{Arrived, Destination, Dispatch, Origin, Receipt};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::PartyId;
use haulout_schemas::{Body, Record};
use std::collections::BTreeSet;

/// Signed for before it left. Parameters: `consignmentID`.
pub(super) static BEFORE_SENT: Rule = Rule {
    code: "received-before-sent",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Received before it was sent",
    meaning: "A receipt had ended before every dispatch of its journey began. Two of one day without hours are in no order and are not judged.",
    why: "One of the two dates is wrong, and with it the balance of a night at one end.",
    mend: "Revise the record with the wrong date.",
    source: "posting rules",
    thresholds: &[],
};

/// Signed for by another place. Parameters: `consignmentID`, `destinationID`.
pub(super) static ELSEWHERE: Rule = Rule {
    code: "received-elsewhere",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Received at another place than it was sent to",
    meaning: "What was sent to one centre or point of the region was signed for at another. Lines that were turned back, or not in the crate, are exempt.",
    why: "The place that received may have neither room nor licence for it, and the one that waited does not know.",
    mend: "If it was taken elsewhere, the sender revises the destination; if the wrong journey was named, the receiver revises its receipt.",
    source: "common practice",
    thresholds: &[],
};

/// Too many nights on the road. Parameters: `consignmentID`, `nights`.
pub(super) static TOO_LONG: Rule = Rule {
    code: "journey-too-long",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Journey too long",
    meaning: "Between the end of the last dispatch of a journey with animals or eggs and the beginning of its first receipt lay more nights than the figure. A journey that nobody received has a finding of its own.",
    why: "Animals in crates are neither watered nor cooled; what took so long, or was dated so, must be known.",
    mend: "If a date is wrong, revise it. If it is right, examine the animals, and tell in the notes where they stood meanwhile.",
    source: "common practice",
    thresholds: &[Threshold { name: "nights", value: 2, unit: "night", source: "common practice" }],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let mut dispatches: Vec<(&Record, &Dispatch)> = Vec::new();
    let mut receipts: Vec<(&Record, &Receipt)> = Vec::new();
    for one in &own {
        match &one.record.body {
            Some(Body::Dispatch(dispatch)) if dispatch.destination == Destination::Region => {
                dispatches.push((&one.record, dispatch));
            }
            Some(Body::Receipt(receipt)) if receipt.origin == Origin::Transit => {
                receipts.push((&one.record, receipt));
            }
            _ => {}
        }
    }
    if dispatches.is_empty() {
        return;
    }
    let sent: Vec<&Record> = dispatches.iter().map(|(record, _)| *record).collect();
    let destinations: BTreeSet<&PartyId> =
        dispatches.iter().filter_map(|(_, dispatch)| dispatch.destination_id.as_ref()).collect();
    for (record, receipt) in &receipts {
        let date = &record.envelope.event_date;
        if sent.iter().all(|dispatch| surely_before(date, &dispatch.envelope.event_date)) {
            let told = named(judging);
            judging.find(&BEFORE_SENT, sent.iter().copied().chain([*record]), None, told);
        }
        let here = receipt
            .lines
            .iter()
            .any(|line| matches!(line.arrived, Arrived::Alive | Arrived::Dead | Arrived::Extra));
        if here && place_of(&record.envelope).is_some_and(|place| !destinations.contains(place)) {
            let mut told = named(judging);
            let expected: Vec<&str> = destinations.iter().map(|place| place.as_str()).collect();
            told.insert("destinationID".to_owned(), expected.join(" ").into());
            let places = sent.iter().chain([record]).filter_map(|record| place_of(&record.envelope));
            let places: Vec<PartyId> = places.chain(destinations.iter().copied()).cloned().collect();
            judging.find_at(&ELSEWHERE, places, sent.iter().copied().chain([*record]), None, told);
        }
    }
    if dispatches.iter().any(|(_, dispatch)| !dispatch.lines.is_empty()) {
        too_long(judging, &sent, &receipts);
    }
}

fn too_long(judging: &mut Judging<'_>, sent: &[&Record], receipts: &[(&Record, &Receipt)]) {
    let day = |record: &Record, last: bool| {
        let (start, end) = (record.envelope.event_date.start().day, record.envelope.event_date.end().day);
        if last { start.max(end) } else { start.min(end) }
    };
    let left = sent.iter().map(|record| day(record, true)).max();
    let arrived = receipts.iter().map(|(record, _)| day(record, false)).min();
    let (Some(left), Some(arrived)) = (left, arrived) else { return };
    let nights = (arrived - left).num_days();
    if nights > judging.threshold(&TOO_LONG, "nights") {
        let mut told = named(judging);
        told.insert("nights".to_owned(), nights.into());
        let received = receipts.iter().map(|(record, _)| *record);
        judging.find(&TOO_LONG, sent.iter().copied().chain(received), None, told);
    }
}

fn named(judging: &Judging<'_>) -> Parameters {
    parameters([("consignmentID", judging.key.id().into())])
}

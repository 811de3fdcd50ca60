//! Crates that were lent with a journey and never came back.

use super::judging::{Judging, days_after, parameters};
use super::sequence::surely_before;
use crate::keys::place_of;
use haulout_schemas::records::transfer::{Crate, Destination};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::{Body, Record};

/// Not told back. Parameters: `crateID`, `consignmentID`, `destinationID`.
pub(super) static NOT_BACK: Rule = Rule {
    code: "crates-not-back",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Crate not back",
    meaning: "A dispatch to a centre or point of the region lists a crate, and by the deadline the place that sent it has told of it no more: neither a receipt nor a later dispatch of that place lists it. Exempt are crates that went beyond the region, and those of another place that are sent on or sent home: whoever had received the crate before owes it and does not lend it. Each crate is asked for once, by its last journey.",
    why: "A night with many animals needs every crate; and a crate that nobody misses is one that nobody disinfects.",
    mend: "Ask the receiver. When it comes home, list it in a `receipt`; if it is to stay there, revise the dispatch so that it lists it no more.",
    source: "common practice",
    thresholds: &[Threshold {
        name: "days",
        value: 92,
        unit: "day",
        source: "common practice: crates are counted each quarter",
    }],
};

/// The crates that a record lists, and whether they leave with it.
fn listed(record: &Record) -> Option<(&[Crate], bool)> {
    match &record.body {
        Some(Body::Dispatch(dispatch)) => Some((&dispatch.crates, true)),
        Some(Body::Receipt(receipt)) => Some((&receipt.crates, false)),
        _ => None,
    }
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let number = judging.key.id().to_owned();
    let own = judging.own();
    let lists = |record: &&Record| {
        listed(record).is_some_and(|(crates, _)| crates.iter().any(|one| one.crate_id.as_str() == number))
    };
    let records: Vec<&Record> = own.iter().map(|one| &one.record).filter(lists).collect();
    for sent in &records {
        let (Some(Body::Dispatch(dispatch)), Some(place)) = (&sent.body, place_of(&sent.envelope)) else {
            continue;
        };
        let date = &sent.envelope.event_date;
        let here = || records.iter().filter(|other| place_of(&other.envelope) == Some(place));
        // Told of again, or in no order with another word of the same place: nobody misses it.
        let again = here()
            .any(|other| !std::ptr::eq(*other, *sent) && !surely_before(&other.envelope.event_date, date));
        // The last word before was that it came: it is somebody else's, or it came home before. Whose it
        // is, its first journey tells.
        let lent = here().filter(|other| surely_before(&other.envelope.event_date, date)).all(|other| {
            let came = listed(other).is_some_and(|(_, leaves)| !leaves);
            !came || here().any(|first| leaves_before(first, other))
        });
        if dispatch.destination != Destination::Region || again || !lent {
            continue;
        }
        let due = days_after(date.day(), judging.threshold(&NOT_BACK, "days"));
        if judging.passed(due) {
            let to = dispatch.destination_id.as_ref();
            let mut told = parameters([
                ("crateID", number.as_str().into()),
                ("consignmentID", dispatch.consignment_id.as_str().into()),
            ]);
            told.extend(to.map(|to| ("destinationID".to_owned(), to.as_str().into())));
            let places = to.into_iter().chain([place]).cloned();
            judging.find_at(&NOT_BACK, places, [*sent], Some(due), told);
        }
    }
}

/// Whether a place had sent the crate out before it came: then it is its own.
fn leaves_before(first: &Record, came: &Record) -> bool {
    listed(first).is_some_and(|(_, leaves)| leaves)
        && surely_before(&first.envelope.event_date, &came.envelope.event_date)
}

//! Who has stood too long where it stands: at a holding point, in a stay to stabilise, under an order
//! that has ended.

use super::judging::{Judging, Parameters, days_after, parameters};
use super::orders::{in_force, numbered, order};
use crate::effective::Effective;
use crate::keys::place_of;
use crate::occupancy::{Floor, Housed};
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::records::ending::LossEvent;
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::PartyId;
use haulout_schemas::vocabulary::Stay;
use haulout_schemas::{Body, Record};
use std::sync::Arc;

/// Still at the point. Parameters: `organismID` or `lotID`, `animals`, `firstDay`, `longestHours`.
pub(super) static AT_POINT: Rule = Rule {
    code: "point-stay-too-long",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Too long at a holding point",
    meaning: "Living animals stand at a holding point at the close of a day by which its longest hours, as the region file states them, had passed since they came. Eggs are not judged, nor what was counted there without a number of its own.",
    why: "A yard has neither water nor hands for animals that stay.",
    mend: "Ask the coordination for a place tonight; if they have left, write the `dispatch`.",
    source: "the region file: longest hours of the point",
    thresholds: &[],
};

/// Still being stabilised. Parameters: `organismID` or `lotID`, `unitID`, `firstDay`.
pub(super) static STABILISING: Rule = Rule {
    code: "stabilising-too-long",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Stay to stabilise too long",
    meaning: "An animal or lot was housed at a centre to be stabilised, and by the deadline it is still so housed. Stays under an order have a rule of their own.",
    why: "Such a place has the space of a few days; longer stays need that of a quarantine or a long stay.",
    mend: "House it for the stay that it now has, there or elsewhere, and write the `housing`.",
    source: "planning model: to stabilise, 72 hours at most",
    thresholds: &[Threshold {
        name: "days",
        value: 3,
        unit: "day",
        source: "planning model: 72 hours at most",
    }],
};

/// Still under an order that has ended. Parameters: `organismID` or `lotID`, `orderNumber`, `endDate`.
pub(super) static BEYOND_ORDER: Rule = Rule {
    code: "stay-beyond-order",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Stay beyond the end of its order",
    meaning: "An animal or lot is still housed under an order of the authority whose last day has passed. An order that nobody knows has a finding of its own.",
    why: "The order allowed for a time what a rule forbids.",
    mend: "House it where the rules allow it, or ask the authority for a further order and name it in a `housing`.",
    source: "the authority's order",
    thresholds: &[],
};

pub(super) fn judge(judging: &mut Judging<'_>, place: &PartyId, floor: &Floor<'_>, own: &[Arc<Effective>]) {
    let longest = judging.world.region.point(place).map(|point| i64::from(point.longest_hours));
    for (subject, standing) in floor.named().filter(|(_, standing)| standing.animals > 0) {
        if let Some(hours) = longest {
            let due = days_after(standing.since, (hours + 23) / 24);
            if judging.passed(due) {
                let came = own.iter().map(|one| &one.record).filter(|record| {
                    record.envelope.event_date.day() == standing.since && brings(record, subject, place)
                });
                let told = parameters([
                    (subject.member(), subject.id().into()),
                    ("animals", standing.animals.into()),
                    ("firstDay", standing.since.into()),
                    ("longestHours", hours.into()),
                ]);
                judging.find_at(&AT_POINT, [place.clone()], came, Some(due), told);
            }
            continue;
        }
        let ended = standing.order.as_deref().map(|number| ended(judging, number));
        for (unit, housed) in &standing.units {
            // Neither an order in force nor one that nobody knows is judged here.
            if let (Some(number), Some(Some(end))) = (&standing.order, ended) {
                let told = parameters([
                    (subject.member(), subject.id().into()),
                    ("orderNumber", number.as_str().into()),
                    ("endDate", end.into()),
                ]);
                tell(judging, &BEYOND_ORDER, place, housed, end, told);
            }
            if standing.stay == Some(Stay::Stabilise) && ended.is_none() {
                let due = days_after(housed.since, judging.threshold(&STABILISING, "days"));
                if judging.passed(due) {
                    let told = parameters([
                        (subject.member(), subject.id().into()),
                        ("unitID", unit.as_str().into()),
                        ("firstDay", housed.since.into()),
                    ]);
                    tell(judging, &STABILISING, place, housed, due, told);
                }
            }
        }
    }
}

/// What is found of a stay rests on the housing that it began with.
fn tell(
    judging: &mut Judging<'_>,
    rule: &Rule,
    place: &PartyId,
    housed: &Housed,
    due: NaiveDate,
    told: Parameters,
) {
    let finding = judging.finding(rule, [place.clone()], [housed.by.clone()], Some(due), told);
    judging.tell([finding]);
}

/// The last day of the authority's orders of a number, where all have ended by now; what has not is
/// remembered.
fn ended(judging: &mut Judging<'_>, number: &str) -> Option<NaiveDate> {
    let orders = numbered(judging, number);
    let today = judging.today();
    let mut last = None;
    for one in &orders {
        let Some(order) = order(judging, &one.record) else { continue };
        let end = order.end_date?.0;
        if in_force(&one.record, order, today) {
            judging.changes_on(days_after(end, 1));
            return None;
        }
        last = last.max(Some(end));
    }
    last
}

/// Whether a record brings living animals of the subject into a place.
fn brings(record: &Record, subject: &Subject, place: &PartyId) -> bool {
    let own = || Subject::of_frame(&record.envelope).as_ref() == Some(subject);
    place_of(&record.envelope) == Some(place)
        && match &record.body {
            Some(Body::Rescue(_)) => own(),
            Some(Body::Loss(loss)) => own() && loss.event == LossEvent::Found,
            Some(Body::Tally(tally)) => {
                tally.lines.iter().any(|line| line.lot_id.clone().map(Subject::Lot).as_ref() == Some(subject))
            }
            Some(Body::Receipt(receipt)) => {
                receipt.lines.iter().any(|line| Subject::received(line).as_ref() == Some(subject))
            }
            Some(Body::Regrouping(regrouping)) => {
                regrouping.to.iter().any(|line| Subject::of_line(line).as_ref() == Some(subject))
            }
            Some(Body::Census(census)) => census.lines.iter().any(|line| {
                line.organism_id.clone().map(Subject::Animal).as_ref() == Some(subject)
                    || line.lot_id.clone().map(Subject::Lot).as_ref() == Some(subject)
            }),
            _ => false,
        }
}

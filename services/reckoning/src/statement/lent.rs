//! What centres have lent: into placements beyond the centres, and to each other.

use super::title::{Heads, Line};
use crate::effective::Effective;
use crate::findings::deaths::dies;
use crate::findings::descent::descendants_since;
use crate::findings::outlooks::LOAN;
use crate::findings::sequence::{by_order, surely_before};
use crate::findings::{Held, World};
use crate::keys::place_of;
use crate::occupancy::Who;
use crate::subject::Subject;
use chrono::{Days, NaiveDate};
use haulout_schemas::records::keeping::{Outlook, OutlookDecision};
use haulout_schemas::records::transfer::{Arrived, Destination, Origin};
use haulout_schemas::vocabulary::LifeStage;
use haulout_schemas::{Body, Record};
use std::collections::BTreeMap;
use std::sync::Arc;

/// So many on loan.
pub(super) struct Loan {
    /// Whose they are.
    pub(super) from: Line,
    /// Where they stand, where that is a place of the region.
    pub(super) to: Option<Line>,
    /// How many.
    pub(super) count: i64,
    /// Past its day.
    pub(super) overdue: bool,
}

/// The last outlook of each animal or lot through a day.
fn last_outlooks(all: &[Arc<Effective>], last: NaiveDate) -> BTreeMap<Subject, (&Record, &Outlook)> {
    let mut known: BTreeMap<Subject, (&Record, &Outlook)> = BTreeMap::new();
    for record in all.iter().map(|one| &one.record) {
        let (Some(Body::Outlook(outlook)), Some(subject)) =
            (&record.body, Subject::of_frame(&record.envelope))
        else {
            continue;
        };
        let later = known.get(&subject).is_none_or(|(before, _)| by_order(before, record).is_lt());
        if later && record.envelope.event_date.day() <= last {
            known.insert(subject, (record, outlook));
        }
    }
    known
}

/// Whether the day for looking again and the days of `loan-overdue` are past.
fn is_overdue(outlook: &Outlook, world: &World<'_>) -> bool {
    let days = u64::try_from(world.settings.threshold(&LOAN, "days")).unwrap_or_default();
    let due = outlook.review.and_then(|day| day.0.checked_add_days(Days::new(days)));
    outlook.decision == OutlookDecision::Loan && due.is_some_and(|due| world.evaluated_through >= due)
}

/// Between centres: an animal whose last outlook is its centre's word that it goes on loan, and that
/// stands at another place of the region. An animal of an owner is told as the owner's.
pub(super) fn loans(
    all: &[Arc<Effective>],
    held: &Held,
    heads: &mut Heads,
    world: &World<'_>,
    last: NaiveDate,
) -> Vec<Loan> {
    let mut lent = Vec::new();
    for (subject, (record, outlook)) in last_outlooks(all, last) {
        let Some(lender) = place_of(&record.envelope) else { continue };
        if outlook.decision != OutlookDecision::Loan {
            continue;
        }
        let family = descendants_since(&subject, held, &record.envelope.event_date);
        let elsewhere = heads.claim(i64::MAX, |place, who| {
            place != lender && matches!(who, Who::Named(subject) if family.contains(subject))
        });
        lent.extend(elsewhere.into_iter().map(|(to, count)| Loan {
            from: (lender.clone(), to.1.clone(), to.2),
            to: Some(to),
            count,
            overdue: is_overdue(outlook, world),
        }));
    }
    lent
}

/// Into placements, and not back: by what was sent, what was received from there since and what died
/// there; each of these ends one placement.
pub(super) fn placed_out(
    all: &[Arc<Effective>],
    held: &Held,
    world: &World<'_>,
    last: NaiveDate,
) -> Vec<Loan> {
    let outlooks = last_outlooks(all, last);
    let records: Vec<&Record> =
        all.iter().map(|one| &one.record).filter(|one| one.envelope.event_date.day() <= last).collect();
    let mut back = Back::of(&records, world);
    let mut placed = Vec::new();
    for record in &records {
        let (Some(Body::Dispatch(dispatch)), Some(place)) = (&record.body, place_of(&record.envelope)) else {
            continue;
        };
        if dispatch.destination != Destination::Placement {
            continue;
        }
        for line in &dispatch.lines {
            let date = &record.envelope.event_date;
            let name = world.names.commodity(line.scientific_name.as_str()).into_owned();
            let subject = Subject::travelling(line);
            let family = subject.as_ref().map(|subject| descendants_since(subject, held, date));
            let mut out = i64::from(line.individual_count);
            for one in back.0.iter_mut().filter(|one| !surely_before(&one.record.envelope.event_date, date)) {
                let same = match (&family, &one.subject) {
                    (Some(family), Some(subject)) => family.contains(subject),
                    (None, None) => one.name == name && place_of(&one.record.envelope) == Some(place),
                    _ => false,
                };
                let returned = if same { one.count.min(out) } else { 0 };
                one.count -= returned;
                out -= returned;
            }
            let outlook = subject.as_ref().and_then(|subject| outlooks.get(subject));
            if out > 0 {
                placed.push(Loan {
                    from: (place.clone(), name, line.life_stage == Some(LifeStage::Egg)),
                    to: None,
                    count: out,
                    overdue: outlook.is_some_and(|(_, outlook)| is_overdue(outlook, world)),
                });
            }
        }
    }
    placed
}

/// Ends of placements: receipts from there, and deaths of animals known by their number.
struct Back<'r>(Vec<Returned<'r>>);

struct Returned<'r> {
    record: &'r Record,
    subject: Option<Subject>,
    name: String,
    count: i64,
}

impl<'r> Back<'r> {
    fn of(records: &[&'r Record], world: &World<'_>) -> Self {
        let mut back = Vec::new();
        for record in records {
            let named = |name: &str| world.names.commodity(name).into_owned();
            match &record.body {
                Some(Body::Receipt(receipt)) if receipt.origin == Origin::Placement => {
                    let lines = receipt.lines.iter().filter(|line| line.arrived != Arrived::NotInCrate);
                    back.extend(lines.map(|line| Returned {
                        record,
                        subject: Subject::received(line),
                        name: named(line.scientific_name.as_str()),
                        count: i64::from(line.individual_count),
                    }));
                }
                Some(Body::Mortality(mortality)) => {
                    let animal = record.envelope.organism_id.as_ref().filter(|animal| dies(record, animal));
                    back.extend(animal.map(|animal| Returned {
                        record,
                        subject: Some(Subject::Animal(animal.clone())),
                        name: String::new(),
                        count: i64::from(mortality.individual_count),
                    }));
                }
                _ => {}
            }
        }
        Self(back)
    }
}

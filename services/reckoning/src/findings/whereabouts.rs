//! One animal in the stock of two places at once.

use super::judging::{Judging, parameters};
use super::not_counted::not_counted;
use crate::account::Account;
use crate::keys::place_of;
use chrono::NaiveDate;
use haulout_schemas::envelope::Envelope;
use haulout_schemas::records::ending::{LossEvent, MortalityEvent, TakenFrom};
use haulout_schemas::records::transfer::{Arrived, Destination, Origin};
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::text::{ConsignmentId, OrganismId, PartyId};
use haulout_schemas::vocabulary::Vitality;
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet};

/// An animal stands in two stocks. Parameters: `organismID`, `firstDay`, `lastDay` once it is over,
/// `accounts` (the stocks, parted by blanks).
pub(super) static TWO_PLACES: Rule = Rule {
    code: "animal-in-two-places",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Animal in two places",
    meaning: "At the close of a day the records put one animal into the stock of two places, or of a place and a journey.",
    why: "It is counted twice, or two animals carry one number.",
    mend: "Post the missing dispatch, receipt, release or loss; if they are two animals, revise the one with the wrong number.",
    source: "posting rules",
    thresholds: &[],
};

/// Into or out of a stock, on the day on which that is certain at its close: for an interval, the last
/// day of an arrival and the first of a departure.
struct Step<'r> {
    day: NaiveDate,
    account: Account,
    arrives: bool,
    record: &'r Record,
}

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let animal = OrganismId::from(judging.key.id());
    let mut steps: Vec<Step<'_>> = Vec::new();
    for one in own.iter().filter(|one| !not_counted(judging, &one.record)) {
        let frame = &one.record.envelope;
        for (account, arrives) in steps_of(&one.record, &animal) {
            let (start, end) = (frame.event_date.start().day, frame.event_date.end().day);
            let day = if arrives { start.max(end) } else { start.min(end) };
            steps.push(Step { day, account, arrives, record: &one.record });
        }
    }
    let places: BTreeSet<&Account> = steps.iter().map(|step| &step.account).collect();
    if places.len() < 2 {
        return;
    }
    // Of one day, departures come last: an animal that came and left on a day is not surely there.
    steps.sort_by(|one, other| {
        (one.day, !one.arrives, &one.account)
            .cmp(&(other.day, !other.arrives, &other.account))
            .then_with(|| super::by_order(one.record, other.record))
    });
    let mut present: BTreeMap<&Account, &Record> = BTreeMap::new();
    let mut run: Option<(NaiveDate, BTreeMap<&Account, &Record>)> = None;
    for (at, step) in steps.iter().enumerate() {
        if step.arrives {
            present.entry(&step.account).or_insert(step.record);
        } else {
            present.remove(&step.account);
        }
        if steps.get(at + 1).is_some_and(|next| next.day == step.day) {
            continue;
        }
        match (&run, present.len() > 1) {
            (None, true) => run = Some((step.day, present.clone())),
            (Some(_), false) => {
                if let Some((first, stocks)) = run.take() {
                    tell(judging, &animal, first, step.day.pred_opt(), &stocks);
                }
            }
            _ => {}
        }
    }
    if let Some((first, stocks)) = run {
        tell(judging, &animal, first, None, &stocks);
    }
}

fn tell(
    judging: &mut Judging<'_>,
    animal: &OrganismId,
    first: NaiveDate,
    last: Option<NaiveDate>,
    stocks: &BTreeMap<&Account, &Record>,
) {
    let accounts: Vec<&str> = stocks.keys().map(|account| account.as_str()).collect();
    let mut told = parameters([
        ("organismID", animal.as_str().into()),
        ("firstDay", first.into()),
        ("accounts", accounts.join(" ").into()),
    ]);
    told.extend(last.map(|last| ("lastDay".to_owned(), last.into())));
    let named = stocks.keys().filter_map(|account| account.place()).map(PartyId::from);
    let writers = stocks.values().filter_map(|record| place_of(&record.envelope).cloned());
    judging.find_at(&TWO_PLACES, named.chain(writers), stocks.values().copied(), None, told);
}

fn stock(frame: &Envelope) -> Option<Account> {
    let centre = frame.centre_id.as_ref().map(Account::centre);
    centre.or_else(|| frame.point_id.as_ref().map(Account::point))
}

/// The stocks that an animal enters (true) or leaves (false) by a record.
pub(super) fn steps_of(record: &Record, animal: &OrganismId) -> Vec<(Account, bool)> {
    let frame = &record.envelope;
    let own = frame.organism_id.as_ref() == Some(animal);
    let here = |arrives: bool| stock(frame).map(|account| (account, arrives));
    let on_journey = |id: &ConsignmentId, arrives: bool| Some((Account::transit(id), arrives));
    let there = |id: Option<&ConsignmentId>, arrives: bool| {
        id.map_or_else(|| here(arrives), |id| on_journey(id, arrives))
    };
    let steps = match &record.body {
        Some(Body::Rescue(rescue)) if own && rescue.vitality != Some(Vitality::Dead) => vec![here(true)],
        Some(Body::Release(_)) if own => vec![here(false)],
        Some(Body::Mortality(mortality)) if own && mortality.event == MortalityEvent::Death => {
            match mortality.taken_from {
                Some(TakenFrom::Released) => vec![],
                Some(TakenFrom::Stock) => vec![here(false)],
                Some(TakenFrom::Transit) | None => vec![there(mortality.consignment_id.as_ref(), false)],
            }
        }
        Some(Body::Loss(loss)) if own => {
            vec![there(loss.consignment_id.as_ref(), loss.event == LossEvent::Found)]
        }
        Some(Body::Adjustment(adjustment)) if own => vec![here(adjustment.individual_count > 0)],
        Some(Body::Dispatch(dispatch)) => {
            let travels = dispatch.lines.iter().any(|line| line.organism_id.as_ref() == Some(animal));
            let journey = (dispatch.destination == Destination::Region).then_some(&dispatch.consignment_id);
            if travels { vec![here(false), journey.and_then(|id| on_journey(id, true))] } else { vec![] }
        }
        Some(Body::Receipt(receipt)) => {
            let journey = (receipt.origin == Origin::Transit).then_some(&receipt.consignment_id);
            let lines = receipt.lines.iter().filter(|line| line.organism_id.as_ref() == Some(animal));
            let steps = lines.flat_map(|line| match line.arrived {
                Arrived::Alive | Arrived::Extra | Arrived::TurnedBack => {
                    vec![here(true), journey.and_then(|id| on_journey(id, false))]
                }
                Arrived::Dead => vec![journey.and_then(|id| on_journey(id, false))],
                Arrived::NotInCrate => vec![],
            });
            steps.collect()
        }
        Some(Body::Regrouping(regrouping)) => {
            let names = |lines: &[haulout_schemas::envelope::SubjectLine]| {
                lines.iter().any(|line| line.organism_id.as_ref() == Some(animal))
            };
            match (names(&regrouping.from), names(&regrouping.to)) {
                (false, true) => vec![here(true)],
                (true, false) => vec![here(false)],
                _ => vec![],
            }
        }
        Some(Body::Census(census)) if census.opening == Some(true) => {
            let line = census.lines.iter().find(|line| line.organism_id.as_ref() == Some(animal));
            if line.is_some_and(|line| line.individual_count > 0) { vec![here(true)] } else { vec![] }
        }
        _ => vec![],
    };
    steps.into_iter().flatten().collect()
}

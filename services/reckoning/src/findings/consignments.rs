//! Journeys: a transit account that is not empty, a settlement that the other end has not agreed to,
//! crates that were not disinfected.

use super::judging::{Judging, Parameters, days_after, parameters};
use crate::account::{Account, Commodity};
use crate::keys::place_of;
use crate::posting::{entries, postings};
use chrono::NaiveDate;
use haulout_schemas::records::transfer::{Destination, Origin, SettlementEvent};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::{ConsignmentId, PartyId};
use haulout_schemas::vocabulary::Known;
use haulout_schemas::{Body, Record};
use std::collections::{BTreeMap, BTreeSet};

/// Nobody received a consignment. Parameters: `consignmentID`, `difference`, and for each name what is
/// still on the way, as `animals NAME` or `eggs NAME`.
pub(super) static UNRECEIVED: Rule = Rule {
    code: "consignment-unreceived",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Consignment not received",
    meaning: "Animals or eggs left for a place of the region and no receipt was dated by the deadline: the day of the expected arrival (without one the day of departure) and the days allowed.",
    why: "On the road nobody counts and nobody feeds: a consignment that neither end holds is how animals are lost.",
    mend: "The receiving end writes its `receipt`, or the sender its own receipt of what was turned back; what became of the rest is told by a `settlement`.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 3, unit: "day", source: "common practice" }],
};

/// Sent and received numbers differ. Parameters as for `consignment-unreceived`.
pub(super) static COUNT: Rule = Rule {
    code: "consignment-count",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Consignment: numbers differ",
    meaning: "A receipt exists and the journey's account is not empty: the two ends counted differently.",
    why: "One of the two books is wrong, or an animal is in neither.",
    mend: "Look into padding and crates; the end that miscounted revises its record, else both ends settle what became of the rest.",
    source: "posting arithmetic",
    thresholds: &[],
};

/// Sent and received species differ. Parameters as for `consignment-unreceived`.
pub(super) static SPECIES: Rule = Rule {
    code: "consignment-species",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Consignment: species differ",
    meaning: "As many arrived as left, under other names.",
    why: "The two ends call the same animals by different names; licences, permits and counts follow the name.",
    mend: "Agree on the name: a `determination` against the consignment, or a `settlement` as `redetermined`.",
    source: "posting arithmetic",
    thresholds: &[],
};

/// A settlement stands alone. Parameters: `consignmentID`.
pub(super) static UNCONFIRMED: Rule = Rule {
    code: "settlement-unconfirmed",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Settlement not agreed by the other end",
    meaning: "One end stated what became of what was left on a journey; the other end has not agreed.",
    why: "The statement moves animals between accounts of both ends; one end alone must not close the other's books.",
    mend: "The other end writes a `settlement`, event `agreed`, that names the record, or says what it knows instead.",
    source: "posting rules",
    thresholds: &[],
};

/// Crates travelled undisinfected. Parameters: `consignmentID`, `crates`.
pub(super) static CRATES: Rule = Rule {
    code: "crates-not-disinfected",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Crates not disinfected",
    meaning: "A dispatch or receipt lists crates that were not disinfected before the journey.",
    why: "Crates carry disease between centres; tracing after an outbreak begins with them.",
    mend: "Disinfect before the next journey; the record stays as it is, for it is what happened.",
    source: "common practice",
    thresholds: &[],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let records: Vec<&Record> = own.iter().map(|one| &one.record).collect();
    balance(judging, &records);
    settlements(judging, &records);
    crates(judging, &records);
}

fn balance(judging: &mut Judging<'_>, records: &[&Record]) {
    let transit = Account::transit(&ConsignmentId::from(judging.key.id()));
    let mut balance: BTreeMap<Commodity, i64> = BTreeMap::new();
    let mut posting: Vec<&Record> = Vec::new();
    for record in records {
        let mut posts = false;
        for entry in entries(&postings(record, judging.world.names)) {
            if entry.account == transit {
                *balance.entry(entry.commodity).or_default() += entry.delta;
                posts = true;
            }
        }
        if posts {
            posting.push(record);
        }
    }
    balance.retain(|_, delta| *delta != 0);
    if balance.is_empty() {
        return;
    }
    let total: i64 = balance.values().sum();
    let received = records.iter().any(
        |record| matches!(&record.body, Some(Body::Receipt(receipt)) if receipt.origin == Origin::Transit),
    );
    let mut due = None;
    let rule = if total == 0 {
        &SPECIES
    } else if received {
        &COUNT
    } else {
        let deadline = deadline(&posting, judging.threshold(&UNRECEIVED, "days"));
        if !judging.passed(deadline) {
            return;
        }
        due = Some(deadline);
        &UNRECEIVED
    };
    let mut told = parameters([("consignmentID", judging.key.id().into()), ("difference", total.into())]);
    told.extend(balance.into_iter().map(|(commodity, delta)| {
        (format!("{} {}", commodity.word(), commodity.scientific_name), delta.into())
    }));
    judging.find_at(rule, ends(records), posting, due, told);
}

/// The day by which a receipt must be dated: counted from the latest expected arrival.
fn deadline(posting: &[&Record], days: i64) -> NaiveDate {
    let departures = posting.iter().filter_map(|record| match &record.body {
        Some(Body::Dispatch(dispatch)) => Some(
            dispatch
                .expected_arrival
                .as_ref()
                .map_or(record.envelope.event_date.day(), |expected| expected.day()),
        ),
        _ => None,
    });
    // Without a dispatch something else put animals on the way: its day counts.
    let others = posting.iter().map(|record| record.envelope.event_date.day());
    let last = departures.max().or_else(|| others.max()).unwrap_or(NaiveDate::MAX);
    days_after(last, days)
}

/// The places at both ends, as far as the records name them.
fn ends(records: &[&Record]) -> BTreeSet<PartyId> {
    let mut places = BTreeSet::new();
    for record in records {
        match &record.body {
            Some(Body::Dispatch(dispatch)) => {
                places.extend(place_of(&record.envelope).cloned());
                places.extend(dispatch.destination_id.clone());
            }
            Some(Body::Receipt(receipt)) => {
                places.extend(place_of(&record.envelope).cloned());
                places.extend(receipt.origin_id.clone());
            }
            _ => {}
        }
    }
    if places.is_empty() {
        places.extend(records.iter().filter_map(|record| place_of(&record.envelope)).cloned());
    }
    places
}

fn settlements(judging: &mut Judging<'_>, records: &[&Record]) {
    // The parties at both ends: who wrote its records, who keeps the places.
    let mut parties: BTreeSet<PartyId> = BTreeSet::new();
    for record in records {
        if matches!(&record.body, Some(Body::Dispatch(_) | Body::Receipt(_))) {
            parties.insert(record.envelope.author_id.clone());
        }
    }
    for place in ends(records) {
        parties.insert(judging.world.region.keeper(&place).cloned().unwrap_or(place));
    }
    for record in records {
        let frame = &record.envelope;
        let settled = matches!(&record.body, Some(Body::Settlement(settlement)) if settlement.event == SettlementEvent::Settled);
        let agreed = || {
            records.iter().any(|other| match &other.body {
                Some(Body::Settlement(agreement)) if agreement.event == SettlementEvent::Agreed => {
                    let names = agreement.agrees_to.as_ref().is_some_and(|named| {
                        named.author_id == frame.author_id && named.record_id == frame.record_id
                    });
                    names
                        && other.envelope.author_id != frame.author_id
                        && parties.contains(&other.envelope.author_id)
                }
                _ => false,
            })
        };
        if settled && !agreed() {
            let told = parameters([("consignmentID", judging.key.id().into())]);
            judging.find_at(&UNCONFIRMED, ends(records), [*record], None, told);
        }
    }
}

fn crates(judging: &mut Judging<'_>, records: &[&Record]) {
    for record in records {
        let crates = match &record.body {
            Some(Body::Dispatch(dispatch)) => &dispatch.crates,
            Some(Body::Receipt(receipt)) => &receipt.crates,
            _ => continue,
        };
        let dirty = crates.iter().filter(|one| one.disinfected == Known::No).count();
        if dirty > 0 {
            let told: Parameters = parameters([
                ("consignmentID", judging.key.id().into()),
                ("crates", i64::try_from(dirty).unwrap_or(i64::MAX).into()),
            ]);
            let other = match &record.body {
                Some(Body::Dispatch(dispatch)) if dispatch.destination == Destination::Region => {
                    dispatch.destination_id.clone()
                }
                Some(Body::Receipt(receipt)) => receipt.origin_id.clone(),
                _ => None,
            };
            let places = place_of(&record.envelope).cloned().into_iter().chain(other);
            judging.find_at(&CRATES, places, [*record], None, told);
        }
    }
}

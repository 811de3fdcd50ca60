//! Life histories that cannot be: something told of an animal before it came, two sexes, a mark
//! looked for in one place only.

use super::deaths::alive_in;
use super::judging::{Judging, parameters};
use super::not_counted::not_counted;
use super::sequence::{by_order, surely_before};
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::records::identity::DeterminationEvent;
use haulout_schemas::records::keeping::MarkingEvent;
use haulout_schemas::records::transfer::{Arrived, Origin};
use haulout_schemas::rule::{Layer, Rule, Severity};
use haulout_schemas::text::OrganismId;
use haulout_schemas::vocabulary::{LifeStage, Sex, Vitality};
use haulout_schemas::{Body, Kind, Record};

/// Told of before it came. Parameters: `organismID`, `kind`.
pub(super) static BEFORE_ARRIVAL: Rule = Rule {
    code: "event-before-arrival",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Event before the arrival",
    meaning: "A record tells of an animal in care on a day before the first one on which it came to anybody. Hours are not judged, for an animal is often named in the evening. Marks and sightings are exempt, for they may be older than the books, and animals of whose coming nothing is told.",
    why: "A date or a number is wrong: another animal was treated, housed or sent than the one named.",
    mend: "Revise the record with the wrong date or number.",
    source: "common practice",
    thresholds: &[],
};

/// Male and female. Parameters: `organismID`.
pub(super) static TWO_SEXES: Rule = Rule {
    code: "sex-contradicted",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "One animal, two sexes",
    meaning: "Records call one animal male and female, and no determination of its sex says which holds. Eggs, lots and animals whose sex was looked at and not decidable are exempt.",
    why: "One of the two is a slip, or two animals go under one number.",
    mend: "Look again; then the `determination`, event `sex`, or a revision of the record that is wrong.",
    source: "common practice",
    thresholds: &[],
};

/// Nothing found, and not looked for everywhere. Parameters: `organismID`.
pub(super) static NOT_SCANNED: Rule = Rule {
    code: "unmarked-without-scan",
    layer: Layer::Finding,
    severity: Severity::Minor,
    title: "Called unmarked without a scan of the whole body",
    meaning: "A mark was looked for and none found, the record does not say that the whole body was scanned, and no further marking settles it. Hatchlings are exempt: they are too small to carry a transponder.",
    why: "Transponders wander, and older ones sit elsewhere: an animal known for years is then counted as a new one.",
    mend: "Scan the whole body and write the `marking`, with what was read or with `fullBodyScan`.",
    source: "common practice",
    thresholds: &[],
};

pub(super) fn judge(judging: &mut Judging<'_>) {
    let own = judging.own();
    let animal = OrganismId::from(judging.key.id());
    let mut records: Vec<&Record> =
        own.iter().map(|one| &one.record).filter(|record| !not_counted(judging, record)).collect();
    records.sort_by(|one, other| by_order(one, other));
    before_arrival(judging, &animal, &records);
    two_sexes(judging, &animal, &records);
    not_scanned(judging, &animal, &records);
}

fn before_arrival(judging: &mut Judging<'_>, animal: &OrganismId, records: &[&Record]) {
    let arrivals: Vec<&Record> = records.iter().copied().filter(|record| comes(record, animal)).collect();
    let Some(first) = arrivals.first() else { return };
    for record in records {
        let in_care = alive_in(record, animal)
            || matches!(&record.body, Some(Body::Mortality(_)) if record.envelope.organism_id.as_ref() == Some(animal));
        let exempt = matches!(record.kind(), Kind::Marking | Kind::Sighting);
        let before = |arrival: &&Record| last_day(record) < first_day(arrival);
        if in_care && !exempt && !comes(record, animal) && arrivals.iter().all(before) {
            let told =
                parameters([("organismID", animal.as_str().into()), ("kind", record.kind().as_str().into())]);
            judging.find(&BEFORE_ARRIVAL, [*record, *first], None, told);
        }
    }
}

fn first_day(record: &Record) -> NaiveDate {
    record.envelope.event_date.start().day.min(record.envelope.event_date.end().day)
}

fn last_day(record: &Record) -> NaiveDate {
    record.envelope.event_date.start().day.max(record.envelope.event_date.end().day)
}

/// Whether by a record the animal comes to anybody of the region, or becomes known out of a lot.
fn comes(record: &Record, animal: &OrganismId) -> bool {
    let own = record.envelope.organism_id.as_ref() == Some(animal);
    match &record.body {
        Some(Body::Rescue(_)) => own,
        Some(Body::Receipt(receipt)) => {
            let comes = |arrived| matches!(arrived, Arrived::Alive | Arrived::Dead | Arrived::Extra);
            matches!(receipt.origin, Origin::Outside | Origin::Owner | Origin::Authority)
                && receipt
                    .lines
                    .iter()
                    .any(|line| line.organism_id.as_ref() == Some(animal) && comes(line.arrived))
        }
        Some(Body::Census(census)) => {
            census.opening == Some(true)
                && census.lines.iter().any(|line| line.organism_id.as_ref() == Some(animal))
        }
        Some(Body::Regrouping(regrouping)) => {
            regrouping.to.iter().any(|line| Subject::of_line(line) == Some(Subject::Animal(animal.clone())))
        }
        // A line that names it out of a lot is itself the split.
        Some(Body::Dispatch(dispatch)) => dispatch
            .lines
            .iter()
            .any(|line| line.organism_id.as_ref() == Some(animal) && line.from_lot.is_some()),
        Some(Body::Adjustment(adjustment)) => own && adjustment.individual_count > 0,
        _ => false,
    }
}

fn two_sexes(judging: &mut Judging<'_>, animal: &OrganismId, records: &[&Record]) {
    let settled = records.iter().any(|record| {
        matches!(&record.body, Some(Body::Determination(known)) if known.event == DeterminationEvent::Sex)
    });
    if settled {
        return;
    }
    let first = |sex: Sex| records.iter().copied().find(|record| sex_in(record, animal) == Some(sex));
    if let (Some(female), Some(male)) = (first(Sex::Female), first(Sex::Male)) {
        let told = parameters([("organismID", animal.as_str().into())]);
        judging.find(&TWO_SEXES, [female, male], None, told);
    }
}

/// The sex that a record tells of the animal.
fn sex_in(record: &Record, animal: &OrganismId) -> Option<Sex> {
    let own = || record.envelope.organism_id.as_ref() == Some(animal);
    match record.body.as_ref()? {
        Body::Rescue(rescue) if own() => rescue.sex,
        Body::Release(release) if own() => release.sex,
        Body::Mortality(mortality) if own() => mortality.sex,
        Body::Loss(loss) if own() => loss.sex,
        Body::Sighting(sighting) if own() => sighting.sex,
        Body::Dispatch(dispatch) => {
            dispatch.lines.iter().find(|line| line.organism_id.as_ref() == Some(animal))?.sex
        }
        Body::Receipt(receipt) => {
            receipt.lines.iter().find(|line| line.organism_id.as_ref() == Some(animal))?.sex
        }
        Body::Census(census) => {
            census.lines.iter().find(|line| line.organism_id.as_ref() == Some(animal))?.sex
        }
        _ => None,
    }
}

fn not_scanned(judging: &mut Judging<'_>, animal: &OrganismId, records: &[&Record]) {
    let hatchling = records.iter().any(|record| match &record.body {
        Some(Body::Rescue(rescue)) => {
            rescue.life_stage == Some(LifeStage::Hatchling) && rescue.vitality != Some(Vitality::Dead)
        }
        _ => false,
    });
    if hatchling {
        return;
    }
    for record in records {
        let Some(Body::Marking(marking)) = &record.body else { continue };
        if marking.event != MarkingEvent::NoneFound || marking.full_body_scan == Some(true) {
            continue;
        }
        let settled = records.iter().any(|other| match &other.body {
            Some(Body::Marking(later)) => {
                let settles = later.event != MarkingEvent::NoneFound || later.full_body_scan == Some(true);
                settles && !surely_before(&other.envelope.event_date, &record.envelope.event_date)
            }
            _ => false,
        });
        if !settled {
            let told = parameters([("organismID", animal.as_str().into())]);
            judging.find(&NOT_SCANNED, [*record], None, told);
        }
    }
}

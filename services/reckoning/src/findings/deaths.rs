//! Deaths without necropsy, and events after a death.

use super::judging::{Judging, days_after, parameters};
use super::not_counted::not_counted;
use super::sequence::{by_order, surely_before};
use haulout_schemas::records::ending::MortalityEvent;
use haulout_schemas::records::health::QuarantineEvent;
use haulout_schemas::records::keeping::{HousingEvent, MarkingEvent};
use haulout_schemas::records::transfer::{Arrived, SettledAs, SettlementEvent};
use haulout_schemas::rule::{Layer, Rule, Severity, Threshold};
use haulout_schemas::text::OrganismId;
use haulout_schemas::vocabulary::{LifeStage, Vitality};
use haulout_schemas::{Body, Record};

/// A carcass nobody looked into. Parameters: `deaths`, `examined`.
pub(super) static WITHOUT_NECROPSY: Rule = Rule {
    code: "death-without-necropsy",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Death without necropsy",
    meaning: "For some of the deaths of a record there is neither a necropsy nor a reason why none was possible by the deadline. Deaths before the rescue need one too; eggs do not.",
    why: "Every carcass is examined to prevent the next death.",
    mend: "Write the `mortality`, event `necropsy`, that names the record in `deathOf`; where none is possible, `necropsyDone` false and the reason.",
    source: "common practice",
    thresholds: &[Threshold { name: "days", value: 14, unit: "day", source: "from memory" }],
};

/// A dead animal did something. Parameters: `organismID`, `kind`.
pub(super) static AFTER_DEATH: Rule = Rule {
    code: "event-after-death",
    layer: Layer::Finding,
    severity: Severity::Major,
    title: "Event after death",
    meaning: "A record tells of an animal as living after its death had ended, or tells of its death a second time.",
    why: "The death, the date or the number is wrong; if the death was told twice, it was also counted twice.",
    mend: "Revise the record with the wrong number or date; withdraw the second death.",
    source: "posting rules: one death is posted once",
    thresholds: &[],
};

/// Deaths without necropsy, for the record of the key.
pub(super) fn necropsies(judging: &mut Judging<'_>) {
    let own = judging.own();
    let Some((author, id)) = judging.key.within() else { return };
    let itself = own
        .iter()
        .map(|one| &one.record)
        .find(|record| record.envelope.author_id == author && record.envelope.record_id.as_str() == id);
    let Some(record) = itself.filter(|record| !not_counted(judging, record)) else { return };
    let deaths = deaths(record);
    if deaths == 0 {
        return;
    }
    let necropsies: Vec<(&Record, i64)> = own
        .iter()
        .filter_map(|one| match &one.record.body {
            Some(Body::Mortality(mortality)) if mortality.event == MortalityEvent::Necropsy => {
                let named = mortality
                    .death_of
                    .as_ref()
                    .is_some_and(|named| named.author_id == author && named.record_id.as_str() == id);
                let told = mortality.necropsy_done == Some(true) || mortality.not_possible_because.is_some();
                (named && told).then_some((&one.record, i64::from(mortality.individual_count)))
            }
            _ => None,
        })
        .collect();
    let examined: i64 = necropsies.iter().map(|(_, count)| count).sum();
    let due = days_after(record.envelope.event_date.day(), judging.threshold(&WITHOUT_NECROPSY, "days"));
    if examined < deaths && judging.passed(due) {
        let rests_on = necropsies.iter().map(|(record, _)| *record).chain([record]);
        let told = parameters([("deaths", deaths.into()), ("examined", examined.into())]);
        judging.find(&WITHOUT_NECROPSY, rests_on, Some(due), told);
    }
}

/// How many animals a record tells dead; eggs are no carcasses.
pub(crate) fn deaths(record: &Record) -> i64 {
    let animal = |stage: Option<LifeStage>| stage != Some(LifeStage::Egg);
    match &record.body {
        Some(Body::Rescue(rescue))
            if rescue.vitality == Some(Vitality::Dead) && animal(rescue.life_stage) =>
        {
            i64::from(rescue.individual_count)
        }
        Some(Body::Mortality(mortality))
            if mortality.event == MortalityEvent::Death && animal(mortality.life_stage) =>
        {
            i64::from(mortality.individual_count)
        }
        Some(Body::Tally(tally)) => {
            tally.lines.iter().filter(|line| animal(line.life_stage)).map(|line| i64::from(line.dead)).sum()
        }
        Some(Body::Receipt(receipt)) => {
            let dead =
                receipt.lines.iter().filter(|line| line.arrived == Arrived::Dead && animal(line.life_stage));
            dead.map(|line| i64::from(line.individual_count)).sum()
        }
        Some(Body::Settlement(settlement)) if settlement.event == SettlementEvent::Settled => {
            let dead = settlement
                .lines
                .iter()
                .filter(|line| line.settled_as == SettledAs::Dead && animal(line.life_stage));
            dead.map(|line| i64::from(line.individual_count.max(0))).sum()
        }
        _ => 0,
    }
}

/// Whether a record tells that this animal died.
pub(crate) fn dies(record: &Record, animal: &OrganismId) -> bool {
    let own = record.envelope.organism_id.as_ref() == Some(animal);
    match &record.body {
        Some(Body::Rescue(rescue)) => own && rescue.vitality == Some(Vitality::Dead),
        Some(Body::Mortality(mortality)) => own && mortality.event == MortalityEvent::Death,
        Some(Body::Receipt(receipt)) => receipt
            .lines
            .iter()
            .any(|line| line.organism_id.as_ref() == Some(animal) && line.arrived == Arrived::Dead),
        _ => false,
    }
}

/// Events after the death of the key's animal.
pub(super) fn after_death(judging: &mut Judging<'_>) {
    let own = judging.own();
    let animal = OrganismId::from(judging.key.id());
    let mut records: Vec<&Record> =
        own.iter().map(|one| &one.record).filter(|record| !not_counted(judging, record)).collect();
    records.sort_by(|one, other| by_order(one, other));
    let deaths: Vec<&Record> = records.iter().copied().filter(|record| dies(record, &animal)).collect();
    let Some(death) = deaths.first() else { return };
    let second = deaths.iter().skip(1).copied();
    let later = records.iter().copied().filter(|record| {
        alive_in(record, &animal) && surely_before(&death.envelope.event_date, &record.envelope.event_date)
    });
    for record in second.chain(later) {
        let told =
            parameters([("organismID", animal.as_str().into()), ("kind", record.kind().as_str().into())]);
        judging.find(&AFTER_DEATH, [*death, record], None, told);
    }
}

/// Whether a record tells of this animal as living. Papers that follow a death (necropsy, disposal,
/// laboratory, law, links, closing a quarantine, reading the mark of a carcass) do not.
pub(super) fn alive_in(record: &Record, animal: &OrganismId) -> bool {
    let own = record.envelope.organism_id.as_ref() == Some(animal);
    match &record.body {
        Some(Body::Rescue(rescue)) => own && rescue.vitality != Some(Vitality::Dead),
        Some(Body::Sighting(sighting)) => own && sighting.vitality == Vitality::Alive,
        Some(Body::Quarantine(quarantine)) => own && quarantine.event == QuarantineEvent::Entered,
        Some(Body::Housing(housing)) => own && housing.event == HousingEvent::Housed,
        Some(Body::Marking(marking)) => {
            own && matches!(
                marking.event,
                MarkingEvent::Applied | MarkingEvent::Moved | MarkingEvent::Replaced
            )
        }
        Some(
            Body::Assessment(_)
            | Body::Treatment(_)
            | Body::Care(_)
            | Body::Outlook(_)
            | Body::Loss(_)
            | Body::Release(_),
        ) => own,
        Some(Body::Dispatch(dispatch)) => {
            dispatch.lines.iter().any(|line| line.organism_id.as_ref() == Some(animal))
        }
        Some(Body::Receipt(receipt)) => receipt.lines.iter().any(|line| {
            line.organism_id.as_ref() == Some(animal)
                && matches!(line.arrived, Arrived::Alive | Arrived::Extra | Arrived::TurnedBack)
        }),
        Some(Body::Census(census)) => census.lines.iter().any(|line| {
            line.organism_id.as_ref() == Some(animal)
                && line.individual_count > 0
                && line.not_countable != Some(true)
        }),
        _ => false,
    }
}

//! The small mistakes of a party that writes in haste, each of which a revision mends.

use haulout_schemas::Body;
use haulout_schemas::envelope::RevisionReason;
use haulout_schemas::records::ending::{CauseOfDeath, MortalityEvent};
use haulout_schemas::records::transfer::Arrived;
use haulout_schemas::vocabulary::Sex;

use crate::luck::{Luck, hundredth};

/// A slightly wrong version of what should have been written, and why it is revised later; `None`
/// where this kind is copied with care.
pub(crate) fn of(right: &Body, luck: &mut Luck) -> Option<(Body, RevisionReason)> {
    let mut wrong = right.clone();
    let reason = match &mut wrong {
        Body::Rescue(rescue) if rescue.individual_count > 1 => {
            rescue.individual_count += luck.int(1, 2);
            RevisionReason::Typing
        }
        Body::Rescue(rescue) => {
            rescue.sex = Some(if rescue.sex == Some(Sex::Female) { Sex::Male } else { Sex::Female });
            RevisionReason::NewKnowledge
        }
        Body::Assessment(assessment) => {
            let mass = assessment.mass_kilogram?;
            assessment.mass_kilogram = Some(hundredth(mass * 10.0).min(1999.0));
            RevisionReason::Typing
        }
        Body::Care(care) => {
            let food = care.food_kilogram?;
            care.food_kilogram = Some(hundredth(food * 10.0).min(9999.0));
            RevisionReason::Typing
        }
        Body::Mortality(death) if death.event == MortalityEvent::Death => {
            death.cause_of_death = Some(CauseOfDeath::Unknown);
            RevisionReason::NewKnowledge
        }
        Body::Receipt(receipt) => {
            let line = receipt
                .lines
                .iter_mut()
                .find(|line| line.arrived == Arrived::Alive && line.individual_count > 1)?;
            line.individual_count -= 1;
            RevisionReason::Overlooked
        }
        Body::Census(census) => {
            let line = census.lines.iter_mut().find(|line| line.individual_count > 1)?;
            line.individual_count -= 1;
            RevisionReason::Overlooked
        }
        _ => return None,
    };
    Some((wrong, reason))
}

/// How likely a record is first written slightly wrong: what is written at night in the yard oftener
/// than what is copied by day.
pub(crate) fn likelihood(body: &Body) -> f64 {
    match body {
        Body::Rescue(_) | Body::Receipt(_) | Body::Mortality(_) => 0.15,
        Body::Census(_) => 0.06,
        _ => 0.02,
    }
}

/// How likely a record is entered twice, and one of the two withdrawn later.
pub(crate) fn doubled(body: &Body) -> f64 {
    match body {
        Body::Mortality(death) if death.event == MortalityEvent::Death => 0.12,
        Body::Care(_) | Body::Treatment(_) | Body::Sighting(_) | Body::Relocation(_) => 0.004,
        _ => 0.0,
    }
}

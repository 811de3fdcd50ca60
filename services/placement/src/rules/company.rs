//! Whether the animal may live with those already in the unit.

use haulout_schemas::profile::Profile;
use haulout_schemas::vocabulary::{Known, LifeStage, Sex};
use haulout_welfare::company::{Companion, Objection, objections};

use super::space::moved;
use crate::answer::Change;
use crate::case::{InUnit, Place, told};
use crate::species::bounds;
use crate::view::Occupant;
use crate::word::{Saying, Word, say};

/// Nobody who is there, expected or promised a place is bad company, by either side's profile.
pub(super) fn living_together(case: &InUnit<'_>) -> Word {
    let unit = &case.unit.unit_id;
    if case.asked().eggs() {
        return among_eggs(case);
    }
    if case.companions.is_empty() {
        return Word::pass(say!(case, "nobody else in {unit}"));
    }
    let objected = case.companions.iter().filter_map(|(_, companion)| against(case, companion));
    Word::worst_of(objected, case.is_aloud())
        .unwrap_or_else(|| Word::pass(say!(case, "no reason found against the company in {unit}")))
}

/// Eggs lie beside eggs only.
fn among_eggs(case: &InUnit<'_>) -> Word {
    match case.companions.iter().find(|(_, one)| hatched(one)) {
        Some((_, animal)) => Word::fail(say!(
            case,
            "{} holds {}, and eggs lie apart",
            case.unit.unit_id,
            animal.scientific_name
        )),
        None => Word::pass("eggs lie beside eggs only"),
    }
}

/// Anything but eggs, as far as anybody said.
fn hatched(one: &Occupant) -> bool {
    one.life_stage != Some(LifeStage::Egg)
}

pub(super) fn mend_living_together(case: &InUnit<'_>) -> Vec<Change> {
    if case.asked().eggs() {
        let animals = case.companions.iter().filter(|(_, one)| hatched(one));
        return moved(case, animals.map(|(place, _)| place).collect());
    }
    let objected = case.companions.iter().filter(|(_, companion)| against(case, companion).is_some());
    let places: Vec<Place> = objected.map(|(place, _)| place).collect();
    moved(case, places)
}

/// The worst that speaks against one companion, over what either may be.
fn against(case: &InUnit<'_>, companion: &Occupant) -> Option<Word> {
    let asked = case.asked();
    let meant = asked.meant(&companion.scientific_name);
    if meant.is_empty() {
        return Some(Word::cannot_check(say!(
            case,
            "no profile is known for {}, which is there already",
            companion.scientific_name
        )));
    }
    let request = asked.request;
    let words = asked.candidates.iter().flat_map(|candidate| {
        let newcomer = Companion {
            profile: candidate.profile,
            male: male(request.sex),
            adult: adult(request.life_stage),
            length: request.length.as_ref().and_then(bounds),
            batch: request.batch_id.as_deref(),
        };
        meant.iter().flat_map(move |profile| {
            let found = objections(&newcomer, &resident(companion, profile));
            found.into_iter().map(|objection| word(case, companion, &objection))
        })
    });
    Word::worst_of(words, case.is_aloud())
}

fn resident<'a>(companion: &'a Occupant, profile: &'a Profile) -> Companion<'a> {
    Companion {
        profile,
        male: male(companion.sex),
        adult: adult(companion.life_stage),
        length: companion.length.as_ref().and_then(bounds),
        batch: companion.batch_id.as_deref(),
    }
}

fn male(sex: Option<Sex>) -> Known {
    match sex {
        Some(Sex::Female) => Known::No,
        Some(Sex::Male | Sex::Mixed) => Known::Yes,
        Some(Sex::Undetermined) | None => Known::Unknown,
    }
}

fn adult(stage: Option<LifeStage>) -> Known {
    match stage {
        Some(LifeStage::Adult) => Known::Yes,
        Some(LifeStage::Egg | LifeStage::Hatchling | LifeStage::Juvenile) => Known::No,
        // Near maturity a male already fights.
        Some(LifeStage::Subadult) | None => Known::Unknown,
    }
}

fn word(case: &InUnit<'_>, companion: &Occupant, objection: &Objection<'_>) -> Word {
    let unknown = objection.is_for_want_of_knowledge();
    let word = if unknown { Word::cannot_check } else { Word::fail };
    if !case.is_aloud() {
        return word(Saying::default());
    }
    let sex = match companion.sex {
        Some(Sex::Male) => "male ",
        Some(Sex::Female) => "female ",
        _ => "",
    };
    let number = match companion.individual_count {
        1 => String::new(),
        many => format!("{many} "),
    };
    let there = format!("{} holds {number}{sex}{}", case.unit.unit_id, companion.scientific_name);
    let why = match objection {
        Objection::Solitary(name) => format!("{name} lives alone"),
        Objection::OtherSpecies(name) => format!("{name} lives with its own species only"),
        Objection::OtherGroup(name) => format!("{name} lives with its own group only"),
        Objection::SizeRatio { ratio, most } => {
            format!("the larger is {} times the smaller, {} at most", told(*ratio), told(*most))
        }
        Objection::AdultMales => "adult males are kept apart".to_owned(),
        Objection::PerhapsAdultMales => "both may be adult males, and adult males are kept apart".to_owned(),
        Objection::SizeUnknown => "their sizes cannot be compared".to_owned(),
    };
    word(format!("{there}: {why}").into())
}

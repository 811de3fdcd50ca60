//! A day's food by type: who is fed how much, and who is not, and why.

use super::{Floor, is_egg};
use crate::occupancy::Occupant;
use crate::subject::Subject;
use chrono::NaiveDate;
use haulout_schemas::profile::Diet;
use haulout_schemas::records::health::{Assessment, AssessmentEvent};
use haulout_schemas::records::keeping::{Care, CareEvent};
use haulout_schemas::{Body, Record};
use haulout_welfare::energy::Eater;
use haulout_welfare::food::{Fed, FoodList, food_list};
use haulout_welfare::refusal::Refusal;
use haulout_welfare::units::{Celsius, Kilograms};

/// Days for which a reading of a unit's warmth serves (a choice of this programme).
const WARMTH_DAYS: i64 = 2;
/// Days before the day asked about in which an assessment before a journey means that it is about to
/// travel (a choice of this programme).
const JOURNEY_DAYS: i64 = 3;

/// The list of all animals of the centre.
///
/// # Errors
/// A food that adds up beyond what a mass may be.
pub(super) fn list(floor: &Floor<'_>) -> Result<FoodList, Refusal> {
    let (mut fed, mut without) = (Vec::new(), Vec::new());
    for (unit, one) in floor.everyone().filter(|(_, one)| !is_egg(one)) {
        match eater(floor, unit, one) {
            Ok(one) => fed.push(one),
            Err(refusal) => without.push(refusal),
        }
    }
    let mut list = food_list(&fed)?;
    list.without.extend(without);
    Ok(list)
}

fn head_count(count: u32) -> String {
    if count == 1 { "1 animal".to_owned() } else { format!("{count} animals") }
}

fn called(one: &Occupant) -> String {
    let animal = one.organism_id.as_ref().map(ToString::to_string);
    animal
        .or_else(|| one.lot_id.as_ref().map(ToString::to_string))
        .unwrap_or_else(|| one.scientific_name.clone())
}

/// One animal, or a number of a lot, with what a ration needs.
fn eater(floor: &Floor<'_>, unit: Option<&str>, one: &Occupant) -> Result<Fed, Refusal> {
    let label = called(one);
    let refuse = |code, why: &str, mend: &str| {
        Refusal::new(code, format!("{label} ({}): ration", head_count(one.count)), why, mend)
    };
    let profile = floor.profile(&one.scientific_name).ok_or_else(|| {
        refuse(
            "no-profile",
            "no profile is known for its name",
            "determine the species, or state its profile in the region file",
        )
    })?;
    let resting = floor.rests(profile);
    let mass = mass(floor, one, &refuse)?;
    let temperature = warmth(floor, unit).ok_or_else(|| {
        refuse(
            "temperature-unknown",
            "nobody posted how warm it stands in the last two days",
            "post the water's or the air's temperature of its unit in `care`",
        )
    })?;
    let food = last_food(floor, unit, one).unwrap_or_else(|| by_diet(profile.diet.value).to_owned());
    Ok(Fed {
        label,
        animals: one.count,
        eater: Eater {
            mass,
            stage: one.life_stage,
            diet: profile.diet.value,
            temperature,
            least: Celsius::new(profile.keeping_temperature.value.low_c)?,
            // No record says so; the list's caution does.
            dehydrated: false,
            resting,
            travelling: travels(floor, one),
        },
        food,
        kilojoule_per_gram: None,
    })
}

fn by_diet(diet: Diet) -> &'static str {
    match diet {
        Diet::Carnivore => "whole prey",
        Diet::Herbivore => "leaves",
        Diet::Omnivore => "mixed food",
    }
}

/// Assessments of one subject with their days, oldest first.
fn assessments<'f>(floor: &'f Floor<'_>, one: &Occupant) -> Vec<(NaiveDate, &'f Assessment)> {
    let Some(subject) = Subject::of_occupant(one) else { return Vec::new() };
    let own = floor.records().filter(|record| Subject::of_frame(&record.envelope).as_ref() == Some(&subject));
    own.filter_map(|record| match &record.body {
        Some(Body::Assessment(assessment)) => Some((record.envelope.event_date.day(), assessment)),
        _ => None,
    })
    .collect()
}

/// The newest mass of one animal; of a lot, where one of it was weighed.
fn mass(
    floor: &Floor<'_>,
    one: &Occupant,
    refuse: &dyn Fn(&'static str, &str, &str) -> Refusal,
) -> Result<Kilograms, Refusal> {
    let all = assessments(floor, one);
    let weighed = all.iter().rev().find_map(|(_, assessment)| Some((*assessment, assessment.mass_kilogram?)));
    let Some((assessment, mass)) = weighed else {
        return Err(refuse(
            "mass-unknown",
            "no mass of it was posted by the centre",
            "weigh it, and post an `assessment` with `massKilogram`",
        ));
    };
    if one.organism_id.is_none() && assessment.examined_count != Some(1) {
        return Err(refuse(
            "mass-of-how-many",
            "a mass of the lot is posted, and not of how many animals it is",
            "weigh some one by one and post their mean with `examinedCount` 1",
        ));
    }
    Kilograms::new(mass)
}

fn travels(floor: &Floor<'_>, one: &Occupant) -> bool {
    let near = |day: NaiveDate| (0..=JOURNEY_DAYS).contains(&(floor.at() - day).num_days());
    assessments(floor, one)
        .iter()
        .any(|(day, assessment)| assessment.event == AssessmentEvent::BeforeTransport && near(*day))
}

fn cares<'f>(floor: &'f Floor<'_>) -> impl DoubleEndedIterator<Item = (&'f Record, &'f Care)> {
    let all: Vec<(&Record, &Care)> = floor
        .records()
        .filter_map(|record| match &record.body {
            Some(Body::Care(care)) => Some((record, care)),
            _ => None,
        })
        .collect();
    all.into_iter()
}

fn of_unit(care: &Care, unit: Option<&str>) -> bool {
    unit.is_some() && care.unit_id.as_ref().map(|id| id.as_str()) == unit
}

/// The newest temperature of its unit: of the water, else of the air.
fn warmth(floor: &Floor<'_>, unit: Option<&str>) -> Option<Celsius> {
    let near = |record: &Record| {
        (0..WARMTH_DAYS).contains(&(floor.at() - record.envelope.event_date.day()).num_days())
    };
    let read = |pick: fn(&Care) -> Option<f64>| {
        let newest = cares(floor).rev().filter(|(record, care)| of_unit(care, unit) && near(record));
        newest.filter_map(|(_, care)| pick(care)).find_map(|celsius| Celsius::new(celsius).ok())
    };
    read(|care| care.water_celsius).or_else(|| read(|care| care.air_celsius))
}

/// What it was fed last, by its own record, else by one of its unit.
fn last_food(floor: &Floor<'_>, unit: Option<&str>, one: &Occupant) -> Option<String> {
    let subject = Subject::of_occupant(one);
    let fed =
        || cares(floor).rev().filter(|(_, care)| care.event == CareEvent::Feeding && care.food.is_some());
    let own = fed().find(|(record, _)| subject.is_some() && Subject::of_frame(&record.envelope) == subject);
    let found = own.or_else(|| {
        fed().find(|(record, care)| of_unit(care, unit) && Subject::of_frame(&record.envelope).is_none())
    });
    found.and_then(|(_, care)| care.food.clone())
}

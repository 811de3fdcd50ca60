//! What eggs may become, and what was done to them that must be told: sex by warmth, eggs that were turned.

use haulout_schemas::profile::{Profile, SexDetermination, TaxonOrder};
use serde::Serialize;

use super::warmth::{self, Day};
use super::window::Incubated;
use crate::grounds::{Advice, Grounds};
use crate::refusal::Refusal;
use crate::units::Celsius;

/// What may be expected of the hatchlings' sex; no finding, and never a reason to move eggs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Expected {
    /// Not by temperature: about as many of either.
    NotByTemperature,
    /// Nobody has settled what decides it.
    NotSettled,
    /// Mostly males.
    MostlyMales,
    /// Mostly females.
    MostlyFemales,
    /// Either; no side can be told.
    Either,
}

/// An expectation and what it rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Sexes {
    /// The expectation.
    pub expected: Expected,
    /// In words.
    pub told: &'static str,
    /// Mean of the middle third of development, degrees Celsius; absent where temperature does not decide.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub middle_third_celsius: Option<Celsius>,
    /// What decides the sex, and the source of that.
    pub grounds: Grounds,
    /// What the temperatures rest on, where temperature decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperatures: Option<Grounds>,
}

/// Between these crocodilians are mostly males (from memory: peaks near 31.6 to 33 degrees C).
const MALES: (f64, f64) = (31.5, 33.0);
/// Outside these they are mostly females (from memory).
const NOT_FEMALES: (f64, f64) = (30.5, 34.0);

/// What may be expected of the sex of a clutch.
///
/// The middle third of development decides where temperature does (a mirrored encyclopaedia). It is
/// reckoned from the log, half of whose days at least must be logged there.
///
/// # Errors
/// A species of which nobody has told what decides, or temperatures that are not known.
pub fn sexes(profile: &Profile, clutch: &Incubated) -> Result<Sexes, Refusal> {
    let told = profile.sex_determination.as_ref().ok_or_else(|| {
        Refusal::new(
            "sex-determination-unknown",
            format!("sex of hatchlings of {}", profile.scientific_name),
            "the profile tells not what decides it",
            "state it with its source in the region file",
        )
    })?;
    let grounds = Grounds::profile(&told.source);
    let without = |expected, told, grounds| Sexes {
        expected,
        told,
        middle_third_celsius: None,
        grounds,
        temperatures: None,
    };
    match told.value {
        SexDetermination::Genotypic => {
            return Ok(without(
                Expected::NotByTemperature,
                "not by temperature: the genes decide, and warmth only hurries or harms",
                grounds,
            ));
        }
        SexDetermination::Unsettled => {
            return Ok(without(Expected::NotSettled, "not settled what decides: expect nothing", grounds));
        }
        SexDetermination::TemperatureDependent => {}
    }
    let mean = middle_third(profile, clutch)?;
    let (expected, told) = expectation(profile.order, mean.degrees());
    Ok(Sexes {
        expected,
        told,
        middle_third_celsius: Some(mean),
        grounds,
        temperatures: Some(Grounds::memory()),
    })
}

fn expectation(order: TaxonOrder, celsius: f64) -> (Expected, &'static str) {
    if order == TaxonOrder::Testudines {
        return (
            Expected::Either,
            "warmer makes more females (from memory); at which temperature the sides change is not known for the species",
        );
    }
    if (MALES.0..=MALES.1).contains(&celsius) {
        return (Expected::MostlyMales, "mostly males (from memory)");
    }
    if celsius < NOT_FEMALES.0 || celsius > NOT_FEMALES.1 {
        return (Expected::MostlyFemales, "mostly females (from memory)");
    }
    (Expected::Either, "near the change of sides: either")
}

/// Mean temperature of the middle third of the window's middle.
fn middle_third(profile: &Profile, clutch: &Incubated) -> Result<Celsius, Refusal> {
    let window = super::window::window(profile, clutch)?;
    let laid = clutch.laid_from + (clutch.laid_through - clutch.laid_from) / 2;
    let hatch = window.from + (window.through - window.from) / 2;
    let third = (hatch - laid).num_days() / 3;
    let log = warmth::log(&clutch.log)?;
    let part: Vec<&Day> = log
        .days
        .iter()
        .filter(|day| (third..2 * third).contains(&(day.on - laid).num_days()) && day.on <= clutch.on)
        .collect();
    if third < 1 || (part.len() as i64) * 2 < third {
        return Err(Refusal::new(
            "middle-third-not-logged",
            format!("sex of hatchlings of {}", profile.scientific_name),
            format!("{} of the {third} days of the middle third have temperatures", part.len()),
            "expect nothing; log the eggs' temperature each day",
        ));
    }
    Celsius::new(part.iter().map(|day| day.mean_celsius.degrees()).sum::<f64>() / part.len() as f64)
}

/// What is said where eggs were turned, or may have been. `turned` is how many; `tops_marked` whether
/// the tops were marked before lifting.
#[must_use]
pub fn turned(turned: Option<u32>, tops_marked: Option<bool>) -> Vec<Advice> {
    let common = |text: &'static str| Advice::new(text, Grounds::common_practice());
    let mut told = Vec::new();
    match turned {
        Some(0) => {}
        Some(count) => {
            told.push(Advice::new(
                format!(
                    "{count} turned: eggs have no chalaza, and turning kills. Mark these and report them."
                ),
                Grounds::common_practice(),
            ));
            told.push(Advice::new(
                "Do not turn them back by guess; leave them as they lie, and count them as alive until a veterinarian says otherwise.",
                Grounds::proposal("a second turn may do what the first did not"),
            ));
        }
        None => told.push(common("Not told whether eggs were turned: ask who carried them.")),
    }
    if tops_marked != Some(true) {
        told.push(common("Tops not marked before lifting: mark them now, as they lie."));
    }
    told
}

#[cfg(test)]
mod tests {
    use super::super::warmth::EggReading;
    use super::*;
    use chrono::NaiveDate;
    use haulout_schemas::profile::Profiles;

    fn profile(name: &str) -> &'static Profile {
        Profiles::standard().get(name).unwrap()
    }

    /// Laid on 1 April, a reading at noon for 90 days.
    fn logged(celsius: f64) -> Incubated {
        let laid: NaiveDate = "2026-04-01".parse().unwrap();
        let at = |date: NaiveDate| format!("{date}T12:00:00+05:30").parse().unwrap();
        let celsius = Celsius::new(celsius).unwrap();
        Incubated {
            laid_from: laid,
            laid_through: laid,
            log: laid.iter_days().take(90).map(|date| EggReading { at: at(date), celsius }).collect(),
            on: "2026-06-29".parse().unwrap(),
        }
    }

    /// From memory: crocodilians are mostly males near 32 degrees C, females on both sides.
    #[test]
    fn crocodilians_by_warmth() {
        let expected = |celsius| {
            let told = sexes(profile("Gavialis gangeticus"), &logged(celsius)).unwrap();
            assert!(told.temperatures.unwrap().is_from_memory());
            told.expected
        };
        assert_eq!(expected(32.5), Expected::MostlyMales);
        assert_eq!(expected(30.0), Expected::MostlyFemales);
        assert_eq!(expected(31.0), Expected::Either);
        // 35 is beyond the known days, so the window is the species'; still mostly females.
        assert_eq!(expected(35.0), Expected::MostlyFemales);
    }

    /// The Chinese softshell by its genes (Dev. Reprod. 21:101); Chitra chitra, 23 males of 29, not settled.
    #[test]
    fn not_by_temperature_is_said_plainly() {
        let soft = sexes(profile("Pelodiscus sinensis"), &logged(31.5)).unwrap();
        assert_eq!((soft.expected, soft.middle_third_celsius), (Expected::NotByTemperature, None));
        assert!(soft.told.starts_with("not by temperature"));
        let chitra = sexes(profile("Chitra chitra"), &logged(31.5)).unwrap();
        assert_eq!(chitra.expected, Expected::NotSettled);
        let batagur = sexes(profile("Batagur kachuga"), &logged(31.5)).unwrap();
        assert_eq!(batagur.expected, Expected::Either);
    }

    #[test]
    fn without_the_middle_third_nothing_is_expected() {
        let mut clutch = logged(32.0);
        clutch.log.truncate(10);
        let refused = sexes(profile("Gavialis gangeticus"), &clutch).unwrap_err();
        assert_eq!(refused.code, "middle-third-not-logged");
    }

    #[test]
    fn turned_eggs_are_flagged_and_not_given_up() {
        let told = turned(Some(3), Some(true));
        assert!(told[0].text.starts_with("3 turned") && told[1].text.contains("count them as alive"));
        assert_eq!(turned(Some(0), Some(true)), []);
        assert_eq!(turned(None, None).len(), 2);
    }
}

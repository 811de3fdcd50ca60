//! The crate: inner size, padding, openings, what goes in and what does not, and who lifts it.
//!
//! No crate standard could be read for reptiles, so the allowances here are
//! proposals or from memory, and each says so. The carrier's and the local rules
//! stand above them.

use haulout_schemas::envelope;
use haulout_schemas::profile::{Group, HazardClass, Profile};
use haulout_schemas::vocabulary::LengthMeasure;
use serde::{Deserialize, Serialize};

use crate::grounds::{Advice, Grounds};
use crate::measures;
use crate::refusal::Refusal;
use crate::units::{Kilograms, Metres};

/// The body that a crate is made for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Body {
    /// Length, as a record tells it.
    pub length_metre: envelope::Length,
    /// Greatest width, metres: of the shell, or of a crocodilian's trunk with the limbs laid back.
    pub width_metre: Option<Metres>,
    /// Greatest height, metres.
    pub height_metre: Option<Metres>,
    /// Mass, kilograms.
    pub mass_kilogram: Option<Kilograms>,
    /// Mass of the empty crate with its padding, kilograms.
    pub crate_kilogram: Option<Kilograms>,
}

/// Inner size, metres; an absent one could not be told.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Inner {
    /// Along the animal.
    pub length_metre: Metres,
    /// Across it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width_metre: Option<Metres>,
    /// Upright.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_metre: Option<Metres>,
}

/// What is lifted, and by how many at least.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Lift {
    /// Animal and crate, kilograms.
    pub kilogram: Kilograms,
    /// No fewer people than this.
    pub least_people: u32,
}

/// A crate.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct CratePlan {
    /// Its inner size.
    pub inner: Inner,
    /// What the size rests on.
    pub size_grounds: Grounds,
    /// Who lifts it; absent where a mass is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift: Option<Lift>,
    /// What the number of people rests on.
    pub lift_grounds: Grounds,
    /// How it is built and filled, cautions first.
    pub advice: Vec<Advice>,
    /// What could not be told.
    pub unknown: Vec<Refusal>,
}

/// What one person lifts at most (a proposal; local code decides), kilograms.
pub const LIFTED_BY_ONE: Kilograms = Kilograms::of(25.0);
/// Bars that keep openings from being blocked, at least (from memory), metres.
pub const SPACER: Metres = Metres::of(0.025);

/// A crocodilian lies straight and must not turn: a little longer, and narrow (from memory; the
/// figures are proposals).
const CROCODILIAN: Allowance = Allowance { length: 1.10, width: 1.20, height: 1.30 };
/// A turtle sits with room for neck and limbs, and does not climb (proposals).
const TURTLE: Allowance = Allowance { length: 1.30, width: 1.20, height: 1.25 };

struct Allowance {
    length: f64,
    width: f64,
    height: f64,
}

/// The crate for one animal.
///
/// # Errors
/// A length that is none, or one in a measure that does not lead to the whole animal.
pub fn crate_for(profile: &Profile, body: &Body) -> Result<CratePlan, Refusal> {
    let crocodilian = profile.group == Group::Crocodilian;
    let (measure, allowance) = if crocodilian {
        (LengthMeasure::TotalLength, CROCODILIAN)
    } else {
        (LengthMeasure::StraightCarapaceLength, TURTLE)
    };
    let length = measures::of_record(&body.length_metre)?;
    let whole = measures::convert(profile, length, measure)
        .map_err(|missing| {
            Refusal::new(
                "length-measure",
                format!("crate of {}", profile.scientific_name),
                missing.to_string(),
                format!("measure the {}", measures::words(measure)),
            )
        })?
        .length;
    let times = |side: Metres, factor: f64| Metres::new(side.m() * factor);
    let mut unknown = Vec::new();
    for (missing, side) in [(body.width_metre.is_none(), "width"), (body.height_metre.is_none(), "height")] {
        if missing {
            unknown.push(Refusal::new(
                "body-side",
                format!("inner {side} of the crate"),
                format!("the {side} of the body is not told, and does not follow from the length"),
                "measure the animal where it lies restrained, or use the crate of one known to be no smaller",
            ));
        }
    }
    let lift = lift(body, &mut unknown)?;
    Ok(CratePlan {
        inner: Inner {
            length_metre: Metres::new(whole.high_m * allowance.length)?,
            width_metre: body.width_metre.map(|side| times(side, allowance.width)).transpose()?,
            height_metre: body.height_metre.map(|side| times(side, allowance.height)).transpose()?,
        },
        size_grounds: Grounds::proposal("allowances over the measured body; no standard could be read"),
        lift,
        lift_grounds: Grounds::proposal("25 kg a person; local code decides"),
        advice: packing(profile),
        unknown,
    })
}

fn lift(body: &Body, unknown: &mut Vec<Refusal>) -> Result<Option<Lift>, Refusal> {
    let (Some(animal), Some(empty)) = (body.mass_kilogram, body.crate_kilogram) else {
        unknown.push(Refusal::new(
            "mass-unknown",
            "people to lift the crate",
            "the mass of the animal or of the empty crate is not told",
            "weigh both; until then plan as for the heaviest of its kind",
        ));
        return Ok(None);
    };
    let kilogram = Kilograms::new(animal.kg() + empty.kg())?;
    Ok(Some(Lift { kilogram, least_people: lifters(kilogram) }))
}

/// People who lift a load, at least: two, since a crate carried by one is neither level nor watched.
#[must_use]
pub fn lifters(load: Kilograms) -> u32 {
    ((load.kg() / LIFTED_BY_ONE.kg()).ceil() as u32).max(2)
}

/// How a crate for the species is built and filled, whatever its size.
#[must_use]
pub fn packing(profile: &Profile) -> Vec<Advice> {
    let crocodilian = profile.group == Group::Crocodilian;
    let common = |text: &'static str| Advice::new(text, Grounds::common_practice());
    let memory = |text: &'static str| Advice::new(text, Grounds::memory());
    let rp3 = |text: &'static str| Advice::new(text, Grounds::published("CITES packers' guideline Rp/3"));
    let mut told = vec![
        rp3("Only healthy animals, no sedation; the sick and injured on a veterinarian's word."),
        rp3("One species to a compartment; the same species only where they are known to bear each other."),
        rp3("Secured and level all the way; no feeding on the road."),
        common("No projections, bolts or wire ends inside; openings for air that hold beak, claw and tail."),
    ];
    if crocodilian {
        told.push(memory("Narrow, so that it cannot turn; jaws bound with a band that comes off, nostrils free, eyes covered; the time of binding on the crate."));
    } else if matches!(profile.group, Group::Tortoise | Group::ForestTurtle) {
        told.push(common("Dry padding; nobody lies on its back."));
    } else {
        told.push(memory("Moist padding of foam or cloth, never standing water; never on its back."));
    }
    if !crocodilian && profile.hazard.value.class >= HazardClass::Biting {
        told.push(memory("It bites: one to a compartment, and a lid that locks."));
    }
    told.push(memory("Bars of 2.5 cm or more on the sides, so that no load blocks the air."));
    told.push(memory("Arrow up on two sides, species and number, sender, receiver and a telephone that answers day and night."));
    told.push(common("Padding for body and jaws; destroyed or disinfected after use."));
    told
}

/// One compartment of a load.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Compartment {
    /// What is written on it.
    pub label: String,
    /// Species in it, one entry for each animal.
    pub species: Vec<String>,
    /// Whether animals of one species in it are known to bear each other.
    #[serde(default)]
    pub known_compatible: bool,
    /// Whether any of them is sedated.
    #[serde(default)]
    pub sedated: bool,
}

/// What speaks against a load; empty: no reason found against.
#[must_use]
pub fn against(load: &[Compartment]) -> Vec<Refusal> {
    let mut found = Vec::new();
    for compartment in load {
        let what = || format!("compartment {}", compartment.label);
        if compartment.species.iter().any(|name| Some(name) != compartment.species.first()) {
            found.push(Refusal::new(
                "two-species",
                what(),
                "holds two species (CITES packers' guideline Rp/3)",
                "give each species its own compartment",
            ));
        } else if compartment.species.len() > 1 && !compartment.known_compatible {
            found.push(Refusal::new(
                "company-unknown",
                what(),
                "holds several that are not known to bear each other (Rp/3)",
                "part them, or state that they lived together",
            ));
        }
        if compartment.sedated {
            found.push(Refusal::new(
                "sedated",
                what(),
                "holds a sedated animal (Rp/3: no sedation)",
                "wait until the veterinarian says that the drug has worn off",
            ));
        }
    }
    found
}

#[cfg(test)]
#[path = "crates_tests.rs"]
mod tests;

//! Who may share a unit.
//!
//! The rule is data of the species profile (`LivingTogether`): species, size
//! ratio, adult males. Both sides are asked and the stricter decides. What is
//! not known about an animal counts as the worst it may be.

use haulout_schemas::profile::{Company, Profile};
use haulout_schemas::vocabulary::{Known, LengthMeasure};

use crate::measures::{self, Length};
use crate::space::within;

/// What matters about an animal, or the animals of a lot, when it is to share a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Companion<'a> {
    /// Profile of its species.
    pub profile: &'a Profile,
    /// Whether it is a male, or the lot may hold one.
    pub male: Known,
    /// Whether it is adult.
    pub adult: Known,
    /// Its length, where known.
    pub length: Option<Length>,
    /// Batch it came in with, where known.
    pub batch: Option<&'a str>,
}

/// Why two may not share a unit, or why it cannot be told.
#[derive(Debug, Clone, PartialEq)]
pub enum Objection {
    /// The species lives alone.
    Solitary(String),
    /// The species lives with its own kind only.
    OtherSpecies(String),
    /// The species lives with its keeping group only.
    OtherGroup(String),
    /// The larger is more than `most` times the smaller.
    SizeRatio {
        /// Largest over smallest length.
        ratio: f64,
        /// Most that is allowed.
        most: f64,
    },
    /// Two adult males are kept apart.
    AdultMales,
    /// One or both may be adult males; their sex or stage is not known.
    PerhapsAdultMales,
    /// The size of one is not known, or not in a measure that compares.
    SizeUnknown,
}

impl Objection {
    /// True when the objection rests on something not known.
    #[must_use]
    pub fn is_for_want_of_knowledge(&self) -> bool {
        matches!(self, Self::PerhapsAdultMales | Self::SizeUnknown)
    }
}

/// Every objection to `one` and `other` sharing a unit; none means no reason was found against.
///
/// Animals of one batch have already shared a tank, a crate or a lorry; they may go on doing so.
#[must_use]
pub fn objections(one: &Companion<'_>, other: &Companion<'_>) -> Vec<Objection> {
    if one.batch.is_some() && one.batch == other.batch {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (host, guest) in [(one, other), (other, one)] {
        if let Some(objection) = company(host.profile, guest.profile)
            && !found.contains(&objection)
        {
            found.push(objection);
        }
    }
    found.extend(size(one, other));
    found.extend(males(one, other));
    found
}

fn company(host: &Profile, guest: &Profile) -> Option<Objection> {
    let name = || host.scientific_name.clone();
    match host.living.value.company {
        Company::Solitary => Some(Objection::Solitary(name())),
        Company::SameSpecies => {
            (host.scientific_name != guest.scientific_name).then(|| Objection::OtherSpecies(name()))
        }
        Company::SameGroup => (host.group != guest.group).then(|| Objection::OtherGroup(name())),
    }
}

fn size(one: &Companion<'_>, other: &Companion<'_>) -> Option<Objection> {
    let most = one
        .profile
        .living
        .value
        .max_size_ratio
        .min(other.profile.living.value.max_size_ratio);
    let measure = one.profile.space_measure.value;
    let (Some(one), Some(other)) = (in_measure(one, measure), in_measure(other, measure)) else {
        return Some(Objection::SizeUnknown);
    };
    let largest = one.high_m.max(other.high_m);
    let smallest = one.low_m.min(other.low_m);
    if smallest <= 0.0 {
        return Some(Objection::SizeUnknown);
    }
    let ratio = largest / smallest;
    (!within(ratio, most)).then_some(Objection::SizeRatio { ratio, most })
}

fn in_measure(animal: &Companion<'_>, measure: LengthMeasure) -> Option<Length> {
    measures::convert(animal.profile, animal.length?, measure)
        .ok()
        .map(|converted| converted.length)
}

fn males(one: &Companion<'_>, other: &Companion<'_>) -> Option<Objection> {
    let apart = |animal: &Companion<'_>| animal.profile.living.value.adult_males_apart;
    if !apart(one) && !apart(other) {
        return None;
    }
    let adult_male = |animal: &Companion<'_>| match (animal.male, animal.adult) {
        (Known::No, _) | (_, Known::No) => Known::No,
        (Known::Yes, Known::Yes) => Known::Yes,
        _ => Known::Unknown,
    };
    match (adult_male(one), adult_male(other)) {
        (Known::No, _) | (_, Known::No) => None,
        (Known::Yes, Known::Yes) => Some(Objection::AdultMales),
        _ => Some(Objection::PerhapsAdultMales),
    }
}

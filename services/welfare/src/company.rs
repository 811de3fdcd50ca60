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
pub enum Objection<'a> {
    /// The species lives alone.
    Solitary(&'a str),
    /// The species lives with its own kind only.
    OtherSpecies(&'a str),
    /// The species lives with its keeping group only.
    OtherGroup(&'a str),
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

impl Objection<'_> {
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
pub fn objections<'a>(one: &Companion<'a>, other: &Companion<'a>) -> Vec<Objection<'a>> {
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

fn company<'a>(host: &'a Profile, guest: &Profile) -> Option<Objection<'a>> {
    let name = || host.scientific_name.as_str();
    match host.living.value.company {
        Company::Solitary => Some(Objection::Solitary(name())),
        Company::SameSpecies => {
            (host.scientific_name != guest.scientific_name).then(|| Objection::OtherSpecies(name()))
        }
        Company::SameGroup => (host.group != guest.group).then(|| Objection::OtherGroup(name())),
    }
}

fn size(one: &Companion<'_>, other: &Companion<'_>) -> Option<Objection<'static>> {
    let most = one.profile.living.value.max_size_ratio.min(other.profile.living.value.max_size_ratio);
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
    measures::length_in(animal.profile, animal.length?, measure)
}

fn males(one: &Companion<'_>, other: &Companion<'_>) -> Option<Objection<'static>> {
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use haulout_schemas::profile::Profiles;

    fn animal(name: &str, metres: f64, male: Known) -> Companion<'static> {
        let profile = Profiles::standard().get(name).unwrap();
        Companion {
            profile,
            male,
            adult: Known::Yes,
            length: Some(Length { measure: profile.space_measure.value, low_m: metres, high_m: metres }),
            batch: None,
        }
    }

    /// The same whichever is asked first, and never said twice.
    fn between<'a>(one: &Companion<'a>, other: &Companion<'a>) -> Vec<Objection<'a>> {
        let found = objections(one, other);
        assert_eq!(found.len(), objections(other, one).len());
        found
    }

    #[test]
    fn both_sides_are_asked() {
        let mugger = animal("Crocodylus palustris", 1.0, Known::No);
        let estuarine = animal("Crocodylus porosus", 1.0, Known::No);
        assert_eq!(
            between(&mugger, &estuarine),
            [Objection::OtherSpecies("Crocodylus palustris"), Objection::Solitary("Crocodylus porosus"),]
        );
        assert_eq!(between(&mugger, &mugger), []);
    }

    #[test]
    fn size_is_compared_at_its_bounds() {
        let small = animal("Crocodylus palustris", 1.0, Known::No);
        let ratio = |metres| between(&small, &animal("Crocodylus palustris", metres, Known::No));
        assert_eq!(ratio(1.5), []);
        assert!(matches!(ratio(1.51).as_slice(), [Objection::SizeRatio { .. }]));
        let mut vague = small;
        vague.length = vague.length.map(|length| Length { low_m: 0.6, ..length });
        assert!(matches!(between(&small, &vague).as_slice(), [Objection::SizeRatio { .. }]));
        vague.length = None;
        assert_eq!(between(&small, &vague), [Objection::SizeUnknown]);
    }

    #[test]
    fn adult_males_are_kept_apart_and_the_unknown_may_be_one() {
        let one = |male| animal("Crocodylus palustris", 1.0, male);
        let between_males = |left, right| between(&one(left), &one(right));
        assert_eq!(between_males(Known::Yes, Known::Yes), [Objection::AdultMales]);
        assert_eq!(between_males(Known::Yes, Known::Unknown), [Objection::PerhapsAdultMales]);
        assert_eq!(between_males(Known::No, Known::Unknown), []);
        let mut young = one(Known::Yes);
        young.adult = Known::No;
        assert_eq!(between(&one(Known::Yes), &young), []);
        assert!(Objection::PerhapsAdultMales.is_for_want_of_knowledge());
    }

    #[test]
    fn one_batch_stays_together() {
        let mut male = animal("Crocodylus porosus", 1.0, Known::Yes);
        assert!(!between(&male, &male).is_empty());
        male.batch = Some("B1");
        assert_eq!(between(&male, &male), []);
        let mut other = male;
        other.batch = Some("B2");
        assert!(!between(&male, &other).is_empty());
    }
}

//! Which species an animal may be, and what is known of its size.

use std::collections::HashSet;

use haulout_schemas::envelope::Length as StatedLength;
use haulout_schemas::names::{Names, Resolution};
use haulout_schemas::profile::{Profile, Profiles};
use haulout_schemas::vocabulary::LengthMeasure;
use haulout_welfare::measures::{self, Converted, Length, NoRelation};

/// Names and profiles read together.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Species<'a> {
    pub profiles: &'a Profiles,
    pub names: &'a Names,
}

impl<'a> Species<'a> {
    /// Every species with a profile that a name may mean: itself, all of a genus, family or order,
    /// both parents of a hybrid. Empty where the name is not known, or one parent is not: then
    /// nothing may be concluded. By accepted name.
    pub fn meant_by(&self, name: &str) -> Vec<&'a Profile> {
        let accepted = match self.names.resolve(name) {
            Resolution::Accepted { accepted }
            | Resolution::Synonym { accepted }
            | Resolution::Subspecies { accepted } => vec![accepted],
            Resolution::Higher { members, .. } => {
                return members.iter().filter_map(|member| self.profiles.get(member)).collect();
            }
            Resolution::Hybrid { parents } => parents,
            Resolution::Common { .. } | Resolution::AmbiguousCommon { .. } | Resolution::Unknown { .. } => {
                return Vec::new();
            }
        };
        let profiles: Option<Vec<_>> = accepted.iter().map(|name| self.profiles.get(name)).collect();
        profiles.unwrap_or_default()
    }

    /// True when the profile's species is, or belongs to, the named species, genus, family or order.
    /// A subspecies or a hybrid, which take more than two words, do not hold a species.
    pub fn is_within(&self, profile: &Profile, taxon: &str) -> bool {
        is_named(profile, taxon) || self.held_by(taxon).contains(profile.scientific_name.as_str())
    }

    /// Accepted names that a taxon holds by the name list.
    pub fn held_by(&self, taxon: &str) -> HashSet<&'a str> {
        if taxon.split_whitespace().count() > 2 {
            return HashSet::new();
        }
        self.names.members(taxon).into_iter().map(|member| member.scientific_name.as_str()).collect()
    }
}

/// True when the taxon is the species' own order, family or name: nearly every licence and unit
/// writes one of these.
pub(crate) fn is_named(profile: &Profile, taxon: &str) -> bool {
    [profile.order.name(), &profile.family, &profile.scientific_name].contains(&taxon)
}

/// The size reckoned with: as stated, or the largest grown animal where nobody has said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Size {
    pub length: Length,
    /// True when it is the largest grown animal, for want of a stated length.
    pub assumed: bool,
}

impl Size {
    /// The size of an animal of a species from the length stated, if any. A stated length that is
    /// no positive number counts as not stated.
    pub fn of(profile: &Profile, stated: Option<&StatedLength>) -> Self {
        if let Some(length) = stated.and_then(bounds) {
            return Self { length, assumed: false };
        }
        let adult = profile.adult_size.value;
        Self {
            length: Length { measure: adult.measure, low_m: adult.largest_m, high_m: adult.largest_m },
            assumed: true,
        }
    }

    /// The same in another measure.
    pub fn in_measure(&self, profile: &Profile, to: LengthMeasure) -> Result<Converted, NoRelation> {
        measures::convert(profile, self.length, to)
    }

    /// The upper end in another measure, metres, without what it rests on.
    pub fn high_in(&self, profile: &Profile, to: LengthMeasure) -> Option<f64> {
        measures::length_in(profile, self.length, to).map(|length| length.high_m)
    }

    /// Why there is no such length.
    pub fn no_relation(&self, profile: &Profile, to: LengthMeasure) -> NoRelation {
        NoRelation { scientific_name: profile.scientific_name.clone(), from: self.length.measure, to }
    }
}

/// The bounds of a stated length; fit uses the upper end.
pub(crate) fn bounds(stated: &StatedLength) -> Option<Length> {
    let high_m = stated.high.unwrap_or(stated.value).max(stated.value);
    let low_m = stated.low.unwrap_or(stated.value).min(stated.value);
    (low_m > 0.0 && high_m.is_finite()).then_some(Length { measure: stated.measure, low_m, high_m })
}

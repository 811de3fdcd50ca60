//! The handling card: how an animal is caught, held, restrained and covered, and what is never done.
//!
//! Cautions come first and every sentence says what it rests on. A card reminds
//! trained people; it trains nobody, and local code and licensed practice stand
//! above it. The number of people is a least number, never a recommendation.

mod lines;
mod text;

use haulout_schemas::envelope;
use haulout_schemas::profile::{Group, HazardClass, Profile, Profiles};
use haulout_schemas::vocabulary::LengthMeasure;
use serde::{Deserialize, Serialize};

use crate::grounds::{Advice, Grounds};
use crate::measures::{self, Length};
use crate::refusal::Refusal;

/// Which animal the card is for.
#[derive(Debug, Clone, Copy)]
pub enum Subject<'a> {
    /// The species is known.
    Species(&'a Profile),
    /// Only the keeping group is; the strictest of its species counts.
    Group(Group, &'a Profiles),
}

/// What is known of the animal and the place.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields, default)]
pub struct Handled {
    /// Its length as a record tells it, metres; the largest of its kind counts where it is not known.
    pub length_metre: Option<envelope::Length>,
    /// Injuries, one each, as records tell them.
    pub injuries: Vec<String>,
    /// Fewest people by local code; it raises the number, and never lowers it.
    pub local_least_people: Option<u8>,
    /// True while people are in danger from the animal: then nobody waits for the light.
    pub people_in_danger: bool,
}

/// Parts of a card, in the order in which they are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Part {
    /// Before anything else.
    Cautions,
    /// What is looked for and reported before the animal is moved.
    ReportFirst,
    /// What is never done.
    Never,
    /// By day or by night.
    Light,
    /// What people wear.
    Wear,
    /// Catching.
    Catch,
    /// Lifting and holding.
    Hold,
    /// Restraint.
    Restrain,
    /// Cover of eyes and body.
    Cover,
    /// Water that a frightened animal loses.
    WaterLoss,
    /// Disease that people may catch.
    Zoonosis,
}

impl Part {
    /// The heading of the part.
    #[must_use]
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Cautions => "Before anything else",
            Self::ReportFirst => "Look for and report first",
            Self::Never => "Never",
            Self::Light => "Light",
            Self::Wear => "Wear",
            Self::Catch => "Catch",
            Self::Hold => "Hold",
            Self::Restrain => "Restrain",
            Self::Cover => "Cover",
            Self::WaterLoss => "Water",
            Self::Zoonosis => "Disease people may catch",
        }
    }
}

/// One part of a card.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Section {
    /// Which part.
    pub part: Part,
    /// Its heading.
    pub heading: &'static str,
    /// Its sentences.
    pub lines: Vec<Advice>,
}

/// The least number of trained people, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct People {
    /// No fewer than this.
    pub least: u8,
    /// What the number rests on.
    pub grounds: Grounds,
    /// That it is a least number, and which length it is for.
    pub caution: String,
}

/// A handling card.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Card {
    /// Accepted name, where the species is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scientific_name: Option<String>,
    /// Keeping group.
    pub group: Group,
    /// How dangerous a grown animal is.
    pub hazard: HazardClass,
    /// The least number of people.
    pub people: People,
    /// The parts, cautions first.
    pub sections: Vec<Section>,
    /// What could not be told, and what was assumed instead.
    pub unknown: Vec<Refusal>,
}

/// Total length from which a crocodilian is not caught by hand (common practice), metres.
const CROCODILIAN_LARGE_M: f64 = 1.0;
/// Shell length from which a hard-shelled turtle is held as a large one (a proposal), metres.
const TURTLE_LARGE_M: f64 = 0.40;

/// The card of an animal.
///
/// # Errors
/// A length that is no length, or a group without a species in the profiles.
pub fn card(subject: Subject<'_>, handled: &Handled) -> Result<Card, Refusal> {
    let length = handled.length_metre.as_ref().map(measures::of_record).transpose()?;
    let (group, kinds): (Group, Vec<&Profile>) = match subject {
        Subject::Species(profile) => (profile.group, vec![profile]),
        Subject::Group(group, profiles) => {
            (group, profiles.iter().filter(|profile| profile.group == group).collect())
        }
    };
    let crews = kinds.iter().map(|profile| crew(profile, length)).collect::<Vec<_>>();
    let Some((crew, profile)) = crews.iter().zip(&kinds).max_by_key(|(crew, _)| crew.people) else {
        return Err(Refusal::new(
            "group-empty",
            format!("handling card of the group {}", group.key()),
            "the profiles hold no species of it",
            "name the species, or add its profile to the region file",
        ));
    };
    let hazard = kinds.iter().map(|profile| profile.hazard.value.class).max().unwrap_or(HazardClass::Low);
    let mut unknown = Vec::new();
    if crew.assumed {
        unknown.push(Refusal::new(
            "length-unknown",
            "the animal's length",
            format!(
                "no {} is told or follows from what is told, so the card is for the largest of its kind",
                measures::words(profile.hazard.value.measure)
            ),
            "state the length, even by eye from a distance",
        ));
    }
    if matches!(subject, Subject::Group(..)) {
        unknown.push(Refusal::new(
            "species-unknown",
            "the animal's species",
            "only its group is told, so the strictest of the group counts",
            "name the species once it can be told without handling",
        ));
    }
    let size = lines::Size {
        large: is_large(profile, length),
        hazard,
        people_in_danger: handled.people_in_danger,
        least: crew.people.max(handled.local_least_people.unwrap_or(1)),
    };
    Ok(Card {
        scientific_name: matches!(subject, Subject::Species(_)).then(|| profile.scientific_name.clone()),
        group,
        hazard,
        people: people(crew, profile, handled.local_least_people),
        sections: lines::sections(profile, size, &handled.injuries),
        unknown,
    })
}

/// People by the profile's steps; `assumed` where the length is not known in their measure.
struct Crew {
    people: u8,
    assumed: bool,
}

fn crew(profile: &Profile, length: Option<Length>) -> Crew {
    let hazard = &profile.hazard.value;
    match length.and_then(|length| measures::convert(profile, length, hazard.measure).ok()) {
        Some(known) => Crew { people: hazard.minimum_crew(known.length.high_m), assumed: false },
        None => Crew { people: hazard.minimum_crew(f64::INFINITY), assumed: true },
    }
}

fn people(crew: &Crew, profile: &Profile, local: Option<u8>) -> People {
    let caution = "a least number of trained people, never a recommendation; local code raises it";
    match local {
        Some(local) if local > crew.people => {
            let grounds = Grounds::records("local code, as stated");
            People { least: local, grounds, caution: caution.to_owned() }
        }
        _ => People {
            least: crew.people,
            grounds: Grounds::profile(&profile.hazard.source),
            caution: caution.to_owned(),
        },
    }
}

/// Whether it is handled as a large one; what is not known is large.
fn is_large(profile: &Profile, length: Option<Length>) -> bool {
    let (measure, limit) = match profile.group {
        Group::Crocodilian => (LengthMeasure::TotalLength, CROCODILIAN_LARGE_M),
        _ => (LengthMeasure::StraightCarapaceLength, TURTLE_LARGE_M),
    };
    length
        .and_then(|length| measures::convert(profile, length, measure).ok())
        .is_none_or(|known| known.length.high_m >= limit)
}

#[cfg(test)]
mod tests;

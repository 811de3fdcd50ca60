//! What the driver must know of the animals and take along: hazards and gear by keeping group.
//!
//! Each line says where it is from. Local codes, the vet and the crew on the spot decide.

use haulout_schemas::profile::{COMMON_PRACTICE, FROM_MEMORY, Group, HazardClass, Profile, Profiles};
use haulout_schemas::vocabulary::LifeStage;
use schemars::JsonSchema;
use serde::Serialize;

const PACKERS: &str = "CITES guidelines for transport, packer's sheet Rp/3";

/// A sentence and where it is from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Said {
    /// The sentence.
    pub text: String,
    /// A source, `common practice` or `from memory`.
    pub source: String,
}

impl Said {
    pub(super) fn new(text: impl Into<String>, source: impl Into<String>) -> Self {
        Self { text: text.into(), source: source.into() }
    }
}

/// What one of the species may do to people, the gravest first when sorted by class; each with whether
/// the species is named before it. `crew`: people needed at least, by the handling card.
pub fn hazards(profile: &Profile, profiles: &Profiles, crew: u8) -> Vec<(bool, Said)> {
    let source = profiles.source_title(&profile.hazard.source);
    let mut said = match profile.hazard.value.class {
        HazardClass::Deadly => vec![
            (
                true,
                Said::new(
                    format!(
                        "can kill. Only a trained crew handles it, {crew} people at least, never one alone."
                    ),
                    source,
                ),
            ),
            (
                false,
                Said::new(
                    "Control the head first and keep out of the arc between head and tail. Keep everybody else back.",
                    FROM_MEMORY,
                ),
            ),
        ],
        HazardClass::Severe => vec![(
            true,
            Said::new(
                format!("its bite maims. Only trained people with equipment handle it, {crew} at least."),
                source,
            ),
        )],
        HazardClass::Biting => {
            vec![(true, Said::new("its bite wounds. Never within reach of the head.", source))]
        }
        HazardClass::Low => vec![(true, Said::new("scratches and small bites.", source))],
    };
    if matches!(profile.group, Group::Softshell | Group::SnappingTurtle) {
        let neck = "the neck reaches far back over the shell; hold it at the rear of the carapace.";
        said.push((true, Said::new(neck, FROM_MEMORY)));
    }
    said.push((
        false,
        Said::new(profile.zoonosis.value.clone(), profiles.source_title(&profile.zoonosis.source)),
    ));
    said
}

/// A species by its name and an everyday one.
pub fn called(profile: &Profile) -> String {
    match profile.common_names.value.first() {
        Some(common) => format!("{} ({common})", profile.scientific_name),
        None => profile.scientific_name.clone(),
    }
}

/// What to take along.
pub fn gear(groups: &[Group], eggs: bool) -> Vec<Said> {
    let mut gear = vec![
        Said::new("This page, and the papers named below.", COMMON_PRACTICE),
        Said::new("A telephone, with the numbers of both duty desks.", COMMON_PRACTICE),
        Said::new("Gloves, soap and clean water for hands; nobody eats or drinks at the load.", FROM_MEMORY),
        Said::new(
            "A thermometer that lies among the crates: the air outside is not the air in the load.",
            COMMON_PRACTICE,
        ),
        Said::new("Sheets for shade, and straps: crates stand level and cannot slide.", PACKERS),
        Said::new("Disinfectant and a brush for crates and load bed.", COMMON_PRACTICE),
    ];
    if groups.contains(&Group::Crocodilian) {
        gear.extend([
            Said::new("Bands for the jaws that can be taken off quickly and leave the nostrils free; cloth to cover the eyes.", COMMON_PRACTICE),
            Said::new("Noose, rope and boards for the crew at both ends.", COMMON_PRACTICE),
        ]);
    }
    let in_water = [Group::Softshell, Group::RiverTurtle, Group::PondTurtle, Group::SnappingTurtle];
    if groups.iter().any(|group| in_water.contains(group)) {
        gear.push(Said::new("Clean water to wet the padding, and foam or cloth to change it.", FROM_MEMORY));
    }
    if eggs {
        gear.push(Said::new(
            "A padded box with moist sand or nest material; tops marked, kept as they lay, never turned.",
            COMMON_PRACTICE,
        ));
    }
    gear
}

/// What holds on every journey with animals; how they are packed and handled is told with their crates.
/// Of species without a profile nothing is told there, so what holds for all of them stands here.
pub fn on_the_road(groups: &[Group]) -> Vec<Said> {
    let mut said = vec![
        Said::new("Shade the load, and never leave it standing in the sun.", COMMON_PRACTICE),
        Said::new(
            "Sick, injured or dead on the way: call the vet, and write down what was seen and when.",
            PACKERS,
        ),
    ];
    if groups.is_empty() {
        said.extend([
            Said::new("No sedation for the journey. No feeding on the way; leave them undisturbed.", PACKERS),
            Said::new("Different species never in one compartment or bag.", PACKERS),
            Said::new("Never turn a turtle on its back.", COMMON_PRACTICE),
        ]);
    }
    said
}

/// Whether a request or line is of eggs.
pub fn is_egg(stage: Option<LifeStage>) -> bool {
    stage == Some(LifeStage::Egg)
}

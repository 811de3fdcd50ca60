//! Rules about the animal, wherever it goes.

use super::entry;
use crate::rules::Standing::{Absolute, Waivable};
use crate::rules::{Judge, PlacementRule, leave, road};

pub(super) const SPECIES_KNOWN: PlacementRule = entry(
    "species-known",
    Absolute,
    [
        "The species is known",
        "No species profile covers the name, or what is asked for is an egg.",
        "Space, crew and company follow from the species.",
        "Determine the animal to genus, family or order at least.",
        "common practice",
    ],
    Judge::Centre(leave::species, leave::mend_species),
);

pub(super) const CUSTODY: PlacementRule = entry(
    "custody",
    Absolute,
    [
        "Case property has leave",
        "The animal is, or may be, evidence, and no leave lets it go to this centre.",
        "Moving evidence without leave can cost the case.",
        "Ask the authority or the court for leave.",
        "Common practice; IUCN guidelines on confiscated live organisms (2019)",
    ],
    Judge::Centre(leave::custody, leave::mend_custody),
);

pub(super) const FIT_TO_TRAVEL: PlacementRule = entry(
    "fit-to-travel",
    Absolute,
    [
        "Fit to travel",
        "The animal is not fit to travel, or nobody has said, and no veterinarian's word is given.",
        "A journey can kill a weak animal.",
        "Have a veterinarian look, or stabilise it where it is.",
        "common practice",
    ],
    Judge::Centre(road::fit_to_travel, road::mend_fit_to_travel),
);

pub(super) const NEVER_RELEASE: PlacementRule = entry(
    "never-release",
    Absolute,
    [
        "Never set free",
        "The species must never be set free, and the place is in a release programme.",
        "Released strangers displace or infect native animals.",
        "Ask for lifelong care instead.",
        "Species profiles",
    ],
    Judge::Species(leave::never_release, leave::mend_never_release),
);

pub(super) const ORIGIN_BASIN: PlacementRule = entry(
    "origin-basin",
    Waivable,
    [
        "Its own basin",
        "The centre lies in another basin than the one the animal comes from, or the basin of an animal that is to be set free is not known.",
        "Animals of another basin bring strange diseases and mix what grew apart.",
        "Choose a centre of its basin, find out where it comes from, or have the authority order the stay.",
        "IUCN guidelines for reintroductions (2013), from memory; common practice",
    ],
    Judge::Centre(leave::origin_basin, leave::mend_origin_basin),
);

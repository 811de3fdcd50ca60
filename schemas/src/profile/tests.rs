//! What the shipped profiles say, against the lists and figures they were taken from.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::*;
use crate::vocabulary::LengthMeasure::{HeadLength, SnoutVentLength, TotalLength};

mod overrides;

const FILE: &str = include_str!("../../data/species.json");

/// The crocodilians accepted by the Reptile Database checklist of September 2025.
const CROCODILIANS: [&str; 27] = [
    "Alligator mississippiensis",
    "Alligator sinensis",
    "Caiman crocodilus",
    "Caiman latirostris",
    "Caiman yacare",
    "Crocodylus acutus",
    "Crocodylus halli",
    "Crocodylus intermedius",
    "Crocodylus johnstoni",
    "Crocodylus mindorensis",
    "Crocodylus moreletii",
    "Crocodylus niloticus",
    "Crocodylus novaeguineae",
    "Crocodylus palustris",
    "Crocodylus porosus",
    "Crocodylus rhombifer",
    "Crocodylus siamensis",
    "Crocodylus suchus",
    "Gavialis gangeticus",
    "Mecistops cataphractus",
    "Mecistops leptorhynchus",
    "Melanosuchus niger",
    "Osteolaemus osborni",
    "Osteolaemus tetraspis",
    "Paleosuchus palpebrosus",
    "Paleosuchus trigonatus",
    "Tomistoma schlegelii",
];

/// Treaty listings: name, Appendix, zero quota for wild animals. Sources: CITES CoP16 Prop. 25, 32
/// and 38, CoP17 Prop. 36, the list of 13 September 2007; the rest from memory.
const LISTINGS: [(&str, Appendix, bool); 54] = [
    ("Batagur baska", Appendix::I, false),
    ("Batagur kachuga", Appendix::I, false),
    ("Batagur dhongoka", Appendix::II, false),
    ("Batagur affinis", Appendix::I, false),
    ("Batagur trivittata", Appendix::II, true),
    ("Batagur borneoensis", Appendix::II, true),
    ("Pangshura tecta", Appendix::I, false),
    ("Pangshura tentoria", Appendix::II, false),
    ("Pangshura smithii", Appendix::II, false),
    ("Pangshura sylhetensis", Appendix::II, false),
    ("Geoclemys hamiltonii", Appendix::I, false),
    ("Hardella thurjii", Appendix::II, false),
    ("Melanochelys tricarinata", Appendix::I, false),
    ("Melanochelys trijuga", Appendix::II, false),
    ("Morenia ocellata", Appendix::I, false),
    ("Morenia petersi", Appendix::II, false),
    ("Cyclemys gemeli", Appendix::II, false),
    ("Cuora amboinensis", Appendix::II, false),
    ("Cuora mouhotii", Appendix::II, true),
    ("Vijayachelys silvatica", Appendix::II, false),
    ("Orlitia borneensis", Appendix::II, true),
    ("Mauremys annamensis", Appendix::II, true),
    ("Nilssonia gangetica", Appendix::I, false),
    ("Nilssonia hurum", Appendix::I, false),
    ("Nilssonia nigricans", Appendix::I, false),
    ("Nilssonia leithii", Appendix::I, false),
    ("Nilssonia formosa", Appendix::II, false),
    ("Lissemys punctata", Appendix::II, false),
    ("Chitra indica", Appendix::II, false),
    ("Chitra chitra", Appendix::I, false),
    ("Pelochelys cantorii", Appendix::II, false),
    ("Amyda cartilaginea", Appendix::II, false),
    ("Rafetus swinhoei", Appendix::II, false),
    ("Trionyx triunguis", Appendix::II, false),
    ("Rafetus euphraticus", Appendix::II, false),
    ("Geochelone elegans", Appendix::I, false),
    ("Indotestudo elongata", Appendix::II, false),
    ("Manouria emys", Appendix::II, false),
    ("Carettochelys insculpta", Appendix::II, false),
    ("Podocnemis expansa", Appendix::II, false),
    ("Dermatemys mawii", Appendix::II, false),
    ("Macrochelys temminckii", Appendix::II, false),
    ("Emys orbicularis", Appendix::NotListed, false),
    ("Gavialis gangeticus", Appendix::I, false),
    ("Crocodylus palustris", Appendix::I, false),
    ("Crocodylus porosus", Appendix::ByPopulation, false),
    ("Crocodylus siamensis", Appendix::I, false),
    ("Crocodylus niloticus", Appendix::ByPopulation, false),
    ("Crocodylus johnstoni", Appendix::II, false),
    ("Crocodylus intermedius", Appendix::I, false),
    ("Tomistoma schlegelii", Appendix::I, false),
    ("Alligator sinensis", Appendix::I, false),
    ("Alligator mississippiensis", Appendix::II, false),
    ("Caiman crocodilus", Appendix::ByPopulation, false),
];

fn get(name: &str) -> &'static Profile {
    Profiles::standard().get(name).unwrap_or_else(|| panic!("no profile of {name}"))
}

#[test]
fn every_crocodilian_of_the_name_list_has_a_profile_and_no_other() {
    let kept = Profiles::standard().iter().filter(|p| p.order == TaxonOrder::Crocodylia);
    let kept: BTreeSet<&str> = kept.map(|p| p.scientific_name.as_str()).collect();
    assert_eq!(kept, BTreeSet::from(CROCODILIANS));
}

#[test]
fn treaty_listings_are_those_of_their_sources() {
    for (name, appendix, zero_quota) in LISTINGS {
        let listing = &get(name).treaty.value;
        assert_eq!((listing.appendix, listing.zero_quota_wild), (appendix, zero_quota), "{name}");
    }
}

#[test]
fn every_crocodilian_is_listed_because_its_order_is() {
    // Order Crocodylia spp. is in Appendix II except the species in Appendix I.
    for name in CROCODILIANS {
        let appendix = get(name).treaty.value.appendix;
        assert!(matches!(appendix, Appendix::I | Appendix::II | Appendix::ByPopulation), "{name}");
    }
}

#[test]
fn each_species_is_written_once_in_the_file() {
    // A JSON reader keeps the last of two members of one name without a word.
    let species = FILE.split_once("\"species\": {").unwrap().1;
    let written = species.lines().filter(|line| line.starts_with("    \"") && line.ends_with(": {")).count();
    assert_eq!(written, Profiles::standard().len());
    assert_eq!(written, 124);
}

#[test]
fn every_source_of_the_table_is_used() {
    for key in Profiles::standard().sources().keys() {
        let uses = FILE.matches(key.as_str()).count();
        assert!(uses > 1, "{key} is in the table and nowhere else");
    }
}

#[test]
fn profiles_survive_writing_and_reading() {
    for profile in Profiles::standard().iter() {
        let text = serde_json::to_string(profile).unwrap();
        assert_eq!(&serde_json::from_str::<Profile>(&text).unwrap(), profile);
    }
}

#[test]
fn every_member_of_a_profile_is_checked_by_itself() {
    // A member the checks do not know would be refused in an override.
    let members = schemars::schema_for!(Profile).get("properties").cloned().unwrap();
    let known = members.as_object().unwrap().keys();
    for member in known {
        let found = checks::unreadable(json!({ member: {} }).as_object().unwrap());
        let unknown = found.iter().any(|(_, problem)| problem.contains("no such member"));
        assert!(!unknown, "{member}");
    }
}

#[test]
fn animals_of_the_pet_trade_are_never_released_and_natives_never_barred() {
    for name in ["Trachemys scripta", "Pelodiscus sinensis", "Chelydra serpentina"] {
        assert!(get(name).never_release.value, "{name}");
    }
    for profile in Profiles::standard().iter() {
        let native = profile.basin("meruva").unwrap().occurrence.value == Occurrence::Native;
        assert!(!(native && profile.never_release.value), "{}", profile.scientific_name);
    }
}

#[test]
fn quarantine_is_ninety_days_for_chelonians_and_thirty_for_crocodilians() {
    for profile in Profiles::standard().iter() {
        let (days, source) = match profile.order {
            TaxonOrder::Testudines => (90, COMMON_PRACTICE),
            TaxonOrder::Crocodylia => (30, "aza-quarantine"),
        };
        assert_eq!(profile.quarantine_days.value, days, "{}", profile.scientific_name);
        assert_eq!(profile.quarantine_days.source, source);
        assert_eq!(profile.quarantine_restart.value, QuarantineRestart::Order);
    }
}

#[test]
fn mugger_head_length_gives_the_published_total_length() {
    // Mobaraki et al.: TL = 15.52 + 6.283 HL (cm), so 30 cm gives 204.01 and 20 cm gives 141.18.
    let line = get("Crocodylus palustris").relation(HeadLength, TotalLength).unwrap();
    assert!((line.apply(0.30) - 2.0401).abs() < 1e-9);
    assert!((line.apply(0.20) - 1.4118).abs() < 1e-9);
    assert_eq!(line.source, "mobaraki-mugger");
    let back = get("Crocodylus palustris").relation(TotalLength, HeadLength).unwrap();
    assert!((back.apply(2.00) - 0.293_618).abs() < 1e-6);
    let (low, high) = back.fitted_on_m.unwrap();
    assert!((low - 0.43).abs() < 0.005 && (high - 2.80).abs() < 0.005, "{low} to {high}");
    assert!(get("Gavialis gangeticus").relation(HeadLength, TotalLength).is_none());
}

#[test]
fn crocodilian_snout_vent_is_half_of_total_length_and_says_it_is_from_memory() {
    for name in CROCODILIANS {
        let line = get(name).relation(TotalLength, SnoutVentLength).unwrap();
        assert_eq!((line.apply(3.5), line.source.as_str()), (1.75, FROM_MEMORY), "{name}");
        assert_eq!(get(name).relation(SnoutVentLength, TotalLength).unwrap().apply(1.75), 3.5);
    }
}

#[test]
fn the_curve_bounds_the_straight_carapace_and_has_no_inverse() {
    let turtle = get("Nilssonia gangetica");
    let curved = crate::vocabulary::LengthMeasure::CurvedCarapaceLength;
    let straight = crate::vocabulary::LengthMeasure::StraightCarapaceLength;
    let bound = turtle.relation(curved, straight).unwrap();
    assert_eq!((bound.kind, bound.apply(0.4)), (RelationKind::AtMost, 0.4));
    assert!(turtle.relation(straight, curved).is_none());
}

#[test]
fn space_rules_carry_the_published_figures() {
    let SpaceRule::Crocodilian {
        land_length,
        land_width,
        water_length,
        water_width,
        depth,
        land_per_further,
        water_per_further,
        ..
    } = get("Alligator sinensis").space.value
    else {
        panic!("a crocodilian's rule");
    };
    // The expert opinion's worked example: a pair with K = 1 m has 13.2 m2 of land, 24 of water, 0.30 deep.
    assert!((land_length * land_width * (1.0 + land_per_further) - 13.2).abs() < 1e-9);
    assert!((water_length * water_width * (1.0 + water_per_further) - 24.0).abs() < 1e-9);
    assert_eq!(depth, 0.3);
    // Burgenland 2003: small 2 (+0.5), medium 3 (+1), large 6 (+2), giant 40 m2, for one or two.
    let floors = [
        ("Testudo hermanni", FloorClass::Small, 2.0, Some(0.5)),
        ("Indotestudo elongata", FloorClass::Medium, 3.0, Some(1.0)),
        ("Manouria emys", FloorClass::Large, 6.0, Some(2.0)),
        ("Chelonoidis niger", FloorClass::Giant, 40.0, None),
    ];
    for (name, wanted, base, further) in floors {
        let SpaceRule::Floor { class, base_animals, base_m2, further_m2, .. } = get(name).space.value else {
            panic!("{name}: a floor rule");
        };
        assert_eq!((class, base_animals, base_m2, further_m2), (wanted, 2, base, further), "{name}");
    }
    let aquatic = &get("Lissemys punctata").space;
    assert!(matches!(
        aquatic.value,
        SpaceRule::Aquatic { water_length: 5.0, water_width: 2.5, depth: 2.0, .. }
    ));
    assert_eq!(aquatic.source, FROM_MEMORY);
}

#[test]
fn crew_grows_with_the_length_of_a_crocodilian() {
    let hazard = &get("Crocodylus palustris").hazard.value;
    let crew = [0.9, 1.0, 1.2, 1.5, 1.6, 2.5, 2.6, 3.5].map(|length| hazard.minimum_crew(length));
    assert_eq!(crew, [1, 1, 2, 2, 2, 2, 4, 4]);
    assert_eq!(hazard.measure, TotalLength);
}

#[test]
fn eggs_take_what_the_sources_say() {
    let gharial = &get("Gavialis gangeticus").incubation.as_ref().unwrap().value;
    let points: Vec<(f64, f64)> = gharial.at.iter().map(|p| (p.temperature_c, p.days)).collect();
    assert_eq!(points, [(28.0, 93.0), (33.0, 53.0)]);
    let window = |name: &str| {
        let incubation = &get(name).incubation.as_ref().unwrap().value;
        (incubation.days_low, incubation.days_high)
    };
    assert_eq!(window("Crocodylus palustris"), (55.0, 75.0));
    assert_eq!(window("Pelodiscus sinensis"), (53.0, 55.0));
    let sex = |name: &str| get(name).sex_determination.as_ref().unwrap().value;
    assert_eq!(sex("Pelodiscus sinensis"), SexDetermination::Genotypic);
    assert_eq!(sex("Chitra chitra"), SexDetermination::Unsettled);
    assert_eq!(sex("Mauremys reevesii"), SexDetermination::TemperatureDependent);
    for name in ["Nilssonia gangetica", "Nilssonia hurum", "Lissemys punctata"] {
        let eggs = get(name).incubation.as_ref().unwrap();
        assert!(eggs.value.diapause, "{name}: eggs that look overdue may be alive");
    }
}

#[test]
fn meruva_knows_its_own_and_its_foreigners() {
    let occurrence = |name: &str| get(name).basin("meruva").unwrap().occurrence.value;
    for name in [
        "Crocodylus palustris",
        "Crocodylus porosus",
        "Gavialis gangeticus",
        "Lissemys punctata",
        "Nilssonia gangetica",
        "Nilssonia hurum",
        "Pangshura tecta",
        "Hardella thurjii",
        "Geoclemys hamiltonii",
        "Indotestudo elongata",
    ] {
        assert_eq!(occurrence(name), Occurrence::Native, "{name}");
    }
    assert_eq!(occurrence("Trachemys scripta"), Occurrence::Introduced);
    assert_eq!(occurrence("Alligator sinensis"), Occurrence::Absent);
    assert_eq!(get("Geoclemys hamiltonii").basin("meruva").unwrap().sensitivity.as_ref().unwrap().value, 2);
    assert!(get("Trachemys scripta").basin("elsewhere").is_none());
}

#[test]
fn sources_are_shown_by_title_and_markers_as_they_stand() {
    let profiles = Profiles::standard();
    let mugger = get("Crocodylus palustris");
    let title = profiles.source_title(&mugger.space.source);
    assert!(title.contains("expert opinion") && title.contains("1997"), "{title}");
    assert_eq!(profiles.source_title(&mugger.adult_size.source), FROM_MEMORY);
    assert_eq!(profiles.source_title(&get("Lissemys punctata").quarantine_days.source), COMMON_PRACTICE);
}

/// A deep copy of the shipped file, to be spoilt.
fn file() -> Value {
    serde_json::from_str(FILE).unwrap()
}

#[test]
fn a_spoilt_file_is_refused_with_the_place() {
    let mut spoilt = file();
    spoilt["species"]["Crocodylus palustris"]["adultSize"]["source"] = json!("hearsay");
    let error = Profiles::from_json(&spoilt.to_string()).unwrap_err();
    assert_eq!(error.faults[0].pointer, "/species/Crocodylus palustris/adultSize/source");
    let mut twice = file();
    twice["species"]["Hardella thurjii"]["synonyms"][0]["value"] = json!("Kachuga kachuga");
    let error = Profiles::from_json(&twice.to_string()).unwrap_err();
    assert_eq!(error.faults.len(), 1);
    assert_eq!(error.faults[0].pointer, "/species/Hardella thurjii/synonyms/0/value");
    assert!(error.to_string().contains("already means Batagur kachuga"), "{error}");
}

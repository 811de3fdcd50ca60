//! What written names mean.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use serde_json::json;

use super::*;

fn resolve(name: &str) -> Resolution {
    Names::standard().resolve(name)
}

fn accepted(name: &str) -> Resolution {
    Resolution::Accepted { accepted: name.into() }
}

fn synonym(name: &str) -> Resolution {
    Resolution::Synonym { accepted: name.into() }
}

fn suggestions(name: &str) -> Vec<String> {
    match resolve(name) {
        Resolution::Unknown { suggestions } => suggestions,
        other => panic!("{name} is known: {other:?}"),
    }
}

#[test]
fn accepted_names_mean_themselves_whatever_the_spaces() {
    assert_eq!(resolve("Crocodylus palustris"), accepted("Crocodylus palustris"));
    assert_eq!(resolve("  Crocodylus \t palustris\u{a0} "), accepted("Crocodylus palustris"));
    for profile in Profiles::standard().iter() {
        assert_eq!(resolve(&profile.scientific_name), accepted(&profile.scientific_name));
    }
}

#[test]
fn old_names_of_treaty_texts_mean_the_accepted_species() {
    // Treaty texts to 2013 write Aspideretes for Nilssonia, Kachuga and Callagur for Batagur.
    for (old, new) in [
        ("Kachuga kachuga", "Batagur kachuga"),
        ("Kachuga dhongoka", "Batagur dhongoka"),
        ("Kachuga tecta", "Pangshura tecta"),
        ("Callagur borneoensis", "Batagur borneoensis"),
        ("Aspideretes gangeticus", "Nilssonia gangetica"),
        ("Aspideretes hurum", "Nilssonia hurum"),
        ("Aspideretes nigricans", "Nilssonia nigricans"),
    ] {
        assert_eq!(resolve(old), synonym(new), "{old}");
        assert_eq!(Names::standard().commodity(old), new);
    }
    let slider = Resolution::Subspecies { accepted: "Trachemys scripta".into() };
    assert_eq!(resolve("Trachemys scripta elegans"), slider);
    assert_eq!(Names::standard().commodity("Trachemys scripta elegans"), "Trachemys scripta");
}

#[test]
fn higher_names_list_their_members() {
    let Resolution::Higher { rank: Rank::Genus, members } = resolve("Nilssonia") else { panic!("a genus") };
    let genus = ["formosa", "gangetica", "hurum", "leithii", "nigricans"];
    assert_eq!(members, genus.map(|epithet| format!("Nilssonia {epithet}")));
    let Resolution::Higher { rank: Rank::Order, members } = resolve("Crocodylia") else { panic!("an order") };
    assert_eq!(members.len(), 27);
    let Resolution::Higher { rank: Rank::Family, members } = resolve("Gavialidae") else {
        panic!("a family")
    };
    assert_eq!(members, ["Gavialis gangeticus"]);
    let all = Names::standard().members("Testudines").len() + Names::standard().members("Crocodylia").len();
    assert_eq!(all, Profiles::standard().len());
}

#[test]
fn members_follow_synonyms_and_hybrids_and_know_no_strangers() {
    let of = |name| {
        let members = Names::standard().members(name);
        members.iter().map(|profile| profile.scientific_name.clone()).collect::<Vec<_>>()
    };
    assert_eq!(of("Kachuga kachuga"), ["Batagur kachuga"]);
    assert_eq!(of("Trachemys scripta elegans"), ["Trachemys scripta"]);
    assert_eq!(
        of("Crocodylus porosus x Crocodylus siamensis"),
        ["Crocodylus porosus", "Crocodylus siamensis"]
    );
    assert!(of("Draco volans").is_empty());
    let names = Names::standard();
    assert_eq!(names.profile(" Kachuga kachuga").unwrap().scientific_name, "Batagur kachuga");
    assert!(names.profile("Nilssonia").is_none());
}

#[test]
fn hybrids_are_counted_under_the_accepted_names_of_both_parents() {
    let names = Names::standard();
    for written in [
        "Crocodylus porosus x Crocodylus siamensis",
        " Crocodylus porosus \u{d7} Crocodylus  siamensis ",
        "Crocodylus porosus X Crocodylus siamensis",
    ] {
        assert_eq!(names.commodity(written), "Crocodylus porosus x Crocodylus siamensis");
    }
    assert_eq!(names.commodity("Kachuga kachuga x Draco volans"), "Batagur kachuga x Draco volans");
    let parents = vec!["Batagur kachuga".to_owned(), "Draco volans".to_owned()];
    assert_eq!(resolve("Kachuga kachuga x Draco volans"), Resolution::Hybrid { parents });
}

#[test]
fn an_unknown_name_is_its_own_commodity() {
    let names = Names::standard();
    for (written, counted) in [
        ("  Draco volans ", "Draco volans"),
        ("crocodylus palustris", "crocodylus palustris"),
        ("mugger", "mugger"),
        ("Testudines", "Testudines"),
        (" Nilssonia ", "Nilssonia"),
        ("Crocodylus  palustris", "Crocodylus palustris"),
        ("", ""),
        ("x", "x"),
        (" x ", "x"),
        (
            "\u{9ac}\u{9be}\u{99f}\u{9be}\u{997}\u{9c1}\u{9b0}",
            "\u{9ac}\u{9be}\u{99f}\u{9be}\u{997}\u{9c1}\u{9b0}",
        ),
    ] {
        assert_eq!(names.commodity(written), counted, "{written:?}");
    }
    assert!(matches!(names.commodity("Crocodylus palustris"), Cow::Borrowed(_)));
    assert!(matches!(names.commodity("Kachuga kachuga"), Cow::Borrowed(_)));
}

#[test]
fn a_commodity_is_counted_under_itself() {
    let names = Names::standard();
    for name in names.scientific.keys() {
        let once = names.commodity(name);
        assert_eq!(names.commodity(&once), once, "{name}");
    }
}

#[test]
fn slips_are_answered_with_suggestions() {
    assert_eq!(suggestions("Crocodilus palustris")[0], "Crocodylus palustris");
    assert_eq!(suggestions("crocodylus palustris")[0], "Crocodylus palustris");
    assert_eq!(suggestions("Lissemys puntcata")[0], "Lissemys punctata");
    assert_eq!(suggestions("Kachuga kachua")[0], "Batagur kachuga");
    assert_eq!(suggestions("Nilsonia gangeticus")[0], "Nilssonia gangetica");
    assert_eq!(suggestions("Nilssonia sp.")[0], "Nilssonia");
    assert_eq!(suggestions("testudines")[0], "Testudines");
    assert_eq!(suggestions("gharrial")[0], "Gavialis gangeticus");
    assert!(suggestions("Crocodilus palustris").len() <= 3);
    assert!(suggestions("Panthera tigris").is_empty(), "{:?}", suggestions("Panthera tigris"));
    assert!(suggestions("").is_empty());
    assert!(suggestions(&"Crocodilus palustris".repeat(50_000)).is_empty());
}

#[test]
fn everyday_names_are_understood_or_asked_back() {
    let common = |name: &str| Resolution::Common { accepted: name.into() };
    assert_eq!(resolve("MUGGER"), common("Crocodylus palustris"));
    assert_eq!(resolve("red crowned roofed turtle"), common("Batagur kachuga"));
    assert_eq!(resolve("leith\u{2019}s softshell turtle"), common("Nilssonia leithii"));
    assert_eq!(resolve("gharial"), common("Gavialis gangeticus"));
    assert_eq!(resolve("false gharial"), common("Tomistoma schlegelii"));
    let ask = |names: &[&str]| Resolution::AmbiguousCommon {
        candidates: names.iter().map(|name| (*name).to_owned()).collect(),
    };
    assert_eq!(resolve("River terrapin"), ask(&["Batagur affinis", "Batagur baska"]));
    assert_eq!(resolve("peacock softshell"), ask(&["Nilssonia formosa", "Nilssonia hurum"]));
    assert_eq!(resolve("star tortoise"), ask(&["Geochelone elegans", "Geochelone platynota"]));
    let Resolution::AmbiguousCommon { candidates } = resolve("softshell turtle") else { panic!("asks back") };
    assert!(candidates.contains(&"Nilssonia gangetica".to_owned()) && candidates.len() > 15);
    assert!(matches!(resolve("Kachuga"), Resolution::AmbiguousCommon { .. }), "a genus no longer used");
}

#[test]
fn everyday_names_of_several_species_cover_known_names() {
    let names = Names::standard();
    for (name, covers) in Profiles::standard().general_names() {
        for covered in covers {
            assert!(names.scientific.contains_key(covered), "{name} covers {covered}");
        }
        assert!(matches!(names.resolve(name), Resolution::AmbiguousCommon { .. }), "{name} asks back");
    }
    // One profile of the genus, but more species than that: still asks back.
    let candidates = vec!["Graptemys pseudogeographica".to_owned()];
    assert_eq!(names.resolve("map turtle"), Resolution::AmbiguousCommon { candidates });
}

#[test]
fn a_longer_list_adds_names_and_takes_none() {
    let entry = |value| serde_json::from_value::<NameEntry>(value).unwrap();
    let list = [
        entry(
            json!({ "scientificName": "Chelodina longicollis", "order": "Testudines", "family": "Chelidae",
            "synonyms": ["Testudo longicollis"], "commonNames": ["eastern long-necked turtle"] }),
        ),
        entry(json!({ "scientificName": "Crocodylus palustris", "order": "Crocodylia",
            "family": "Crocodylidae", "commonNames": ["magar"] })),
    ];
    let names = Names::with_list(Profiles::standard(), "meruva.1", &list).unwrap();
    assert_eq!(names.resolve("Chelodina longicollis"), accepted("Chelodina longicollis"));
    assert_eq!(names.commodity("Testudo longicollis"), "Chelodina longicollis");
    assert_eq!(names.resolve("magar"), Resolution::Common { accepted: "Crocodylus palustris".into() });
    assert!(names.members("Chelodina longicollis").is_empty(), "a name without a profile");
    assert!(matches!(names.resolve("Chelidae"), Resolution::Higher { rank: Rank::Family, .. }));
    assert_eq!(names.version(), "2025-09/1.0+meruva.1");
    assert_eq!(Names::standard().version(), "2025-09/1.0");

    let clash = [
        entry(json!({ "scientificName": "Kachuga kachuga", "order": "Testudines", "family": "Geoemydidae" })),
        entry(json!({ "scientificName": "Chelodina longicollis", "order": "Testudines",
            "family": "Chelidae", "synonyms": ["Aspideretes hurum"] })),
    ];
    let error = Names::with_list(Profiles::standard(), "meruva.2", &clash).unwrap_err();
    let pointers: Vec<&str> = error.faults.iter().map(|fault| fault.pointer.as_str()).collect();
    assert_eq!(pointers, ["/0/scientificName", "/1/synonyms/0"]);
}

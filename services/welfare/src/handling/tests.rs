//! Cards, from the outside.

use haulout_schemas::vocabulary::{LengthMeasure, LengthMethod};

use super::*;

fn profile(name: &str) -> &'static Profile {
    Profiles::standard().get(name).unwrap()
}

fn long(metre: f64, measure: LengthMeasure) -> Handled {
    let length =
        envelope::Length { value: metre, measure, method: LengthMethod::ByEye, low: None, high: None };
    Handled { length_metre: Some(length), ..Handled::default() }
}

fn of(name: &str, handled: &Handled) -> Card {
    card(Subject::Species(profile(name)), handled).unwrap()
}

fn words(card: &Card, part: Part) -> String {
    let section = card.sections.iter().find(|section| section.part == part).unwrap();
    section.lines.iter().map(|line| line.text.as_ref()).collect::<Vec<_>>().join(" ")
}

/// Common practice: below 1 m by hand, tongs, noose or net; larger by noose, trap or net, never by hand.
#[test]
fn crocodilians_by_their_length() {
    let small = of("Crocodylus palustris", &long(0.99, LengthMeasure::TotalLength));
    let large = of("Crocodylus palustris", &long(1.0, LengthMeasure::TotalLength));
    assert!(words(&small, Part::Catch).contains("by hand, tongs"));
    assert!(words(&large, Part::Catch).contains("never by hand"));
    assert!(words(&large, Part::Cover).contains("nostrils left free"));
    // 0.6 m from snout to vent are 1.2 m in all (from memory): a large one.
    let vent = of("Crocodylus palustris", &long(0.6, LengthMeasure::SnoutVentLength));
    assert!(words(&vent, Part::Catch).contains("never by hand") && vent.unknown.is_empty());
}

/// Over 1.5 m two, over 2.5 m four (from memory); local code raises the number and never lowers it.
#[test]
fn the_least_number_of_people() {
    let least = |metre: f64, local: Option<u8>| {
        let handled = Handled { local_least_people: local, ..long(metre, LengthMeasure::TotalLength) };
        let people = of("Crocodylus palustris", &handled).people;
        assert!(people.caution.contains("never a recommendation"));
        (people.least, people.grounds.is_from_memory())
    };
    assert_eq!(least(0.8, None), (1, true));
    assert_eq!(least(1.6, None), (2, true));
    assert_eq!(least(2.6, None), (4, true));
    assert_eq!(least(2.6, Some(6)), (6, false));
    assert_eq!(least(2.6, Some(2)), (4, true));
}

/// What is not known is the worst of its kind, and said so.
#[test]
fn unknown_length_and_species() {
    let unknown = of("Crocodylus palustris", &Handled::default());
    assert_eq!((unknown.people.least, unknown.unknown[0].code), (4, "length-unknown"));
    assert!(words(&unknown, Part::Catch).contains("never by hand"));
    let group = card(Subject::Group(Group::Softshell, Profiles::standard()), &Handled::default()).unwrap();
    assert_eq!(group.scientific_name, None);
    assert!(group.unknown.iter().any(|refusal| refusal.code == "species-unknown"));
    let nothing = Profiles::from_json(
        r#"{"version":"1","nameList":"1","sources":{},"generalNames":{},"defaults":{},"species":{}}"#,
    )
    .unwrap();
    let empty = card(Subject::Group(Group::Tortoise, &nothing), &Handled::default());
    assert_eq!(empty.unwrap_err().code, "group-empty");
    assert_eq!(
        card(Subject::Species(profile("Crocodylus palustris")), &long(-1.0, LengthMeasure::TotalLength))
            .unwrap_err()
            .code,
        "length"
    );
}

/// Common practice: a turtle is never turned on its back; hard shells are held at the sides, soft
/// ones at the rear.
#[test]
fn turtles() {
    let hard = of("Batagur kachuga", &long(0.3, LengthMeasure::StraightCarapaceLength));
    assert!(words(&hard, Part::Never).contains("Never on its back"));
    assert!(words(&hard, Part::Hold).contains("between fore and hind limbs"));
    let soft = of("Nilssonia gangetica", &long(0.3, LengthMeasure::StraightCarapaceLength));
    assert!(words(&soft, Part::Hold).contains("rear of the shell with both hands"));
    assert!(words(&soft, Part::Never).contains("by the tail"));
    assert!(words(&soft, Part::WaterLoss).contains("plan fluids"));
    assert!(words(&soft, Part::Zoonosis).contains("Salmonella"));
}

#[test]
fn hooks_and_tape_come_first_and_a_decline_is_no_line() {
    let injuries = ["long hooks in the jaw", "tape round limbs", "decline in weight"];
    let handled = Handled { injuries: injuries.map(str::to_owned).to_vec(), ..Handled::default() };
    let card = of("Nilssonia gangetica", &handled);
    let lines = &card.sections.iter().find(|section| section.part == Part::ReportFirst).unwrap().lines;
    assert!(lines[0].text.starts_with("Told: a hook or line"), "{lines:?}");
    assert!(lines[1].text.starts_with("Told: tape, cord or wire"));
    assert!(lines[2].text.starts_with("Told: decline in weight."));
    assert!(lines[3].text.starts_with("Look for spits, hooks"));
}

#[test]
fn cautions_first_daylight_and_one_page_of_text() {
    let card = of("Crocodylus palustris", &long(3.2, LengthMeasure::TotalLength));
    assert!(card.sections.is_sorted_by_key(|section| section.part));
    assert_eq!(card.sections[0].part, Part::Cautions);
    assert!(words(&card, Part::Light).starts_with("By daylight"));
    let danger = Handled { people_in_danger: true, ..long(3.2, LengthMeasure::TotalLength) };
    assert!(words(&of("Crocodylus palustris", &danger), Part::Light).contains("people away first"));
    let text = card.to_string();
    assert!(text.contains("no fewer than 4") && text.contains("(m)"), "{text}");
    assert!(!text.contains("is safe "), "nothing is called safe");
    // A page of A4 at 90 signs a line holds some 60 lines.
    let printed: usize = text.lines().map(|line| line.len().div_ceil(90).max(1)).sum();
    assert!(printed <= 60, "{printed} lines");
}

/// Every group has a card with every part, each with something to say.
#[test]
fn every_group_has_every_part() {
    for group in Group::ALL {
        let card = card(Subject::Group(group, Profiles::standard()), &Handled::default()).unwrap();
        assert_eq!(card.sections.len(), 11);
        assert!(card.sections.iter().all(|section| !section.lines.is_empty()), "{group:?}");
    }
}

/// Common practice: a large hard-shelled turtle by one hand on each side or behind the head and above the
/// tail, its head away; nobody reaches across it; gloves keep off scratches; eyes of a caught crocodilian
/// are covered, its nostrils never.
#[test]
fn large_turtles_and_what_people_wear() {
    let large = of("Batagur kachuga", &long(0.45, LengthMeasure::StraightCarapaceLength));
    assert!(words(&large, Part::Hold).contains("behind the head and above the tail"));
    assert!(words(&large, Part::Hold).contains("the head away from the handler"));
    assert!(words(&large, Part::Never).contains("Never reach across a large turtle"));
    assert!(words(&large, Part::Wear).contains("Gloves"));
    let mugger = of("Crocodylus palustris", &long(2.0, LengthMeasure::TotalLength));
    assert!(words(&mugger, Part::Never).contains("Never cover the nostrils"));
    // A larger animal never needs fewer people.
    let least = |metre| of("Crocodylus palustris", &long(metre, LengthMeasure::TotalLength)).people.least;
    let steps: Vec<u8> = (2..=55).map(|tenth| least(f64::from(tenth) / 10.0)).collect();
    assert!(steps.is_sorted(), "{steps:?}");
}

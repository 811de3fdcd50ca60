//! 2 July 2026, 01:20: a mugger of 3 to 3.5 m in a brickworks pond.

use haulout_placement::{Change, Verdict};
use haulout_schemas::profile::FROM_MEMORY;
use haulout_schemas::profile::RelationKind;
use haulout_schemas::vocabulary::LengthMeasure;

use crate::basin::{answer, check, first_night};

#[test]
fn kolvani_is_the_only_place() {
    let answer = answer(&first_night());
    assert_eq!(answer.species, ["Crocodylus palustris"]);
    assert!(answer.waived.is_empty());
    let [option] = answer.options.as_slice() else {
        panic!("{:?}", answer.options);
    };
    assert_eq!((option.centre_id.as_str(), option.unit_id.as_str()), ("meruva.kolvani", "K2"));
    let room = check(&answer, "meruva.kolvani", "room").unwrap();
    let water = room.figures.iter().find(|figure| figure.name == "water").unwrap();
    assert_eq!((water.needed, water.available), (Some(61.25), Some(70.0)));
    let [conversion] = option.conversions.as_slice() else {
        panic!("{:?}", option.conversions);
    };
    assert_eq!(
        (conversion.from, conversion.to, conversion.kind),
        (LengthMeasure::TotalLength, LengthMeasure::SnoutVentLength, RelationKind::Mean)
    );
    assert_eq!((conversion.from_metre, conversion.to_metre), (3.5, 1.75));
    assert_eq!(conversion.source, FROM_MEMORY);
    assert!(option.checks.iter().all(|check| check.verdict == Verdict::Pass));
}

/// Each centre's first reason, and all of its reasons, by hand from the figures of the file.
#[test]
fn the_others_say_why_not() {
    let answer = answer(&first_night());
    let told: Vec<(&str, &str, Vec<&str>)> = answer
        .excluded
        .iter()
        .map(|one| {
            let codes = one.failed.iter().map(|check| check.code.as_str());
            (one.centre_id.as_str(), one.reason.as_str(), codes.collect())
        })
        .collect();
    assert_eq!(
        told,
        [
            (
                "meruva.ombari",
                "Crocodylus palustris of 3.5 m needs 4 trained people; Ombari has no such crew tonight",
                vec!["crew"]
            ),
            (
                "meruva.desharu",
                "D1 stops at 2.5 m total length; Crocodylus palustris may have 3.5 m",
                vec!["length-limit", "room", "crew"]
            ),
            (
                "meruva.saivera",
                "S1 holds male Crocodylus porosus: Crocodylus palustris lives with its own species only",
                vec!["living-together", "quarantine-batch", "room"]
            ),
            (
                "meruva.velitha",
                "Velitha may keep Testudines only, not Crocodylus palustris",
                vec!["licence", "unit-suits", "room", "crew"]
            ),
            (
                "meruva.thulmar",
                "Thulmar may keep Testudinidae only, not Crocodylus palustris",
                vec!["licence", "unit-suits", "living-together", "quarantine-batch", "room", "crew"]
            ),
        ]
    );
}

#[test]
fn saivera_could_if_its_male_moved() {
    let answer = answer(&first_night());
    let saivera = answer.excluded.iter().find(|one| one.centre_id == "meruva.saivera").unwrap();
    assert_eq!(saivera.unit_id.as_deref(), Some("S1"));
    assert_eq!(saivera.changes, [Change::Remove { path: "/units/12/occupants/0".to_owned() }]);
}

#[test]
fn every_centre_comes_out_once() {
    let answer = answer(&first_night());
    let mut centres: Vec<&str> = answer
        .options
        .iter()
        .chain(&answer.waived)
        .map(|one| one.centre_id.as_str())
        .chain(answer.excluded.iter().map(|one| one.centre_id.as_str()))
        .collect();
    centres.sort_unstable();
    assert_eq!(
        centres,
        [
            "meruva.desharu",
            "meruva.kolvani",
            "meruva.ombari",
            "meruva.saivera",
            "meruva.thulmar",
            "meruva.velitha"
        ]
    );
}

//! Crates and loads, from the outside.

use haulout_schemas::profile::Profiles;
use haulout_schemas::vocabulary::LengthMethod;

use super::*;

fn profile(name: &str) -> &'static Profile {
    Profiles::standard().get(name).unwrap()
}

fn body(metre: f64, measure: LengthMeasure) -> Body {
    Body {
        length_metre: envelope::Length {
            value: metre,
            measure,
            method: LengthMethod::Taped,
            low: None,
            high: None,
        },
        width_metre: Some(Metres::new(0.40).unwrap()),
        height_metre: Some(Metres::new(0.30).unwrap()),
        mass_kilogram: Some(Kilograms::new(130.0).unwrap()),
        crate_kilogram: Some(Kilograms::new(60.0).unwrap()),
    }
}

fn texts(plan: &CratePlan) -> String {
    plan.advice.iter().map(|advice| advice.text.as_ref()).collect::<Vec<_>>().join(" ")
}

/// By hand for the mugger of 3.38 m: 3.718 by 0.48 by 0.39 m; 190 kg are eight people of 25 kg.
#[test]
fn a_mugger_of_the_brickworks() {
    let plan = crate_for(profile("Crocodylus palustris"), &body(3.38, LengthMeasure::TotalLength)).unwrap();
    assert!((plan.inner.length_metre.m() - 3.718).abs() < 1e-9);
    assert!((plan.inner.width_metre.unwrap().m() - 0.48).abs() < 1e-9);
    assert!((plan.inner.height_metre.unwrap().m() - 0.39).abs() < 1e-9);
    assert_eq!((plan.lift.unwrap().least_people, plan.unknown.len()), (8, 0));
    assert!(texts(&plan).contains("cannot turn") && texts(&plan).contains("no sedation"));
    // From head to tail by the head: 30 cm are 204.01 cm (Mobaraki and others).
    let head = crate_for(profile("Crocodylus palustris"), &body(0.30, LengthMeasure::HeadLength)).unwrap();
    assert!((head.inner.length_metre.m() - 2.0401 * 1.1).abs() < 1e-9);
}

#[test]
fn turtles_and_what_is_not_known() {
    let mut small = body(0.3, LengthMeasure::StraightCarapaceLength);
    small.mass_kilogram = Some(Kilograms::new(3.0).unwrap());
    small.crate_kilogram = Some(Kilograms::new(2.0).unwrap());
    let plan = crate_for(profile("Nilssonia gangetica"), &small).unwrap();
    assert_eq!(plan.lift.unwrap().least_people, 2);
    assert!(texts(&plan).contains("Moist padding") && texts(&plan).contains("It bites"));
    let tortoise = crate_for(profile("Indotestudo elongata"), &small).unwrap();
    assert!(texts(&tortoise).contains("Dry padding") && !texts(&tortoise).contains("Moist"));
    small.width_metre = None;
    small.mass_kilogram = None;
    let plan = crate_for(profile("Nilssonia gangetica"), &small).unwrap();
    let codes: Vec<_> = plan.unknown.iter().map(|refusal| refusal.code).collect();
    assert_eq!((codes, plan.lift, plan.inner.width_metre), (vec!["body-side", "mass-unknown"], None, None));
    let plastron = body(0.3, LengthMeasure::PlastronLength);
    let refused = crate_for(profile("Nilssonia gangetica"), &plastron).unwrap_err();
    assert_eq!(refused.code, "length-measure");
}

/// By hand at 25 kg a person (a proposal): never fewer than two, and the next full one from there.
#[test]
fn more_mass_never_needs_fewer_people() {
    let people = |kg: f64| lifters(Kilograms::new(kg).unwrap());
    assert_eq!((people(0.5), people(50.0), people(50.1), people(130.0)), (2, 2, 3, 6));
    let steps: Vec<u32> = (1..400).map(|kg| people(f64::from(kg))).collect();
    assert!(steps.is_sorted());
}

/// CITES packers' guideline Rp/3: two species in one compartment are refused, and the sedated too.
#[test]
fn loads_that_are_refused() {
    let compartment = |species: &[&str]| Compartment {
        label: "A".into(),
        species: species.iter().map(|name| (*name).to_owned()).collect(),
        known_compatible: false,
        sedated: false,
    };
    let codes = |load: Compartment| against(&[load]).iter().map(|found| found.code).collect::<Vec<_>>();
    assert_eq!(codes(compartment(&["Batagur kachuga", "Lissemys punctata"])), ["two-species"]);
    assert_eq!(codes(compartment(&["Batagur kachuga"])), [""; 0]);
    assert_eq!(codes(compartment(&["Batagur kachuga", "Batagur kachuga"])), ["company-unknown"]);
    let known =
        Compartment { known_compatible: true, ..compartment(&["Batagur kachuga", "Batagur kachuga"]) };
    assert_eq!(codes(known), [""; 0]);
    assert_eq!(codes(Compartment { sedated: true, ..compartment(&["Batagur kachuga"]) }), ["sedated"]);
}

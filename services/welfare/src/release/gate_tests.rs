//! The gate, from the outside.

use haulout_schemas::profile::Profiles;

use super::*;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn mugger() -> &'static Profile {
    Profiles::standard().get("Crocodylus palustris").unwrap()
}

/// A mugger of the Meruva, everything in order on 22 September.
fn ready() -> Candidates {
    let read = |number: &str| MarkSeen {
        mark_number: number.into(),
        last_read: Some(day("2026-09-15")),
        others_with_it: 0,
    };
    let favourable = |on| Assessed { on: day(on), favourable: Known::Yes, by_veterinarian: true };
    Candidates {
        on: day("2026-09-22"),
        animals: 1,
        region: "meruva".into(),
        permits: vec![PermitSeen {
            permit_number: "RP-1".into(),
            by_authority: true,
            names_species: true,
            names_holder: true,
            valid_from: Some(day("2026-01-01")),
            valid_through: Some(day("2026-12-31")),
            left: 2,
        }],
        certificates: vec![CertificateSeen {
            certificate_number: Some("HC-7".into()),
            by_veterinarian: true,
            issued: day("2026-09-18"),
            valid_through: Some(day("2026-09-22")),
        }],
        fitness: Some(favourable("2026-09-18")),
        disease: Some(favourable("2026-09-01")),
        quarantine_ended: Known::Yes,
        marks: vec![Marked {
            animal: "S-14".into(),
            implant: Some(read("356000000012345")),
            visual: Some(read("L3-R1")),
        }],
        site: Some(SiteSeen {
            assessed_on: day("2026-08-30"),
            habitat: Known::Yes,
            species_history: Known::Yes,
            basin_of_origin: Known::Yes,
        }),
        in_season: Known::Yes,
        bound_by_case: Known::No,
        validity: Validity::default(),
    }
}

/// The points that are not met.
fn open(wanted: &Candidates) -> Vec<(Asked, Stands, Option<Supplier>)> {
    let gate = gate(mugger(), wanted).unwrap();
    assert_eq!(gate.points.len(), 12);
    let open = gate.points.iter().filter(|point| point.stands != Stands::Met);
    let open: Vec<_> = open.map(|point| (point.asked, point.stands, point.supplier)).collect();
    assert_eq!(gate.no_reason_found_against, open.is_empty());
    open
}

#[test]
fn nothing_found_against() {
    assert_eq!(open(&ready()), []);
    let told = gate(mugger(), &ready()).unwrap();
    assert!(told.points.iter().any(|point| point.found.contains("would allow 1 more")));
    assert!(told.caution.contains("no permission"));
}

#[test]
fn each_point_by_itself() {
    use Stands::{Against, Missing};
    use Supplier::{Authority, CaseHolder, Centre, SiteAssessor, Veterinarian};
    let case = |change: fn(&mut Candidates), asked, stands, supplier| {
        let mut wanted = ready();
        change(&mut wanted);
        assert_eq!(open(&wanted), [(asked, stands, Some(supplier))]);
    };
    case(|w| w.permits.clear(), Asked::Permit, Missing, Authority);
    case(|w| w.permits[0].by_authority = false, Asked::Permit, Missing, Authority);
    case(|w| w.permits[0].names_species = false, Asked::Permit, Missing, Authority);
    case(|w| w.permits[0].names_holder = false, Asked::Permit, Missing, Authority);
    case(|w| w.permits[0].left = 0, Asked::Permit, Missing, Authority);
    case(|w| w.permits[0].valid_through = Some(day("2026-09-21")), Asked::Permit, Missing, Authority);
    case(|w| w.permits[0].valid_from = Some(day("2026-09-23")), Asked::Permit, Missing, Authority);
    case(|w| w.bound_by_case = Known::Yes, Asked::CaseProperty, Against, CaseHolder);
    case(|w| w.bound_by_case = Known::Unknown, Asked::CaseProperty, Missing, Centre);
    case(|w| w.certificates[0].by_veterinarian = false, Asked::HealthCertificate, Missing, Veterinarian);
    case(
        |w| w.certificates[0].valid_through = Some(day("2026-09-21")),
        Asked::HealthCertificate,
        Missing,
        Veterinarian,
    );
    case(|w| w.certificates[0].valid_through = None, Asked::HealthCertificate, Missing, Veterinarian);
    case(|w| w.fitness = None, Asked::Fitness, Missing, Veterinarian);
    case(|w| w.validity.fitness_days = 3, Asked::Fitness, Missing, Veterinarian);
    case(|w| w.disease.as_mut().unwrap().favourable = Known::No, Asked::Disease, Against, Veterinarian);
    case(|w| w.disease.as_mut().unwrap().by_veterinarian = false, Asked::Disease, Missing, Veterinarian);
    case(|w| w.quarantine_ended = Known::No, Asked::Quarantine, Against, Veterinarian);
    case(|w| w.marks.clear(), Asked::Marks, Missing, Centre);
    case(|w| w.marks[0].visual = None, Asked::Marks, Missing, Centre);
    case(|w| w.marks[0].implant.as_mut().unwrap().others_with_it = 1, Asked::Marks, Missing, Centre);
    case(|w| w.marks[0].visual.as_mut().unwrap().last_read = None, Asked::Marks, Missing, Centre);
    case(|w| w.site.as_mut().unwrap().habitat = Known::No, Asked::SiteHabitat, Against, SiteAssessor);
    case(
        |w| w.site.as_mut().unwrap().species_history = Known::Unknown,
        Asked::SiteHistory,
        Missing,
        SiteAssessor,
    );
    case(|w| w.site.as_mut().unwrap().basin_of_origin = Known::No, Asked::BasinOfOrigin, Against, Centre);
    let mut later = ready();
    later.site.as_mut().unwrap().assessed_on = day("2026-09-23");
    assert_eq!(
        open(&later).iter().map(|point| point.0).collect::<Vec<_>>(),
        [Asked::SiteHabitat, Asked::SiteHistory, Asked::BasinOfOrigin]
    );
    case(|w| w.in_season = Known::No, Asked::Season, Against, Veterinarian);
    case(|w| w.region = "elsewhere".into(), Asked::Species, Missing, Authority);
}

#[test]
fn what_is_not_native_is_not_set_free() {
    let slider = Profiles::standard().get("Trachemys scripta").unwrap();
    let told = gate(slider, &ready()).unwrap();
    assert_eq!((told.points[0].asked, told.points[0].stands), (Asked::Species, Stands::Against));
}

#[test]
fn nobody_and_too_many_marks() {
    let code = |wanted: &Candidates| gate(mugger(), wanted).unwrap_err().code;
    assert_eq!(code(&Candidates { animals: 0, ..ready() }), "nobody");
    let mut two = ready();
    two.marks.push(two.marks[0].clone());
    assert_eq!(code(&two), "marks-above-animals");
}

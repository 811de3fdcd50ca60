//! Rules about the animal, wherever it goes.

use haulout_placement::Verdict::{CannotCheck, Fail, Pass};
use serde_json::json;

use super::Row;

pub fn the_animal() -> Vec<Row> {
    vec![
        ("species-known", "a species", vec![], Pass),
        ("species-known", "a genus", vec![("/requests/0/scientificName", json!("Gavialis"))], Pass),
        (
            "species-known",
            "nobody knows the name",
            vec![("/requests/0/scientificName", json!("Crocodylus ignotus"))],
            CannotCheck,
        ),
        (
            "species-known",
            "an everyday name",
            vec![("/requests/0/scientificName", json!("mugger"))],
            CannotCheck,
        ),
        (
            "species-known",
            "one parent unknown",
            vec![("/requests/0/scientificName", json!("Crocodylus palustris x Crocodylus ignotus"))],
            CannotCheck,
        ),
        ("species-known", "eggs of it", vec![("/requests/0/lifeStage", json!("egg"))], Pass),
        ("custody", "none reported", vec![], Pass),
        (
            "custody",
            "not case property",
            vec![("/requests/0/custody", json!({ "caseProperty": "no" }))],
            Pass,
        ),
        (
            "custody",
            "leave through the day",
            vec![(
                "/requests/0/custody",
                json!({ "caseProperty": "yes", "leave": { "orderNumber": "O-1", "endDate": "2026-07-02" } }),
            )],
            Pass,
        ),
        (
            "custody",
            "leave ended the day before",
            vec![(
                "/requests/0/custody",
                json!({ "caseProperty": "yes", "leave": { "orderNumber": "O-1", "endDate": "2026-07-01" } }),
            )],
            Fail,
        ),
        (
            "custody",
            "leave for another centre",
            vec![(
                "/requests/0/custody",
                json!({ "caseProperty": "yes", "leave": { "orderNumber": "O-1", "partyIDs": ["meruva.saivera"] } }),
            )],
            Fail,
        ),
        ("custody", "no leave", vec![("/requests/0/custody", json!({ "caseProperty": "yes" }))], Fail),
        (
            "custody",
            "nobody knows",
            vec![("/requests/0/custody", json!({ "caseProperty": "unknown" }))],
            CannotCheck,
        ),
        ("fit-to-travel", "fit", vec![], Pass),
        (
            "fit-to-travel",
            "unknown, on a vet's word",
            vec![("/requests/0/fitToTravel", json!({ "fit": "unknown", "vetsWord": "A-7" }))],
            Pass,
        ),
        ("fit-to-travel", "not fit", vec![("/requests/0/fitToTravel", json!({ "fit": "no" }))], Fail),
        (
            "fit-to-travel",
            "nobody knows",
            vec![("/requests/0/fitToTravel", json!({ "fit": "unknown" }))],
            CannotCheck,
        ),
        (
            "never-release",
            "native, into a programme",
            vec![("/requests/0/releaseProgramme", json!(true))],
            Pass,
        ),
        (
            "never-release",
            "Trachemys, for life",
            vec![("/requests/0/scientificName", json!("Trachemys scripta"))],
            Pass,
        ),
        (
            "never-release",
            "Trachemys, into a programme",
            vec![
                ("/requests/0/scientificName", json!("Trachemys scripta")),
                ("/requests/0/releaseProgramme", json!(true)),
            ],
            Fail,
        ),
        (
            "never-release",
            "an order that holds Trachemys",
            vec![
                ("/requests/0/scientificName", json!("Testudines")),
                ("/requests/0/releaseProgramme", json!(true)),
            ],
            Fail,
        ),
        (
            "never-release",
            "unknown: a name nobody knows is for its own rule",
            vec![
                ("/requests/0/scientificName", json!("Crocodylus ignotus")),
                ("/requests/0/releaseProgramme", json!(true)),
            ],
            Pass,
        ),
        ("origin-basin", "none stated", vec![], Pass),
        (
            "origin-basin",
            "its own",
            vec![("/requests/0/basin", json!("meruva")), ("/centres/0/basin", json!("meruva"))],
            Pass,
        ),
        (
            "origin-basin",
            "another",
            vec![("/requests/0/basin", json!("meruva")), ("/centres/0/basin", json!("other"))],
            Fail,
        ),
        (
            "origin-basin",
            "nobody said where the centre lies",
            vec![("/requests/0/basin", json!("meruva"))],
            CannotCheck,
        ),
        (
            "origin-basin",
            "to be set free, origin unknown",
            vec![("/requests/0/releaseProgramme", json!(true))],
            CannotCheck,
        ),
        (
            "vet-level",
            "red, a clinic",
            vec![("/requests/0/triage", json!("red")), ("/centres/0/vetLevel", json!("clinic"))],
            Pass,
        ),
        (
            "vet-level",
            "red, first aid only",
            vec![("/requests/0/triage", json!("red")), ("/centres/0/vetLevel", json!("firstAid"))],
            Fail,
        ),
        (
            "vet-level",
            "yellow, first aid",
            vec![("/requests/0/triage", json!("yellow")), ("/centres/0/vetLevel", json!("firstAid"))],
            Pass,
        ),
        (
            "vet-level",
            "yellow, nobody",
            vec![("/requests/0/triage", json!("yellow")), ("/centres/0/vetLevel", json!("none"))],
            Fail,
        ),
        ("vet-level", "yellow, nobody said", vec![("/requests/0/triage", json!("yellow"))], CannotCheck),
        ("vet-level", "green, nobody said: none is asked for", vec![], Pass),
        (
            "vet-level",
            "the region asks for surgery",
            vec![
                (
                    "/settings",
                    json!({ "vetLevels": { "red": "surgery", "yellow": "surgery", "green": "surgery" } }),
                ),
                ("/centres/0/vetLevel", json!("clinic")),
            ],
            Fail,
        ),
    ]
}

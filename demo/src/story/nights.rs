//! Each night's count of each centre: what a person with a torch and a list would have counted.

use super::Post;
use super::frame::{DESHARU, KOLVANI, OMBARI, SAIVERA, THULMAR, VELITHA, moment, of_centre, revised, when};
use chrono::{Days, NaiveDate};
use serde_json::{Value, json};

/// From this evening on, so many were there: (day, centre, species, stage, number).
const COUNTED: &[(&str, &str, &str, Option<&str>, u32)] = &[
    ("2026-07-02", KOLVANI, "Crocodylus palustris", None, 1),
    ("2026-08-01", KOLVANI, "Gavialis gangeticus", Some("hatchling"), 36),
    ("2026-07-10", DESHARU, "Lissemys punctata", None, 190),
    ("2026-07-20", DESHARU, "Lissemys punctata", None, 188),
    ("2026-07-21", DESHARU, "Lissemys punctata", None, 186),
    ("2026-07-10", DESHARU, "Nilssonia gangetica", None, 16),
    ("2026-06-30", OMBARI, "Gavialis gangeticus", Some("hatchling"), 96),
    ("2026-07-31", OMBARI, "Gavialis gangeticus", Some("hatchling"), 60),
    ("2026-07-10", OMBARI, "Hardella thurjii", None, 18),
    ("2026-07-10", OMBARI, "Geoclemys hamiltonii", None, 9),
    ("2026-09-14", OMBARI, "Nilssonia gangetica", Some("egg"), 38),
    ("2026-07-10", VELITHA, "Nilssonia gangetica", None, 46),
    ("2026-07-10", VELITHA, "Nilssonia hurum", None, 1),
    ("2026-07-10", VELITHA, "Pangshura tecta", None, 31),
    ("2026-08-06", VELITHA, "Trachemys scripta", None, 1),
    ("2026-06-30", THULMAR, "Indotestudo elongata", None, 42),
    ("2026-09-30", THULMAR, "Indotestudo elongata", None, 41),
    ("2026-06-30", SAIVERA, "Crocodylus porosus", None, 1),
    ("2026-08-22", SAIVERA, "Crocodylus palustris", None, 1),
    ("2026-09-22", SAIVERA, "Crocodylus palustris", None, 0),
];

/// A census of every centre for every night of the quarter, and Thulmar's mended one of 4 October.
pub fn posts() -> Vec<Post> {
    let first = NaiveDate::from_ymd_opt(2026, 7, 1).unwrap_or_default();
    let mut posts = Vec::new();
    for day in first.iter_days().take(92) {
        for centre in super::CENTRES {
            let census = census(centre, day);
            posts.push(Post { at: moment(&format!("{day}T22:50")), party: centre, records: vec![census] });
        }
    }
    // On 4 October the missing tortoise walks out of its burrow.
    let last = first + Days::new(91);
    let mended = revised(
        &census(THULMAR, last),
        2,
        json!({
            "revisionReason": "overlooked",
            "lines": [{ "scientificName": "Indotestudo elongata", "individualCount": 42 }],
            "notes": "The missing one walked out of its burrow.",
        }),
    );
    posts.push(Post { at: moment("2026-10-04T20:30"), party: THULMAR, records: vec![mended] });
    posts
}

fn census(centre: &'static str, day: NaiveDate) -> Value {
    let day_text = day.to_string();
    let mut lines: Vec<Value> = Vec::new();
    for (index, (_, _, name, stage, _)) in COUNTED.iter().enumerate() {
        let same = |other: &(&str, &str, &str, Option<&str>, u32)| {
            other.1 == centre && other.2 == *name && other.3 == *stage
        };
        // One line for each species: the newest number that holds on this day.
        if COUNTED.iter().position(same) != Some(index) {
            continue;
        }
        let newest = COUNTED
            .iter()
            .filter(|other| same(other) && other.0 <= day_text.as_str())
            .max_by_key(|other| other.0);
        if let Some((_, _, name, stage, count)) = newest {
            let mut line = json!({ "scientificName": name, "individualCount": count });
            if let Some(stage) = stage {
                line["lifeStage"] = json!(stage);
            }
            lines.push(line);
        }
    }
    of_centre(
        centre,
        &format!("census-{day}"),
        "census",
        &when(&format!("{day}T21:00")),
        json!({
            "method": "headCount", "complete": true, "lines": lines,
        }),
    )
}

//! Drugs that may not have worn off: no reptile travels sedated (CITES packers' guideline Rp/3).
//!
//! Which drugs dull an animal is told by a list from memory; it closes the road,
//! and a drug that is not on it is asked about. How long one lasts in a reptile
//! at its temperature only a veterinarian can say, so no hours are computed: a
//! recovery that was written down, or a veterinarian's word that the animal is
//! fit to travel, ends it.

use chrono::{DateTime, FixedOffset, TimeDelta};

/// Drugs that sedate or anaesthetise, by generic name in lower case. From memory; the veterinarian decides.
const DULLING: [&str; 20] = [
    "acepromazine",
    "alfaxalone",
    "butorphanol",
    "chlorpromazine",
    "detomidine",
    "diazepam",
    "etorphine",
    "gallamine",
    "halothane",
    "isoflurane",
    "ketamine",
    "medetomidine",
    "midazolam",
    "pentobarbital",
    "propofol",
    "sevoflurane",
    "thiopental",
    "tiletamine",
    "xylazine",
    "zolazepam",
];

/// Other drugs are asked about for this long after they were given (a proposal).
pub const ASKED_ABOUT: TimeDelta = TimeDelta::days(7);

/// A drug that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// Its generic name, as written.
    pub drug: String,
    /// When; the end of the day where only a day is known.
    pub at: DateTime<FixedOffset>,
}

/// What a drug means for a departure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// It dulls, and nothing says that it has worn off: the road is closed.
    Dulls,
    /// Not known to dull: the veterinarian is asked.
    Ask,
}

/// Those of the drugs that may not have worn off at an instant, the newest of each name, in the order
/// in which they were given. `cleared`: the last recovery, or word of a veterinarian that the animal is
/// fit to travel.
#[must_use]
pub fn not_worn_off(
    given: &[Given],
    cleared: Option<DateTime<FixedOffset>>,
    now: DateTime<FixedOffset>,
) -> Vec<(&Given, Standing)> {
    let mut found: Vec<(&Given, Standing)> = Vec::new();
    for one in given {
        if one.at > now || cleared.is_some_and(|cleared| cleared >= one.at) {
            continue;
        }
        let standing = if dulls(&one.drug) { Standing::Dulls } else { Standing::Ask };
        if standing == Standing::Ask && now - one.at > ASKED_ABOUT {
            continue;
        }
        found.retain(|(other, _)| !other.drug.eq_ignore_ascii_case(&one.drug) || other.at > one.at);
        if found.iter().all(|(other, _)| !other.drug.eq_ignore_ascii_case(&one.drug)) {
            found.push((one, standing));
        }
    }
    found.sort_by_key(|(one, _)| one.at);
    found
}

/// Whether a name holds one of the list; part of a name, so that `dexmedetomidine HCl` is found.
fn dulls(drug: &str) -> bool {
    let drug = drug.to_lowercase();
    DULLING.iter().any(|known| drug.contains(known))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<FixedOffset> {
        text.parse().unwrap()
    }

    fn given(drug: &str, text: &str) -> Given {
        Given { drug: drug.to_owned(), at: at(text) }
    }

    #[test]
    fn what_dulls_closes_until_a_recovery_and_the_rest_is_asked_about() {
        let list = [
            given("Meloxicam", "2026-07-02T08:00:00+05:30"),
            given("Ketamine HCl", "2026-07-02T09:00:00+05:30"),
            given("dexmedetomidine", "2026-06-02T09:00:00+05:30"),
        ];
        let told = |cleared: Option<&str>, now: &str| -> Vec<(String, Standing)> {
            let found = not_worn_off(&list, cleared.map(at), at(now));
            found.into_iter().map(|(one, standing)| (one.drug.clone(), standing)).collect()
        };
        let name = |drug: &str, standing| (drug.to_owned(), standing);
        assert_eq!(
            told(None, "2026-07-02T12:00:00+05:30"),
            [
                name("dexmedetomidine", Standing::Dulls),
                name("Meloxicam", Standing::Ask),
                name("Ketamine HCl", Standing::Dulls)
            ]
        );
        // Awake again at ten: nothing is left of what was given before.
        assert_eq!(told(Some("2026-07-02T10:00:00+05:30"), "2026-07-02T12:00:00+05:30"), []);
        // Awake between the two: what was given later stays.
        assert_eq!(
            told(Some("2026-07-02T08:30:00+05:30"), "2026-07-02T12:00:00+05:30"),
            [name("Ketamine HCl", Standing::Dulls)]
        );
        // Nine days on nobody asks about the pain killer; time alone never ends a sedation.
        assert_eq!(
            told(Some("2026-06-03T00:00:00Z"), "2026-07-11T12:00:00+05:30"),
            [name("Ketamine HCl", Standing::Dulls)]
        );
        // Before it was given it means nothing.
        assert_eq!(told(Some("2026-06-03T00:00:00Z"), "2026-07-01T12:00:00+05:30"), []);
    }

    #[test]
    fn the_newest_of_each_name_is_told_once() {
        let list = [
            given("ketamine", "2026-07-02T09:00:00+05:30"),
            given("Ketamine", "2026-07-02T07:00:00+05:30"),
            given("ketamine", "2026-07-02T11:00:00+05:30"),
        ];
        let found = not_worn_off(&list, None, at("2026-07-02T12:00:00+05:30"));
        assert_eq!(found, [(&list[2], Standing::Dulls)]);
    }
}

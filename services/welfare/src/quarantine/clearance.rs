//! Whether a batch is clear: days and tests and a veterinarian's word, never one of them alone.
//!
//! What entered after a sample was taken, or after the word was given, is not
//! covered by it. A standing carrier is never cleared by days.

use chrono::{Days, NaiveDate};
use haulout_schemas::profile::{Profile, QuarantineRestart};
use haulout_schemas::records::health::ResultOutcome;
use serde::{Deserialize, Serialize};

use super::{Entry, clear_day, concerns};
use crate::grounds::Grounds;
use crate::refusal::Refusal;

/// A test that is asked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct TestAsked {
    /// The agent looked for.
    pub agent: String,
    /// Negative results that are asked for.
    pub times: u8,
    /// Days that lie between two samples at least.
    pub days_apart: u16,
}

/// A result.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct TestSeen {
    /// The agent looked for.
    pub agent: String,
    /// Day of the sample.
    pub sampled: NaiveDate,
    /// What came of it.
    pub outcome: ResultOutcome,
}

/// A batch in quarantine.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", deny_unknown_fields)]
pub struct Batch {
    /// All that entered its air and water, itself included.
    pub entries: Vec<Entry>,
    /// Days by local code; the species profile's where it is absent, whichever is more.
    pub days: Option<u16>,
    /// Whether it shares water with others: then any reptile restarts the days, unless `restart` says otherwise.
    pub shares_water: bool,
    /// Which newcomer restarts the days, where the region has set it.
    pub restart: Option<QuarantineRestart>,
    /// Tests asked for.
    #[serde(default)]
    pub asked: Vec<TestAsked>,
    /// Results.
    #[serde(default)]
    pub seen: Vec<TestSeen>,
    /// Day on which a veterinarian gave the word that it may end.
    pub veterinarian: Option<NaiveDate>,
    /// Agents of which animals of the batch are known to be standing carriers.
    #[serde(default)]
    pub carriers: Vec<String>,
}

/// How one test stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct TestStands {
    /// The agent.
    pub agent: String,
    /// Negative results that count.
    pub negative: u8,
    /// Of so many.
    pub asked: u8,
    /// Whether a result since the last entry was positive.
    pub positive: bool,
    /// First day on which the next sample counts; absent where all are there or one was positive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_from: Option<NaiveDate>,
}

/// What is due on the day asked about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase", rename_all_fields = "camelCase", tag = "due")]
pub enum Due {
    /// A sample.
    Sample {
        /// For this agent.
        agent: String,
    },
    /// The veterinarian's word: days and tests are there.
    Veterinarian,
    /// The veterinarian on a positive result.
    Positive {
        /// The agent found.
        agent: String,
    },
    /// A plan for standing carriers: no day clears them.
    Carriers {
        /// The agent carried.
        agent: String,
    },
}

/// How a batch stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Clearance {
    /// True where days, tests and veterinarian are there and nobody is a standing carrier: no reason
    /// was found against ending it.
    pub no_reason_found_against: bool,
    /// Last entry that restarts the days.
    pub last_entry: NaiveDate,
    /// First day on which the days are there.
    pub days_on: NaiveDate,
    /// Days asked for.
    pub days: u16,
    /// Whether they are there.
    pub days_done: bool,
    /// Which newcomer restarts them.
    pub restart: QuarantineRestart,
    /// What the days rest on.
    pub grounds: Grounds,
    /// The tests.
    pub tests: Vec<TestStands>,
    /// Whether the veterinarian's word counts.
    pub veterinarian: bool,
    /// Standing carriers, by agent.
    pub carriers: Vec<String>,
    /// What is due on the day.
    pub due: Vec<Due>,
}

/// How a batch of this species stands on a day.
///
/// # Errors
/// No entry that counts up to the day, or a day beyond the calendar.
pub fn clearance(profile: &Profile, batch: &Batch, on: NaiveDate) -> Result<Clearance, Refusal> {
    let what = || format!("quarantine of {}", profile.scientific_name);
    // Shared water makes the wider reading the safer default (common practice).
    let restart = batch.restart.unwrap_or(if batch.shares_water {
        QuarantineRestart::Class
    } else {
        profile.quarantine_restart.value
    });
    let own = profile.quarantine_days.value;
    let (days, grounds) = match batch.days {
        Some(days) if days >= own => (days, Grounds::records("days as stated by local code")),
        _ => (own, Grounds::profile(&profile.quarantine_days.source)),
    };
    let entered: Vec<Entry> = batch.entries.iter().copied().filter(|entry| entry.day <= on).collect();
    let counting = entered.iter().filter(|entry| concerns(restart, entry.order, Some(profile.order)));
    let Some(last_entry) = counting.map(|entry| entry.day).max() else {
        return Err(Refusal::new(
            "nobody-entered",
            what(),
            format!("no entry of the batch is known up to {on}"),
            "post the entry of the batch itself",
        ));
    };
    let days_on = clear_day(&entered, profile.order, days, restart).ok_or_else(|| {
        Refusal::new("calendar", what(), "the calendar ends before its days", "check the year")
    })?;
    let tests: Vec<TestStands> =
        batch.asked.iter().map(|asked| stands(asked, &batch.seen, last_entry, on)).collect();
    let days_done = on >= days_on;
    // A word given before the last newcomer, or before the days were there, knew nothing of them.
    let word = batch.veterinarian.is_some_and(|given| given >= last_entry && given >= days_on && given <= on);
    let tests_done = tests.iter().all(|test| test.negative >= test.asked && !test.positive);
    let mut due: Vec<Due> = Vec::new();
    for test in &tests {
        if test.positive {
            due.push(Due::Positive { agent: test.agent.clone() });
        } else if test.next_from.is_some_and(|from| from <= on) {
            due.push(Due::Sample { agent: test.agent.clone() });
        }
    }
    due.extend(batch.carriers.iter().map(|agent| Due::Carriers { agent: agent.clone() }));
    if days_done && tests_done && !word {
        due.push(Due::Veterinarian);
    }
    Ok(Clearance {
        no_reason_found_against: days_done && tests_done && word && batch.carriers.is_empty(),
        last_entry,
        days_on,
        days,
        days_done,
        restart,
        grounds,
        tests,
        veterinarian: word,
        carriers: batch.carriers.clone(),
        due,
    })
}

/// A test's results since the last entry; one sooner than the days apart does not count again.
fn stands(asked: &TestAsked, seen: &[TestSeen], last_entry: NaiveDate, on: NaiveDate) -> TestStands {
    let mut of_agent: Vec<&TestSeen> = seen
        .iter()
        .filter(|test| test.agent == asked.agent && (last_entry..=on).contains(&test.sampled))
        .collect();
    of_agent.sort_by_key(|test| test.sampled);
    let positive = of_agent.iter().any(|test| test.outcome == ResultOutcome::Positive);
    let mut next = Some(last_entry);
    let mut negative = 0_u8;
    for test in of_agent.iter().filter(|test| test.outcome == ResultOutcome::Negative) {
        if next.is_some_and(|from| test.sampled >= from) {
            negative = negative.saturating_add(1);
            next = test.sampled.checked_add_days(Days::new(asked.days_apart.into()));
        }
    }
    let next_from = next.filter(|_| negative < asked.times && !positive);
    TestStands { agent: asked.agent.clone(), negative, asked: asked.times, positive, next_from }
}

#[cfg(test)]
mod tests {
    use super::*;
    use haulout_schemas::profile::Profiles;
    use haulout_schemas::profile::TaxonOrder::{self, Crocodylia, Testudines};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn entry(at: &str, order: TaxonOrder) -> Entry {
        Entry { day: day(at), order: Some(order) }
    }

    fn seen(at: &str, outcome: ResultOutcome) -> TestSeen {
        TestSeen { agent: "ranavirus".into(), sampled: day(at), outcome }
    }

    /// A turtle batch of 1 January 2025; 90 days are there on 1 April (common practice).
    fn batch() -> Batch {
        Batch {
            entries: vec![entry("2025-01-01", Testudines)],
            days: None,
            shares_water: false,
            restart: None,
            asked: vec![TestAsked { agent: "ranavirus".into(), times: 2, days_apart: 30 }],
            seen: vec![
                seen("2025-01-10", ResultOutcome::Negative),
                seen("2025-02-09", ResultOutcome::Negative),
            ],
            veterinarian: Some(day("2025-04-01")),
            carriers: Vec::new(),
        }
    }

    fn told(batch: &Batch, on: &str) -> Clearance {
        clearance(Profiles::standard().get("Batagur kachuga").unwrap(), batch, day(on)).unwrap()
    }

    #[test]
    fn days_and_tests_and_veterinarian() {
        let clear = told(&batch(), "2025-04-01");
        assert!(clear.no_reason_found_against && clear.due.is_empty(), "{clear:?}");
        assert_eq!((clear.days_on, clear.days), (day("2025-04-01"), 90));
        assert!(!told(&batch(), "2025-03-31").no_reason_found_against, "a day short");
        let early = Batch { veterinarian: Some(day("2025-03-31")), ..batch() };
        assert_eq!(told(&early, "2025-04-01").due, [Due::Veterinarian], "a word given too early");
        let untested = Batch { seen: vec![seen("2025-01-10", ResultOutcome::Negative)], ..batch() };
        assert_eq!(told(&untested, "2025-04-01").due, [Due::Sample { agent: "ranavirus".into() }]);
        assert!(!told(&untested, "2025-04-01").no_reason_found_against);
        // A second sample a day too soon, or one that could not be tested, does not count.
        let soon =
            |second| Batch { seen: vec![seen("2025-01-10", ResultOutcome::Negative), second], ..batch() };
        let negative = |batch: &Batch| told(batch, "2025-04-01").tests[0].negative;
        assert_eq!(negative(&soon(seen("2025-02-08", ResultOutcome::Negative))), 1);
        assert_eq!(negative(&soon(seen("2025-02-09", ResultOutcome::Inconclusive))), 1);
    }

    /// The published dates: a crocodilian on 25 January leaves 30 days of turtles from 20 January at
    /// 19 February by order, and moves them to 24 February by class. Shared water takes the class.
    #[test]
    fn restart_by_order_or_class() {
        let shared = Batch {
            entries: vec![
                entry("2025-01-01", Testudines),
                entry("2025-01-20", Testudines),
                entry("2025-01-25", Crocodylia),
            ],
            asked: Vec::new(),
            shares_water: true,
            ..batch()
        };
        // The profile asks for 90 days; the published dates are for 30, so crocodilians show them.
        let mugger = |batch: &Batch| {
            clearance(Profiles::standard().get("Crocodylus palustris").unwrap(), batch, day("2025-03-01"))
                .unwrap()
        };
        let swapped = Batch {
            entries: vec![
                entry("2025-01-01", Crocodylia),
                entry("2025-01-20", Crocodylia),
                entry("2025-01-25", Testudines),
            ],
            ..shared.clone()
        };
        assert_eq!((mugger(&swapped).days_on, mugger(&swapped).days), (day("2025-02-24"), 30));
        let apart = Batch { shares_water: false, ..swapped.clone() };
        assert_eq!(mugger(&apart).days_on, day("2025-02-19"));
        let set = Batch { restart: Some(QuarantineRestart::Order), ..swapped };
        assert_eq!(mugger(&set).days_on, day("2025-02-19"));
        // By class 90 days from 25 January.
        assert_eq!(told(&shared, "2025-03-01").days_on, day("2025-04-25"));
        // Local code makes it longer, and never shorter.
        assert_eq!(told(&Batch { days: Some(120), ..batch() }, "2025-03-01").days, 120);
        assert_eq!(told(&Batch { days: Some(30), ..batch() }, "2025-03-01").days, 90);
    }

    #[test]
    fn newcomers_void_what_was_before() {
        let mut later = batch();
        later.entries.push(entry("2025-03-15", Testudines));
        let told = told(&later, "2025-04-01");
        assert_eq!((told.tests[0].negative, told.veterinarian), (0, false));
        assert_eq!(told.due, [Due::Sample { agent: "ranavirus".into() }]);
    }

    #[test]
    fn carriers_and_positives_are_not_cleared_by_days() {
        let carrier = Batch { carriers: vec!["herpesvirus".into()], ..batch() };
        let stands = told(&carrier, "2026-04-01");
        assert!(!stands.no_reason_found_against && stands.days_done);
        assert_eq!(stands.due, [Due::Carriers { agent: "herpesvirus".into() }]);
        let mut positive = batch();
        positive.seen.push(seen("2025-03-20", ResultOutcome::Positive));
        let stands = told(&positive, "2025-04-01");
        assert_eq!(stands.due, [Due::Positive { agent: "ranavirus".into() }]);
        assert!(!stands.no_reason_found_against);
        let nobody = Batch { entries: Vec::new(), ..batch() };
        let refused =
            clearance(Profiles::standard().get("Batagur kachuga").unwrap(), &nobody, day("2025-04-01"));
        assert_eq!(refused.unwrap_err().code, "nobody-entered");
    }
}

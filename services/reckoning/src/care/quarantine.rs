//! Each batch in quarantine: days and tests and a veterinarian's word, and what of them is wanting.

use super::{Floor, Line, Task, Told, When};
use crate::findings::{BatchStanding, batch_standing};
use crate::keys::Key;
use haulout_schemas::profile::Profile;
use haulout_schemas::records::health::{LaboratoryResult, ResultOutcome};
use haulout_schemas::{Body, Record};
use haulout_welfare::grounds::Grounds;
use haulout_welfare::quarantine::clearance::{Batch, Clearance, Due, TestAsked, TestSeen, clearance};
use haulout_welfare::refusal::Refusal;
use std::collections::BTreeSet;

/// Agents that an animal once found positive carries for life (from memory): no number of days clears it.
const CARRIED_FOR_LIFE: [&str; 1] = ["herpes"];
const CAUTION: &str = "days alone clear nobody: tests and the veterinarian's word belong to it, and local code may ask for more";

pub(super) fn tell(floor: &Floor<'_>, told: &mut Told) {
    let batches: BTreeSet<Key> = floor
        .records()
        .filter_map(|record| match &record.body {
            Some(Body::Quarantine(step)) => Some(Key::batch(floor.asked.centre, step.batch_id.as_str())),
            _ => None,
        })
        .collect();
    for key in batches {
        let Some(standing) = batch_standing(&key, &floor.held, floor.asked.world) else { continue };
        let Some(profile) = strictest(floor, &standing) else {
            told.unknown.push(Refusal::new(
                "no-profile",
                format!("quarantine of batch {}", standing.batch_id),
                "no profile is known for what entered it, so nobody has said how many days it needs",
                "determine the species, or state its profile in the region file; until then it stays where it is",
            ));
            continue;
        };
        let results = results(floor, &standing);
        let batch = batch(&standing, &results);
        match clearance(profile, &batch, floor.at()) {
            Ok(clearance) => lines(floor, &standing, profile, &clearance, told),
            Err(refusal) => {
                told.unknown.push(Refusal {
                    what: format!("batch {}: {}", standing.batch_id, refusal.what),
                    ..refusal
                });
            }
        }
    }
}

/// Of the species that entered, the one whose days are longest.
fn strictest<'f>(floor: &'f Floor<'_>, standing: &BatchStanding) -> Option<&'f Profile> {
    let names = standing.scientific_names.iter();
    let all = names.flat_map(|name| floor.asked.world.names.members(name));
    all.max_by_key(|profile| profile.quarantine_days.value)
}

/// Results about the batch's animals, lots, units and water.
fn results<'f>(floor: &'f Floor<'_>, standing: &BatchStanding) -> Vec<(&'f Record, &'f LaboratoryResult)> {
    let about = |record: &Record, result: &LaboratoryResult| {
        let frame = &record.envelope;
        frame.organism_id.as_ref().is_some_and(|id| standing.organism_ids.contains(id))
            || frame.lot_id.as_ref().is_some_and(|id| standing.lot_ids.contains(id))
            || result.unit_id.as_ref().is_some_and(|id| standing.units.contains(id.as_str()))
            || result.water_circuit.as_ref().is_some_and(|id| standing.circuits.contains(id.as_str()))
    };
    floor
        .records()
        .filter_map(|record| match &record.body {
            Some(Body::Result(result)) if about(record, result) => Some((record, result)),
            _ => None,
        })
        .collect()
}

/// What was looked for: the agent, or the test where it names none.
fn agent(result: &LaboratoryResult) -> &str {
    result.agent.as_deref().unwrap_or(&result.test)
}

/// The records name no list of tests, so each agent that was looked for once is asked for once since the
/// last entry.
fn batch(standing: &BatchStanding, results: &[(&Record, &LaboratoryResult)]) -> Batch {
    let agents: BTreeSet<&str> = results.iter().map(|(_, result)| agent(result)).collect();
    let carried = |agent: &str| CARRIED_FOR_LIFE.iter().any(|carried| agent.to_lowercase().contains(carried));
    let carriers = results
        .iter()
        .filter(|(record, result)| {
            let of_body = record.envelope.organism_id.is_some() || record.envelope.lot_id.is_some();
            of_body && result.outcome == ResultOutcome::Positive && carried(agent(result))
        })
        .map(|(_, result)| agent(result).to_owned())
        .collect::<BTreeSet<_>>();
    Batch {
        entries: standing.entries.clone(),
        days: standing.days,
        shares_water: standing.shares_water,
        restart: None,
        asked: agents
            .iter()
            .map(|agent| TestAsked { agent: (*agent).to_owned(), times: 1, days_apart: 0 })
            .collect(),
        seen: results
            .iter()
            .map(|(record, result)| TestSeen {
                agent: agent(result).to_owned(),
                sampled: result.collected.as_ref().unwrap_or(&record.envelope.event_date).day(),
                outcome: result.outcome,
            })
            .collect(),
        veterinarian: None,
        carriers: carriers.into_iter().collect(),
    }
}

fn lines(
    floor: &Floor<'_>,
    standing: &BatchStanding,
    profile: &Profile,
    clearance: &Clearance,
    told: &mut Told,
) {
    let at = floor.at();
    let days = if clearance.days_done {
        format!(
            "its {} days were there on {} (last entry {})",
            clearance.days, clearance.days_on, clearance.last_entry
        )
    } else {
        format!(
            "{} days from the last entry, {}: not before {}",
            clearance.days, clearance.last_entry, clearance.days_on
        )
    };
    let tests: Vec<String> = clearance
        .tests
        .iter()
        .map(|test| match (test.positive, test.negative >= test.asked) {
            (true, _) => format!("{}: positive since the last entry", test.agent),
            (false, true) => format!("{}: negative since the last entry", test.agent),
            (false, false) => format!("{}: no negative result since the last entry", test.agent),
        })
        .collect();
    let base = |what: String, grounds: Grounds| {
        let mut line = Line::new(Task::Quarantine, what, grounds).because(days.clone());
        if tests.is_empty() {
            line = line.because(if clearance.days_done {
                "no test is recorded: the veterinarian says which are needed"
            } else {
                "no test is recorded"
            });
        }
        for test in &tests {
            line = line.because(test.clone());
        }
        line = line.because("no veterinarian has ended it");
        if let Some(day) = standing.ended_without_veterinarian {
            line = line.because(format!(
                "it was ended on {day}, and the record does not say that a veterinarian did"
            ));
        }
        if standing.shares_water {
            line = line.because("shared water: any newcomer in it starts the days again");
        }
        let alone = |ids: &[String]| ids.first().filter(|_| ids.len() == 1).cloned();
        Line {
            batch_id: Some(standing.batch_id.clone()),
            unit_id: Some(standing.units.iter().cloned().collect::<Vec<_>>().join(", "))
                .filter(|units| !units.is_empty()),
            organism_id: alone(&standing.organism_ids.iter().map(ToString::to_string).collect::<Vec<_>>()),
            lot_id: alone(&standing.lot_ids.iter().map(ToString::to_string).collect::<Vec<_>>()),
            scientific_name: Some(profile.scientific_name.clone()),
            individual_count: Some(standing.heads),
            ..line.caution(CAUTION)
        }
    };
    let days_grounds = || clearance.grounds.clone();
    let mut told_whole = false;
    for due in &clearance.due {
        let short = |what: String, grounds| {
            let line = base(what, grounds);
            Line { why: Vec::new(), since: Some(clearance.last_entry), ..line }
        };
        match due {
            Due::Sample { agent } => {
                let what = format!("ask the veterinarian about the next sample for {agent}");
                told.add(
                    When::Due,
                    short(what, Grounds::common_practice()).because("none since the last entry was negative"),
                );
            }
            Due::Positive { agent } => {
                let what = format!(
                    "tell the veterinarian of the positive result for {agent}, and let nobody in or out"
                );
                told.add(When::Due, short(what, Grounds::common_practice()));
            }
            Due::Carriers { agent } => {
                let what = format!("carriers of {agent}: no number of days clears them");
                let line = short(what, Grounds::memory());
                told.add(When::NotDue, line.because("keep them apart, by the veterinarian's plan"));
            }
            Due::Veterinarian => {
                told_whole = true;
                let which = if tests.is_empty() { "which tests are needed and " } else { "" };
                let line = base(format!("ask the veterinarian {which}whether it may end"), days_grounds());
                told.add(When::of(clearance.days_on, at), Line { since: Some(clearance.days_on), ..line });
            }
        }
    }
    if !told_whole {
        let when = if clearance.days_done { When::NotDue } else { When::of(clearance.days_on, at) };
        let line = base(format!("batch {} stays in quarantine", standing.batch_id), days_grounds());
        told.add(when, Line { since: Some(clearance.last_entry), from: Some(clearance.days_on), ..line });
    }
}

//! What would help most: one more unit, a licence line, a crew, a vehicle, arrivals, a veterinary level,
//! a road reopened. Each is written into the file and the plan is solved again.

use std::collections::BTreeSet;

use haulout_schemas::records::standing::VetLevel;
use serde_json::json;

use super::admit::Task;
use super::answer::{ByColour, Help, HelpKind, Stage};
use super::draft::Draft;
use super::evacuation;
use super::larger::one_more;
use super::slots::Kind;
use super::solve::Deadline;
use super::trial::applied;
use crate::answer::Change;
use crate::case::{Asked, AtCentre};
use crate::rules::{PlacementRule, RULES};

/// Stages that are compared: the load is no help to anybody.
const COMPARED: usize = 4;
/// Least seconds of one attempt.
const LEAST_SECONDS: f64 = 0.2;

/// What was found, and how much was left untried.
#[derive(Default)]
pub(crate) struct Helps {
    pub found: Vec<Help>,
    pub untried: u32,
}

/// Something to try.
struct Idea {
    kind: HelpKind,
    sentence: String,
    centre: Option<usize>,
    changes: Vec<Change>,
}

/// Tries what might help, within so many seconds.
pub(crate) fn helps(task: &Task<'_>, draft: &Draft, seconds: f64) -> Helps {
    let ideas = ideas(task, draft);
    let mut helps = Helps::default();
    let Ok(document) = serde_json::to_value(task.file) else { return helps };
    let deadline = Deadline::in_seconds(seconds);
    let mut left = ideas.len();
    for idea in ideas {
        if deadline.left() < LEAST_SECONDS {
            helps.untried = helps.untried.saturating_add(1);
            left -= 1;
            continue;
        }
        #[allow(clippy::cast_precision_loss)]
        let share = (deadline.left() / left as f64 * 4.0).max(LEAST_SECONDS).min(deadline.left());
        left -= 1;
        let Some(file) = applied(&document, &idea.changes) else { continue };
        let requests = evacuation::requests(&file);
        let changed = Task { file: &file, requests: &requests, species: task.species, at: task.at };
        // An attempt that the solver does not survive is one that was not made.
        match Draft::of(&changed, &Deadline::in_seconds(share), COMPARED) {
            Ok(better) => {
                helps.found.extend(help(task, idea, &draft.solution.stages, &better.solution.stages))
            }
            Err(_) => helps.untried = helps.untried.saturating_add(1),
        }
    }
    helps.found.sort_by(|one, other| {
        let rank = |help: &Help| (help.places.red, help.places.yellow, help.places.green, help.minutes_saved);
        rank(other).cmp(&rank(one)).then_with(|| one.sentence.cmp(&other.sentence))
    });
    helps
}

/// The help, where the plan is better with it.
fn help(task: &Task<'_>, idea: Idea, before: &[Stage], after: &[Stage]) -> Option<Help> {
    let less = |at: usize| {
        let figure = |stages: &[Stage]| {
            stages.get(at).map_or(0, |stage| i64::try_from(stage.objective).unwrap_or(i64::MAX))
        };
        figure(before) - figure(after)
    };
    let places = ByColour { red: less(0), yellow: less(1), green: less(2) };
    let minutes_saved = less(3);
    let placed = (places.red, places.yellow, places.green);
    // What counts is the first stage that differs.
    if (placed, minutes_saved) <= ((0, 0, 0), 0) {
        return None;
    }
    let compared = if placed == (0, 0, 0) { COMPARED } else { COMPARED - 1 };
    let proven = |stages: &[Stage]| stages.iter().take(compared).all(|stage| stage.gap == 0.0);
    Some(Help {
        kind: idea.kind,
        sentence: idea.sentence,
        centre_id: idea.centre.map(|centre| task.file.view.centres[centre].centre_id.clone()),
        changes: idea.changes,
        places,
        minutes_saved,
        proven: proven(before) && proven(after),
    })
}

fn ideas(task: &Task<'_>, draft: &Draft) -> Vec<Idea> {
    let staying: Vec<usize> = (0..task.requests.len())
        .filter(|at| draft.placed(*at) < task.requests[*at].individual_count)
        .collect();
    let mut ideas = roads(task);
    ideas.extend(units(task, draft, &staying));
    ideas.extend(crews(task, &staying));
    ideas.extend(licences(task, &staying));
    ideas.extend(vets(task));
    ideas
}

fn add(path: String, value: serde_json::Value) -> Change {
    Change::Add { path, value }
}

/// One more of each unit that is wanted: all of its kind are taken, and someone stays or travels further
/// for it.
fn units(task: &Task<'_>, draft: &Draft, staying: &[usize]) -> Vec<Idea> {
    let view = &task.file.view;
    let mut wanted: Vec<(bool, usize)> = Vec::new();
    let mut seen = BTreeSet::new();
    for (slot_at, slot) in draft.admitted.slots.iter().enumerate() {
        let arcs = || draft.admitted.arcs.iter().filter(|arc| arc.slot == slot_at);
        let used: u32 = draft
            .laid
            .iter()
            .filter(|one| slot.entries.iter().any(|(unit_at, _)| *unit_at == one.unit_at))
            .map(|one| one.units)
            .sum();
        let full = match slot.kind {
            Kind::Rows { free } => used >= free,
            Kind::Shared { .. } => used > 0,
        };
        if full && seen.insert(slot.unit_at()) {
            wanted.push((arcs().any(|arc| staying.contains(&arc.request)), slot.unit_at()));
        }
    }
    // Those that someone who stays could use come first.
    wanted.sort_by_key(|(by_staying, unit_at)| (!by_staying, *unit_at));
    let ideas = wanted.into_iter().map(|(_, unit_at)| {
        let unit = &view.units[unit_at];
        let centre = view.centres.iter().position(|centre| centre.centre_id == unit.centre_id);
        let called = centre.map_or(unit.centre_id.as_str(), |centre| view.centres[centre].called());
        let changes = one_more(task.file, unit_at).map(|(_, change)| change).into_iter().collect();
        let sentence = format!("one more unit like {} at {called}", unit.unit_id);
        Idea { kind: HelpKind::Unit, sentence, centre, changes }
    });
    ideas.collect()
}

fn roads(task: &Task<'_>) -> Vec<Idea> {
    let closures = task.file.view.roads.closures.iter().enumerate();
    closures
        .filter(|(_, closure)| closure.until.is_none_or(|until| until > task.at))
        .map(|(at, closure)| {
            let to = closure.other_place_id.as_ref().map_or_else(
                || format!("every road to {}", closure.place_id),
                |other| format!("the road between {} and {other}", closure.place_id),
            );
            let mut centres = task.file.view.centres.iter();
            Idea {
                kind: HelpKind::Road,
                sentence: format!("{to} reopened"),
                centre: centres.position(|centre| centre.centre_id == closure.place_id),
                changes: vec![Change::Remove { path: format!("/roads/closures/{at}") }],
            }
        })
        .collect()
}

/// Crews, vehicles and arrivals of a night; and the crew that an animal that stays would need.
fn crews(task: &Task<'_>, staying: &[usize]) -> Vec<Idea> {
    let mut ideas = Vec::new();
    let waiting: u32 = staying.iter().map(|at| task.requests[*at].individual_count).sum();
    for (at, centre) in task.file.view.centres.iter().enumerate() {
        let called = centre.called();
        let mut idea = |kind, sentence, path: String, value| {
            ideas.push(Idea { kind, sentence, centre: Some(at), changes: vec![add(path, value)] });
        };
        if let Some(crews) = centre.crews_tonight {
            let path = format!("/centres/{at}/crewsTonight");
            idea(HelpKind::Crew, format!("one more crew at {called}"), path, json!(crews + 1));
        }
        if let Some(minutes) = centre.vehicle_minutes {
            let trips = task.requests.iter().filter_map(|one| one.trip_minutes.get(&centre.centre_id));
            let trip = trips.max().copied().unwrap_or(240);
            let path = format!("/centres/{at}/vehicleMinutes");
            let sentence = format!("a vehicle for {trip} minutes more at {called}");
            idea(HelpKind::Vehicle, sentence, path, json!(minutes.saturating_add(trip)));
        }
        if let Some(limit) = centre.arrivals_per_day
            && waiting > 0
        {
            let path = format!("/centres/{at}/arrivalsPerDay");
            let sentence = format!("{waiting} more arrivals on the day at {called}");
            idea(HelpKind::Arrivals, sentence, path, json!(limit.saturating_add(waiting)));
        }
    }
    ideas.extend(trained(task, staying));
    ideas
}

/// The trained people that the rule of crews asks for, at centres that lack them.
fn trained(task: &Task<'_>, staying: &[usize]) -> Vec<Idea> {
    let Some(rule) = PlacementRule::of("crew") else { return Vec::new() };
    let mut ideas: Vec<Idea> = Vec::new();
    for at in staying {
        let view = &task.file.view;
        let asked = Asked::new(view, &task.requests[*at], task.species, task.at);
        for (centre_at, centre) in view.centres.iter().enumerate() {
            let here = AtCentre::new(&asked, centre_at, centre);
            if !rule.check(&here, None).is_some_and(|check| rule.stands_against(&check)) {
                continue;
            }
            let changes = rule.mend(&here, None);
            // What would have to be known of the animal is no help of a centre's.
            let of_centre = changes.iter().all(|change| change.path().starts_with("/centres/"));
            if !changes.is_empty() && of_centre && !ideas.iter().any(|idea| idea.changes == changes) {
                ideas.push(Idea {
                    kind: HelpKind::Crew,
                    sentence: format!(
                        "at {}, the trained people that {} needs",
                        centre.called(),
                        task.requests[*at].scientific_name
                    ),
                    centre: Some(centre_at),
                    changes,
                });
            }
        }
    }
    ideas
}

/// Lines with a number, lifted; and a line for each species that stays, where none covers it.
fn licences(task: &Task<'_>, staying: &[usize]) -> Vec<Idea> {
    let view = &task.file.view;
    let all: u32 = task.requests.iter().map(|one| one.individual_count).fold(0, u32::saturating_add);
    let mut ideas = Vec::new();
    for (at, centre) in view.centres.iter().enumerate() {
        for (line_at, line) in centre.licences.iter().enumerate() {
            let Some(limit) = line.heads_limit else { continue };
            let path = format!("/centres/{at}/licences/{line_at}/headsLimit");
            ideas.push(Idea {
                kind: HelpKind::LicenceLine,
                sentence: format!("the number of {} lifted at {}", line.scope.join(", "), centre.called()),
                centre: Some(at),
                changes: vec![add(path, json!(limit.saturating_add(all)))],
            });
        }
    }
    let Some(rule) = PlacementRule::of("licence") else { return ideas };
    let mut seen = BTreeSet::new();
    for request in staying {
        let asked = Asked::new(view, &task.requests[*request], task.species, task.at);
        let name = &task.requests[*request].scientific_name;
        for (at, centre) in view.centres.iter().enumerate() {
            let here = AtCentre::new(&asked, at, centre);
            let lacks = rule.check(&here, None).is_some_and(|check| rule.stands_against(&check));
            if !lacks || !seen.insert((at, name.clone())) {
                continue;
            }
            let line = json!({ "scope": [name], "status": "inForce" });
            ideas.push(Idea {
                kind: HelpKind::LicenceLine,
                sentence: format!("a licence line for {name} at {}", centre.called()),
                centre: Some(at),
                changes: vec![add(format!("/centres/{at}/licences/-"), line)],
            });
        }
    }
    ideas
}

/// One level more, where a rule asks for it.
fn vets(task: &Task<'_>) -> Vec<Idea> {
    if !RULES.iter().any(|rule| rule.rule.code.contains("vet")) {
        return Vec::new();
    }
    let centres = task.file.view.centres.iter().enumerate();
    centres
        .filter_map(|(at, centre)| {
            let next = match centre.vet_level {
                None | Some(VetLevel::None) => VetLevel::FirstAid,
                Some(VetLevel::FirstAid) => VetLevel::Clinic,
                Some(VetLevel::Clinic) => VetLevel::Surgery,
                Some(VetLevel::Surgery) => return None,
            };
            Some(Idea {
                kind: HelpKind::VetLevel,
                sentence: format!("a veterinary level of {} at {}", next.as_str(), centre.called()),
                centre: Some(at),
                changes: vec![add(format!("/centres/{at}/vetLevel"), json!(next))],
            })
        })
        .collect()
}

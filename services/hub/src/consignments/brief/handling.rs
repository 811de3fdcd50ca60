//! Before anybody touches them: the first parts of each species' handling card; and drugs that may not
//! have worn off.

use chrono::{DateTime, FixedOffset};
use haulout_schemas::profile::Profile;
use haulout_store::Configuration;
use haulout_welfare::handling::{Handled, Part, Subject, card};
use haulout_welfare::transport::drugs::{Standing, not_worn_off};
use haulout_welfare::transport::window::Bar;

use super::super::carrying::Said;
use super::bodies::{Fit, Traveller};
use super::crating::said;
use super::form::DrugGiven;
use crate::reservations::alarms::words;

/// Most species named before a sentence; more of them are "the others".
const NAMED: usize = 3;

/// What to look for and report first, then what is never done; a sentence that holds for all is said once
/// without names, any other with the species that it is for.
pub(super) fn first(configuration: &Configuration, travellers: &[Traveller<'_>]) -> Vec<Said> {
    let mut lines: Vec<(Part, Said, Vec<String>)> = Vec::new();
    let mut all: Vec<String> = Vec::new();
    for one in travellers {
        for profile in &one.profiles {
            let name = profile.scientific_name.clone();
            if !all.contains(&name) {
                all.push(name.clone());
            }
            let handled = Handled {
                length_metre: one.length.clone(),
                injuries: one.injuries.clone(),
                ..Handled::default()
            };
            let Ok(card) = card(Subject::Species(profile), &handled) else { continue };
            for section in card.sections {
                if !matches!(section.part, Part::ReportFirst | Part::Never) {
                    continue;
                }
                for advice in &section.lines {
                    match lines.iter_mut().find(|(_, known, _)| known.text == advice.text) {
                        Some((_, _, names)) if names.contains(&name) => {}
                        Some((_, _, names)) => names.push(name.clone()),
                        None => lines.push((section.part, said(configuration, advice), vec![name.clone()])),
                    }
                }
            }
        }
    }
    lines.sort_by_key(|(part, ..)| *part);
    let worded = lines.into_iter().map(|(_, line, names)| {
        if names.len() == all.len() {
            return line;
        }
        let shown: Vec<&str> = names.iter().take(NAMED).map(String::as_str).collect();
        let more = if names.len() > NAMED { " and others" } else { "" };
        Said { text: format!("{}{more}: {}", shown.join(", "), line.text), source: line.source }
    });
    worded.collect()
}

/// People whom one of the species needs at least: for the largest that travels, and for the largest of its
/// kind where a length is not known.
pub(super) fn crew(profile: &Profile, travellers: &[Traveller<'_>]) -> u8 {
    let of = |one: &Traveller<'_>| {
        let handled = Handled { length_metre: one.length.clone(), ..Handled::default() };
        card(Subject::Species(profile), &handled).ok().map(|card| card.people.least)
    };
    let those = travellers
        .iter()
        .filter(|one| one.profiles.iter().any(|other| other.scientific_name == profile.scientific_name));
    let least = those.filter_map(of).max();
    least.unwrap_or_else(|| profile.hazard.value.minimum_crew(f64::INFINITY))
}

/// Drugs that may not have worn off, and what closes the road.
pub(super) fn drugs(
    configuration: &Configuration,
    travellers: &[Traveller<'_>],
    now: DateTime<FixedOffset>,
) -> (Vec<DrugGiven>, Vec<Bar>) {
    let mut told = Vec::new();
    for one in travellers {
        for (given, standing) in not_worn_off(&one.given, one.cleared, now) {
            told.push(DrugGiven {
                subject: one.line.subject.clone().unwrap_or_else(|| one.line.scientific_name.clone()),
                drug: given.drug.clone(),
                given: words::at(configuration, given.at.timestamp_micros()),
                dulls: standing == Standing::Dulls,
            });
        }
    }
    let dulled = told.iter().any(|one: &DrugGiven| one.dulls);
    let unfit = travellers.iter().any(|one| one.fit != Fit::Said);
    let bars = [(unfit, Bar::NotFit), (dulled, Bar::DrugsNotWornOff)];
    (told, bars.into_iter().filter(|(holds, _)| *holds).map(|(_, bar)| bar).collect())
}

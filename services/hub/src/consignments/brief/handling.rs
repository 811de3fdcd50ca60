//! Before anybody touches them: the first parts of each species' handling card; and drugs that may not
//! have worn off.

use chrono::{DateTime, FixedOffset};
use haulout_schemas::profile::{Profile, TaxonOrder};
use haulout_store::Configuration;
use haulout_welfare::handling::{Handled, Part, Subject, card};
use haulout_welfare::transport::drugs::{Standing, not_worn_off};
use haulout_welfare::transport::window::Bar;

use super::super::carrying::Said;
use super::bodies::{Fit, Traveller};
use super::crating::said;
use super::form::DrugGiven;
use crate::reservations::alarms::words;

/// Most species named before a sentence.
const NAMED: usize = 3;

/// What was told of injuries, what to look for and report first, then what is never done; a sentence that
/// holds for all is said once without names, any other with those that it is for.
pub(super) fn first(configuration: &Configuration, travellers: &[Traveller<'_>]) -> Vec<Said> {
    let mut lines: Vec<(Part, Said, Vec<&Profile>)> = Vec::new();
    let mut all: Vec<&Profile> = Vec::new();
    for one in travellers {
        for profile in one.profiles.iter().copied() {
            if is_new(&all, profile) {
                all.push(profile);
            }
            let handled = Handled { length_metre: one.length.clone(), ..Handled::default() };
            let Ok(card) = card(Subject::Species(profile), &handled) else { continue };
            let foremost =
                card.sections.iter().filter(|one| matches!(one.part, Part::ReportFirst | Part::Never));
            for (part, advice) in
                foremost.flat_map(|section| section.lines.iter().map(move |line| (section.part, line)))
            {
                match lines.iter_mut().find(|(_, known, _)| known.text == advice.text) {
                    Some((_, _, named)) if is_new(named, profile) => named.push(profile),
                    Some(_) => {}
                    None => lines.push((part, said(configuration, advice), vec![profile])),
                }
            }
        }
    }
    lines.sort_by_key(|(part, ..)| *part);
    let mut told = told(travellers);
    told.extend(lines.into_iter().map(|(_, line, of)| match named(&of, &all) {
        Some(names) => Said { text: format!("{names}: {}", line.text), source: line.source },
        None => line,
    }));
    told
}

/// Injuries in the words of the records, and what is done about them first.
fn told(travellers: &[Traveller<'_>]) -> Vec<Said> {
    let hurt = travellers.iter().filter(|one| !one.injuries.is_empty());
    let mut lines: Vec<Said> = hurt
        .map(|one| {
            let text = format!("Told of {}: {}.", one.line.scientific_name, one.injuries.join("; "));
            Said::new(text, "as recorded")
        })
        .collect();
    if !lines.is_empty() {
        lines.push(Said::new(
            "Report them to the veterinarian before the animal is moved; what is in or on it stays where it is unless it stops the breath. Keep hands and straps off wounds.",
            "a choice of this programme: caution on the side of people",
        ));
    }
    lines
}

fn is_new(known: &[&Profile], profile: &Profile) -> bool {
    known.iter().all(|other| other.scientific_name != profile.scientific_name)
}

/// Whom a sentence is for; `None` where it is for all.
fn named(of: &[&Profile], all: &[&Profile]) -> Option<String> {
    if of.len() == all.len() {
        return None;
    }
    for (order, word) in [(TaxonOrder::Testudines, "Turtles"), (TaxonOrder::Crocodylia, "Crocodilians")] {
        let of_order = |list: &[&Profile]| list.iter().filter(|profile| profile.order == order).count();
        if of_order(of) == of.len() && of_order(all) == of.len() {
            return Some(word.to_owned());
        }
    }
    let names: Vec<&str> = of.iter().take(NAMED).map(|profile| profile.scientific_name.as_str()).collect();
    let more = if of.len() > NAMED { " and others" } else { "" };
    Some(format!("{}{more}", names.join(", ")))
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

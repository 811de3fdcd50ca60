//! A plan as a table that a coordinator would send round.

use haulout_placement::RequestFile;
use haulout_placement::plan::{Assignment, ByColour, Plan, Stage, StageName, Unplaced};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Things told of what would help; the rest stands in the JSON.
const HELPS: usize = 5;

/// The plan in words, for a terminal or a message; lines end with a line feed.
#[must_use]
pub fn text(plan: &Plan, file: &RequestFile) -> String {
    let mut out = String::new();
    let placed: u64 = plan.assignments.iter().map(|one| u64::from(one.individual_count)).sum();
    let stay: u64 = plan.unplaced.iter().map(|one| u64::from(one.individual_count)).sum();
    let at = plan.at.format("%-d %B %Y, %H:%M");
    line(&mut out, &format!("{placed} of {} animals have a place, as of {at}.", placed + stay));
    for (centre, lines) in by_centre(&plan.assignments) {
        going_to(&mut out, &called(file, centre), &lines);
    }
    if !plan.unplaced.is_empty() {
        line(&mut out, &format!("\nWithout a place: {stay}"));
        for one in &plan.unplaced {
            staying(&mut out, file, one);
        }
    }
    line(&mut out, "\nHow good the plan is");
    for stage in &plan.stages {
        line(&mut out, &format!("  {:<44} {:>9}  {}", named(stage.name), stage.objective, proven(stage)));
    }
    if plan.time_limit_reached {
        line(&mut out, "  The solver used up its time; with more, what is not proven may become better.");
    }
    if !plan.helps.is_empty() {
        line(&mut out, "\nWhat would help most");
        for (nth, help) in (1..).zip(plan.helps.iter().take(HELPS)) {
            line(
                &mut out,
                &format!("  {nth}. {}: {}", help.sentence, brings(help.places, help.minutes_saved)),
            );
        }
    }
    line(&mut out, "");
    for caution in &plan.cautions {
        line(&mut out, caution);
    }
    out
}

fn going_to(out: &mut String, centre: &str, lines: &[&Assignment]) {
    let heads: u64 = lines.iter().map(|one| u64::from(one.individual_count)).sum();
    line(out, &format!("\n{centre}: {heads}"));
    // What is to be known of every line is said once.
    let of_all = |note: &String| lines.iter().all(|one| one.notes.contains(note));
    for note in lines.first().iter().flat_map(|one| &one.notes).filter(|note| of_all(note)) {
        line(out, &format!("  {note}"));
    }
    for one in lines {
        let units = if one.units > 1 {
            format!("{} ({} units)", one.unit_id, one.units)
        } else {
            one.unit_id.clone()
        };
        line(
            out,
            &format!(
                "  {:>5}  {:<28} {:<18} {:>4} min   {}",
                one.individual_count, one.scientific_name, units, one.minutes, one.request_id
            ),
        );
        for waived in &one.waived_by {
            line(
                out,
                &format!(
                    "         by order {} until {}: {} set aside",
                    waived.order_number, waived.end_date, waived.rule
                ),
            );
        }
        for note in one.notes.iter().filter(|note| !of_all(note)) {
            line(out, &format!("         {note}"));
        }
    }
}

fn staying(out: &mut String, file: &RequestFile, one: &Unplaced) {
    line(out, &format!("  {:>5}  {:<28} {}", one.individual_count, one.scientific_name, one.request_id));
    // What is said of many centres is said once.
    let mut told: Vec<(&str, Vec<String>)> = Vec::new();
    for reason in &one.reasons {
        let centre = called(file, &reason.centre_id);
        match told.iter_mut().find(|(sentence, _)| *sentence == reason.sentence) {
            Some((_, centres)) => centres.push(centre),
            None => told.push((&reason.sentence, vec![centre])),
        }
    }
    for (sentence, centres) in told {
        let named = match centres.as_slice() {
            [centre] if sentence.contains(centre) => String::new(),
            all if all.len() > 1 && all.len() == file.view.centres.len() => "every centre: ".to_owned(),
            some => format!("{}: ", some.join(", ")),
        };
        line(out, &format!("         {named}{sentence}"));
    }
    if let Some(room) = &one.changes_place {
        line(
            out,
            &format!(
                "         The smallest change found ({}) makes room for {} in {} of {}.",
                if one.changes.len() == 1 {
                    "one entry".to_owned()
                } else {
                    format!("{} entries", one.changes.len())
                },
                room.individual_count,
                room.unit_id,
                called(file, &room.centre_id)
            ),
        );
    }
    if let Some(why) = &one.no_changes_because {
        line(out, &format!("         No change was found that makes room: {why}."));
    }
}

/// Assignments by centre, the centre that takes most first.
fn by_centre(assignments: &[Assignment]) -> Vec<(&str, Vec<&Assignment>)> {
    let mut centres: BTreeMap<&str, Vec<&Assignment>> = BTreeMap::new();
    for one in assignments {
        centres.entry(one.centre_id.as_str()).or_default().push(one);
    }
    let mut centres: Vec<_> = centres.into_iter().collect();
    let heads = |lines: &[&Assignment]| lines.iter().map(|one| u64::from(one.individual_count)).sum::<u64>();
    centres.sort_by_key(|(_, lines)| std::cmp::Reverse(heads(lines)));
    centres
}

fn called(file: &RequestFile, centre: &str) -> String {
    let mut centres = file.view.centres.iter();
    centres
        .find(|one| one.centre_id == centre)
        .map_or_else(|| centre.to_owned(), |one| one.called().to_owned())
}

fn named(stage: StageName) -> &'static str {
    match stage {
        StageName::UnplacedRed => "red animals without a place",
        StageName::UnplacedYellow => "yellow animals without a place",
        StageName::UnplacedGreen => "green animals without a place",
        StageName::Minutes => "minutes on the road, weighted by frailty",
        StageName::LoadPerMille => "highest load of a centre, per mille",
    }
}

fn proven(stage: &Stage) -> String {
    if stage.gap == 0.0 {
        return "proven: no plan does better".to_owned();
    }
    format!("no plan can be below {} (gap {:.2} %)", stage.bound, stage.gap * 100.0)
}

/// What a help brings, in words.
fn brings(places: ByColour, minutes: i64) -> String {
    let mut parts = Vec::new();
    for (colour, number) in [("red", places.red), ("yellow", places.yellow), ("green", places.green)] {
        match number {
            0 => {}
            more if more > 0 => parts.push(format!("{more} more {colour} with a place")),
            fewer => parts.push(format!("{} fewer {colour}", -fewer)),
        }
    }
    if parts.is_empty() && minutes > 0 {
        parts.push(format!("{minutes} weighted minutes less on the road"));
    }
    parts.join(", ")
}

fn line(out: &mut String, text: &str) {
    // Writing to a text cannot fail.
    let _ = writeln!(out, "{text}");
}

//! The driver's page as HTML: prints on A4, reads on a telephone, needs no script and no network.

use haulout_schemas::records::health::BindingSite;
use haulout_schemas::vocabulary::{Known, Stay, Triage};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::Stage;
use super::brief::{Brief, Crating, DepartureWindow, End, Travelling};
use super::marks::Marks;

/// Colours keep 4.5:1 on their grounds, and nothing is told by colour alone. Printed, what is below the
/// table runs in two columns, so that a journey of five species is one page.
const STYLE: &str = include_str!("page.css");

/// The page.
pub fn page(brief: &Brief) -> Markup {
    let marks = Marks::of(brief);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width,initial-scale=1";
                meta name="robots" content="noindex";
                meta name="color-scheme" content="light dark";
                title { "Driver's page " (brief.consignment_id) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    p.faint { (brief.region) " · " (stage(brief.stage)) }
                    h1 { "Driver's page, consignment " (brief.consignment_id) }
                    p.faint { "As known " (brief.made_at) ", the region's time. Ask for a new one before you leave." }
                    @if brief.demonstration { p.demo { "A demonstration: nobody drives by this page." } }
                }
                main {
                    section.hazards aria-labelledby="hazards" {
                        h2 #hazards { "Hazards" }
                        ul { @for said in &brief.hazards { li { b { (said.text) } (marks.of_source(&said.source)) } } }
                    }
                    @if !brief.handling.is_empty() { section.first aria-labelledby="first" {
                        h2 #first { "Before anybody touches them" }
                        ul { @for said in &brief.handling { li { (said.text) (marks.of_source(&said.source)) } } }
                    } }
                    section.ends { (end("From", &brief.from)) (end("To", &brief.to)) }
                    (departure(brief, &marks))
                    (travels(brief))
                    div.rest {
                        (crates(brief, &marks))
                        (bindings(brief))
                        (drugs(brief))
                        section {
                            h2 { "Stops and water" }
                            p { (brief.stops.words) }
                            ul.plain { @for said in &brief.stops.advice { li { (said.text) (marks.of_source(&said.source)) } } }
                        }
                        section { h2 { "What to carry" } ul.tick { @for said in &brief.carry { li { (said.text) (marks.of_source(&said.source)) } } } }
                        (papers(brief, &marks))
                        (by_telephone(brief))
                        section { h2 { "Cautions" } ul.plain { @for said in &brief.cautions { li { (said.text) (marks.of_source(&said.source)) } } } }
                    }
                }
                footer { p { (marks.legend()) " Made by Haulout from what was recorded. Offices are named, never people." } }
            }
        }
    }
}

fn end(label: &str, end: &End) -> Markup {
    html! {
        div.end {
            h2 { (label) }
            strong { (end.name) }
            @if let Some(id) = &end.place_id { span.faint { (id) } }
            @if let Some(keeper) = &end.kept_by { p { "Kept by " (keeper) } }
            @if let (Some(latitude), Some(longitude)) = (end.latitude, end.longitude) {
                p { (position(latitude, longitude)) }
            }
            @if !end.unit_ids.is_empty() { p { "Unit " strong style="display:inline;font-size:inherit" { (end.unit_ids.join(", ")) } } }
        }
    }
}

fn position(latitude: f64, longitude: f64) -> String {
    let north = if latitude < 0.0 { 'S' } else { 'N' };
    let east = if longitude < 0.0 { 'W' } else { 'E' };
    format!("{:.4} {north}, {:.4} {east}", latitude.abs(), longitude.abs())
}

fn departure(brief: &Brief, marks: &Marks) -> Markup {
    let hour = &brief.departure;
    let timed = &hour.timed;
    html! {
        section.hour aria-labelledby="hour" {
            h2 #hour { "Departure" }
            dl {
                dt { "Departure window" } dd { (timed.words) }
                @if timed.windows.iter().any(|window| !window.open) {
                    dt { "Closed" } dd.plain { @for window in timed.windows.iter().filter(|window| !window.open) { (closed(window)) " " } }
                }
                @if !timed.would_open.is_empty() { dt { "What would open one" } dd.plain { (timed.would_open.join("; ")) "." } }
                @if !timed.rests_on.is_empty() { dt { "Rests on" } dd.plain {
                    @for said in &timed.rests_on { (said.text) (marks.of_source(&said.source)) " " }
                } }
                @if hour.set_out.is_some() || hour.expected.is_some() || hour.minutes.is_some() {
                    dt { "Way" } dd {
                        @if let Some(at) = &hour.set_out { "Set out " (at) ". " }
                        @if let Some(at) = &hour.expected { "Expected there " (at) ". " }
                        @if let (Some(minutes), Some(basis)) = (hour.minutes, hour.minutes_from) { (minutes) " minutes, " (basis) "." }
                    }
                }
            }
        }
    }
}

/// `9 Jul, 06:30 to 20:10: warmer than …; hottest 41.2 degrees C at 9 Jul, 13:50, at most 12.3 degree-hours above.`
fn closed(window: &DepartureWindow) -> String {
    let mut words = format!("{} to {}", window.from, window.to);
    if let Some(because) = &window.because {
        words.push_str(&format!(": {because}"));
    }
    if let (Some(at), Some(celsius)) = (&window.hottest_at, window.hottest_celsius) {
        words.push_str(&format!("; hottest {celsius:.1} degrees C at {at}"));
    }
    if let Some(above) = window.above_kelvin_hour.filter(|above| *above > 0.0) {
        words.push_str(&format!(", at most {above:.1} degree-hours above"));
    }
    words.push('.');
    words
}

fn travels(brief: &Brief) -> Markup {
    // A column that says nothing of anybody is left out.
    let any = |says: fn(&Travelling) -> bool| brief.travels.iter().any(says);
    let crated = any(|one| one.crate_id.is_some());
    let (goes, triage) = (any(|one| !one.unit_ids.is_empty()), any(|one| one.triage.is_some()));
    html! {
        section {
            h2 { "What travels" }
            div.scroll { table.stack {
                thead { tr {
                    th { "Number" } th { "What" } th { "Length" } th { "Crate inside" } th { "Weight" }
                    @if crated { th { "Crate" } } @if goes { th { "Goes into" } } @if triage { th { "Triage" } }
                } }
                tbody { @for (one, crating) in brief.travels.iter().zip(&brief.crating) { tr {
                    td.number data-label="Number" { (one.individual_count) }
                    td data-label="What" { div {
                        span.name { (one.scientific_name) }
                        @if let Some(name) = &one.common_name { i { (name) } }
                        @if let Some(subject) = &one.subject { i { (subject) } }
                    } }
                    td.tight data-label="Length" { (one.length.as_ref().or(crating.length.as_ref()).map_or("measure it", String::as_str)) }
                    td.tight data-label="Crate inside" { @match crating.inner_metre.length {
                        Some(length) => { (format!("{length:.2} m or more")) }
                        None => "not known",
                    } }
                    td.tight data-label="Weight" { (weight(crating)) }
                    @if crated { td data-label="Crate" { @if let Some(id) = &one.crate_id { (id) } } }
                    @if goes { td data-label="Goes into" { @if !one.unit_ids.is_empty() { div {
                        (one.unit_ids.join(", ")) @if let Some(stay) = one.stay { i { (staying(stay)) } }
                    } } } }
                    @if triage { td data-label="Triage" { @if let Some(triage) = one.triage { (triaged(triage)) } } }
                } } }
            } }
        }
    }
}

fn weight(crating: &Crating) -> String {
    match (crating.kilogram, crating.lifters) {
        (Some(kilogram), Some(lifters)) => format!("{kilogram} kg: {lifters} lift it or more"),
        _ => "not known".to_owned(),
    }
}

fn crates(brief: &Brief, marks: &Marks) -> Markup {
    html! {
        section {
            h2 { "Crates" }
            @if brief.crates.is_empty() { p { "None is listed yet. The dispatch lists each crate and whether it was disinfected." } }
            @else { ul.crates { @for one in &brief.crates { li { strong { (one.crate_id) } " " (cleaned(one.disinfected)) } } } }
            p {
                "Crate inside: the least length; width and height by the body, measured. Of several the largest counts. Where no weight is known plan as for the heaviest of its kind; the crate's own weight comes on top."
                @if let Some(one) = brief.crating.first() { (marks.of_source(&one.source)) }
            }
            @for one in brief.crating.iter().filter(|one| one.inner_metre.length.is_none()) {
                p { (one.subject) ": " (one.unknown.join("; ")) "." }
            }
            @if !brief.packing.is_empty() {
                h2 { "How they are packed" }
                ul.run { @for said in &brief.packing { li { (said.text) (marks.of_source(&said.source)) " " } } }
            }
        }
    }
}

fn drugs(brief: &Brief) -> Markup {
    html! {
        @if !brief.drugs.is_empty() {
            section {
                h2 { "Drugs that may not have worn off" }
                ul.plain { @for one in &brief.drugs { li {
                    (one.subject) ": " strong { (one.drug) } ", given " (one.given) ". "
                    @if one.dulls { strong { "It dulls (by a list from memory): nobody leaves before the vet says that it has worn off." } }
                    @else { "Ask the vet whether it may travel on it." }
                } } }
            }
        }
    }
}

fn papers(brief: &Brief, marks: &Marks) -> Markup {
    html! {
        section {
            h2 { "Papers" }
            @if brief.papers.is_empty() { p { "None is recorded. Ask the office that sends the animals." } }
            ul.tick { @for paper in &brief.papers { li { (paper.what) ": " strong { (paper.number) } } } }
            @if !brief.papers_to_ask_for.is_empty() {
                h2 { "To ask for: no statement of law" }
                ul.tick { @for paper in &brief.papers_to_ask_for { li {
                    (paper.what) ", from " (paper.giver) (marks.of_source(&paper.source))
                } } }
            }
        }
    }
}

fn bindings(brief: &Brief) -> Markup {
    html! {
        section {
            h2 { "Bindings" }
            @if brief.bindings.is_empty() { p { "None is recorded. Write down when a band goes on and when it comes off." } }
            @else { div.scroll { table {
                thead { tr { th { "Animal" } th { "Bound" } th { "On" } th { "Off" } } }
                tbody { @for one in &brief.bindings { tr {
                    td { (one.subject) } td { (bound(one.site)) } td { (one.on) }
                    td { @match &one.off { Some(off) => (off), None => strong { "still on" } } }
                } } }
            } } }
        }
    }
}

fn by_telephone(brief: &Brief) -> Markup {
    html! {
        @if !brief.by_telephone.is_empty() {
            section {
                h2 { "By telephone" }
                ul.plain { @for step in &brief.by_telephone { li {
                    (step.what) ", on the word of " (step.office) " (" (step.channel) "), recorded " (step.recorded) ". "
                    @match step.confirmed {
                        Some(true) => "Confirmed since.",
                        Some(false) => strong { "Not confirmed: call before you leave." },
                        None => "",
                    }
                } } }
            }
        }
    }
}

fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Promised => "promised, not yet on the road",
        Stage::UnderWay => "on the road",
        Stage::Arrived => "arrived",
        Stage::Unsettled => "arrived, the two ends counted differently",
        Stage::Left => "left the region",
        Stage::Closed => "refused or given up",
    }
}

fn triaged(triage: Triage) -> &'static str {
    match triage {
        Triage::Red => "red: tonight",
        Triage::Yellow => "yellow: within a day or two",
        Triage::Green => "green: stable",
    }
}

fn staying(stay: Stay) -> &'static str {
    match stay {
        Stay::Stabilise => "to stabilise, 72 hours at most",
        Stay::Quarantine => "into quarantine",
        Stay::Long => "until release",
        Stay::Lifelong => "for life",
    }
}

fn cleaned(known: Known) -> &'static str {
    match known {
        Known::Yes => "disinfected",
        Known::No => "NOT disinfected",
        Known::Unknown => "not known whether disinfected",
    }
}

fn bound(site: Option<BindingSite>) -> &'static str {
    match site {
        Some(BindingSite::Jaws) => "jaws",
        Some(BindingSite::Limbs) => "limbs",
        Some(BindingSite::Eyes) => "eyes covered",
        None => "not said what",
    }
}

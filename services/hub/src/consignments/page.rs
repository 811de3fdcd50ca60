//! The driver's page as HTML: prints on A4, reads on a telephone, needs no script and no network.

use haulout_schemas::records::health::BindingSite;
use haulout_schemas::vocabulary::{Known, Stay, Triage};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::Stage;
use super::brief::{Brief, End, Travelling};
use super::carrying::Said;

/// Colours keep 4.5:1 on their grounds, and nothing is told by colour alone.
const STYLE: &str = "
:root{--ground:#fff;--ink:#16201c;--faint:#55605b;--line:#c4ccc8;--soft:#f3f5f3;--stop:#8a1c12;--stopground:#fdf3f0}
@media screen and (prefers-color-scheme:dark){:root{--ground:#141917;--ink:#e8ece9;--faint:#a9b3ad;--line:#3b4540;--soft:#1d2421;--stop:#ff9d8f;--stopground:#2a1a17}}
*{box-sizing:border-box}
html{background:var(--ground)}
body{margin:0 auto;max-width:50rem;padding:1.1rem 1rem 3rem;color:var(--ink);font:1.0625rem/1.5 system-ui,-apple-system,'Segoe UI',Roboto,'Noto Sans',sans-serif}
header p{margin:.15rem 0}
h1{font-size:1.55rem;line-height:1.2;margin:.2rem 0 .4rem;overflow-wrap:anywhere}
h2{font-size:1.1rem;margin:0 0 .5rem}
section{margin-top:1.5rem}
p{margin:.3rem 0}
.faint{color:var(--faint)}
.source{color:var(--faint);font-size:.8em}
.demo{border:2px dashed var(--ink);padding:.4rem .7rem;font-weight:600}
.hazards{border:3px solid var(--stop);border-radius:.4rem;background:var(--stopground);padding:.8rem 1rem}
.hazards h2{color:var(--stop);font-size:1.3rem}
.hazards ul{margin:0;padding-left:1.15rem}
.hazards li{margin:.35rem 0}
.hazards b{font-weight:600}
.ends{display:grid;grid-template-columns:1fr 1fr;gap:.8rem}
.end,.hour{border:1px solid var(--line);border-radius:.4rem;background:var(--soft);padding:.7rem .9rem}
.end h2{font-size:.85rem;font-weight:600;color:var(--faint);margin:0}
.end strong{display:block;font-size:1.2rem;line-height:1.3}
.hour dl{display:grid;grid-template-columns:max-content 1fr;gap:.2rem 1rem;margin:0}
dt{color:var(--faint)}dd{margin:0;font-weight:600}
.scroll{overflow-x:auto}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;padding:.35rem .7rem .35rem 0;border-bottom:1px solid var(--line)}
thead th{color:var(--faint);font-size:.85rem;font-weight:600}
td.number{font-variant-numeric:tabular-nums;font-weight:600}
td i{display:block;font-style:normal;color:var(--faint);font-size:.9em}
td .name{font-style:italic;color:inherit;font-size:1em}
ul.tick{list-style:none;margin:0;padding:0}
ul.tick li{position:relative;padding:.2rem 0 .2rem 1.7rem}
ul.tick li::before{content:'';position:absolute;left:.1rem;top:.5em;width:.85em;height:.85em;border:1.5px solid var(--ink);border-radius:2px}
ul.plain{margin:0;padding-left:1.15rem}ul.plain li{margin:.25rem 0}
.crates{columns:3 9rem;margin:0;padding:0;list-style:none}
footer{margin-top:2rem;border-top:1px solid var(--line);padding-top:.6rem;color:var(--faint);font-size:.85rem}
@media(max-width:34rem){.ends{grid-template-columns:1fr}.hour dl{grid-template-columns:1fr}.hour dd{margin-bottom:.35rem}
table.stack thead{position:absolute;left:-999rem}table.stack tr{display:block;border-bottom:1px solid var(--line);padding:.4rem 0}
table.stack td{display:flex;gap:.8rem;border:0;padding:.1rem 0}table.stack td::before{content:attr(data-label);flex:0 0 6.5rem;color:var(--faint)}
table.stack td:empty{display:none}}
@page{size:A4;margin:14mm 15mm}
@media print{html{background:#fff}body{max-width:none;padding:0;font-size:10.5pt;line-height:1.4}h1{font-size:17pt}h2{font-size:12pt}
section{margin-top:5mm;break-inside:avoid}h2{break-after:avoid}.hazards{background:#fff}.end,.hour{background:#fff}
.ends{grid-template-columns:1fr 1fr}a{color:inherit;text-decoration:none}}
";

/// The page.
pub fn page(brief: &Brief) -> Markup {
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
                        ul { @for said in &brief.hazards { li { b { (said.text) } " " (source(said)) } } }
                    }
                    section.ends { (end("From", &brief.from)) (end("To", &brief.to)) }
                    (departure(brief))
                    (travels(brief))
                    (crates(brief))
                    (bindings(brief))
                    section { h2 { "What to carry" } ul.tick { @for said in &brief.carry { li { (said.text) " " (source(said)) } } } }
                    section {
                        h2 { "Papers" }
                        @if brief.papers.is_empty() { p { "None is recorded. Ask the office that sends the animals." } }
                        ul.tick { @for paper in &brief.papers { li { (paper.what) ": " strong { (paper.number) } } } }
                    }
                    (by_telephone(brief))
                    section { h2 { "Cautions" } ul.plain { @for said in &brief.cautions { li { (said.text) " " (source(said)) } } } }
                }
                footer { p { "Made by Haulout from what was recorded. Offices are named, never people." } }
            }
        }
    }
}

fn source(said: &Said) -> Markup {
    html! { span.source { "(" (said.source) ")" } }
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

fn departure(brief: &Brief) -> Markup {
    let hour = &brief.departure;
    html! {
        section.hour aria-labelledby="hour" {
            h2 #hour { "Departure" }
            dl {
                dt { "Departure window" } dd { (hour.words) }
                @if let Some(at) = &hour.set_out { dt { "Set out" } dd { (at) } }
                @if let Some(at) = &hour.expected { dt { "Expected there" } dd { (at) } }
                @if let Some(minutes) = hour.minutes { dt { "On the road" } dd { (minutes) " minutes, by the region's table" } }
            }
        }
    }
}

fn travels(brief: &Brief) -> Markup {
    // A column that says nothing of anybody is left out.
    let any = |says: fn(&Travelling) -> bool| brief.travels.iter().any(says);
    let (length, crated) = (any(|one| one.length.is_some()), any(|one| one.crate_id.is_some()));
    let (goes, triage) = (any(|one| !one.unit_ids.is_empty()), any(|one| one.triage.is_some()));
    html! {
        section {
            h2 { "What travels" }
            div.scroll { table.stack {
                thead { tr {
                    th { "Number" } th { "What" }
                    @if length { th { "Length" } } @if crated { th { "Crate" } }
                    @if goes { th { "Goes into" } } @if triage { th { "Triage" } }
                } }
                tbody { @for one in &brief.travels { tr {
                    td.number data-label="Number" { (one.individual_count) }
                    td data-label="What" { div {
                        span.name { (one.scientific_name) }
                        @if let Some(name) = &one.common_name { i { (name) } }
                        @if let Some(subject) = &one.subject { i { (subject) } }
                    } }
                    @if length { td data-label="Length" { @if let Some(length) = &one.length { (length) } } }
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

fn crates(brief: &Brief) -> Markup {
    html! {
        section {
            h2 { "Crates" }
            @if brief.crates.is_empty() { p { "None is listed yet. The dispatch lists each crate and whether it was disinfected." } }
            ul.crates { @for one in &brief.crates { li { strong { (one.crate_id) } " " (cleaned(one.disinfected)) } } }
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

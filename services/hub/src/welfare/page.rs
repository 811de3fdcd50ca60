//! The handling card as HTML: one A4 page, legible in sunlight and in black and white, without script
//! and network.

use haulout_schemas::profile::HazardClass;
use haulout_welfare::grounds::{Advice, Standing};
use haulout_welfare::handling::{Card, Part, Section};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Ink on paper by day; the dark ground only where a screen asks for it. Nothing is told by colour alone.
const STYLE: &str = "
:root{--ground:#fff;--ink:#111;--faint:#444;--line:#999;--bar:#111;--bartext:#fff}
@media screen and (prefers-color-scheme:dark){:root{--ground:#131614;--ink:#f0f2f0;--faint:#b3bab5;--line:#56605a;--bar:#f0f2f0;--bartext:#131614}}
*{box-sizing:border-box}
html{background:var(--ground)}
body{margin:0 auto;max-width:54rem;padding:1rem 1rem 2rem;color:var(--ink);font:1.05rem/1.42 system-ui,-apple-system,'Segoe UI',Roboto,'Noto Sans',sans-serif}
h1{font-size:1.7rem;line-height:1.15;margin:0}
h1 i{font-weight:700}
.what{margin:.2rem 0 0;color:var(--faint)}
.people{display:flex;gap:1rem;align-items:center;border:3px solid var(--ink);border-radius:.4rem;padding:.5rem .9rem;margin:.9rem 0}
.people strong{font-size:2.6rem;line-height:1;font-variant-numeric:tabular-nums}
.people span{display:block}
.first{border:3px solid var(--ink);border-radius:.4rem;overflow:hidden;margin:.8rem 0}
.first h2{background:var(--bar);color:var(--bartext);margin:0;padding:.3rem .9rem;font-size:1.15rem}
.first ul{padding:.5rem .9rem .6rem 2rem}
.first li{font-weight:600}
h2{font-size:1.05rem;margin:.9rem 0 .25rem;break-after:avoid}
ul{margin:0;padding-left:1.15rem}
li{margin:.22rem 0}
.rest{columns:2 20rem;column-gap:2rem;border-top:1px solid var(--line);padding-top:.2rem}
.rest section{break-inside:avoid}
.rest section:first-child h2{margin-top:.4rem}
sup{font-size:.7em;color:var(--faint);font-weight:400}
footer{margin-top:1rem;border-top:1px solid var(--line);padding-top:.5rem;color:var(--faint);font-size:.85rem}
footer p{margin:.2rem 0}
@page{size:A4;margin:11mm 12mm}
@media print{body{max-width:none;padding:0;font-size:8.8pt;line-height:1.27}h1{font-size:17pt}h2{font-size:10.5pt;margin:2mm 0 .6mm}.first h2{font-size:11.5pt}
.people strong{font-size:26pt}.people,.first{margin:2.2mm 0}.rest{columns:2;column-gap:7mm}footer{font-size:8pt;margin-top:2mm}li{margin:.4mm 0}}
";

/// The card's page.
pub(super) fn handling(card: &Card) -> Markup {
    let foremost = |part| matches!(part, Part::Cautions | Part::ReportFirst | Part::Never);
    let (first, rest): (Vec<&Section>, Vec<&Section>) = card
        .sections
        .iter()
        .filter(|section| !section.lines.is_empty())
        .partition(|section| foremost(section.part));
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width,initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "Handling card: " (name(card)) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    h1 { @match &card.scientific_name { Some(name) => i { (name) }, None => "Species not known" } }
                    p.what { "Handling card · " (group(card)) " · " (hazard(card.hazard)) }
                    div.people {
                        strong { (card.people.least) }
                        div { span { "trained people, no fewer" (letter_of(card.people.grounds.standing)) } span { (card.people.caution) } }
                    }
                }
                main {
                    @for section in first { section.first { h2 { (section.heading) } (lines(section)) } }
                    div.rest {
                        @for section in rest { section { h2 { (section.heading) } (lines(section)) } }
                        @if !card.unknown.is_empty() { section {
                            h2 { "Not known" }
                            ul { @for unknown in &card.unknown { li { (unknown.what) ": " (unknown.why) ". " (unknown.mend) "." } } }
                        } }
                    }
                }
                footer {
                    p { "This card reminds trained people; it trains nobody. Local code and licensed practice stand above it." }
                    p { sup { "m" } " from memory, not seen in a source; " sup { "p" } " a choice of this programme; everything else is common practice, a named source, or as told." }
                }
            }
        }
    }
}

fn lines(section: &Section) -> Markup {
    html! { ul { @for Advice { text, grounds } in &section.lines { li title=(grounds.source) { (text) (letter_of(grounds.standing)) } } } }
}

fn letter_of(standing: Standing) -> Markup {
    html! { @match standing { Standing::FromMemory => sup { "m" }, Standing::Proposal => sup { "p" }, _ => {} } }
}

fn name(card: &Card) -> &str {
    card.scientific_name.as_deref().unwrap_or_else(|| card.group.key())
}

fn group(card: &Card) -> &'static str {
    use haulout_schemas::profile::Group;
    match card.group {
        Group::Crocodilian => "crocodilian",
        Group::Softshell => "softshell turtle",
        Group::RiverTurtle => "river turtle",
        Group::PondTurtle => "pond turtle",
        Group::ForestTurtle => "forest turtle",
        Group::SnappingTurtle => "snapping turtle",
        Group::Tortoise => "tortoise",
    }
}

fn hazard(class: HazardClass) -> &'static str {
    match class {
        HazardClass::Deadly => "can kill",
        HazardClass::Severe => "its bite maims",
        HazardClass::Biting => "its bite wounds",
        HazardClass::Low => "scratches and small bites",
    }
}

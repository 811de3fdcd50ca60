//! The day's list as HTML: one A4 page to hang up and tick off, legible on a telephone and in black and
//! white, without script and network.

use chrono::NaiveDate;
use haulout_reckoning::care::{Line, Task, Today};
use haulout_welfare::grounds::Standing;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Ink on paper by day; the dark ground only where a screen asks for it. Nothing is told by colour alone.
const STYLE: &str = "
:root{--ground:#fff;--ink:#111;--faint:#444;--line:#999;--bar:#111;--bartext:#fff}
@media screen and (prefers-color-scheme:dark){:root{--ground:#131614;--ink:#f0f2f0;--faint:#b3bab5;--line:#56605a;--bar:#f0f2f0;--bartext:#131614}}
*{box-sizing:border-box}
html{background:var(--ground)}
body{margin:0 auto;max-width:54rem;padding:1rem 1rem 2rem;color:var(--ink);font:1.05rem/1.42 system-ui,-apple-system,'Segoe UI',Roboto,'Noto Sans',sans-serif}
h1{font-size:1.6rem;line-height:1.15;margin:0}
.what{margin:.2rem 0 .6rem;color:var(--faint)}
section{margin:.9rem 0}
.first{border:3px solid var(--ink);border-radius:.4rem;overflow:hidden}
.first h2{background:var(--bar);color:var(--bartext);margin:0;padding:.3rem .9rem;font-size:1.15rem}
.first ul{padding:.5rem .9rem .6rem}
h2{font-size:1.1rem;margin:.9rem 0 .25rem;break-after:avoid}
ul{margin:0;padding:0;list-style:none}
li{margin:.4rem 0;break-inside:avoid;overflow-wrap:anywhere}
ul.tick>li{position:relative;padding-left:1.7rem}
ul.tick>li::before{content:'';position:absolute;left:.1rem;top:.28em;width:.9em;height:.9em;border:1.5px solid var(--ink);border-radius:2px}
li b{font-weight:650}
.where{font-weight:650;font-variant-numeric:tabular-nums}
.why,.care{display:block;color:var(--faint);font-size:.9em}
.care{font-style:italic}
table{border-collapse:collapse}
th,td{text-align:left;padding:.15rem 1.4rem .15rem 0;font-weight:400}
td.number{text-align:right;font-variant-numeric:tabular-nums;font-weight:650}
sup{font-size:.7em;color:var(--faint);font-weight:400}
footer{margin-top:1rem;border-top:1px solid var(--line);padding-top:.5rem;color:var(--faint);font-size:.85rem}
footer p{margin:.2rem 0}
@page{size:A4;margin:10mm 11mm}
@media print{body{max-width:none;padding:0;font-size:8.8pt;line-height:1.22}h1{font-size:15pt}.what{margin:0 0 1mm}h2{font-size:10.5pt;margin:1.4mm 0 .4mm}.first h2{font-size:10.5pt;padding:.5mm 2mm}
.first ul{padding:.6mm 2mm}section{margin:1.4mm 0}p{margin:.4mm 0}li{margin:.6mm 0}ul.tick{columns:2;column-gap:6mm}ul.rest{columns:3;column-gap:4.5mm;font-size:7.4pt;line-height:1.16}ul.rest .why{display:inline}ul.rest .why::before{content:': '}ul.tick>li{padding-left:1.5em}footer{font-size:7.6pt;line-height:1.2;margin-top:1.4mm;padding-top:.6mm}footer p{margin:.2mm 0}}
";

/// The page.
pub(super) fn page(today: &Today, name: &str, region: &str) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width,initial-scale=1";
                meta name="robots" content="noindex";
                meta name="color-scheme" content="light dark";
                title { "Due on " (today.at) ": " (name) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    h1 { (name) ", " (today.at) }
                    p.what { "What is due · " (region) " · " (counted(today.animals, "animal")) ", " (counted(today.eggs, "egg")) " in the books" }
                }
                main {
                    @if !today.overdue.is_empty() { section.first { h2 { "Overdue" } (ticks(&today.overdue, &today.centre_id)) } }
                    section { h2 { "Today" }
                        @if today.due.is_empty() { p { "Nothing is due by what was posted." } } @else { (ticks(&today.due, &today.centre_id)) }
                    }
                    @if !today.tomorrow.is_empty() { section { h2 { "Tomorrow" } (ticks(&today.tomorrow, &today.centre_id)) } }
                    (food(today))
                    @if !today.not_due.is_empty() { section { h2 { "Not due, and why" } ul.rest { @for alike in &merged(&today.not_due) { li { (told(alike, &today.centre_id)) } } } } }
                    @if !today.unknown.is_empty() { section { h2 { "Not known" }
                        ul.rest { @for unknown in &today.unknown { li { b { (unknown.what) } ": " (unknown.why) ". " (sentence(&unknown.mend)) } } }
                    } }
                }
                footer {
                    (cautions(today))
                    p { (sentence(today.caution)) }
                    p { sup { "m" } " from memory, not seen in a source; " sup { "p" } " a choice of this programme; everything else is common practice, a named source, or as posted." }
                }
            }
        }
    }
}

fn ticks(lines: &[Line], centre: &str) -> Markup {
    html! { ul.tick { @for alike in &merged(lines) { li { (told(alike, centre)) } } } }
}

/// Lines that tell the same of several units.
struct Alike<'a> {
    line: &'a Line,
    units: Vec<&'a str>,
    /// The earliest day since which it is due, and whether that is so of all of them.
    since: Option<(NaiveDate, bool)>,
}

/// One line for what is the same in many units, so that a large house fits on its page; who is named
/// stands alone.
fn merged(lines: &[Line]) -> Vec<Alike<'_>> {
    let mut all: Vec<Alike<'_>> = Vec::new();
    let named = |line: &Line| line.organism_id.is_some() || line.lot_id.is_some() || line.batch_id.is_some();
    for line in lines {
        let alike = all.iter_mut().find(|one| {
            let other = one.line;
            !named(line)
                && !named(other)
                && (line.task, &line.what, &line.why) == (other.task, &other.what, &other.why)
                && (&line.scientific_name, line.from) == (&other.scientific_name, other.from)
        });
        match alike {
            Some(one) => {
                one.units.extend(line.unit_id.as_deref());
                one.since = match (one.since, line.since) {
                    (Some((known, all)), Some(since)) => Some((known.min(since), all && known == since)),
                    (known, since) => known.or(since.map(|since| (since, false))),
                };
            }
            None => all.push(Alike {
                line,
                units: line.unit_id.as_deref().into_iter().collect(),
                since: line.since.map(|since| (since, true)),
            }),
        }
    }
    all
}

/// Where, what, whom, since when; why in smaller letters.
fn told(alike: &Alike<'_>, centre: &str) -> Markup {
    let line = alike.line;
    let who = [&line.organism_id, &line.lot_id, &line.batch_id]
        .into_iter()
        .flatten()
        .next()
        .map(|id| short(id, centre));
    html! {
        @if !alike.units.is_empty() { span.where { (alike.units.join(", ")) } " · " }
        b { (line.what) } (letter(line.grounds.standing))
        @if let Some(who) = who { " · " (who) }
        @if let Some(name) = &line.scientific_name { " · " i { (name) } }
        @if let Some(count) = line.individual_count { " · " (count) }
        @if let Some((since, all)) = alike.since { " · since " (since) @if !all { " at the earliest" } }
        @if line.since.is_none() && let Some(from) = line.from { " · from " (from) }
        @if !line.why.is_empty() { span.why { (line.why.join("; ")) } }
        // What differs from line to line stands beside it; what all of a kind share stands once below.
        @if line.task == Task::Eggs && let Some(caution) = &line.caution { span.care { (caution) } }
    }
}

/// A centre's own numbers without its name, as its people say them.
fn short<'i>(id: &'i str, centre: &str) -> &'i str {
    id.strip_prefix(centre).and_then(|rest| rest.strip_prefix(':')).unwrap_or(id)
}

/// Each caution once, with the kind of work that it belongs to.
fn cautions(today: &Today) -> Markup {
    let all = today.overdue.iter().chain(&today.due).chain(&today.tomorrow);
    let mut told: Vec<(&str, &str)> = Vec::new();
    for line in all.filter(|line| line.task != Task::Eggs) {
        if let Some(caution) = &line.caution
            && !told.iter().any(|(_, known)| known == caution)
        {
            told.push((kind(line.task), caution));
        }
    }
    html! { @for (kind, caution) in told { p { b { (kind) } ": " (sentence(caution)) } } }
}

fn kind(task: Task) -> &'static str {
    match task {
        Task::Binding => "Bindings",
        Task::Quarantine => "Quarantine",
        Task::Eggs => "Eggs",
        Task::Heat => "Heat",
        Task::Water | Task::Scrub => "Water",
        Task::Census => "Census",
    }
}

fn food(today: &Today) -> Markup {
    let Some(food) = &today.food else { return html! {} };
    html! {
        section {
            h2 { "Food for the day" }
            @if food.kilogram_by_food.is_empty() { p { "No ration could be computed." } }
            table { tbody { @for (what, kilogram) in &food.kilogram_by_food {
                tr { td.number { (weight(kilogram.kg())) } td { (what) } }
            } } }
            p { "These figures feed " (food.animals_fed) " of " (counted(today.animals, "animal")) ": " (food.caution) "." }
            @if !food.without.is_empty() { ul.rest { @for (why, mend, whom) in grouped(today) {
                li { "Without a ration: " (whom) ": " (why) ". " (sentence(mend)) }
            } } }
        }
    }
}

/// Grams below a kilogram: a day's food of small turtles is no nought.
fn weight(kilogram: f64) -> String {
    if kilogram < 1.0 { format!("{:.0} g", kilogram * 1000.0) } else { format!("{kilogram:.1} kg") }
}

/// Names told before the others of one reason are counted.
const NAMED: usize = 3;

/// Who is on no ration, by the reason.
fn grouped(today: &Today) -> Vec<(&str, &str, String)> {
    let mut groups: Vec<(&str, &str, Vec<&str>)> = Vec::new();
    for refusal in today.food.iter().flat_map(|food| &food.without) {
        let whom = short(refusal.what.split(": ").next().unwrap_or_default(), &today.centre_id);
        match groups.iter_mut().find(|(why, ..)| *why == refusal.why) {
            Some((.., all)) => all.push(whom),
            None => groups.push((&refusal.why, &refusal.mend, vec![whom])),
        }
    }
    let whom = |all: &[&str]| {
        let few: Vec<&str> = all.iter().take(NAMED).copied().collect();
        let more = all.len().saturating_sub(NAMED);
        if more > 0 { format!("{} and {more} more", few.join(", ")) } else { few.join(", ") }
    };
    groups.into_iter().map(|(why, mend, all)| (why, mend, whom(&all))).collect()
}

fn letter(standing: Standing) -> Markup {
    html! { @match standing { Standing::FromMemory => sup { "m" }, Standing::Proposal => sup { "p" }, _ => {} } }
}

fn counted(count: u64, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// With a capital and a full stop.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    format!("{first}{}.", letters.as_str())
}

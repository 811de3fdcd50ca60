//! The document as one page: no script, no network, A4 when printed, light and dark, phone width.

mod cells;

use crate::document::{Document, Section};
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Colours keep 4.5:1 on their grounds, and nothing is told by colour alone.
const STYLE: &str = include_str!("style.css");

/// The page. Figures lead to the hub that made it, by paths of its interface.
pub fn html(document: &Document) -> String {
    page(document).into_string()
}

fn page(document: &Document) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width,initial-scale=1";
                meta name="robots" content="noindex";
                meta name="color-scheme" content="light dark";
                title { (document.title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    p.faint { "To the licensing authority" }
                    h1 { (document.title) }
                    p.faint { (document.days) }
                    @if let Some(warning) = document.demonstration { p.demo { (warning) } }
                }
                dl.headline { @for one in &document.headline { div {
                    dt { (one.label) }
                    dd.figure { (one.count) }
                    dd.small { (one.note) }
                } } }
                dl.facts { @for fact in &document.facts { dt { (fact.label) } dd { (words(&fact.value)) } } }
                nav aria-label="Sections" { ul { @for section in &document.sections {
                    li { a href={ "#" (section.id) } { (section.title) } }
                } } }
                main {
                    @for section in &document.sections { (self::section(section)) }
                    div.signature { @for line in document.signature { div { (line) } } }
                }
                footer {
                    p { "Made by Haulout from the records known at " (document.as_known_at) ". The same question gives the same page for ever; the links show what counts today." }
                    p { "Account digest " span.hash { (document.account_digest) } }
                    p { "Findings digest " span.hash { (document.findings_digest) } }
                }
            }
        }
    }
}

fn section(section: &Section) -> Markup {
    html! {
        section aria-labelledby=(section.id) {
            h2 id=(section.id) { (section.title) }
            @if let Some(lead) = section.lead { p.lead { (lead) } }
            @if !section.table.rows.is_empty() { (cells::table(section)) }
            @for note in &section.notes { p.note { (note) } }
        }
    }
}

/// Words; a digest in letters of one width.
fn words(text: &str) -> Markup {
    let digest = text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
    html! { @if digest { span.hash { (text) } } @else { (text) } }
}

//! Sources on a printed page: a letter or number behind each sentence, and what they mean once.

use haulout_schemas::profile::{COMMON_PRACTICE, FROM_MEMORY};
use maud::{Markup, html};

use super::brief::Brief;

/// A choice of this programme, in the words in which a source begins that is one.
const CHOICE: &str = "a choice of this programme";

/// The numbered sources of a page.
pub struct Marks(Vec<String>);

impl Marks {
    /// Numbers the sources of a page in the order in which they come.
    pub fn of(brief: &Brief) -> Self {
        let mut numbered: Vec<String> = Vec::new();
        let said = [&brief.hazards, &brief.handling, &brief.departure.timed.rests_on, &brief.packing]
            .into_iter()
            .flatten()
            .chain(&brief.stops.advice)
            .chain(&brief.carry)
            .chain(&brief.cautions);
        let of_said = said.map(|said| &said.source);
        let of_crates = brief.crating.iter().map(|one| &one.source);
        let of_papers = brief.papers_to_ask_for.iter().map(|paper| &paper.source);
        for source in of_said.chain(of_crates).chain(of_papers) {
            if letter(source).is_none() && !numbered.contains(source) {
                numbered.push(source.clone());
            }
        }
        Self(numbered)
    }

    /// The mark of a source; its words stand on the screen too.
    pub fn of_source(&self, source: &str) -> Markup {
        html! {
            @if let Some(letter) = letter(source) { @if !letter.is_empty() { sup title=(source) { (letter) } } }
            @else if let Some(nth) = self.0.iter().position(|known| known == source) {
                sup title=(source) { (nth + 1) }
            }
        }
    }

    /// What the marks mean.
    pub fn legend(&self) -> Markup {
        html! {
            sup { "c" } " common practice, " sup { "m" } " from memory, not seen in a source, "
            sup { "p" } " a choice of this programme"
            @for (nth, source) in self.0.iter().enumerate() { ", " sup { (nth + 1) } " " (source) }
            "."
        }
    }
}

/// The letter of a source that has one; none is shown where nothing was said.
fn letter(source: &str) -> Option<&'static str> {
    match source {
        COMMON_PRACTICE => Some("c"),
        FROM_MEMORY => Some("m"),
        "" => Some(""),
        choice if choice.starts_with(CHOICE) => Some("p"),
        _ => None,
    }
}

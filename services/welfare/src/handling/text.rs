//! The card as plain text, for a message, a briefing or a printer without a page.

use std::fmt;

use super::Card;
use crate::grounds::{Advice, Grounds, Standing};

impl fmt::Display for Card {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = self.scientific_name.as_deref().unwrap_or("species not known");
        writeln!(f, "HANDLING CARD: {name} ({})", self.group.key())?;
        writeln!(f, "People: no fewer than {} ({})", self.people.least, self.people.caution)?;
        for unknown in &self.unknown {
            writeln!(f, "Not known: {unknown}")?;
        }
        for section in &self.sections {
            writeln!(f, "\n{}", section.heading.to_uppercase())?;
            for Advice { text, grounds } in &section.lines {
                writeln!(f, "- {text}{}", mark(grounds))?;
            }
        }
        writeln!(f, "\n(m) from memory, (p) a proposal; else common practice, a named source or as told.")
    }
}

/// The letter that tells what stands on weak feet.
fn mark(grounds: &Grounds) -> &'static str {
    match grounds.standing {
        Standing::FromMemory => " (m)",
        Standing::Proposal => " (p)",
        _ => "",
    }
}
